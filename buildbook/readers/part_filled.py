"""Sheets with printed positions of which only some are filled in: the rows that hold a reading."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.readers.table import RawTable


def only_filled(raw: RawTable, columns: Iterable[str]) -> RawTable:
    """The table without the rows in which none of these columns holds anything; the lines of the others stay.

    A table that has none of these columns is given back as it is: its rows are then told as lacking them.

    >>> from buildbook.readers.table import read_table
    >>> table = read_table(b"place,gloss\\nZ1,\\nZ1,88\\n", "gloss.csv")
    >>> [row.line for row in only_filled(table, ["gloss"]).rows]
    [3]
    """
    wanted = set(columns)
    at = [item.index for item in raw.heads if item.name in wanted]
    if not at:
        return raw
    rows = tuple(row for row in raw.rows if any(_cell(row.cells, index) for index in at))
    kept = {row.line for row in rows}
    left_out = {row.line for row in raw.rows} - kept
    return replace(raw, rows=rows, faults=tuple(fault for fault in raw.faults if fault.where.line not in left_out))


def _cell(cells: tuple[str, ...], index: int) -> str:
    return cells[index].strip() if index < len(cells) else ""
