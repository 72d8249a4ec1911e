"""Documents and withheld things as pages look them up: by instrument, by finding, by row, by file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from typing import TypeVar

from buildbook.core.book import Book
from buildbook.core.published import DocumentFile, RawFile, Withheld
from buildbook.core.table_view import TableView

T = TypeVar("T")
FILE, ID = "file", "document"  # the columns that name a file, and the document that it holds


@dataclass(frozen=True, slots=True)
class Papers:
    """Documents by what they support; what is withheld by its file, and the copies in its place by theirs.

    `rows` are the lines of a table with the documents behind them; line 0 stands for the whole table.
    """

    instruments: Mapping[str, tuple[DocumentFile, ...]]
    findings: Mapping[str, tuple[DocumentFile, ...]]
    rows: Mapping[str, tuple[tuple[int, DocumentFile], ...]]
    withheld: Mapping[str, tuple[Withheld, ...]]
    raw_files: tuple[str, ...]
    copies: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class CellAsShown:
    """A cell of a table as received: its text, the published file to which it leads, empty for none.

    `packed` where it names a file that is in the evidence package alone.
    """

    text: str
    out: str = ""
    packed: bool = False


def papers(book: Book) -> Papers:
    """The documents and the withheld things of a book, by what a page asks for."""
    links = [(document, link) for document in book.documents for link in document.supports]
    return Papers(
        _by((link.instrument, document) for document, link in links if link.instrument),
        _by((number, document) for document, link in links for number in link.findings),
        _by((link.row.file, (link.row.line or 0, document)) for document, link in links if link.row is not None),
        _by((it.file, it) for it in book.withheld),
        tuple(it.file for it in _packed(book)),
        book.copies,
    )


def cells_as_shown(book: Book, table: TableView) -> dict[int, tuple[CellAsShown, ...]]:
    """The cells of a table by the line of their row; those that name a file of that row lead to it.

    Whether a cell names it is told by its row and its column, never by its text: a document may be called as anything.
    """
    outs: dict[tuple[int | None, str], str] = {}
    for photograph in (it for it in book.photographs if it.at.file == table.file):
        outs[photograph.at.line, FILE] = photograph.out
    for document in (it for it in book.documents if it.at.file == table.file and it.out):
        # its id leads there too: a narrow window shows the first columns
        outs |= {(document.at.line, name): document.out for name in (FILE, ID)}
    packed = {(at.line, FILE) for it in _packed(book) for at in it.at if at.file == table.file}
    return {
        row.line: tuple(
            CellAsShown(text, outs.get((row.line, column), ""), (row.line, column) in packed)
            for text, column in zip_longest(row.cells, (column.name for column in table.columns), fillvalue="")
        )[: len(row.cells)]
        for row in table.rows
    }


def _packed(book: Book) -> list[RawFile]:
    """The long records that are not withheld."""
    withheld = {held.file for held in book.withheld}
    return [it for it in book.raw_files if it.file not in withheld]


def _by(pairs: Iterable[tuple[str, T]]) -> dict[str, tuple[T, ...]]:
    found: dict[str, dict[T, None]] = {}
    for key, value in pairs:
        found.setdefault(key, {})[value] = None
    return {key: tuple(values) for key, values in found.items()}
