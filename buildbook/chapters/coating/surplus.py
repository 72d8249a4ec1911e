"""More readings than the plan asks for, and two rows with one number: neither may lift a mean unnoticed.

The readings as planned are judged beside all of them, and the worse verdict stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from buildbook.chapters.coating.records import Appearance, Colour, FilmReading, Gloss
from buildbook.chapters.shared_records import Hardness, Moisture, Planned
from buildbook.core.decide import cap
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding
from buildbook.core.judging import worst
from buildbook.core.record import Record

# Tables of readings, and the column that parts the readings at one place into means of their own.
SERIES: dict[type[Record], str] = {
    FilmReading: "",
    Gloss: "angle",
    Appearance: "",
    Colour: "role",
    Moisture: "",
    Hardness: "",
}
ONLY_SAID = "All are used; where as many as planned are worse by themselves, the worse verdict stands."

Judged = Callable[[Sequence[Any]], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Surplus:
    """How many readings go beyond the plan, and how many of one series were planned (None where it does not tell)."""

    beyond: int
    planned: int | None


def judged_as_planned(evidence: Evidence, check: str, rows: Sequence[Any], judged: Judged) -> tuple[Finding, ...]:
    """Some readings of one series judged; where more are there than planned, beside them the planned ones alone.

    Args:
        evidence: the folder, read.
        check: the check whose lines of the plan count.
        rows: the readings of one mean, all of one table, place and attempt.
        judged: what makes findings of readings.
    Returns:
        The findings of all readings; those of the first ones, as many as planned, where they are worse. Where the plan
        does not tell how many readings this series gets, a better verdict than that of the first ones is held at
        inconclusive.
    """
    ordered = sorted(rows, key=lambda row: row.number)
    found = worst(*(judged(way) for way in (rows, *_each_number_once(ordered))))
    more = surplus(evidence, check, rows[0])
    if more is None:
        return found
    number = more.planned if more.planned is not None else len(rows) - more.beyond
    if not 0 < number < len(rows):
        return found
    return tuple(_beside(finding, judged(ordered[:number]), more, number, len(rows)) for finding in found)


def _beside(finding: Finding, first: Iterable[Finding], more: Surplus, number: int, total: int) -> Finding:
    """One finding of all readings beside that of the first ones."""
    other = next((one for one in first if one.key == finding.key), finding)
    words = f"{total} readings, more than the plan asks for"
    if other.verdict.rank <= finding.verdict.rank:
        return replace(finding, notes=(*finding.notes, f"{words}; the first {number} alone are no worse."))
    if more.planned is None:
        return cap(finding, (f"{words}; the first {number} alone give {other.verdict.value}.",))
    return replace(other, notes=(*other.notes, f"{words}: the first {number} count, since they are worse than all."))


def _each_number_once(ordered: Sequence[Any]) -> tuple[Sequence[Any], ...]:
    """Where two rows carry one number: the first of each, and the last of each."""
    last = {row.number: row for row in ordered}
    first = {row.number: row for row in reversed(ordered)}
    if len(last) == len(ordered):
        return ()
    return (sorted(first.values(), key=lambda row: row.number), list(last.values()))


def surplus(evidence: Evidence, check: str, row: Any) -> Surplus | None:
    """How many readings of the first attempt go beyond the plan, in the lines that cover this row; None where none."""
    kind = type(row)
    place = getattr(row, kind.table.place)
    if getattr(row, "attempt", 1) != 1:
        return None
    lines = [line for line in evidence.of(Planned, check=check, record=kind.table.file) if line.readings]
    own = [line for line in lines if line.place]
    if place in {line.place for line in own}:
        asked = sum(line.readings or 0 for line in own if line.place == place)
        counted = [one for one in _planned_rows(evidence, kind) if getattr(one, kind.table.place) == place]
    else:
        asked = sum(line.readings or 0 for line in lines if not line.place)
        elsewhere = {line.place for line in own}
        counted = [one for one in _planned_rows(evidence, kind) if getattr(one, kind.table.place) not in elsewhere]
    if not asked or len(counted) <= asked:
        return None
    by = SERIES.get(kind, "")
    series = {(getattr(one, kind.table.place), getattr(one, by) if by else None) for one in counted}
    return Surplus(len(counted) - asked, asked // len(series) if asked % len(series) == 0 else None)


def _planned_rows(evidence: Evidence, kind: type[Record]) -> list[Any]:
    """The rows that a plan counts: of the first attempt, and not taken on purpose at a thin spot."""
    rows = evidence.of(kind)
    return [row for row in rows if getattr(row, "attempt", 1) == 1 and not getattr(row, "extra", False)]


def more_than_planned(evidence: Evidence) -> Iterable[Fault]:
    """A notice at every line of the plan whose table holds more readings than it asks for."""
    for line in evidence.of(Planned):
        kind = next((kind for kind in SERIES if kind.table.file == line.record), None)
        if kind is None or not line.readings:
            continue
        rows = _planned_rows(evidence, kind)
        if line.place:
            rows = [row for row in rows if getattr(row, kind.table.place) == line.place]
        twin = [other for other in evidence.of(Planned, check=line.check, record=line.record) if other is not line]
        if len(rows) <= line.readings or any(other.place in (line.place, None) or not line.place for other in twin):
            continue
        where = f" at {line.place}" if line.place else ""
        expected = f"{line.readings} readings in {line.record}{where}, as planned"
        yield Fault(line.cell("readings"), expected, f"{len(rows)}", ONLY_SAID, Severity.NOTICE)
