"""The sentences that may be used as they stand, put together from findings and wording. Nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from buildbook.core.book import Numbered
from buildbook.core.decide import GUARD_CHOSEN, NO_GUARD
from buildbook.core.finding import Period, Verdict
from buildbook.core.listing import Saying
from buildbook.core.quantity import Quantity
from buildbook.core.wording import printed_numbers, subject_text, unit_text
from buildbook.sheet.characteristics import Again, Characteristic
from buildbook.sheet.days import older_than_a_year
from buildbook.sheet.words import Wording, Words
from buildbook.sources import table

MOST_NAMED = 3
Names = Mapping[str, str]


def saying(it: Characteristic, wording: Wording, words: Words, names: Names, as_of: date | None) -> Saying:
    """The sentence of a characteristic that no rule forbids.

    Where there are limits it tells the pass that is nearest to its own, else the largest value; never a chosen one.

    Args:
        it: the characteristic; every finding of today is a number with place and day.
        wording: how it is worded.
        words: the frames that the parts are put into.
        names: the names of places by their ids.
        as_of: the day of the book, None where it is not stated.

    Raises:
        ValueError: nothing of it may be said.
    """
    passed = it.with_verdict(Verdict.PASS)
    item = min(passed, key=lambda one: one.finding.relative_margin) if passed else _largest(it.plain)
    first_day, told = _first_day(it.today), told_with(it, words, names, as_of)
    measured, period = _measured(item), _period(item)
    shown = {
        "subject": wording.subject,
        "value": item.value,
        "place": place(item, names),
        "day": days(period),
        "standing": _standing(it, words, names),
        "limit": item.limit,
        "setter": item.source,
        "told": "".join(f"; {clause}" for clause in told),
    }
    amount, expanded = printed_numbers(measured)
    return Saying(
        check=it.check,
        quantity=it.quantity,
        name=wording.name,
        finding=item.number,
        value=item.value,
        amount=amount,
        expanded=expanded,
        unit=unit_text(measured.unit),
        unit_code=unit_code(measured.unit),
        place=shown["place"],
        day=shown["day"],
        first_day=first_day,
        limit=item.limit,
        setter=item.source if passed else "",
        standing=shown["standing"],
        told=told,
        sentence=words.frames["limited" if passed else "plain"].format(**shown),
    )


def told_with(it: Characteristic, words: Words, names: Names, as_of: date | None) -> tuple[str, ...]:
    """What must stand in the same sentence: near misses, values without a limit, what was measured again, age."""
    frames = words.frames
    total = len(it.today)
    close = it.with_verdict(Verdict.CONDITIONAL_PASS)
    told = [_again(one, frames, names) for one in it.again]
    if close:
        named = [frames["item"].format(value=o.value, place=place(o, names), limit=o.limit) for o in close[:MOST_NAMED]]
        if len(close) > MOST_NAMED:
            named.append(frames["more"].format(number=len(close) - MOST_NAMED))
        told.append(frames["close"].format(number=len(close), total=total, items=", ".join(named)))
    if it.plain and it.plain != it.today:
        told.append(frames["no_limit"].format(number=len(it.plain), total=total))
    if it.gone:
        told.append(frames["gone"].format(number=len(it.gone), total=total))
    guards = [note for item in it.today for note in item.told if note.startswith((GUARD_CHOSEN, NO_GUARD))]
    told += [f"{note[:1].lower()}{note[1:].removesuffix('.')}" for note in dict.fromkeys(guards)]
    if as_of is not None and older_than_a_year(_first_day(it.today), as_of):
        told.append(frames["old"].format(as_of=as_of.isoformat()))
    return tuple(told)


def place(item: Numbered, names: Names) -> str:
    """Where on her: the place by name with its id, the condition, the attempt."""
    return subject_text(replace(item.finding.key, quantity=""), names)


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


def _again(one: Again, frames: Mapping[str, str], names: Names) -> str:
    first, later = one.first, [f"{it.value}, {it.verdict}" for it in one.later]
    frame = "anew" if first.finding.verdict.met else "again"
    return frames[frame].format(
        place=place(first, names), value=first.value, verdict=first.verdict, later=" and ".join(later)
    )


def _standing(it: Characteristic, words: Words, names: Names) -> str:
    total, passed = len(it.today), len(it.with_verdict(Verdict.PASS))
    if total == 1:
        return words.frames["only"]
    if passed == 1:
        return words.frames["one_passes"].format(total=total)
    if passed:
        return words.frames["nearest"].format(passed=passed, total=total)
    smallest = min(it.plain, key=lambda one: _measured(one).value)
    return words.frames["largest"].format(total=total, value=smallest.value, place=place(smallest, names))


def _largest(items: Sequence[Numbered]) -> Numbered:
    return max(items, key=lambda one: _measured(one).value)


def _first_day(items: Iterable[Numbered]) -> date:
    return min(_period(item).start.date() for item in items)


def _measured(item: Numbered) -> Quantity:
    if item.finding.measured is None:
        raise ValueError(f"{item.number} has no value to be told")
    return item.finding.measured


def _period(item: Numbered) -> Period:
    if item.finding.period is None:
        raise ValueError(f"{item.number} has no day to be told")
    return item.finding.period
