"""Readings in steps of their instrument: last digits that are not even, and readings that pile up on a limit."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.chapters.register.chances import chance_of_so_many, chi_square_of_even
from buildbook.chapters.register.look import Look, Notice, rule
from buildbook.chapters.register.series import Measured, runs, taken_one_by_one
from buildbook.chapters.shared_records import Instrument
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.grammar import counted
from buildbook.core.record import Record
from buildbook.core.where import Where
from buildbook.core.wording import plain_number, unit_text
from buildbook.sources import table

DIGITS, ON_LIMIT = "last digits", "readings on the limit"
GRAIN = 1e-6  # of a step: how far a number in binary may be from a whole number of steps


@dataclass(frozen=True, slots=True)
class Stepped:
    """The readings of one column by one instrument as whole numbers of steps [1]; `step` in the unit of the column.

    `digits` is after how many steps the last digits begin anew (10 for steps of one, 5 of two, 2 of five); `scatter`
    the standard deviation of the readings about the mean of their series [steps].
    """

    column: Measured
    instrument: str
    step: float
    digits: int
    counts: tuple[int, ...]
    at: tuple[Where, ...]
    scatter: float

    @property
    def name(self) -> str:
        """Column and instrument, as a condition names them."""
        return f"{self.column.name}, {self.instrument}"


def stepped_columns(evidence: Evidence) -> tuple[Stepped, ...]:
    """Every column of readings whose instrument shows steps that are known, and whose readings are such steps."""
    made = []
    for kind, columns in taken_one_by_one(evidence).items():
        for column in columns:
            series: dict[str, list[list[Record]]] = {}
            for run in runs(evidence, kind):
                for instrument in dict.fromkeys(getattr(row, column.by) for row in run.rows):
                    mine = [row for row in run.rows if getattr(row, column.by) == instrument]
                    with_value = [row for row in mine if getattr(row, column.name) is not None]
                    if instrument and with_value:
                        series.setdefault(instrument, []).append(with_value)
            made += [_stepped(evidence, column, name, its) for name, its in series.items()]
    return tuple(one for one in made if one is not None)


def _stepped(evidence: Evidence, column: Measured, instrument: str, its: Sequence[Sequence[Record]]) -> Stepped | None:
    row = evidence.one(Instrument, instrument=instrument, quantity=column.quantity)
    if row is None or not row.resolution or row.unit != column.unit:
        return None
    rows = [one for run in its for one in run]
    values = [float(getattr(one, column.name)) for one in rows]
    step = _as_written(values, row.resolution)
    digits = _digits(step) if step else None
    if step is None or digits is None:
        return None
    counts = tuple(round(value / step) for value in values)
    left = math.fsum((value - mean) ** 2 for run in its for mean, values in [_means(run, column)] for value in values)
    free = len(rows) - len(its)
    scatter = math.sqrt(left / free) / step if free > 0 else 0.0
    return Stepped(column, instrument, step, digits, counts, tuple(one.where for one in rows), scatter)


def _means(run: Sequence[Record], column: Measured) -> tuple[float, list[float]]:
    values = [float(getattr(row, column.name)) for row in run]
    return statistics.fmean(values), values


def _as_written(values: Iterable[float], resolution: float) -> float | None:
    """The step in which readings were written: that of the instrument, or ten, a hundred … of it; None for neither."""
    values = tuple(values)
    if not all(_whole(value / resolution) for value in values):
        return None
    step = resolution
    while any(values) and all(_whole(value / (10 * step)) for value in values):
        step *= 10
    return step


def _whole(number: float) -> bool:
    return abs(number - round(number)) <= GRAIN * max(1.0, abs(number))


def _digits(step: float) -> int | None:
    """After how many steps the last digit begins anew; None for a step that no digit shows, as 0.25."""
    first = step / 10.0 ** math.floor(math.log10(step) + GRAIN)
    return next((round(10 / whole) for whole in (1, 2, 5) if abs(first - whole) <= GRAIN * whole), None)


def last_digits(evidence: Evidence) -> Look:
    """Digits that somebody prefers: chi-square of the last digits beyond what chance gives once in a thousand."""
    fewest, scatter = rule("fewest readings for digits"), rule("least scatter for digits")
    columns = [
        one
        for one in stepped_columns(evidence)
        if len(one.counts) >= fewest and one.scatter >= scatter * one.digits and _greatest(one.digits) is not None
    ]
    notices, working = [], []
    for one in columns:
        digits = [sum(1 for count in one.counts if count % one.digits == digit) for digit in range(one.digits)]
        found, most = chi_square_of_even(digits), _greatest(one.digits) or math.inf
        line = (
            f"{one.column.kind.table.file}, {one.name}: {len(one.counts)} readings in steps of {_amount(one)}, "
            f"counts {' '.join(str(n) for n in digits)}, chi-square {found:.1f}, at most {most:g} by chance"
        )
        working.append(line)
        if found > most:
            words = f"{len(one.counts)} readings, last digits not even: chi-square {found:.1f}, chance gives {most:g}"
            notices.append(Notice(one.column.kind.table.file, words, one.at, one.name, (line,)))
    looked = f"{counted(len(columns), 'column')} with at least {fewest:g} readings that scatter widely enough"
    return Look(DIGITS, "last digits counted, chi-square for even digits", looked, tuple(notices), tuple(working))


def _greatest(digits: int) -> float | None:
    """The chi-square that chance exceeds once in a thousand, for so many digits."""
    degrees = str(digits - 1)
    return next((float(row["greatest"]) for row in table("chi_square") if row["degrees"] == degrees), None)


def _amount(one: Stepped) -> str:
    unit = unit_text(one.column.unit)
    return f"{plain_number(one.step, 6)}{f' {unit}' if unit else ''}"


@dataclass(frozen=True, slots=True)
class _End:
    """One end of a limit: the readings of a column that it is for, and on which side of it is allowed."""

    file: str
    column: str
    end: float
    inward: int


def on_limits(evidence: Evidence, findings: Iterable[Finding]) -> Look:
    """Readings that stand on a limit more often than on the steps beside it."""
    beside = int(rule("steps beside the limit"))
    share = 1.0 / (beside + 1)
    columns = [one for one in stepped_columns(evidence) if one.scatter >= beside]
    rows_of = _ends(findings, columns)
    notices, looked = [], 0
    for one in columns:
        for end in sorted(rows_of.get(one.name, {}), key=lambda end: (end.file, end.column, end.end, end.inward)):
            if end.file != one.column.kind.table.file or not _whole(end.end / one.step):
                continue
            looked += 1
            notice = _piled(one, end, rows_of[one.name][end], (beside, share))
            notices += [notice] if notice else []
    words = f"{counted(looked, 'limit')} that readings could stand on"
    return Look(ON_LIMIT, "readings on the limit against those just inside it", words, tuple(notices))


def _ends(findings: Iterable[Finding], columns: Sequence[Stepped]) -> Mapping[str, Mapping[_End, set[Where]]]:
    """For each column the ends of the limits that its readings were judged by, with the rows that each was for."""
    known: dict[Where, list[Stepped]] = {}
    for one in columns:
        for where in dict.fromkeys(one.at):
            known.setdefault(where, []).append(one)
    found: dict[str, dict[_End, set[Where]]] = {}
    for finding in findings:
        limit = finding.limit
        if limit is None or limit.in_words:
            continue
        for where in finding.at:
            for one in known.get(where, ()):
                if one.column.unit != limit.unit:
                    continue
                for value, inward in ((limit.low, 1), (limit.high, -1)):
                    if value is not None:
                        end = _End(one.column.kind.table.file, one.column.name, value, inward)
                        found.setdefault(one.name, {}).setdefault(end, set()).add(where)
    return found


def _piled(one: Stepped, end: _End, rows: set[Where], among: tuple[int, float]) -> Notice | None:
    """A notice where more readings stand on this end than the steps inside it explain."""
    beside, share = among
    first = round(end.end / one.step)
    near = [(count, at) for count, at in zip(one.counts, one.at, strict=True) if at in rows]
    near = [(count, at) for count, at in near if 0 <= (count - first) * end.inward <= beside]
    hits = tuple(at for count, at in near if count == first)
    chance = chance_of_so_many(len(hits), len(near), share)
    if not hits or chance > rule("false alarms"):
        return None
    unit = unit_text(one.column.unit)
    limit = f"{plain_number(end.end, 6)}{f' {unit}' if unit else ''}"
    words = f"{len(hits)} readings are exactly {limit}, the limit, of {len(near)} on it or up to {beside} steps inside"
    line = f"steps of {_amount(one)}; as many by chance with a probability of {chance:.2g}"
    return Notice(end.file, words, hits, f"{one.name}, {limit}", (line,))
