"""More readings than the plan asks for, and two rows with one number: neither may lift a mean unnoticed.

The readings as planned are judged beside all of them, and the worse verdict stands.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from buildbook.chapters.shared_records import Planned
from buildbook.chapters.subjects import claimed
from buildbook.core.decide import cap
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding
from buildbook.core.judging import worst
from buildbook.core.record import Record

ONLY_SAID = "All are used; where as many as planned are worse by themselves, the worse verdict stands."

UNKNOWN = "How many readings were planned here is not known"

Judged = Callable[[Sequence[Any]], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Surplus:
    """How many readings of one series were planned, where more may be there.

    `planned` is None where the plan does not tell; then `likely` are numbers it may have been, and `fails` says
    whether a fail of so many first ones stands (else nothing better than inconclusive is said).
    """

    planned: int | None
    likely: tuple[int, ...] = ()
    fails: bool = True


def judged_as_planned(evidence: Evidence, check: str, rows: Sequence[Any], judged: Judged) -> tuple[Finding, ...]:
    """Some readings of one series judged; where more are there than planned, beside them the planned ones alone.

    Args:
        evidence: the folder, read.
        check: the check whose lines of the plan count.
        rows: the readings of one mean, all of one table, place and attempt.
        judged: what makes findings of readings.
    Returns:
        The findings of all readings; those of the first ones, as many as planned, where they are worse. Where the plan
        does not tell how many readings this series gets, each number it may have been is tried: a fail of so many
        first ones stands, and a verdict that is better than that of some of them is held at inconclusive.
    """
    ordered = sorted(rows, key=lambda row: row.number)
    found = worst(*(judged(way) for way in (rows, *_each_number_once(ordered))))
    more = surplus(evidence, check, rows[0])
    if more is None:
        return found
    if more.planned is not None:
        first = _first(evidence, ordered, more.planned)
        if not 0 < len(first) < len(rows):
            return found
        beside = tuple(judged(first))
        return tuple(_beside(finding, beside, len(first), len(rows)) for finding in found)
    likely = {len(_first(evidence, ordered, number)) for number in more.likely} - {0, len(ordered)}
    possible = range(min(likely, default=1), len(ordered))
    tried = {number: tuple(judged(ordered[:number])) for number in (*sorted(likely), *possible)}
    return tuple(_whatever_was_planned(finding, tried, likely if more.fails else set(), len(rows)) for finding in found)


def _beside(finding: Finding, first: Sequence[Finding], number: int, total: int) -> Finding:
    """One finding of all readings beside that of the first ones, as many as planned."""
    other = next((one for one in first if one.key == finding.key), finding)
    words = f"{total} readings, more than the plan asks for"
    if other.verdict.rank <= finding.verdict.rank:
        return replace(finding, notes=(*finding.notes, f"{words}; the first {number} alone are no worse."))
    return replace(other, notes=(*other.notes, f"{words}: the first {number} count, since they are worse than all."))


def _whatever_was_planned(
    finding: Finding, tried: Mapping[int, Sequence[Finding]], likely: Collection[int], total: int
) -> Finding:
    """One finding of all readings beside those of the first ones, by the number that may have been planned."""
    of = {number: next((one for one in found if one.key == finding.key), finding) for number, found in tried.items()}
    worse = {number: other for number, other in of.items() if other.verdict.rank > finding.verdict.rank}
    missed = {number: other for number, other in worse.items() if other.verdict.missed}
    standing = [number for number in missed if number in likely]
    if standing:
        number = max(standing, key=lambda one: missed[one].verdict.rank)
        words = f"{UNKNOWN}: of {total} the first {number} count, since they are worse than all."
        return replace(missed[number], notes=(*missed[number].notes, words))
    told = {number: other for number, other in worse.items() if number in likely or number in missed}
    if not told:
        return finding
    number = max(told, key=lambda one: told[one].verdict.rank)
    return cap(finding, (f"{UNKNOWN}; of {total} the first {number} alone give {told[number].verdict.value}.",))


def _first(evidence: Evidence, ordered: Sequence[Any], number: int) -> list[Any]:
    """Those of some readings that are among the first `number` of their series, whatever the rows of it hold."""
    among = {row.where for one in ordered for row in _series(evidence, one)[:number]}
    return [row for row in ordered if row.where in among]


def _series(evidence: Evidence, row: Any) -> list[Any]:
    """All rows of the place, attempt and kind of reading of this one, in the order of their numbers."""
    by = type(row).table.series
    rows = _planned_rows(evidence, type(row), _place(row))
    return sorted((one for one in rows if not by or getattr(one, by) == getattr(row, by)), key=lambda one: one.number)


def _each_number_once(ordered: Sequence[Any]) -> tuple[Sequence[Any], ...]:
    """Where two rows carry one number: the first of each, and the last of each."""
    last = {row.number: row for row in ordered}
    first = {row.number: row for row in reversed(ordered)}
    if len(last) == len(ordered):
        return ()
    return (sorted(first.values(), key=lambda row: row.number), list(last.values()))


def surplus(evidence: Evidence, check: str, row: Any) -> Surplus | None:
    """What the plan says of the number of readings in the series of this one; None where they are as planned."""
    kind = type(row)
    if getattr(row, "attempt", 1) != 1 or getattr(row, "extra", False):
        return None
    lines, doubtful = _lines(evidence, check, row)
    own = any(place == _place(row) for place, _ in lines)
    elsewhere = claimed(evidence, check, kind.table.file)
    asked = sum(number for place, number in lines if place == (_place(row) if own else ""))
    rows = _planned_rows(evidence, kind)
    counted = [one for one in rows if (_place(one) == _place(row) if own else _place(one) not in elsewhere)]
    runs = _first_run(evidence, row)
    if not asked or (doubtful and not own):
        likely = (*runs, *_as_elsewhere(evidence, row, lines))
        return Surplus(None, likely) if likely or doubtful else None
    by = kind.table.series
    share, rest = divmod(asked, len({(_place(one), getattr(one, by) if by else None) for one in counted}))
    mine = len(_series(evidence, row))
    if len(counted) == asked:
        likely = (*([share] if rest == 0 and mine > share else []), *runs)
        return Surplus(None, likely, fails=False) if likely else None
    if rest == 0 and not any(run < share for run in runs):
        return Surplus(share) if mine > share else None
    if len(counted) < asked:
        return Surplus(None, runs) if runs else None
    return Surplus(None, tuple(n for n in (max(share, 1), mine - len(counted) + asked, *runs) if n > 0))


def _lines(evidence: Evidence, check: str, row: Any) -> tuple[list[tuple[str, int]], bool]:
    """Place (empty for all) and number of the lines of the plan for a table; whether another may have said it too.

    A line that cannot be used still says what can be made out of it.
    """
    file = row.table.file
    lines = [
        (line.place or "", line.readings) for line in evidence.of(Planned, check=check, record=file) if line.readings
    ]
    doubtful = False
    for lost in evidence.lost(Planned, check=check, record=file):
        if lost.get("check") and lost.get("record") and lost.get("place") and lost.get("readings"):
            lines.append((lost.get("place"), lost.get("readings")))
        elif (lost.get("check") or lost.get("record")) and lost.get("place") in (None, _place(row)):
            doubtful = True
    return lines, doubtful


def _as_elsewhere(evidence: Evidence, row: Any, lines: Iterable[tuple[str, int]]) -> tuple[int, ...]:
    """What a series gets at the other places that have a line of the plan of their own."""
    by = type(row).table.series
    kinds = len({getattr(one, by) for one in _planned_rows(evidence, type(row), _place(row))}) if by else 1
    return tuple(sorted({max(number // kinds, 1) for place, number in lines if place}))


def _first_run(evidence: Evidence, row: Any) -> tuple[int, ...]:
    """How many readings of a series came before those of another; empty where all of it was read in one go.

    A reading of each by turns is not a series.
    """
    series = _series(evidence, row)
    others = {one.number for one in _planned_rows(evidence, type(row), _place(row))} - {one.number for one in series}
    for number, (one, after) in enumerate(pairwise(series), 1):
        if others & set(range(one.number + 1, after.number)):
            return (number,) if number > 1 else ()
    return ()


def _place(row: Any) -> str:
    return str(getattr(row, type(row).table.place))


def _planned_rows(evidence: Evidence, kind: type[Record], place: str = "") -> list[Any]:
    """The rows that a plan counts, of one place or all: of the first attempt, not taken on purpose at a thin spot."""
    rows: Sequence[Any] = evidence.of(kind, **{kind.table.place: place}) if place else evidence.of(kind)
    first, extra = ("attempt" in kind.model_fields), ("extra" in kind.model_fields)
    chosen: Sequence[Any] = [row for row in rows if row.attempt == 1] if first else rows
    return [row for row in chosen if not (extra and row.extra)]


def more_than_planned(evidence: Evidence) -> Iterable[Fault]:
    """A notice at every line of the plan whose table holds more readings than it asks for."""
    for line in evidence.of(Planned):
        kind = evidence.kind_of(line.record)
        if kind is None or kind.table.series is None or not line.readings:
            continue
        twin = [other for other in evidence.of(Planned, check=line.check, record=line.record) if other is not line]
        if any(other.place in (line.place, None) or not line.place for other in twin):
            continue
        rows = _planned_rows(evidence, kind, line.place or "")
        if not line.place:
            others = claimed(evidence, line.check, line.record)
            rows = [row for row in rows if _place(row) not in others]
        if len(rows) <= line.readings:
            continue
        where = f" at {line.place}" if line.place else ""
        expected = f"{line.readings} readings in {line.record}{where}, as planned"
        yield Fault(line.cell("readings"), expected, f"{len(rows)}", ONLY_SAID, Severity.NOTICE)
