"""The outermost of several readings taken apart, so that each stands beside the one at the same place.

A check that asks for the worst of several tells of one only. Where the readings themselves say where they stand
(`kinds.STANDS_AT`), the same check is asked again, of the readings at one place alone, for both sides.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from buildbook.chapters import CHAPTERS
from buildbook.chapters.shared_records import Planned
from buildbook.core.finding import Finding
from buildbook.core.record import Record
from buildbook.core.wording import plain_number
from buildbook.pipeline import judge
from buildbook.second.alike import outermost_of
from buildbook.second.kinds import STANDS_AT, StandsAt
from buildbook.second.matching import About, Readings, as_left
from buildbook.second.reading import Party

Kind = type[Record]


@dataclass(frozen=True, slots=True)
class Match:
    """One thing and what both sides read of it; None for a side that has nothing. `notes` are about this place."""

    about: About
    yard: Readings | None
    his: Readings | None
    first: Party
    second: Party
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Place:
    """Both sides with the readings of one table at one place alone, and what a check makes of them."""

    words: str
    first: Party
    second: Party
    yard: Mapping[About, Readings]
    his: Mapping[About, Readings]


@dataclass(frozen=True, slots=True)
class Matching:
    """Both sides, and what was taken apart already: by check and table, place by place."""

    first: Party
    second: Party
    _apart: dict[tuple[str, Kind], tuple[_Place, ...]] = field(default_factory=dict, repr=False)

    def matches(self, yard: Mapping[About, Readings], his: Mapping[About, Readings]) -> Iterator[Match]:
        """Everything that one side or both have a result about, the outermost of several place by place."""
        for key in dict.fromkeys((*yard, *his)):
            ours, theirs = yard.get(key), his.get(key)
            whole = Match(key, ours, theirs, self.first, self.second)
            apart = self._taken_apart(key, ours, theirs) if ours and theirs else ()
            yield from apart or (whole,)

    def _taken_apart(self, key: About, ours: Readings, theirs: Readings) -> tuple[Match, ...]:
        """A match for each place; nothing where the outermost of each side is not found again at one of them."""
        both = (*ours.last, *theirs.last)
        if all(outermost_of(finding) is None for finding in both):
            return ()
        kinds = {type(row) for one, of in ((ours, self.first), (theirs, self.second)) for row in _rows(one, of)}
        if len(kinds) != 1 or not kinds <= set(STANDS_AT):
            return ()
        found = tuple(_match(key, place, ours, theirs) for place in self._places(key.check, kinds.pop()))
        made = tuple(one for one in found if one.yard or one.his)
        again = _holds(ours, (one.yard for one in made)) and _holds(theirs, (one.his for one in made))
        if not again:
            return ()
        held = (
            *_held("yard", ours, (one.yard for one in made)),
            *_held("surveyor", theirs, (one.his for one in made)),
        )
        return tuple(replace(one, notes=(*one.notes, *held)) for one in made)

    def _places(self, check: str, kind: Kind) -> tuple[_Place, ...]:
        if (check, kind) not in self._apart:
            self._apart[(check, kind)] = tuple(self._each(check, kind))
        return self._apart[(check, kind)]

    def _each(self, check: str, kind: Kind) -> Iterator[_Place]:
        at = STANDS_AT[kind]
        values = {getattr(row, at.column) for it in (self.first, self.second) for row in it.evidence.of(kind)}
        for place in _places_of(at, values):
            first, second = (_alone(it, check, kind, at, place) for it in (self.first, self.second))
            yield _Place(at.words(place[0]), first, second, as_left(first.findings), as_left(second.findings))


def _rows(readings: Readings, party: Party) -> list[Record]:
    return [row for it in readings.last for where in it.at if (row := party.rows.get(where.row)) is not None]


def _places_of(at: StandsAt, values: Iterable[Any]) -> list[tuple[Any, ...]]:
    """The values that mean one place together, in order; each value belongs to one place alone.

    >>> _places_of(StandsAt("radius", lambda one, other: abs(one - other) <= 0.5, str), [60.2, 59.8, 60.6, 40.0])
    [(40.0,), (59.8, 60.2), (60.6,)]
    """
    found: list[tuple[Any, ...]] = []
    for value in sorted(values):
        if found and at.same(found[-1][0], value):
            found[-1] = (*found[-1], value)
        else:
            found.append((value,))
    return found


def _alone(party: Party, check: str, kind: Kind, at: StandsAt, place: tuple[Any, ...]) -> Party:
    """A side with the readings at one place alone, judged by one check; a lost row whose place is not known stays.

    The plan asks for numbers of readings of the whole, so it is no part of this.
    """
    evidence = party.evidence
    rows = tuple(row for row in evidence.records.get(kind, ()) if getattr(row, at.column) in place)
    lost = tuple(
        row for row in evidence.unread.get(kind, ()) if (spot := row.get(at.column)) is None or at.same(place[0], spot)
    )
    records: dict[Kind, tuple[Record, ...]] = {**evidence.records, kind: rows, Planned: ()}
    alone = replace(evidence, records=records, unread={**evidence.unread, kind: lost})
    asked = (
        replace(chapter, checks=tuple(one for one in chapter.checks if one.id == check), review=None)
        for chapter in CHAPTERS
    )
    return replace(party, evidence=alone, findings=judge(alone, [chapter for chapter in asked if chapter.checks]))


def _match(key: About, place: _Place, ours: Readings, theirs: Readings) -> Match:
    about = replace(key, condition=", ".join(part for part in (key.condition, place.words) if part))
    yard, his = place.yard.get(key), place.his.get(key)
    behind = (*_behind("yard", place.words, ours, yard), *_behind("surveyor", place.words, theirs, his))
    return Match(about, yard, his, place.first, place.second, behind)


def _behind(who: str, words: str, whole: Readings, here: Readings | None) -> tuple[str, ...]:
    """That the last attempt was not read at this place, so that an earlier one stands here."""
    if here is None:
        return ()
    last, this = (it.last[0].key.attempt for it in (whole, here))
    if this == last:
        return ()
    numbers = (plain_number(last), plain_number(this))
    return (f"Attempt {numbers[0]} of the {who} was not read at {words}; attempt {numbers[1]} is shown.",)


def _holds(whole: Readings, parts: Iterable[Readings | None]) -> bool:
    """Whether every value of the last attempt is among those that were taken apart."""
    found = [_value(finding) for part in parts if part for finding in part.last]
    return all(_value(finding) in found for finding in whole.last)


def _held(who: str, whole: Readings, parts: Iterable[Readings | None]) -> Iterator[str]:
    """That a whole is worse than its worst place: what is missing elsewhere holds it, not the readings here."""
    here = max(finding.verdict.rank for part in parts if part for finding in part.last)
    for finding in whole.last:
        if finding.verdict.rank > here:
            why = f": {finding.notes[-1]}" if finding.notes else "."
            yield f"All places together, by the {who}: {finding.verdict.value}{why}"


def _value(finding: Finding) -> tuple[float | None, int]:
    return (finding.measured.value if finding.measured else None, finding.key.attempt)
