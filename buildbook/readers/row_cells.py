"""The cells of a row, whether the row is readable or not."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from buildbook.core.evidence import Unread
from buildbook.core.record import Record, head
from buildbook.core.where import Where
from buildbook.readers.as_typed import in_digits

FINDINGS_CAPPED = "What rests on this table is no better than inconclusive."


def capped(kind: type[Record]) -> str:
    """What follows for the findings of a table where a row is in doubt; for a table without findings, for the row."""
    return FINDINGS_CAPPED if kind.table.judged else kind.table.row_lost


def cell_of(row: Record | Unread, name: str) -> Any:
    """One cell; None where it could not be made out."""
    return row.get(name) if isinstance(row, Unread) else getattr(row, name)


def cells_of(row: Record | Unread) -> dict[str, Any]:
    """Every cell by column name."""
    return dict(row.cells) if isinstance(row, Unread) else {name: getattr(row, name) for name in type(row).columns()}


def place_of(row: Record | Unread, name: str) -> Where:
    """The place of one cell of a row."""
    kind = row.kind if isinstance(row, Unread) else type(row)
    return replace(row.where, column=head(kind, name))


def cell_meant(row: Record, expected: str, otherwise: str) -> Where:
    """The cell of a row that has to be changed: the one that an expectation names, or else another."""
    named = re.search(r"cell `(\w+)`", expected)
    return place_of(row, named[1] if named and named[1] in type(row).columns() else otherwise)


def shown(value: Any) -> str:
    """A value in a message."""
    return in_digits(value) if isinstance(value, float) else str(value)
