"""REG-03 every instrument that a reading rests on: calibrated on the day, its range and its resolution."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time

from buildbook.chapters.readings import as_day, outside_range
from buildbook.chapters.register.rules import made_out, missing, own_rule
from buildbook.chapters.shared_records import Instrument
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, judge, judge_fact, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.record import InColumn, Record, about
from buildbook.core.where import Where
from buildbook.core.wording import listed, plain_number, unit_text

CHECK = "REG-03"
ON_THE_DAY, RANGE, RESOLUTION = (
    "calibration on the day of use",
    "range against the readings",
    "smallest step against the uncertainty",
)
ROWS_NAMED = 5  # in the sentence; the finding lists them all


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of one quantity: its row, its day and its value [unit]; None where they cannot be made out.

    `column` is where the value stands: of several in one row a table may hold only one against the instrument's range.
    `lost` marks a row that could not be read, `sure` is False where it is not even known which instrument it names.
    """

    where: Where
    day: date | None
    value: float | None
    unit: str
    column: str = ""
    lost: bool = False
    sure: bool = True


Use = tuple[str, str]


def readings_by_instrument(evidence: Evidence) -> dict[Use, tuple[Reading, ...]]:
    """All readings that rest on an instrument, by (instrument, quantity), in that order.

    Every column of every table that refers to the instrument table counts; the column says what was measured.
    """
    found: dict[Use, list[Reading]] = {}
    kinds = sorted({*evidence.records, *evidence.unread}, key=lambda kind: kind.table.file)
    for kind in kinds:
        for name, info in kind.columns().items():
            if about(info, "refers") is Instrument:
                for value, quantity in (about(info, "measures") or {"": ""}).items():
                    _collect(evidence, kind, (name, value, quantity), found)
    return {use: tuple(found[use]) for use in sorted(found)}


def _collect(
    evidence: Evidence,
    kind: type[Record],
    columns: tuple[str, str, str | InColumn],
    found: dict[Use, list[Reading]],
) -> None:
    """Add the readings of one table: `columns` are the instrument's, the value's and the quantity they stand for."""
    name, value, quantity = columns
    unit = (about(kind.model_fields[value], "unit") if value else "") or "1"
    uses: set[Use] = set()
    for row in evidence.of(kind):
        instrument, read = getattr(row, name), getattr(row, value) if value else None
        if instrument and (read is not None or not value):
            day = getattr(row, kind.table.time, None) if kind.table.time else None
            use = (instrument, getattr(row, quantity.name) if isinstance(quantity, InColumn) else quantity)
            uses.add(use)
            found.setdefault(use, []).append(_reading(row.where, day, read, unit, value))
    readable = {row.where for row in evidence.of(kind)}
    for lost in evidence.lost(kind):
        instrument = lost.get(name)
        if instrument and lost.where in readable:
            continue
        reading = replace(_reading(lost.where, lost.get(kind.table.time), lost.get(value), unit, value), lost=True)
        measured = lost.get(quantity.name) if isinstance(quantity, InColumn) else quantity
        if instrument and measured is not None:
            found.setdefault((instrument, measured), []).append(reading)
            continue
        for use in _may_be(evidence, instrument, uses) if instrument else uses:
            found.setdefault(use, []).append(replace(reading, sure=False))


def _may_be(evidence: Evidence, instrument: str, uses: Iterable[Use]) -> set[Use]:
    """The uses of an instrument that a lost row may belong to: those of its table, and all that it is listed for."""
    mine = {use for use in uses if use[0] == instrument}
    mine |= {(instrument, row.quantity) for row in evidence.of(Instrument, instrument=instrument)}
    return mine or {(instrument, "")}


def _reading(where: Where, day: object, value: object, unit: str, column: str) -> Reading:
    on = as_day(day) if isinstance(day, date) else None
    number = float(value) if isinstance(value, (int, float)) else None
    return Reading(where.row, on, number, unit, column)


def instrument_findings(evidence: Evidence) -> Iterable[Finding]:
    """REG-03: for every instrument and quantity that readings rest on, the day, the range and the resolution."""
    for (instrument, quantity), readings in readings_by_instrument(evidence).items():
        rows = _rows_of(evidence, instrument, quantity)
        if not rows:
            key = Key(CHECK, ON_THE_DAY, instrument, quantity)
            said = About(instruments=(instrument,), at=tuple(reading.where for reading in readings[:ROWS_NAMED]))
            why = _why_absent(evidence, instrument, quantity, _number(readings))
            yield unjudged(key, Verdict.NO_RECORD, why, said, own_rule(CHECK, ON_THE_DAY))
        for row in rows:
            yield from _on_the_day(row, readings)
            yield from _range(row, readings)
            yield from _resolution(row)


