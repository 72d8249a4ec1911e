"""Where each table stands in the folder: in a file of text, or in a sheet of a workbook."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from buildbook.core.evidence import Unread
from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record
from buildbook.core.stand import FILE_ITSELF, Stand
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.folder import Folder, check_inside
from buildbook.readers.kept_sheets import sheets_of
from buildbook.readers.not_readings import without_examples
from buildbook.readers.own_columns import NOTHING_OWN, OfTable, in_our_names
from buildbook.readers.refused import Refused
from buildbook.readers.table import RawTable, folded, read_table
from buildbook.readers.workbook import sheet_table
from buildbook.readers.xlsx import Sheet
from buildbook.readers.xlsx_package import NOT_READ, refused

ENDINGS = (".xlsx", ".xlsm")
ABOUT = "about"  # a sheet of this name tells of the others
MAY_HOLD_ANY = (
    "It may hold any table, so no finding is better than inconclusive. If it is no record, let a row name it as a "
    "document, or take it out of the folder."
)
COPY = re.compile(  # as programs name the copy of a file
    r" ?\(\d{1,2}\)$|^copy of |[ _-]+(copy|kopie|copie|copia|kópia) ?\d*$", re.IGNORECASE
)
THE_COPY = "If another one is meant, put that one in its place and take this one out."
NEITHER = "Nothing of it is used; take one of them out."

NONE_READABLE = "has no row that can be read"  # of a table that others refer to
MAY_HOLD = " (it may stand in "  # before the workbooks that cannot be read

Kind = type[Record]


def canonical(file: str) -> str:
    """The name of the sheet in which a table may stand in any workbook.

    >>> canonical("laminate/burn_off.csv"), canonical("plan.csv")
    ('laminate.burn_off', 'plan')
    """
    return file.removesuffix(".csv").replace("/", ".")


@dataclass(frozen=True, slots=True)
class Books:
    """The workbooks of a folder: which sheet holds which table.

    `stands` are the sheets of each table by its file, `strange` the sheets that are no table and hold something, by
    their workbook, `locked` the workbooks that cannot be read, each with the reason, `read` all others.
    """

    stands: Mapping[str, tuple[Stand, ...]] = field(default_factory=dict)
    strange: Mapping[str, tuple[Sheet, ...]] = field(default_factory=dict)
    locked: Mapping[str, Fault] = field(default_factory=dict)
    read: frozenset[str] = frozenset()

    def may_hold(self, file: str, named: Collection[str] = ()) -> tuple[Fault, ...]:
        """The workbooks that cannot be read and may hold this table.

        A sheet with the whole name of a table may stand in any workbook, so that each may hold every table. Of one
        that a row names (`named`), which is a document, only those count that its own name speaks of.
        """
        return tuple(
            fault
            for name, fault in self.locked.items()
            if name not in named or _own(name, file) or _of_folder(name, file)
        )

    def told(self, named: Collection[str] = ()) -> tuple[Fault, ...]:
        """What is told of the workbooks that cannot be read, and of those that are read and called like a copy."""
        locked = tuple(
            fault if name in named else replace(fault, effect=f"{fault.effect} {MAY_HOLD_ANY}")
            for name, fault in self.locked.items()
        )
        holding = sorted({stand.workbook for stands in self.stands.values() for stand in stands})
        expected = "the workbook that you go on with, not a copy of it"
        return locked + tuple(
            Fault(Where(name), expected, "a name as copies have it", THE_COPY, Severity.NOTICE)
            for name in holding
            if COPY.search(_without_ending(name).rpartition("/")[2])
        )


def books_of(folder: Folder, tables: Iterable[str]) -> Books:
    """The workbooks of the folder and the sheets in which these tables stand."""
    tables = tuple(tables)
    stands: dict[str, tuple[Stand, ...]] = {}
    strange: dict[str, tuple[Sheet, ...]] = {}
    locked: dict[str, Fault] = {}
    read: set[str] = set()
    for name in folder.names():
        if not name.casefold().endswith(ENDINGS) or check_inside(name):
            continue
        if ":" in name:
            locked[name] = Fault(Where(name), "a name without a colon", f"'{name}'; rename it", NOT_READ)
            continue
        try:
            sheets = [sheet for sheet in sheets_of(folder.read(name), name) if sheet.rows]
        except Refused as refusal:
            locked[name] = refusal.fault
            continue
        read.add(name)
        for sheet, file in _of_sheets(name, sheets, tables):
            if file:
                stands[file] = (*stands.get(file, ()), Stand(name, sheet.name))
            else:
                strange[name] = (*strange.get(name, ()), sheet)
    return Books(stands, strange, locked, frozenset(read))


def _of_sheets(book: str, sheets: Sequence[Sheet], tables: Sequence[str]) -> Iterator[tuple[Sheet, str]]:
    """Each sheet that holds something with its table, empty where it is none; not what tells of the others."""
    named = {sheet.name: _table_of(book, sheet.name, tables) for sheet in sheets}
    data = [sheet for sheet in sheets if folded(sheet.name) != ABOUT]
    own = next((file for file in tables if _own(book, file)), "")
    for sheet in data:
        alone = own if len(data) == 1 else ""
        yield sheet, named[sheet.name] or alone


def _table_of(book: str, sheet: str, tables: Sequence[str]) -> str:
    """The table that a sheet of this name holds; the folder's own where the workbook is called like it."""
    wanted = _plain(sheet)
    bare = [file for file in tables if _of_folder(book, file) and _plain(_stem(file)) == wanted]
    whole = [file for file in tables if _plain(canonical(file)) == wanted]
    return next(iter((*bare, *whole)), "")


