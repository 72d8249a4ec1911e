"""SYS-01 the alarm while she is filled, SYS-02 her vents, SYS-03 sender and display."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import by_one_instrument, carried, step_unknown
from buildbook.chapters.subjects import Used, absent, asked_places, attempts, limits, period, used
from buildbook.chapters.systems.formulas.fuel import off_the_meter, share_of_capacity
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.chapters.systems.subjects import Test, about_row, each_test, meets_rule, rule
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, judge_fact, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.formulas.uncertainty import from_resolution

ALARM, STEPS = "level at the alarm", "alarm silenced, flow slowed, shut off at full"
DRY, METER = "no fuel from the vents", "volume of fuel"
SENDER, DISPLAY = "sender off the meter", "display off the meter"
NEVER_FILLED = "No filling of this tank is on record."
NO_ALARM = "The tank was full, and no alarm had come."
NOT_EMPTY = "The tank was not empty when filling began, so its capacity is not known."
NO_TRIM = "Heel and trim during the filling are not both on record; the level at the alarm depends on them."
NO_FILL = "How many litres filled this tank is not on record, so its capacity is not known."
FEW = (
    "The readings do not span the whole tank: at least {fewest:g}, the lowest up to {low:g} %, the highest from "
    "{high:g} %."
)
FILLED = Test("SYS-01", FuelFill, (ALARM, STEPS), NEVER_FILLED)
VENTS = Test("SYS-02", FuelFill, (DRY,), NEVER_FILLED)
DONE = {"silenced": "silenced", "slowed": "flow slowed", "shut": "shut off at full"}


def filled(evidence: Evidence) -> Iterable[Finding]:
    """SYS-01: every filling of every fuel tank."""
    return each_test(evidence, FILLED, lambda row: _filled(evidence, FILLED.key(row), row))


def _filled(evidence: Evidence, key: Key, row: FuelFill) -> Iterable[Finding]:
    use = used(evidence, [row], "instrument", METER, "L", "full")
    wanted = limits(evidence, "SYS-01", ALARM, place=key.place)
    caps = (*(() if row.emptied else (NOT_EMPTY,)), *(() if _level(row) else (NO_TRIM,)))
    about = about_row(row, use, "filled through a calibrated meter", (_lay(row),))
    about = replace(about, caps=(*about.caps, *caps))
    if row.alarm is None:
        yield from judge_fact(key, False, "no alarm came", wanted, replace(about, notes=(*about.notes, NO_ALARM)))
    else:
        alarm = plain_number(row.alarm)
        words = f"alarm at {alarm} L, full at {plain_number(row.full)} L"
        measured = Quantity.combined(share_of_capacity(row.alarm, row.full), "%", _share_parts(row, use))
        lacks = step_unknown(evidence, use.instruments, METER)
        about = replace(about, working=(words, *about.working), lacks=lacks)
        yield from judge(key, measured, wanted, about, observed=f"{alarm} L of {plain_number(row.full)} L")
    yield from _steps(evidence, replace(key, quantity=STEPS), row)


def _level(row: FuelFill) -> bool:
    return row.heel is not None and row.trim is not None


def _lay(row: FuelFill) -> str:
    """How she lay while she was filled."""
    ends = (("heel to starboard", "heel to port", row.heel), ("trim by the bow", "trim by the stern", row.trim))
    told = [
        f"{name if value >= 0.0 else opposite} {plain_number(abs(value))}°"
        for name, opposite, value in ends
        if value is not None
    ]
    return listed(told) if told else "heel and trim not written down"


def _share_parts(row: FuelFill, use: Used) -> tuple[Part, ...]:
    """Meter and moment of reading, at the alarm and at full, as parts of the share."""
    if row.alarm is None:
        return ()
    both = {"volume": (row.alarm, "litres at the alarm"), "capacity": (row.full, "litres at full")}
    return by_one_instrument(share_of_capacity, both, use.parts, (_moment(row),))


def _moment(row: FuelFill) -> Part:
    return Part("moment of reading", row.uncertainty / 2.0)


def _steps(evidence: Evidence, key: Key, row: FuelFill) -> Iterable[Finding]:
    done = {words: getattr(row, name) for name, words in DONE.items()}
    no = [words for words, it in done.items() if it is False]
    unknown = [words for words, it in done.items() if it is None]
    met = False if no else None if unknown else True
    told = [*(f"not {words}" for words in no), *(f"not written down: {words}" for words in unknown)]
    observed = "; ".join(told) or "all three done"
    about = About(method="watched", period=period([row.at]), at=(row.where,))
    yield from judge_fact(key, met, observed, limits(evidence, "SYS-01", STEPS, place=key.place), about)


def vents(evidence: Evidence) -> Iterable[Finding]:
    """SYS-02: what came from the vents during every filling."""
    return each_test(evidence, VENTS, lambda row: _vents(evidence, VENTS.key(row), row))


def _vents(evidence: Evidence, key: Key, row: FuelFill) -> Iterable[Finding]:
    wanted = limits(evidence, "SYS-02", DRY, place=key.place)
    about = About(method="watched while she was filled", period=period([row.at]), at=(row.where,))
    if row.vents is None:
        yield unjudged(key, Verdict.NOT_MEASURED, "Nobody wrote down what came from the vents.", about, wanted)
        return
    met = {"dry the whole time": True, "fuel came out": False}.get(row.vents)
    yield from judge_fact(key, met, row.vents, wanted, about)


def shown(evidence: Evidence) -> Iterable[Finding]:
    """SYS-03: sender and display over the whole range of every tank, in every filling they were read in."""
    places = [str(tank) for tank in evidence.values(SenderReading, "tank")]
    file = SenderReading.table.file
    asked = dict.fromkeys((*places, *asked_places(evidence, "SYS-03", file, SENDER, DISPLAY)))
    for tank in asked:
        for attempt in attempts(evidence, SenderReading, tank=tank):
            for key in (Key("SYS-03", name, tank, "", attempt) for name in (SENDER, DISPLAY)):
                yield from _shown(evidence, key)
    for key in (Key("SYS-03", name) for name in (SENDER, DISPLAY)) if not asked else ():
        yield unjudged(key, Verdict.NO_RECORD, f"{file}: {evidence.missing.get(SenderReading, 'no row can be used')}.")


def _shown(evidence: Evidence, key: Key) -> Iterable[Finding]:
    rows = evidence.of(SenderReading, tank=key.place, attempt=key.attempt)
    fill = evidence.one(FuelFill, tank=key.place, attempt=key.attempt)
    wanted = limits(evidence, "SYS-03", key.quantity, place=key.place)
    if not rows:
        words = "No reading of this tank can be used." if evidence.lost(SenderReading) else "It was not read."
        yield absent(evidence, SenderReading, key, Verdict.NOT_MEASURED, words, wanted)
        return
    if fill is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_FILL, About(at=tuple(row.where for row in rows)), wanted)
        return
    empty = () if fill.emptied else (NOT_EMPTY,)
    column = "sender" if key.quantity == SENDER else "display"
    use = used(evidence, rows, "instrument", METER, "L", "metered")
    at_full = used(evidence, [fill], "instrument", METER, "L", "full")
    other = use.instruments != at_full.instruments
    worst = max(rows, key=lambda row: (off_the_meter(getattr(row, column), row.metered, fill.full), -row.number))
    found = off_the_meter(getattr(worst, column), worst.metered, fill.full)
    measured = Quantity.combined(found, "%", _off_parts(worst, column, fill, use, at_full))
    by_meter = share_of_capacity(worst.metered, fill.full)
    words = f"{column} {plain_number(getattr(worst, column))} % at {plain_number(worst.metered)} L"
    meters = tuple(dict.fromkeys((*use.instruments, *at_full.instruments)))
    about = About(
        method=f"the largest of {len(rows)} differences",
        period=period(row.at for row in rows),
        instruments=meters,
        at=(*(row.where for row in rows), fill.where),
        working=(f"{words}, which is {fixed(by_meter, 1)} % of {plain_number(fill.full)} L",),
        notes=(*use.notes, *(at_full.notes if other else ())),
        caps=(*use.caps, *(at_full.caps if other else ()), *_span(rows, fill.full), *empty),
        lacks=step_unknown(evidence, meters, METER),
    )
    yield from judge(key, measured, wanted, about, observed=words)


def _off_parts(row: SenderReading, column: str, fill: FuelFill, use: Used, at_full: Used) -> tuple[Part, ...]:
    """Meter at this reading and at full, alike where it is one meter; and the step of what is shown."""
    if not use.parts or not at_full.parts:
        return ()
    volume, capacity = (row.metered, "litres at this reading"), (fill.full, "litres at full")
    if use.instruments == at_full.instruments:
        both = {"volume": volume, "capacity": capacity}
        parts = by_one_instrument(share_of_capacity, both, use.parts, (_moment(fill),))
    else:
        inputs: dict[str, tuple[float, Sequence[Part], str]] = {
            "volume": (row.metered, (*use.parts, _moment(fill)), volume[1]),
            "capacity": (fill.full, (*at_full.parts, _moment(fill)), capacity[1]),
        }
        parts = carried(share_of_capacity, inputs)
    return (*parts, Part(f"step of the {column}", from_resolution(getattr(row, f"{column}_step"))))


def _span(rows: Sequence[SenderReading], capacity: float) -> tuple[str, ...]:
    """That the readings leave a part of the tank out; empty where they do not."""
    shares = [share_of_capacity(row.metered, capacity) for row in rows]
    if (
        meets_rule(len(rows), "1", low="fewest readings")
        and meets_rule(min(shares), "%", high="lowest reading")
        and meets_rule(max(shares), "%", low="highest reading")
    ):
        return ()
    low, high, fewest = rule("lowest reading"), rule("highest reading"), rule("fewest readings")
    return (FEW.format(fewest=fewest, low=low, high=high),)
