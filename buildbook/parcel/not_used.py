"""Whether the rows that a package tells as not used, or in doubt, are those of its book, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from buildbook.core.book import Book
from buildbook.core.fault import Severity
from buildbook.core.published import CELL
from buildbook.core.table_view import TableView
from buildbook.parcel.csv_text import cell, csv_bytes
from buildbook.parcel.evidence_package import NOT_USED_HEADS, is_held

LONGEST = 60  # characters of a cell in a message


def expected(book: Book) -> bytes:
    """The table with what the book gives: each row once, with every reason."""
    rows = ((file, line, CELL if is_held(book, file) else why) for file, line, why in _told(book))
    return csv_bytes(NOT_USED_HEADS, rows)


def _told(book: Book) -> Iterator[tuple[str, int, str]]:
    for view in book.tables:
        yield from ((view.file, row.line, row.fault) for row in view.rows if row.fault)


def differs(book: Book, rows: Sequence[Sequence[str]]) -> str:
    """The first thing that is not as the book says, empty where all is.

    Each row that the book does not use is here with the reasons that it gives, and with no other. A reason that is of
    a whole table or its heads begins as a fault that the book tells of this table. What it goes on to say was found is
    not held: the book tells alike faults once.

    Args:
        book: the book.
        rows: those of the table, its heads first, as text.
    """
    if not rows or list(rows[0]) != list(NOT_USED_HEADS):
        return f"its first row is not {', '.join(NOT_USED_HEADS)}"
    views = {view.file: _Told(book, view) for view in book.tables}
    for number, row in enumerate(rows[1:], start=2):
        if len(row) != len(NOT_USED_HEADS) or row[0] not in views or not views[row[0]].doubts(row[1]):
            return f"row {number}: book.json uses {':'.join(row[:2])[:LONGEST]} without a doubt"
        if not views[row[0]].says(*row[1:]):
            return f"row {number}: book.json does not give this reason for {':'.join(row[:2])[:LONGEST]}"
    told = {tuple(row) for row in rows}
    for file, line, why in _told(book):
        if (file, str(line), CELL if is_held(book, file) else cell(why)) not in told:
            return f"{file}:{line} is not in it with the reason that book.json gives"
    return ""


class _Told:
    """What the book says of the rows of one table that it does not use."""

    def __init__(self, book: Book, view: TableView) -> None:
        faults = [fault for fault in book.faults if fault.where.file == view.file]
        beside = [fault for fault in book.faults if fault.where.file != view.file]
        self._held = is_held(book, view.file)
        self._rows: Mapping[str, str] = {str(row.line): row.fault for row in view.rows}
        lines = [fault.where.line for fault in faults if fault.severity is Severity.FAULT]
        self._others = {"" if line is None else str(line) for line in lines}
        self._starts = (
            *(f"expected {fault.expected}; found " for fault in faults),
            *(f"{fault.where}: expected {fault.expected}; found " for fault in beside),
        )
        self._state = view.state

    def doubts(self, line: str) -> bool:
        """Whether the row of this line, or the table where it is empty, is not used or in doubt."""
        if self._rows.get(line):
            return True
        return line in self._others or (not line and bool(self._state)) or self._held

    def says(self, line: str, why: str) -> bool:
        """Whether these may be the reasons for it."""
        if self._held:
            return why == CELL
        if self._rows.get(line):
            return why == cell(self._rows[line])
        return bool(why) and (why == cell(self._state) or why.startswith(self._starts))
