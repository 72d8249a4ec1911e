"""The outermost of several readings taken apart, so that each stands beside the one at the same place.

A check that asks for the worst of several tells of one only. Where the readings themselves say where they stand
(`kinds.STANDS_AT`), the same check is asked again, of the readings at one place alone, for both sides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from buildbook.chapters import CHAPTERS
from buildbook.chapters.shared_records import Planned
from buildbook.core.evidence import Unread
from buildbook.core.finding import Finding
from buildbook.core.record import Record
from buildbook.core.where import Where
from buildbook.core.wording import listed, plain_number
from buildbook.pipeline import judge
from buildbook.second.alike import outermost_of
from buildbook.second.along_the_blade import Spot, spots
from buildbook.second.kinds import STANDS_AT, StandsAt
from buildbook.second.matching import About, Readings, as_left
from buildbook.second.point_by_point import HAS_POINTS, in_part, near_point, points, what_was_read, without_limits
from buildbook.second.reading import Party

Kind = type[Record]
Wheres = frozenset[Where]


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
    """Both sides with the readings of one table at one place alone, and what a check makes of them.

    `words` name the place as the yard does, if it read there; `his_words` as the surveyor does where his is another.
    """

    words: str
    his_words: str
    first: Party
    second: Party
    yard: Mapping[About, Readings]
    his: Mapping[About, Readings]


@dataclass(frozen=True, slots=True)
class Matching:
    """Both sides, and what was taken apart already: by check and table, place by place."""

    first: Party
    second: Party
    _apart: dict[tuple[str, Wheres, Wheres], tuple[_Place, ...]] = field(default_factory=dict, repr=False)

    def matches(self, yard: Mapping[About, Readings], his: Mapping[About, Readings]) -> Iterator[Match]:
        """Everything that one side or both have a result about, the outermost of several place by place."""
        for key in dict.fromkeys((*yard, *his)):
            ours, theirs = yard.get(key), his.get(key)
            whole = Match(key, ours, theirs, self.first, self.second)
            apart = self._taken_apart(key, ours, theirs) if ours and theirs else ()
            yield from apart or self._whole(whole)

    def _whole(self, whole: Match) -> tuple[Match, ...]:
        """A thing as it is; where both sides read some of its points, these too, each by itself."""
        ours, theirs = whole.yard, whole.his
        if ours is None or theirs is None:
            return (whole,)
        here, there = self.first.behind(ours.last), self.second.behind(theirs.last)
        kinds = {type(row) for row in (*here, *there)} & set(HAS_POINTS)
        if len(kinds) != 1:
            return (whole,)
        kind = kinds.pop()
        spots = points(*([row for row in rows if type(row) is kind] for rows in (here, there)))
        if not in_part(spots):
            return (whole,)
        both = (spot for spot in spots if spot.yard and spot.his)
        each = tuple(self._point(whole.about, kind, spot) for spot in both)
        return (replace(whole, notes=(*whole.notes, what_was_read(spots))), *each)

    def _point(self, key: About, kind: Kind, spot: Spot) -> Match:
        """What both sides read at one point: no limit for the whole is about it."""
        first, second = (
            _alone(
                replace(party, evidence=without_limits(party.evidence, key.check)),
                key.check,
                kind,
                rows,
                near_point(rows),
            )
            for party, rows in ((self.first, spot.yard), (self.second, spot.his))
        )
        yard, his = (as_left(party.findings).get(key) for party in (first, second))
        about = replace(key, condition=", ".join(part for part in (key.condition, spot.value) if part))
        return Match(about, yard, his, first, second)

    def _taken_apart(self, key: About, ours: Readings, theirs: Readings) -> tuple[Match, ...]:
        """A match for each place; nothing where the outermost of each side is not found again at one of them."""
        both = (*ours.last, *theirs.last)
        if all(outermost_of(finding) is None for finding in both):
            return ()
        rows = self.first.behind(ours.last), self.second.behind(theirs.last)
        kinds = {type(row) for one in rows for row in one}
        if len(kinds) != 1 or not kinds <= set(STANDS_AT):
            return ()
        found = tuple(_match(key, place, ours, theirs) for place in self._places(key.check, kinds.pop(), ours, theirs))
        made = tuple(one for one in found if one.yard or one.his)
        again = _holds(ours, (one.yard for one in made)) and _holds(theirs, (one.his for one in made))
        if not again:
            return ()
        held = (
            *_held("yard", ours, (one.yard for one in made)),
            *_held("surveyor", theirs, (one.his for one in made)),
        )
        return tuple(replace(one, notes=(*one.notes, *held)) for one in made)

    def _places(self, check: str, kind: Kind, ours: Readings, theirs: Readings) -> tuple[_Place, ...]:
        """The places of the rows that both rest on: of one blade of one propeller, if they are about one."""
        yard, his = (
            [row for row in of.behind((*one.last, *one.earlier)) if type(row) is kind]
            for one, of in ((ours, self.first), (theirs, self.second))
        )
        key = check, frozenset(row.where for row in yard), frozenset(row.where for row in his)
        if key not in self._apart:
            self._apart[key] = tuple(self._each(check, kind, yard, his))
        return self._apart[key]

    def _each(self, check: str, kind: Kind, yard: list[Record], his: list[Record]) -> Iterator[_Place]:
        at = STANDS_AT[kind]
        for spot in spots(at, yard, his):
            sides = ((self.first, spot.yard), (self.second, spot.his))
            first, second = (_alone(it, check, kind, rows, _near(at, spot, rows)) for it, rows in sides)
            words, read = at.words(spot.value), {at.words(getattr(row, at.column)) for row in spot.his}
            elsewhere = "" if words in read else listed(sorted(read))
            yield _Place(words, elsewhere, first, second, as_left(first.findings), as_left(second.findings))


def _near(at: StandsAt, spot: Spot, rows: Iterable[Record]) -> Callable[[Unread], bool]:
    """Whether a lost row of a side may be of this place; one whose place is not known may."""
    known = (spot.value, *(getattr(row, at.column) for row in rows))

    def near(row: Unread) -> bool:
        value = row.get(at.column)
        return value is None or any(at.apart(one, value) is not None for one in known)

    return near


def _alone(party: Party, check: str, kind: Kind, rows: Iterable[Record], near: Callable[[Unread], bool]) -> Party:
    """A side with the readings at one place alone, judged by one check; a lost row that may be of it stays.

    The plan asks for numbers of readings of the whole, so it is no part of this.
    """
    evidence = party.evidence
    here = {row.where for row in rows}
    kept = tuple(row for row in evidence.records.get(kind, ()) if row.where in here)
    lost = tuple(row for row in evidence.unread.get(kind, ()) if near(row))
    records: dict[Kind, tuple[Record, ...]] = {**evidence.records, kind: kept, Planned: ()}
    alone = replace(evidence, records=records, unread={**evidence.unread, kind: lost})
    asked = (
        replace(chapter, checks=tuple(one for one in chapter.checks if one.id == check), review=None)
        for chapter in CHAPTERS
    )
    return replace(party, evidence=alone, findings=judge(alone, [it for it in asked if it.checks], party.belongs))


def _match(key: About, place: _Place, ours: Readings, theirs: Readings) -> Match:
    about = replace(key, condition=", ".join(part for part in (key.condition, place.words) if part))
    yard, his = place.yard.get(key), place.his.get(key)
    behind = (*_behind("yard", place.words, ours, yard), *_behind("surveyor", place.words, theirs, his))
    if yard and his and place.his_words:
        behind = (*behind, f"The surveyor’s reading stands at {place.his_words}.")
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
