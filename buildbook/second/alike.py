"""Whether two findings may be set against each other: unit, method, condition, time."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from buildbook.chapters.propeller.checks.accuracy import not_read
from buildbook.chapters.propeller.checks.slip import turned
from buildbook.chapters.propeller.drive_subjects import rule
from buildbook.chapters.readings import as_day
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.finding import Finding
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.record import Record
from buildbook.core.wording import limit_text, listed, plain_number, unit_text
from buildbook.second.along_the_blade import spots
from buildbook.second.kinds import ALIKE, CHANGED_AFLOAT, STANDS_AT, STANDS_IN, Alike
from buildbook.second.reading import POSITION, Party, same_position

_OUTERMOST = re.compile(r"\b(?:worst|wettest) of (\d+)")
_EXTREMES = ("smallest ", "largest ")


def differences(
    yard: Finding, his: Finding, first: Party, second: Party, otherwise: Iterable[str] = ()
) -> tuple[str, ...]:
    """Why two findings of one key are not comparable; empty where nothing says so.

    Args:
        yard: the yard's finding.
        his: the surveyor's.
        first: the yard's folder, read.
        second: the surveyor's.
        otherwise: ids of places that the two folders describe differently.

    Returns:
        Phrases, each with what the yard has and what the surveyor has.
    """
    made = [*_of_values(yard.measured, his.measured), *_of_limits(yard.limit, his.limit), *_of_extremes(yard, his)]
    if yard.key.place in set(otherwise):
        made.append(f"{yard.key.place} is described otherwise in the two folders")
    ours, theirs = _rows(yard, first), _rows(his, second)
    made += [*of_another_whole(yard, his), *(words for _, words in _circumstances(ours, theirs))]
    if outermost_of(yard) is None and outermost_of(his) is None:
        made += _of_places(ours, theirs)
    made += [*_of_positions(ours, theirs), *_one_reading(yard, his), *_read_before(yard, his)]
    made += [*_of_courses(ours, theirs), *_stood_in(yard, "yard"), *_stood_in(his, "surveyor")]
    return (*made, *_afloat_between(ours, theirs, first.evidence.hull.date_of("launched")))


def of_another_whole(yard: Finding, his: Finding) -> tuple[str, ...]:
    """What one side alone read of that which a class rests on; empty where both read the same of it.

    A class is that of everything read together. Of two that rest on other things neither says what the other does.
    """
    ours, theirs = not_read(yard), not_read(his)
    alone = (
        ("yard", [level for level in theirs if level not in ours]),
        ("surveyor", [level for level in ours if level not in theirs]),
    )
    return tuple(f"read by the {who} alone, though the class rests on it: {listed(it)}" for who, it in alone if it)


def of_another_limit(yard: Finding, his: Finding, first: Party, second: Party) -> tuple[str, ...]:
    """In what the surveyor read another thing than the yard's limit is about; empty where it is about both."""
    unlike = _circumstances(_rows(yard, first), _rows(his, second))
    return tuple(words for alike, words in unlike if alike.of_limit)


def _circumstances(ours: list[Record], theirs: list[Record]) -> list[tuple[Alike, str]]:
    """Every circumstance that differs, with its words."""
    made = []
    for kind, asked in ALIKE.items():
        here, there = ([row for row in rows if type(row) is kind] for rows in (ours, theirs))
        if here and there:
            made += [(alike, words) for alike in asked if (words := _unlike(alike, here, there))]
    return made


def _of_places(ours: list[Record], theirs: list[Record]) -> tuple[str, ...]:
    """A mean, or a single reading, of other places on the blades is another quantity."""
    for kind, at in STANDS_AT.items():
        here, there = (_by_blade([row for row in rows if type(row) is kind]) for rows in (ours, theirs))
        if not here or not there:
            continue
        of = [spots(at, here.get(blade, ()), there.get(blade, ())) for blade in dict.fromkeys((*here, *there))]
        each = [spot for blade in of for spot in blade]
        yard, his = (sum(map(bool, side)) for side in ((it.yard for it in each), (it.his for it in each)))
        both = sum(bool(it.yard and it.his) for it in each)
        if both < max(yard, his):
            numbers = f"{_places(yard)} (yard), {_places(his)} (surveyor), {both} of them the same"
            return (f"it rests on readings at {numbers}",)
    return ()


