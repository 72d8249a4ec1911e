"""A hull folder with its tables turned into workbooks: numbers as numbers, days as days, text as text."""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl

from buildbook.chapters import TABLES
from buildbook.core.record import Record
from buildbook.readers import cells
from buildbook.readers.choices import base_type
from buildbook.readers.table import folded, read_table

Kind = type[Record]


def as_workbooks(folder: Path, *, one_each: bool = False) -> Path:
    """Take every table of the folder into a workbook and its file away: one workbook for each folder of tables.

    With `one_each`, each table stands in a workbook of its own instead.
    """
    books: dict[str, dict[str, Path]] = {}
    for kind in TABLES:
        path = folder / kind.table.file
        if path.exists():
            chapter = kind.table.file.partition("/")[0] if "/" in kind.table.file else "register"
            stem = kind.table.file.removesuffix(".csv")
            books.setdefault(stem if one_each else chapter, {})[stem.replace("/", ".")] = path
    kinds = {folder / kind.table.file: kind for kind in TABLES}
    for name, sheets in books.items():
        book = empty()
        for sheet, path in sheets.items():
            fill(book.create_sheet("readings" if one_each else sheet), kinds[path], path.read_bytes())
        for path in sheets.values():
            path.unlink()
        (folder / f"{name}.xlsx").write_bytes(saved(book))
    return folder


def fill(sheet: Any, kind: Kind, data: bytes) -> None:
    """Lay the cells of a file of text out as a hand would type them into a sheet, row by row in the same places."""
    raw = read_table(data, kind.table.file)
    columns = {folded(name): base_type(info) for name, info in kind.columns().items()}
    numbers = [row.cells[head.index] for row in raw.rows for head in raw.heads if len(row.cells) > head.index
               if columns.get(head.name) in (float, int)]  # fmt: skip
    mark = cells.decimal_mark(numbers, raw.delimiter)
    for head in raw.heads:
        sheet.cell(raw.head_line, head.index + 1, head.text)
    for row in raw.rows:
        for index, text in enumerate(row.cells):
            wanted = columns.get(raw.heads[index].name) if index < len(raw.heads) else None
            value = typed(text.strip(), wanted, mark)
            if value not in (None, ""):
                sheet.cell(row.line, index + 1, value)


def typed(text: str, wanted: Any, mark: str) -> Any:
    """What a hand would type for a cell: a number, a day, yes or no, else the text."""
    try:
        if wanted in (float, int) and text:
            return cells.number(text, mark)
        if wanted is date:
            return cells.day(text)
        if wanted is datetime:
            return cells.moment(text)
    except cells.CellError:
        return text
    return text


def saved(book: openpyxl.Workbook) -> bytes:
    """The bytes of a workbook."""
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def empty() -> openpyxl.Workbook:
    """A workbook without a sheet."""
    book = openpyxl.Workbook()
    for name in book.sheetnames:
        del book[name]
    return book


def workbook(sheets: Mapping[str, list[list[Any]]]) -> openpyxl.Workbook:
    """A workbook with these sheets, each a list of rows."""
    book = empty()
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    return book
