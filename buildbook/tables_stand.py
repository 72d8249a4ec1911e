"""Where a remedy sends its reader: the table of that name, or the sheet of the workbook in which it stands."""

from __future__ import annotations

import re
from collections.abc import Mapping

from buildbook.core.book import Book
from buildbook.core.stand import Stand
from buildbook.core.table_view import TableView
from buildbook.readers.standing import canonical


def sheets_of_tables(book: Book) -> dict[str, str]:
    """The sheet of each table, by the table's file: `laminate.xlsx[laminate.burn_off]`; no entry for a file of its own.

    A table that is not there yet belongs where its neighbours stand, where they all stand in workbooks. A second place
    for a table would make both useless.
    """
    there = {table.file: table.stands_in for table in book.tables if table.workbook}
    missing = [table for table in book.tables if not _is_there(table)]
    return {**{table.file: place for table in missing if (place := _beside(book, table))}, **there}


def in_their_places(text: str, places: Mapping[str, str]) -> str:
    """A text in which each table is called by the place where it stands.

    >>> in_their_places("Measure it and add the rows to a/b.csv.", {"a/b.csv": "a.xlsx[a.b]"})
    'Measure it and add the rows to a.xlsx[a.b].'
    """
    if not places:
        return text
    names = "|".join(re.escape(name) for name in sorted(places, key=lambda name: (-len(name), name)))
    return re.sub(rf"(?<![\w/])(?:{names})(?!\w)", lambda found: places[found.group()], text)


def _is_there(table: TableView) -> bool:
    return bool(table.sha256)


def _beside(book: Book, table: TableView) -> str:
    """The sheet in which a missing table belongs; empty where its neighbours are files, or none is there."""
    folder = _folder(table.file)
    near = [other for other in book.tables if _is_there(other) and _folder(other.file) == folder]
    if not near or not all(other.workbook for other in near):
        return ""
    books = [other.workbook for other in near]
    fullest = max(sorted(set(books)), key=books.count)
    workbook = fullest if books.count(fullest) > 1 else f"{table.file.removesuffix('.csv')}.xlsx"
    return Stand(workbook, canonical(table.file)).words


def _folder(file: str) -> str:
    return file.rpartition("/")[0]
