"""The texts that may be used as they stand, put together from findings and wording. Nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from buildbook.core.book import Book, Numbered
from buildbook.core.decide import GUARD_CHOSEN, NO_GUARD
from buildbook.core.finding import Period, Verdict
from buildbook.core.finding_words import finer, shares_of
from buildbook.core.judging import AGREED_GOVERNS, NOBODY_SET, REFERENCE_GOVERNS
from buildbook.core.limit import Limit
from buildbook.core.listing import Saying
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.source import Standing
from buildbook.core.wording import SET_BY, TERMS, listed, printed_coverage, printed_numbers, subject_text, unit_text
from buildbook.sheet.characteristics import Characteristic
from buildbook.sheet.days import older_than_a_year
from buildbook.sheet.words import Wording, Words
from buildbook.sources import table

SAID_ELSEWHERE = (NOBODY_SET, REFERENCE_GOVERNS, AGREED_GOVERNS)  # notes that the text says in its own words
MOST_VALUES = 3  # of values without a limit that are all named; of more the smallest and the largest


@dataclass(frozen=True, slots=True)
class Said:
    """What the texts of one book have in common: the frames, names of places and runs by their ids, its day."""

    frames: Mapping[str, str]
    places: Mapping[str, str]
    runs: Mapping[str, str]
    as_of: date | None

    @classmethod
    def of(cls, book: Book, words: Words) -> Said:
        """What a book says of its places and runs."""
        return cls(
            words.frames,
            {line.place: line.name for line in book.places},
            {line.run: line.words for line in book.runs},
            book.hull.as_of,
        )

    def place(self, item: Numbered) -> str:
        """Where on her: the place by name with its id, the condition with speed of a run, the attempt."""
        key = item.finding.key
        parts = (part for part in key.condition.split(", ") if part)
        condition = ", ".join(self._run(part) for part in parts)
        return subject_text(replace(key, quantity="", condition=condition), self.places)

    def _run(self, part: str) -> str:
        words = self.runs.get(part.removeprefix("run "))
        return f"run {part.removeprefix('run ')} ({words})" if words else part

    def items(self, items: Iterable[Numbered]) -> str:
        """Findings with their values and places, each with its limit where it has one."""
        frames = {True: self.frames["item"], False: self.frames["item_plain"]}
        told = (
            frames[it.finding.limit is not None].format(value=it.value, place=self.place(it), limit=it.limit)
            for it in items
        )
        return "; ".join(told)


def saying(it: Characteristic, wording: Wording, said: Said) -> Saying:
    """The text of a characteristic that no rule forbids.

    Where there are limits it tells the reading that is nearest to its own, of all places and attempts; else the
    largest value, or the smallest where less is worse. Never a chosen one.

    Args:
        it: the characteristic; every counted finding is a number with place and day.
        wording: how it is worded.
        said: what the texts of the book have in common.

    Raises:
        ValueError: nothing of it may be said.
    """
    near = it.nearest
    item = near or _worst(it.plain, wording)
    measured, period = _measured(item), _period(item)
    bound = measured.kind.value if measured.kind in (Kind.AT_LEAST, Kind.AT_MOST) else ""
    amount, expanded = printed_numbers(measured, finer(item.finding))
    value = f"{item.value} {wording.unit}".rstrip()
    named = {"subject": wording.subject, "value": value, "place": said.place(item), "limit": item.limit}
    first = said.frames["limited" if near else "plain"].format(**named, when=_when(period, said.frames))
    standing = _standing(it, item, wording, said)
    told = told_with(it, said)
    record = _record(it, item, said.frames)
    return Saying(
        check=it.check,
        quantity=it.quantity,
        name=wording.name,
        finding=item.number,
        value=value,
        amount=amount,
        expanded=None if bound else expanded,
        coverage=None if bound else printed_coverage(measured),
        degrees=None if bound else measured.degrees,
        bound=bound,
        unit=wording.unit or unit_text(measured.unit),
        unit_code="" if wording.unit else unit_code(measured.unit),
        place=named["place"],
        day=days(period),
        first_day=min(_period(one).start.date() for one in it.counted),
        last_day=max(_period(one).end.date() for one in it.counted),
        limit=item.limit,
        setter=item.source if near else "",
        standing=standing,
        told=told,
        record=record,
        text=" ".join((first, standing, *told, record)),
    )


def told_with(it: Characteristic, said: Said) -> tuple[str, ...]:
    """What must stand in the same text: near misses, values without a limit, what missed at the same places, age."""
    frames, total = said.frames, len(it.counted)
    close = it.with_verdict(Verdict.CONDITIONAL_PASS)
    told = []
    if close:
        told.append(frames["close"].format(number=len(close), total=total, items=said.items(close)))
    if it.plain and it.plain != it.counted:
        shown = it.plain if len(it.plain) <= MOST_VALUES else (_least(it.plain), _largest(it.plain))
        told.append(frames["no_limit"].format(number=len(it.plain), total=total, items=said.items(shown)))
    told += _of_its_kind(it, said)
    if it.gone:
        told.append(frames["gone"].format(number=len(it.gone), total=total))
    if it.nearby:
        names = (
            frames["beside"].format(
                quantity=near.item.finding.key.quantity,
                place=near.item.finding.key.place,
                finding=near.item.number,
                state=f", {near.state}" if near.state else "",
            )
            for near in it.nearby
        )
        told.append(frames["nearby"].format(items="; ".join(names)))
    if said.as_of is not None and older_than_a_year(min(_period(one).start.date() for one in it.counted), said.as_of):
        told.append(frames["old"].format(as_of=said.as_of.isoformat()))
    return tuple(told)


def _of_its_kind(it: Characteristic, said: Said) -> list[str]:
    """Readings of the same kind in other checks: how many, which of them are near misses, which have no limit."""
    limited = [one for one in it.kin if one.finding.verdict in (Verdict.PASS, Verdict.CONDITIONAL_PASS)]
    close = [one for one in limited if one.finding.verdict is Verdict.CONDITIONAL_PASS]
    plain = [one for one in it.kin if one.finding.verdict is Verdict.INFORMATION and one.finding.limit is None]
    told = []
    if limited:
        checks = listed(dict.fromkeys(one.finding.key.check for one in limited))
        told.append(said.frames["kin"].format(number=len(limited), checks=checks))
    if close:
        told.append(said.frames["kin_close"].format(number=len(close), items=said.items(close)))
    if plain:
        shown = plain if len(plain) <= MOST_VALUES else (_least(plain), _largest(plain))
        told.append(said.frames["kin_plain"].format(number=len(plain), items=said.items(shown)))
    return told


def days(period: Period) -> str:
    """The day of the readings, or the first and the last."""
    start, end = period.start.date().isoformat(), period.end.date().isoformat()
    return start if start == end else f"{start} to {end}"


def unit_code(unit: str) -> str:
    """The common code of a unit, empty where none is sure. Source: UN/CEFACT Recommendation 20 (second-hand).

    >>> unit_code("um"), unit_code("MPa")
    ('4H', '')
    """
    return next((row["code"] for row in table("unit_codes") if row["unit"] == unit), "")


def _when(period: Period, frames: Mapping[str, str]) -> str:
    when = days(period)
    return frames["over" if " to " in when else "on"].format(day=when)


def _standing(it: Characteristic, item: Numbered, wording: Wording, said: Said) -> str:
    """Which of how many readings it is, and how the others stand."""
    frames, total, passed = said.frames, len(it.counted), len(it.with_verdict(Verdict.PASS))
    if total == 1:
        return frames["only"]
    if it.nearest is None:
        other, frame = (_largest(it.plain), "smallest") if wording.less_is_worse else (_least(it.plain), "largest")
        return frames[frame].format(total=total, value=other.value, place=said.place(other))
    limited = it.with_verdict(Verdict.PASS, Verdict.CONDITIONAL_PASS)
    if len(limited) == 1:
        return frames["one_limited"].format(total=total)
    own = "_own" if len({one.limit for one in limited}) > 1 else ""
    frame = frames[f"{'all' if passed == total else 'some'}_pass{own}"]
    return frame.format(total=total, passed=passed, limited=len(limited))


def _record(it: Characteristic, item: Numbered, frames: Mapping[str, str]) -> str:
    """The number of its record, who set the limit, U with its coverage, and what has to be known of the method."""
    total = shares_of(item.finding).total
    parts = [frames["record"].format(finding=item.number)]
    if item.finding.limit is not None:
        parts.append(_who_set(item, item.finding.limit, frames))
    if total:
        parts.append(total)
    notes = [note for note in item.finding.notes if note not in SAID_ELSEWHERE]
    guards = (note for one in it.counted for note in one.finding.notes if note.startswith((GUARD_CHOSEN, NO_GUARD)))
    known = " ".join(dict.fromkeys((*notes, *guards)))
    return f"{'; '.join(parts)}.{frames['known'].format(notes=known) if known else ''}"


def _who_set(item: Numbered, limit: Limit, frames: Mapping[str, str]) -> str:
    """Who set the limit: the builder, a publication, or a publication by the class or kind that the builder agreed."""
    if AGREED_GOVERNS in item.finding.notes:
        terms = item.source.split(TERMS)
        agreed = TERMS.join(term for term in terms if term.startswith(SET_BY))
        printed = TERMS.join(term for term in terms if not term.startswith(SET_BY))
        return frames["agreed_limit"].format(agreed=agreed, setter=printed)
    own = limit.standing is Standing.BUILDER or limit.terms[0].standing is Standing.BUILDER
    return frames["own_limit" if own else "published_limit"].format(setter=item.source)


def _worst(items: Sequence[Numbered], wording: Wording) -> Numbered:
    return _least(items) if wording.less_is_worse else _largest(items)


def _largest(items: Sequence[Numbered]) -> Numbered:
    return max(items, key=lambda one: _measured(one).value)


def _least(items: Sequence[Numbered]) -> Numbered:
    return min(items, key=lambda one: _measured(one).value)


def _measured(item: Numbered) -> Quantity:
    if item.finding.measured is None:
        raise ValueError(f"{item.number} has no value to be told")
    return item.finding.measured


def _period(item: Numbered) -> Period:
    if item.finding.period is None:
        raise ValueError(f"{item.number} has no day to be told")
    return item.finding.period
