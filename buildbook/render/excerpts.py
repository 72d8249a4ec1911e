"""Which rows of each table the printed book shows, and how: the rows behind bad news first, never wider than a page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.core.book import Book
from buildbook.core.face import Paper
from buildbook.core.table_view import Cell, Row, TableView

WHOLE_TABLE = 30
FIRST_ROWS = 10
BEHIND_ROWS = 120
WHOLE_CELL = 16  # letters: a cell as short as this stays on one line
# A broad page of the style sheet `print.css`: both its side margins, and what one letter, the gap between columns and
# the column of line numbers take of what is inside them [mm].
SIDES, LETTER, GAP, LINE_NUMBERS = 36.0, 1.4, 2.0, 9.0


@dataclass(frozen=True, slots=True)
class Excerpt:
    """The rows of a table that the printed book shows; the whole table is attached to it.

    `behind` stand first: rows that could not be used, and rows behind a finding that is no plain pass; there are
    `behind_of` of those. `first` are the first of the remaining ones. A table that is printed whole has all its rows
    in `first`. Columns without any entry in these rows are in `empty` and not printed. A `broad` table does not fit a
    page: its rows are told cell by cell.
    """

    table: TableView
    behind: tuple[Row, ...]
    behind_of: int
    first: tuple[Row, ...]
    columns: tuple[int, ...]
    empty: tuple[Cell, ...]
    broad: bool

    @property
    def rows(self) -> tuple[Row, ...]:
        """Everything that is printed, in the order of the print."""
        return self.behind + self.first

    @property
    def whole(self) -> bool:
        """True where no row is left out."""
        return len(self.rows) == len(self.table.rows)


def page_width(paper: Paper) -> float:
    """What is inside the margins of a broad page [mm].

    >>> page_width(Paper.A4)
    261.0
    """
    return max(paper.size) - SIDES


def excerpts(book: Book, paper: Paper = Paper.A4) -> tuple[Excerpt, ...]:
    """Every table that has rows.

    Args:
        book: the finished book.
        paper: what it is printed on.

    Returns:
        What is printed of each: all of a table of `WHOLE_TABLE` rows or fewer; of a longer one the rows behind bad news
        (`BEHIND_ROWS` at most) and the first `FIRST_ROWS` of the others.
    """
    behind, width = _behind(book), page_width(paper)
    return tuple(_excerpt(table, behind.get(table.file, set()), width) for table in book.tables if table.rows)


def told(row: Row, table: TableView) -> tuple[tuple[str, str], ...]:
    """The cells of a row that hold something, each with its head."""
    return tuple((column.head, cell) for column, cell in zip(table.columns, row.cells, strict=False) if cell)


def kept_whole(cell: str) -> bool:
    """True for a cell that is short enough to stay on one line.

    >>> kept_whole("2026-03-16 08:40"), kept_whole("water-break and release for primer")
    (True, False)
    """
    return len(cell) <= WHOLE_CELL


def _behind(book: Book) -> dict[str, set[int]]:
    """Lines behind every finding that is no plain pass, by file."""
    checks = [check for chapter in book.chapters for check in chapter.checks]
    items = [item for check in checks for item in (*check.governing, *check.references)]
    doubtful = [item for item in items if item.finding.verdict.exception]
    lines: dict[str, set[int]] = {}
    for item in (*doubtful, *book.exceptions):
        for where in item.finding.at:
            if where.line is not None:
                lines.setdefault(where.file, set()).add(where.line)
    return lines


def _excerpt(table: TableView, lines: set[int], room: float) -> Excerpt:
    behind = tuple(row for row in table.rows if row.fault or row.line in lines)
    if len(table.rows) <= WHOLE_TABLE:
        return _laid_out(table, (), len(behind), table.rows, room)
    shown = behind[:BEHIND_ROWS]
    others = [row for row in table.rows if row not in behind]
    return _laid_out(table, shown, len(behind), tuple(others[:FIRST_ROWS]), room)


def _laid_out(
    table: TableView, behind: tuple[Row, ...], behind_of: int, first: tuple[Row, ...], room: float
) -> Excerpt:
    rows = behind + first
    filled = tuple(n for n in range(len(table.columns)) if any(row.cells[n : n + 1] not in ((), ("",)) for row in rows))
    empty = tuple(column for n, column in enumerate(table.columns) if n not in filled)
    width = LINE_NUMBERS + sum(_width(table.columns[n].head, rows, n) for n in filled)
    return Excerpt(table, behind, behind_of, first, filled, empty, width > room)


def _width(head: str, rows: Iterable[Row], number: int) -> float:
    """The narrowest that a column can be set [mm]."""
    cells = [cell for row in rows for cell in row.cells[number : number + 1]]
    pieces = [head, *(piece for cell in cells for piece in ([cell] if kept_whole(cell) else cell.split()))]
    return GAP + LETTER * max(map(len, pieces))
