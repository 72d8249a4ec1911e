"""Dates beyond the day that the book describes: what has not happened yet cannot be on record."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from buildbook.chapters.readings import as_day
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.record import Record, about

EFFECT = "Until this is mended, nothing that rests on this row is judged."
MOST_ROWS = 20  # with more rows beyond the day, it is the day itself that is doubtful


def nothing_from_the_future(evidence: Evidence) -> Iterable[Fault]:
    """Every row dated after `as_of`; where there are many, one fault at `as_of` itself."""
    day = evidence.hull.as_of
    if day is None:
        return
    found = [(row, name, on) for row, name, on in _dates(evidence) if on > day]
    if len({row.where for row, _, _ in found}) <= MOST_ROWS:
        for row, name, on in found:
            yield Fault(row.cell(name), f"a date up to as_of ({day.isoformat()})", on.isoformat(), EFFECT)
        return
    row, name, on = max(found, key=lambda one: (one[2], one[0].where.order))
    expected = f"a day not before the last record ({on.isoformat()}, {row.cell(name)})"
    yield Fault(
        evidence.hull.at("as_of"), expected, day.isoformat(), "The book describes a day before its own records."
    )


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