def _plain(name: str) -> str:
    """A name with its capitals, spaces, hyphens and underscores folded, also beside a point."""
    return ".".join(folded(part) for part in name.split("."))


def _stem(file: str) -> str:
    return file.rpartition("/")[2].removesuffix(".csv")


def _without_ending(book: str) -> str:
    return book.rpartition(".")[0]


def _own(book: str, file: str) -> bool:
    """Whether a workbook is called as the table itself: `laminate/burn_off.xlsx`."""
    return [folded(part) for part in _without_ending(book).split("/")] == list(map(folded, canonical(file).split(".")))


def _of_folder(book: str, file: str) -> bool:
    """Whether a workbook is called like the folder of a table, or lies in it: `laminate.xlsx`, `laminate/all.xlsx`."""
    folder = file.rpartition("/")[0]
    if not folder:
        return False
    return folded(_without_ending(book)) == folded(folder) or folded(book.rpartition("/")[0]) == folded(folder)


def places_of(file: str, folder: Folder, books: Books) -> tuple[Stand, ...]:
    """Every place that holds a table: the file of its own name first."""
    return (*((FILE_ITSELF,) if folder.holds(file) else ()), *books.stands.get(file, ()))


def chosen(kind: Kind, folder: Folder, books: Books) -> Stand | None:
    """The place where a table is read; None where there is none. One with heads only gives way to one with rows.

    Errors:
        Refused where two places hold rows.
    """
    file = kind.table.file
    places = places_of(file, folder, books)
    filled = [one for one in places if _filled(kind, one, folder)] if len(places) > 1 else list(places)
    if len(filled) > 1:
        named = " and in ".join(one.words or file for one in filled)
        raise Refused(Fault(Where(file), "this table in one place", f"rows of it in {named}", NEITHER))
    return next(iter((*filled, *places)), None)


def _filled(kind: Kind, stand: Stand, folder: Folder) -> bool:
    """Whether there are rows; what cannot be read may hold some."""
    try:
        return bool(without_examples(received(kind, folder.read(stand.received(kind.table.file)), stand)).rows)
    except Refused:
        return True


def received(kind: Kind, data: bytes, stand: Stand = FILE_ITSELF, own: OfTable = NOTHING_OWN) -> RawTable:
    """A table from the bytes of the file that holds it: cells as received, at its heads our names as `own` says.

    Errors:
        Refused where they cannot be read, or the workbook has no such sheet any more.
    """
    if not stand.workbook:
        return in_our_names(read_table(data, kind.table.file), own, kind)
    for sheet in sheets_of(data, stand.workbook):
        if sheet.name == stand.sheet:
            return in_our_names(sheet_table(kind, sheet, stand, own), own, kind)
    raise refused(stand.workbook, f"a sheet '{stand.sheet}'", "none")


def none_readable(kind: Kind, rows: Iterable[Unread]) -> str:
    """Why a table of which some row is there gives no id: of one that has no file, the workbooks that may hold it."""
    files = {row.where.file for row in rows}
    books = listed(sorted(files)) if kind.table.file not in files else ""
    return f"{NONE_READABLE}{MAY_HOLD}{books})" if books else NONE_READABLE