def _by_blade(rows: Iterable[Any]) -> dict[tuple[str, str], list[Record]]:
    found: dict[tuple[str, str], list[Record]] = {}
    for row in rows:
        found.setdefault((row.propeller, row.blade), []).append(row)
    return found


def _of_positions(ours: list[Record], theirs: list[Record]) -> tuple[str, ...]:
    """Readings that say themselves where on her they stand: further apart than a tape tells is another place."""
    here, there = _positions(ours), _positions(theirs)
    if not here and not there:
        return ()
    if not here or not there:
        return (f"positions (x, y, z) not recorded by {'the yard' if not here else 'the surveyor'}",)
    ours_met, theirs_met = (
        sum(any(same_position(one, other) for other in others) for one in some)
        for some, others in ((here, there), (there, here))
    )
    if (ours_met, theirs_met) == (len(here), len(there)):
        return ()
    same = min(ours_met, theirs_met)
    return (f"positions: {_places(len(here))} (yard), {_places(len(there))} (surveyor), {same} of them the same",)


def _positions(rows: Iterable[Record]) -> list[tuple[float | None, ...]]:
    """Where rows stand (x, y, z) [m], of tables that have such columns; a row without any of them is left out."""
    found = (tuple(getattr(row, name) for name in POSITION) for row in rows if hasattr(row, POSITION[0]))
    return list(dict.fromkeys(spot for spot in found if any(at is not None for at in spot)))


def _one_reading(yard: Finding, his: Finding) -> tuple[str, ...]:
    """U of a mean holds the scatter of its readings; that of one reading cannot, and is the smaller for it."""
    made = []
    for who, one, other in (("yard", yard, his), ("surveyor", his, yard)):
        if len(one.at) == 1 and not _holds_scatter(one) and _holds_scatter(other):
            side = "surveyor" if who == "yard" else "yard"
            made.append(f"one reading ({who}), whose scatter nobody knows, and the mean of {len(other.at)} ({side})")
    return tuple(made)


def _holds_scatter(finding: Finding) -> bool:
    return finding.measured is not None and any(part.degrees is not None for part in finding.measured.parts)


def _read_before(yard: Finding, his: Finding) -> tuple[str, ...]:
    """What the surveyor read before the yard's last reading tells of her before the yard was done.

    Readings of one day count as made together, as where both stand by. Where the yard's is a later attempt, work lies
    before it, so the hour counts.
    """
    if yard.period is None or his.period is None:
        return ()
    ours, theirs = yard.period.start, his.period.start
    if theirs.date() >= ours.date() and not (yard.key.attempt > 1 and theirs < ours):
        return ()
    shape = "%Y-%m-%d" if theirs.date() != ours.date() else "%Y-%m-%d %H:%M"
    return (f"read before the yard’s reading: {ours.strftime(shape)} (yard), {theirs.strftime(shape)} (surveyor)",)


def _places(number: int) -> str:
    return "1 place" if number == 1 else f"{number} places"


def _of_courses(ours: list[Record], theirs: list[Record]) -> tuple[str, ...]:
    """A mean of two opposite courses has wind and current averaged out; one course has them in it."""
    here, there = ([row for row in rows if isinstance(row, TrialRun)] for rows in (ours, theirs))
    if not here or not there or _both_ways(here) == _both_ways(there):
        return ()
    words = {True: "the mean of opposite courses", False: "one course only, with wind and current in it"}
    return (f"courses: {words[_both_ways(here)]} (yard), {words[_both_ways(there)]} (surveyor)",)


def _both_ways(runs: Iterable[TrialRun]) -> bool:
    courses = [run.course for run in runs]
    near = rule("same course")
    return any(turned(one, other + 180.0) <= near for one in courses for other in courses)


def _stood_in(finding: Finding, who: str) -> tuple[str, ...]:
    """A reading that was not taken, with another number in its place, is no uncertainty that was kept back."""
    missing = [note for note in finding.notes if note in STANDS_IN]
    return tuple(f"a reading is missing ({who}): {note[0].lower()}{note[1:].rstrip('.')}" for note in missing)


def _of_values(yard: Quantity | None, his: Quantity | None) -> tuple[str, ...]:
    if yard is None or his is None:
        return ("stated in words, without a number on both sides",)
    if yard.unit != his.unit:
        return (f"unit: {unit_text(yard.unit) or 'none'} (yard), {unit_text(his.unit) or 'none'} (surveyor)",)
    if Kind.COUNTED in (yard.kind, his.kind):
        return ("counted, not measured: a count has no uncertainty to compare with",)
    if yard.kind is not Kind.MEASURED or his.kind is not Kind.MEASURED:
        return ("only a bound, not a value, on at least one side",)
    return ()