def _number(readings: Iterable[Reading]) -> int:
    """How many readings there are; one in a row that is used and is in doubt as well counts once."""
    return len({(reading.where, reading.column) for reading in readings})


def _rows_of(evidence: Evidence, instrument: str, quantity: str) -> tuple[Instrument, ...]:
    """The rows of the instrument table for one use: the readable one, else what can be made out of one that is not.

    Where a table does not say what its instrument measured, every quantity of that instrument is meant.
    """
    wanted = {"instrument": instrument, **({"quantity": quantity} if quantity else {})}
    rows: dict[str, Instrument] = {}
    for lost in evidence.lost(Instrument, **wanted):
        if lost.get("instrument") == instrument and lost.get("quantity"):
            rows.setdefault(lost.get("quantity"), made_out(lost, Instrument))
    rows.update({row.quantity: row for row in evidence.of(Instrument, **wanted)})
    return tuple(rows[name] for name in sorted(rows))


def _why_absent(evidence: Evidence, instrument: str, quantity: str, number: int) -> str:
    what = f" for {quantity}" if quantity else ""
    words = f"{counted(number, 'reading names', 'readings name')} {instrument}{what}"
    others = listed(row.quantity for row in evidence.of(Instrument, instrument=instrument))
    if Instrument in evidence.missing:
        return f"{words}; {missing(evidence, Instrument)}"
    if evidence.lost(Instrument, instrument=instrument):
        return f"{words}; the row of the instrument table that may be meant could not be read."
    known = f", which has it for {others}" if others else ""
    return f"{words}, but no row of the instrument table does{known}."


def _on_the_day(row: Instrument, readings: Sequence[Reading]) -> Iterable[Finding]:
    key, limits = _key(ON_THE_DAY, row), own_rule(CHECK, ON_THE_DAY)
    dated = [reading for reading in readings if reading.day is not None and reading.sure]
    late = [reading for reading in dated if _outside(row, reading)]
    unsure = sum(1 for reading in readings if reading.day is None or not reading.sure)
    caps = (f"{_counted(unsure)} may rest on it on a day that cannot be made out.",) if unsure else ()
    said = About(
        method="days of the readings against the dates of calibration",
        period=_period(dated),
        instruments=(row.instrument,),
        at=(row.where, *(reading.where for reading in late)),
        working=(f"{_counted(len(dated))}; {_dates(row)}",),
        caps=caps,
    )
    if late:
        days = len({reading.day for reading in late})
        span = f"on {days} {'day' if days == 1 else 'days'}"
        observed = f"{len(late)} of {_counted(len(dated))} outside, {span}; {_dates(row)}"
        said = replace(said, working=(*said.working, f"outside: {_named(late)}"))
        yield from judge_fact(key, False, observed, limits, said)
    elif row.calibrated is None or row.due is None or not row.certificate:
        yield unjudged(key, Verdict.NO_RECORD, f"{row.instrument} has {_lacking(row)} in its row.", said, limits)
    else:
        met = True if dated else None
        yield from judge_fact(key, met, f"{_counted(len(dated))}, {_dates(row)}", limits, said)


def _outside(row: Instrument, reading: Reading) -> bool:
    if reading.day is None:
        return False
    before = row.calibrated is not None and reading.day < row.calibrated
    return before or (row.due is not None and reading.day > row.due)


def _dates(row: Instrument) -> str:
    start = row.calibrated.isoformat() if row.calibrated else "not given"
    return f"calibrated {start}, due {row.due.isoformat() if row.due else 'not given'}"


def _lacking(row: Instrument) -> str:
    given: Mapping[str, object] = {
        "no certificate number": row.certificate,
        "no date of calibration": row.calibrated,
        "no date when the next is due": row.due,
    }
    return listed(words for words, value in given.items() if not value)


def _named(readings: Sequence[Reading]) -> str:
    """The first few rows in words, and how many more there are."""
    named = [f"{reading.where} ({reading.day.isoformat() if reading.day else 'no day'})" for reading in readings]
    more = f" and {len(named) - ROWS_NAMED} more" if len(named) > ROWS_NAMED else ""
    return ", ".join(named[:ROWS_NAMED]) + more


