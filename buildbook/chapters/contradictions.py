"""Rows that contradict each other: what follows is told alike everywhere, and so is an attempt before its time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from buildbook.chapters.shared_records import Moisture
from buildbook.core.fault import Fault
from buildbook.core.record import Record
from buildbook.core.wording import moment

EFFECT = "Until this is mended, nothing that rests on this row is judged."


def not_later(before: Record, after: Record, column: str = "at") -> Iterable[Fault]:
    """Faults at both rows where a later attempt is not later; where only days are known, where it is earlier.

    Args:
        before: the row of the earlier attempt.
        after: the row of the later attempt.
        column: the column of both that says when [date or date and time].
    """
    one: Any = getattr(before, column)
    other: Any = getattr(after, column)
    if other <= one if isinstance(one, datetime) else other < one:
        yield Fault(after.cell(column), f"a time after that of {before.where}", _said(other), EFFECT)
        yield Fault(before.cell(column), f"a time before that of {after.where}", _said(one), EFFECT)


def drier_than_dry(rows: Iterable[Moisture], expanded: float | None) -> tuple[str, ...]:
    """Why nothing better than inconclusive may be said of readings that lie below their own dry reference.

    Args:
        rows: the readings of one place.
        expanded: U (k = 2) of the difference of reading and reference [scale units]; below by more is below.
    """
    below = [row for row in rows if row.reading < row.dry_reference - (expanded or 0.0)]
    if not below:
        return ()
    first = below[0]
    return (
        f"{len(below)} of the readings {'lies' if len(below) == 1 else 'lie'} below the dry reference, first "
        f"{first.reading:g} below {first.dry_reference:g} ({first.where}). The two are exchanged, or it was not dry.",
    )


def _said(when: date) -> str:
    return moment(when) if isinstance(when, datetime) else when.isoformat()
