"""Sheets of workbooks that are no table by their name: what each was probably meant for."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record
from buildbook.core.stand import Stand
from buildbook.core.where import Where
from buildbook.readers.left_over import table_meant
from buildbook.readers.standing import Books, canonical
from buildbook.readers.table import folded, head_of
from buildbook.readers.xlsx import Sheet

Kind = type[Record]
MOST_NAMED = 6  # sheets of one workbook that are named
HEADS_LOOKED_FOR = 10  # rows, from the top
_NOT_READ = "It is not read"


def not_as_sheets(
    books: Books, kinds: Sequence[Kind], missing: Collection[Kind], named: Collection[str]
) -> Iterator[tuple[Fault, str]]:
    """Sheets under another name than that of a table, each with the table where that is missing and it surely is it.

    Args:
        books: the workbooks of the folder.
        kinds: all tables.
        missing: those that stand nowhere, or without a row.
        named: the files that rows name: such a workbook is a document.
    Returns:
        A fault where the table is missing and this is surely it, with that table; else a notice, and ''.
    """
    gone = {kind.table.file for kind in missing}
    published = {stand.workbook for stands in books.stands.values() for stand in stands}
    for book, sheets in books.strange.items():
        meant = {sheet.name: _meant(book, sheet, kinds, gone) for sheet in sheets}
        if book in named or (book not in published and not any(file for file, _ in meant.values())):
            if book not in named:
                yield _no_table(book, sheets), ""
            continue
        too = ", but published with its workbook." if book in published else "."
        for sheet in sheets:
            yield _told(book, sheet, *meant[sheet.name], too)


def _told(book: str, sheet: Sheet, file: str, sure: bool, too: str) -> tuple[Fault, str]:
    where = Where(book, sheet=Stand(book, sheet.name).words)
    hidden = ", hidden" if sheet.hidden else ""
    if file and sure:
        found = f"'{sheet.name}'{hidden}"
        effect = f"{_NOT_READ}{too} Name the sheet '{canonical(file)}': that is {file}."
        return Fault(where, f"a sheet '{canonical(file)}'", found, effect), file
    ask = f" Did you mean '{canonical(file)}'? That is {file}." if file else ""
    found = f"'{sheet.name}'{hidden}, which is none"
    return Fault(where, "the name of a table", found, f"{_NOT_READ}{too}{ask}", Severity.NOTICE), ""


def _no_table(book: str, sheets: Sequence[Sheet]) -> Fault:
    names = ", ".join(f"'{sheet.name}'" for sheet in sheets[:MOST_NAMED]) + (" …" if len(sheets) > MOST_NAMED else "")
    expected = "a sheet with the name of a table, like 'coating.gloss', or a row that names this file"
    return Fault(Where(book), expected, f"only {names}", f"{_NOT_READ}.", Severity.NOTICE)


def _meant(book: str, sheet: Sheet, kinds: Sequence[Kind], gone: Collection[str]) -> tuple[str, bool]:
    """The table that a sheet was probably meant for, empty for none, and whether surely: it is missing elsewhere."""
    folder = book.rpartition(".")[0]
    name = sheet.name.replace("/", " ")
    files = [kind.table.file for kind in kinds]
    paths = (f"{name.replace('.', '/')}.csv", f"{folder}/{name}.csv")
    by_name = [meant for path in paths if (meant := table_meant(path, files)) is not None]
    surely = next((it.file for it in by_name if it.surely), "")
    by_heads = _by_heads(sheet, kinds)
    if surely and surely in gone:
        return surely, True
    if len(by_heads) == 1 and by_heads[0] in gone:
        return by_heads[0], True
    return next(iter((*(it.file for it in by_name), *by_heads)), ""), False


def _by_heads(sheet: Sheet, kinds: Sequence[Kind]) -> list[str]:
    """The tables whose every column that must be filled stands among the heads, with most of the heads its columns."""
    for row in list(sheet.rows.values())[:HEADS_LOOKED_FOR]:
        heads = {head_of(str(cell.value), 0).name for cell in row.values() if isinstance(cell.value, str)}
        fit = [kind for kind in kinds if _heads_of(kind, heads)]
        if fit:
            return [kind.table.file for kind in fit]
    return []


def _heads_of(kind: Kind, heads: Collection[str]) -> bool:
    wanted = {folded(name) for name, info in kind.columns().items() if info.is_required()}
    known = {folded(name) for name in kind.columns()}
    return len(wanted) >= 2 and wanted <= set(heads) and 2 * len(known & set(heads)) > len(heads)