def _range(row: Instrument, readings: Sequence[Reading]) -> Iterable[Finding]:
    valued = [reading for reading in readings if reading.value is not None and reading.sure]
    unsure = sum(1 for reading in readings if reading.value is None or not reading.sure)
    if not valued and all(not reading.lost for reading in readings):
        return
    key, limits = _key(RANGE, row), own_rule(CHECK, RANGE)
    caps = (f"{_counted(unsure)} may rest on it with a value that cannot be made out.",) if unsure else ()
    said = About(method="readings against the range", instruments=(row.instrument,), at=(row.where,), caps=caps)
    if row.range_low is None and row.range_high is None:
        yield unjudged(key, Verdict.NO_RECORD, f"{row.instrument} has no range in its row.", said, limits)
        return
    try:
        beyond = _beyond(row, valued)
    except ValueError:
        units = listed(sorted({reading.unit for reading in valued}))
        words = f"The range is in {row.unit or 'an unknown unit'}, the readings are in {units}: not comparable."
        yield from judge_fact(key, None, "", limits, replace(said, notes=(words,)))
        return
    said = replace(said, at=(row.where, *(reading.where for reading in beyond)))
    if beyond:
        observed = f"{len(beyond)} of {_values(valued)} outside {_span(row)}"
        said = replace(said, working=(*said.working, f"outside: {_named(beyond)}"))
        yield from judge_fact(key, False, observed, limits, said)
    else:
        yield from judge_fact(key, True if valued else None, f"{_values(valued)} in {_span(row)}", limits, said)


def _beyond(row: Instrument, readings: Sequence[Reading]) -> list[Reading]:
    """The readings outside the range. ValueError where units are not comparable."""
    if not row.unit:
        raise ValueError("the unit of the instrument's row is not known")
    values: dict[str, list[float]] = {}
    for reading in readings:
        if reading.value is not None:
            values.setdefault(reading.unit, []).append(reading.value)
    outside = {unit: set(outside_range(row, unit, some)) for unit, some in values.items()}
    return [reading for reading in readings if reading.value in outside.get(reading.unit, ())]


def _span(row: Instrument) -> str:
    low = plain_number(row.range_low) if row.range_low is not None else "no lower end"
    high = plain_number(row.range_high) if row.range_high is not None else "no upper end"
    return f"{low} to {high} {unit_text(row.unit or '')}".strip()


def _resolution(row: Instrument) -> Iterable[Finding]:
    """The smallest step as a share of the expanded uncertainty: both stand in the same row, in the same unit."""
    key, limits = _key(RESOLUTION, row), own_rule(CHECK, RESOLUTION)
    said = About(method="resolution over U, both from the row", instruments=(row.instrument,), at=(row.where,))
    given = {"no resolution": row.resolution, "no uncertainty": row.uncertainty}
    lacking = listed(words for words, value in given.items() if value is None)
    if row.resolution is None or row.uncertainty is None:
        yield unjudged(key, Verdict.NO_RECORD, f"{row.instrument} has {lacking} in its row.", said, limits)
        return
    if row.uncertainty == 0:
        words = "Its row states an uncertainty of zero, which no instrument has."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, said, limits)
        return
    unit = unit_text(row.unit or "")
    step, stated = f"{plain_number(row.resolution)} {unit}".strip(), f"{plain_number(row.uncertainty)} {unit}".strip()
    said = replace(said, working=(f"resolution {step}, U {stated}",))
    yield from judge(key, Quantity.count(row.resolution / row.uncertainty), limits, said)


def _key(quantity: str, row: Instrument) -> Key:
    return Key(CHECK, quantity, row.instrument, row.quantity)


def _counted(number: int) -> str:
    return counted(number, "reading")


def _values(readings: Sequence[Reading]) -> str:
    """How many readings, and of which columns: other values of the same rows are not held against the range."""
    columns = listed(sorted({reading.column.replace("_", " ") for reading in readings if reading.column}))
    return f"{_counted(len(readings))} of {columns}" if columns else _counted(len(readings))


def _period(readings: Sequence[Reading]) -> Period | None:
    days = sorted(reading.day for reading in readings if reading.day is not None)
    if not days:
        return None
    return Period(datetime.combine(days[0], time()), datetime.combine(days[-1], time()))
