"""Dates beyond the day that the book describes: what has not happened yet cannot be on record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.readings import as_day
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record, about
from buildbook.sources import hull_spans

NO_DAY = "The day that the book describes is not known, so a mistyped date on record is not noticed."
DAY_IN_DOUBT = "The book describes a day before its own records, so a mistyped date on record is not noticed."
TOO_LATE = "The book describes a day long after its records, so a mistyped date on record is not noticed."
NOTHING_BETTER = "Nothing is called better than inconclusive."
LATER = "as_of after the last record"
DAYS_OF_A_YEAR = 365.25
YEARS_AHEAD = 20  # the farthest that a use-before date or a next calibration lies ahead (house rule)
AS_IT_IS = "It is used as it stands."
MOST_ROWS = 20  # with more rows beyond the day, it is the day itself that is doubtful

Dated = tuple[Record, str, date]  # a row, the column of one of its dates, the day


@dataclass(frozen=True, slots=True)
class _Doubt:
    """Why the day of the book cannot be right: what was expected of it, and what follows."""

    expected: str
    words: str


def nothing_from_the_future(evidence: Evidence) -> Iterable[Fault]:
    """Every row dated after `as_of`; where the day itself is in doubt, one fault at `as_of` instead."""
    day = evidence.hull.as_of
    if day is None:
        return
    dates = tuple(_dates(evidence))
    doubt = _doubt(dates, day)
    if doubt is not None:
        effect = f"{doubt.words} {NOTHING_BETTER}"
        yield Fault(evidence.hull.at("as_of"), doubt.expected, day.isoformat(), effect)
        return
    for row, name, on in dates:
        if on > day:
            effect = EFFECT if row.table.judged else row.table.row_lost
            yield Fault(row.cell(name), f"a date up to as_of ({day.isoformat()})", on.isoformat(), effect)


def held_by_the_day(evidence: Evidence) -> Evidence:
    """The evidence with every check held at inconclusive where the day of the book is not known or in doubt.

    Every table has dates, and a row with a mistyped one is only noticed by that day. Without it such a row could be
    missing where it belongs, so nothing better than inconclusive may be said of anything.
    """
    day = evidence.hull.as_of
    doubt = _Doubt("", NO_DAY) if day is None else _doubt(tuple(_dates(evidence)), day)
    if doubt is None:
        return evidence
    reason = ("", f"{evidence.hull.at('as_of')}: {doubt.words}")
    specification = evidence.specification
    return replace(evidence, specification=replace(specification, unread=(*specification.unread, reason)))


def _doubt(dates: Sequence[Dated], day: date) -> _Doubt | None:
    """Whether the day lies before more rows than a slip explains, or so long after the last that its year is one."""
    if not dates:
        return None
    row, name, on = max(dates, key=lambda one: (one[2], one[0].where.order))
    last = f"the last record ({on.isoformat()}, {row.cell(name)})"
    latest = hull_spans()[LATER].high
    if (day - on).days > latest:
        return _Doubt(f"a day within {round(latest / DAYS_OF_A_YEAR)} years of {last}", TOO_LATE)
    if len({row.where for row, _, on in dates if on > day}) > MOST_ROWS:
        return _Doubt(f"a day not before {last}", DAY_IN_DOUBT)
    return None


def _dates(evidence: Evidence) -> Iterable[Dated]:
    """Every date of every readable row, with its column; without those that may lie ahead."""
    for kind in sorted(evidence.records, key=lambda kind: kind.table.file):
        names = [name for name, info in kind.columns().items() if not about(info, "ahead")]
        for row in evidence.of(kind):
            for name in names:
                value = getattr(row, name)
                if isinstance(value, date):
                    yield row, name, as_day(value)


def years_ahead(evidence: Evidence) -> Iterable[Fault]:
    """A notice at every date that may lie ahead and lies so far ahead that its year is a slip rather."""
    day = evidence.hull.as_of
    if day is None:
        return
    last = day.year + YEARS_AHEAD
    for kind in sorted(evidence.records, key=lambda kind: kind.table.file):
        names = [name for name, info in kind.columns().items() if about(info, "ahead")]
        for row in evidence.of(kind) if names else ():
            for name in names:
                value = getattr(row, name)
                if isinstance(value, date) and value.year > last:
                    expected = f"a year up to {last}, {YEARS_AHEAD} years after as_of"
                    found = f"{as_day(value).isoformat()} (is the year right?)"
                    yield Fault(row.cell(name), expected, found, AS_IT_IS, Severity.NOTICE)


CROSS_CHECKS = (nothing_from_the_future, years_ahead)