def _of_limits(yard: Limit | None, his: Limit | None) -> tuple[str, ...]:
    """A limit that depends on where the reading stands tells that the two stand at different places."""
    if yard is None or his is None or (yard.low, yard.high) == (his.low, his.high):
        return ()
    return (f"the readings belong to different limits: {limit_text(yard)} (yard), {limit_text(his)} (surveyor)",)


def _of_extremes(yard: Finding, his: Finding) -> tuple[str, ...]:
    """The outermost of many is another quantity where there were more of them, or where it stands elsewhere."""
    ours, theirs = outermost_of(yard), outermost_of(his)
    if ours is None or theirs is None:
        return ()
    if ours != theirs:
        return (f"the outermost of {ours} readings (yard), of {theirs} (surveyor)",)
    if yard.observed and his.observed and yard.observed != his.observed:
        return (f"the outermost stands elsewhere: {yard.observed} (yard), {his.observed} (surveyor)",)
    return ()


def outermost_of(finding: Finding) -> int | None:
    """Of how many readings a finding is the outermost one; None where it is a mean, or a single reading.

    >>> from buildbook.core.finding import Key, Verdict
    >>> outermost_of(Finding(Key("PRO-02", "mean pitch at a radius"), Verdict.PASS, method="gauge; the worst of 8"))
    8
    """
    said = _OUTERMOST.search(finding.method)
    if said:
        return int(said[1])
    return len(finding.at) if finding.key.quantity.startswith(_EXTREMES) else None


def _rows(finding: Finding, party: Party) -> list[Record]:
    """The rows of a finding, with the run and the shafts of each reading that was taken on trial."""
    rows = party.behind((finding,))
    runs = [run for row in rows if isinstance(run := getattr(row, "run", None), str)]
    for run in dict.fromkeys(runs):
        rows += [row for kind in (TrialRun, ShaftSpeed) for row in party.evidence.of(kind, run=run) if row not in rows]
    return rows


def _unlike(alike: Alike, yard: list[Record], his: list[Record]) -> str:
    """In what way one circumstance differs, in words; empty where it does not, or where neither side recorded it."""
    ours, theirs = (_values(rows, alike.column) for rows in (yard, his))
    if not ours and not theirs:
        return ""
    if not ours or not theirs:
        who = "the yard" if not ours else "the surveyor"
        return f"{alike.words} not recorded by {who}"
    if _same(alike, ours, theirs):
        return ""
    return f"{alike.words}: {_told(ours)} (yard), {_told(theirs)} (surveyor)"


def _values(rows: Iterable[Record], column: str) -> list[Any]:
    return list(dict.fromkeys(value for row in rows if (value := getattr(row, column)) not in (None, "")))


def _same(alike: Alike, ours: list[Any], theirs: list[Any]) -> bool:
    if alike.within is None:
        return {_folded(value) for value in ours} == {_folded(value) for value in theirs}
    width = alike.within * max(abs(value) for value in ours) if alike.relative else alike.within
    return bool(max(max(theirs) - min(ours), max(ours) - min(theirs)) <= width * (1.0 + 1e-9))


def _folded(value: Any) -> Any:
    return " ".join(value.casefold().replace(",", " ").split()) if isinstance(value, str) else value


def _told(values: Iterable[Any]) -> str:
    texts = [plain_number(float(value)) if isinstance(value, int | float) else f"“{value}”" for value in values]
    return listed(sorted(texts))


def _afloat_between(yard: list[Record], his: list[Record], launched: date | None) -> tuple[str, ...]:
    """A reading that water changes was taken before she was launched by one, after it by the other."""
    kinds = [kind for kind in CHANGED_AFLOAT if any(type(row) is kind for row in yard)]
    if not kinds or launched is None or not his:
        return ()
    last, first = (max(_days(yard)), min(_days(his)))
    if not last < launched <= first:
        return ()
    before, after = (launched - last).days, (first - launched).days
    return (f"days since launch: read {before} days before it (yard), {after} days after it (surveyor)",)


def _days(rows: Iterable[Record]) -> list[date]:
    return [as_day(value) for row in rows if (value := getattr(row, "at", None)) is not None]
