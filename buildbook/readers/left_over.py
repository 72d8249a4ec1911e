"""Files that no reader opens: one that is probably a table under another name, and records that no row names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.folder import Folder
from buildbook.readers.table import RawTable

FILE = "file"  # the column of a table whose rows name a file of the folder each
ENDINGS = ("csv", "tsv", "tab", "txt", "xls", "ods", "")  # of files that may have been meant as a table
_WORKBOOKS = ("xls", "ods")  # of other programs: they have to be saved as .xlsx, or a sheet as CSV, first
TOP = "register"  # the workbook of the tables that lie in no folder
INDEX = "_index"  # behind the name of a .tdms file: what programs write beside a record, in which everything stands
EXPECTED_BOOK = "a workbook (.xlsx)"
MOST_WITHIN = 6  # tables that a workbook may hold, told by name
SPELLED_ALIKE = 0.8  # of the letters of a name
NAMED_ALIKE = 0.9  # of the whole path: so alike that it is a slip

_WORD = re.compile(r"[^\W\d_]+")
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")


@dataclass(frozen=True, slots=True)
class Meant:
    """The table that a file was probably meant for. `surely`: its name differs by a number, a sign or a slip only."""

    file: str
    surely: bool


def table_meant(name: str, tables: Iterable[str]) -> Meant | None:
    """The table that a file under another name is probably meant for, or None.

    Args:
        name: the file, relative to the folder.
        tables: the files that are read as tables.
    Example:
        >>> table_meant("coating/gloss_2026.csv", ["coating/gloss.csv", "plan.csv"])
        Meant(file='coating/gloss.csv', surely=True)
        >>> table_meant("notes.txt", ["coating/gloss.csv", "plan.csv"])
    """
    ending = _last(name).rpartition(".")[2].lower() if "." in _last(name) else ""
    if ending not in ENDINGS or not _words(_stem(name)):
        return None
    ranked = [(_nearness(name, table), table) for table in sorted(tables)]
    best, file = max(ranked, key=lambda pair: pair[0], default=((0, 0, False, 0.0), ""))
    return Meant(file, best[0] == _SAME or best[3] >= NAMED_ALIKE) if best[0] else None


_SAME, _AMONG, _ALIKE, _FAR = 3, 2, 1, 0


def _nearness(name: str, table: str) -> tuple[int, int, bool, float]:
    """How near two names are: kind of likeness, words of the path they share, same folder or not, likeness of paths."""
    mine, its = _words(_stem(name)), _words(_stem(table))
    path = difflib.SequenceMatcher(None, name.casefold(), table.casefold()).ratio()
    letters = difflib.SequenceMatcher(None, "".join(mine), "".join(its)).ratio()
    if "".join(mine) == "".join(its):
        kind = _SAME
    elif set(its) <= set(mine):
        kind = _AMONG
    else:
        kind = _ALIKE if letters >= SPELLED_ALIKE else _FAR
    shared = set(_words(name.rpartition(".")[0])) & set(_words(table.rpartition(".")[0]))
    return kind, len(shared), name.rpartition("/")[0] == table.rpartition("/")[0], path


def _last(name: str) -> str:
    return name.rpartition("/")[2]


def _stem(name: str) -> str:
    return _last(name).partition(".")[0]


def _words(text: str) -> list[str]:
    """The words of a name in small letters, without numbers: of `FilmThickness_2026` film and thickness."""
    return [word.casefold() for word in _WORD.findall(_HUMP.sub(" ", text))]


def named_by_rows(folder: Folder, raw: Mapping[type[Record], RawTable | None]) -> frozenset[str]:
    """The files of the folder that rows name, readable or not, whatever column the name slipped to."""
    tables = [table for kind, table in raw.items() if table is not None and FILE in kind.columns()]
    cells = {cell.strip() for table in tables for row in table.rows for cell in row.cells}
    return frozenset(cells.intersection(folder.names()))


def not_as_tables(
    folder: Folder, tables: Collection[str], named: Collection[str], absent: Collection[str]
) -> Iterable[tuple[Fault, str]]:
    """Files that are probably tables under another name, each with the table where that is missing and it surely is it.

    Args:
        folder: the hull folder.
        tables: the files that are read as tables.
        named: the files that rows name.
        absent: the tables that stand nowhere in the folder.
    Returns:
        A fault where the table is missing and this is surely it, with that table; else a notice that asks, and ''.
    """
    for name in folder.names():
        meant = None if name in tables or name in named else table_meant(name, tables)
        if meant is None:
            if _workbook(name) and name not in named:
                yield from _old_workbook(name, sorted(absent))
            continue
        missing = meant.file in absent
        if missing and meant.surely:
            effect = f"It is not read; {_remedy(name, meant.file)}, that is where this table belongs."
            yield Fault(Where(name), f"this table as {meant.file}", f"'{name}'", effect), meant.file
            continue
        too = "" if missing else " That is in the folder, too."
        saved = f" Then {_remedy(name, meant.file)}." if missing and _workbook(name) else ""
        effect = f"It is not read. Is this {meant.file}?{too}{saved}"
        expected = "the name of a table, or a row that names this file"
        yield Fault(Where(name), expected, f"'{name}', which nothing uses", effect, Severity.NOTICE), ""


def _old_workbook(name: str, absent: Sequence[str]) -> Iterable[tuple[Fault, str]]:
    """What is told of a workbook that no reader opens, with each of the missing tables that it may hold."""
    within = [table for table in absent if _may_hold(name, table)]
    remedy = f"save it as {name.rpartition('.')[0]}.xlsx"
    found = f"a workbook of another kind (.{name.rpartition('.')[2]})"
    if not within:
        effect = f"It is not read. If tables stand in it, {remedy}."
        yield Fault(Where(name), EXPECTED_BOOK, found, effect, Severity.NOTICE), ""
    for table in within:
        shown = listed(within[:MOST_WITHIN])
        more = f" and {len(within) - MOST_WITHIN} more" if len(within) > MOST_WITHIN else ""
        effect = f"It is not read; {remedy}. These tables are missing and may stand in it: {shown}{more}."
        yield Fault(Where(name), EXPECTED_BOOK, found, effect), table


def _may_hold(book: str, table: str) -> bool:
    """Whether a workbook is called like the folder of a table, or lies in it."""
    folder = table.rpartition("/")[0]
    if not folder:
        return _words(_stem(book)) == [TOP] and "/" not in book
    lies = book.rpartition("/")[0]
    return _words(lies) == _words(folder) or (not lies and _words(_stem(book)) == _words(folder))


def _workbook(name: str) -> bool:
    return _last(name).rpartition(".")[2].lower() in _WORKBOOKS


def _remedy(name: str, table: str) -> str:
    """What to do with a file, so that it becomes this table."""
    if not _workbook(name):
        return f"name it {table}"
    return f"save it as {table.removesuffix('.csv')}.xlsx, or the sheet as CSV under the name {table}"


def is_index(name: str, known: Collection[str]) -> bool:
    """Whether a file is the index of a record among these, as the program that recorded it writes it beside.

    >>> is_index("raw/V1.tdms_index", {"raw/V1.tdms"}), is_index("raw/V2.tdms_index", {"raw/V1.tdms"})
    (True, False)
    """
    return name.lower().endswith(f".tdms{INDEX}") and name[: -len(INDEX)] in known


def named_by_nobody(folder: Folder, opened: Iterable[str], known: Collection[str]) -> Iterable[Fault]:
    """Files that lie among the records and that no row names: perhaps a row was forgotten, or taken out.

    Args:
        folder: the hull folder.
        opened: the records that were opened.
        known: the files that are read, that a row names, or of which something else is told.
    """
    places = {name.rpartition("/")[0] for name in opened} - {""}
    for name in folder.names():
        if name.rpartition("/")[0] in places and name not in known and not is_index(name, known):
            expected = "a row that names this file, as for the others beside it"
            yield Fault(Where(name), expected, "none", "It is not read.", Severity.NOTICE)
