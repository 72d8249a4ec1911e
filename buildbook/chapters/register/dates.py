"""Dates beyond the day that the book describes: what has not happened yet cannot be on record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from buildbook.chapters.readings import as_day
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.record import Record, about
from buildbook.sources import hull_spans

EFFECT = "Until this is mended, nothing that rests on this row is judged."
NO_DAY = "The day that the book describes is not known, so a mistyped date on record is not noticed."
DAY_IN_DOUBT = "The book describes a day before its own records, so a mistyped date on record is not noticed."
TOO_LATE = "The book describes a day long after its records, so a mistyped date on record is not noticed."
NOTHING_BETTER = "Nothing is called better than inconclusive."
LATER = "as_of after the last record"
MOST_ROWS = 20  # with more rows beyond the day, it is the day itself that is doubtful


def nothing_from_the_future(evidence: Evidence) -> Iterable[Fault]:
    """Every row dated after `as_of`; where there are many, one fault at `as_of` itself."""
    day = evidence.hull.as_of
    if day is None:
        return
    if (last := _long_before(evidence, day)) is not None:
        row, name, on = last
        years = round(hull_spans()[LATER].high / 365.25)
        expected = f"a day within {years} years of the last record ({on.isoformat()}, {row.cell(name)})"
        yield Fault(evidence.hull.at("as_of"), expected, day.isoformat(), f"{TOO_LATE} {NOTHING_BETTER}")
        return
    found = _beyond(evidence, day)
    if _few(found):
        for row, name, on in found:
            yield Fault(row.cell(name), f"a date up to as_of ({day.isoformat()})", on.isoformat(), EFFECT)
        return
    row, name, on = max(found, key=lambda one: (one[2], one[0].where.order))
    expected = f"a day not before the last record ({on.isoformat()}, {row.cell(name)})"
    yield Fault(evidence.hull.at("as_of"), expected, day.isoformat(), f"{DAY_IN_DOUBT} {NOTHING_BETTER}")


def held_by_the_day(evidence: Evidence) -> Evidence:
    """The evidence with every check held at inconclusive where the day of the book is not known or in doubt.

    Every table has dates, and a row with a mistyped one is only noticed by that day. Without it such a row could be
    missing where it belongs, so nothing better than inconclusive may be said of anything.
    """
    day = evidence.hull.as_of
    late = day is not None and _long_before(evidence, day) is not None
    if day is not None and not late and _few(_beyond(evidence, day)):
        return evidence
    words = NO_DAY if day is None else TOO_LATE if late else DAY_IN_DOUBT
    doubt = ("", f"{evidence.hull.at('as_of')}: {words}")
    specification = evidence.specification
    return replace(evidence, specification=replace(specification, unread=(*specification.unread, doubt)))


def _beyond(evidence: Evidence, day: date) -> list[tuple[Record, str, date]]:
    return [(row, name, on) for row, name, on in _dates(evidence) if on > day]


def _long_before(evidence: Evidence, day: date) -> tuple[Record, str, date] | None:
    """The last dated record, where the day of the book is so much later that its year is most likely mistyped."""
    last = max(_dates(evidence), key=lambda one: (one[2], one[0].where.order), default=None)
    span = hull_spans()[LATER]
    return last if last is not None and (day - last[2]).days > span.high else None


def _few(found: Iterable[tuple[Record, str, date]]) -> bool:
    return len({row.where for row, _, _ in found}) <= MOST_ROWS


def _dates(evidence: Evidence) -> Iterable[tuple[Record, str, date]]:
    """Every date of every readable row, with its column; without those that may lie ahead."""
    for kind in sorted(evidence.records, key=lambda kind: kind.table.file):
        names = [name for name, info in kind.columns().items() if not about(info, "ahead")]
        for row in evidence.of(kind):
            for name in names:
                value = getattr(row, name)
                if isinstance(value, date):
                    yield row, name, as_day(value)


CROSS_CHECKS = (nothing_from_the_future,)
