"""Whether the exported data of a package follow from the book's data and the records as received, made a second time.

Everything that is compared with is under the digest; what is compared is held by lists that anyone can write anew.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import zip_longest

from buildbook.core.book import Book
from buildbook.core.check import Check
from buildbook.core.published import CELL, COLUMNS_FILE, JSON, RECEIVED, SUMS
from buildbook.core.record import Record
from buildbook.core.stand import FILE_ITSELF, Stand
from buildbook.parcel import findings, not_used
from buildbook.parcel.bag import TAG_FILES, Member, held, tags
from buildbook.parcel.csv_text import csv_bytes
from buildbook.parcel.evidence_package import descriptor, hidden_columns, info, shown
from buildbook.parcel.first_text import first_text
from buildbook.parcel.worked import Behind, worked_texts
from buildbook.render.jsonfile import schema_json
from buildbook.render.sums import read_sums

FINDINGS, NOT_USED, DESCRIPTION, SCHEMA = "findings.csv", "rows-not-used.csv", "datapackage.json", "book.schema.json"
UNASKED = "nothing in book.json says that it belongs here"
ROOM = 1 << 20  # bytes that a file may have more than four times what is expected, to be read and told in detail

Parse = Callable[[type[Record], bytes, bool, bytes, Stand], tuple[Record, ...]]
Read = Callable[[str], bytes]
Rows = Mapping[int | None, Record]


@dataclass(frozen=True, slots=True)
class Edition:
    """What this edition of the program makes a package with: tables, checks, and how a table becomes rows.

    `parse` takes a table by its class and bytes, whether they are a copy without what is withheld, columns.toml, empty
    where there is none, and in which sheet the table stands where they are a workbook. `said` is what the package says
    of the edition that wrote it, label and value.
    """

    tables: Sequence[type[Record]]
    checks: Sequence[Check]
    parse: Parse
    said: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True, slots=True)
class Given:
    """A package as it lies before a reader: its book, the names below `data/`, and the bytes of each.

    `read` gives the bytes by name below the top folder, with `data/` before it where that is so.
    """

    book: Book
    names: Collection[str]
    sums: Mapping[str, tuple[int, str]]
    read: Read


def differences(given: Given, edition: Edition) -> Iterator[tuple[str, str]]:
    """Each exported file that is not what the book gives, with the first thing that differs; empty where it is missing.

    A file that is much larger than what is expected is not read. Where something is missing from which a file follows,
    that file is not compared.

    Args:
        given: the package. Its tables as received, documents and raw records are taken as compared already.
        edition: the program; it must be of the version that made the book, or what differs proves nothing.

    Returns:
        Name below the top folder, and why, in the order in which they are compared.
    """
    known = {f"data/{name}" for name in (*_under_digest(given.book), *_own_columns(given))}
    for name, wanted in _wanted(given, edition, known <= set(given.names)):
        known.add(name)
        if name not in given.names:
            yield name, ""
        elif wanted is None:
            continue
        elif given.sums[name][0] > wanted.most:
            yield name, f"it has {given.sums[name][0]} bytes, and {len(wanted.expected)} are expected"
        elif why := wanted.compare(wanted.expected, given.read(name)):
            yield name, why
    for name in sorted(set(given.names) - known - set(TAG_FILES)):
        yield name, UNASKED


@dataclass(frozen=True, slots=True)
class _Wanted:
    """The bytes that a file should have, and what names the first thing that differs; `most` bytes of it are read."""

    expected: bytes
    compare: Callable[[bytes, bytes], str]

    @property
    def most(self) -> int:
        return 4 * len(self.expected) + ROOM


def _under_digest(book: Book) -> Iterator[str]:
    """What the book names with a sum; of what is withheld only the copy without it."""
    withheld = {it.name for it in book.withheld}
    yield from (SUMS, JSON, f"{RECEIVED}hull.toml")
    tables = dict.fromkeys(f"{RECEIVED}{view.received}" for view in book.tables if view.sha256)
    yield from (name for name in tables if name not in withheld)
    yield from book.copies.values()
    yield from (it.out for it in book.documents if it.out)
    raw = (f"raw/{it.file}" for it in book.raw_files)
    yield from (name for name in raw if name not in withheld)


def _own_columns(given: Given) -> tuple[str, ...]:
    """columns.toml, where the list whose digest the book prints names one."""
    name, sums = f"{RECEIVED}{COLUMNS_FILE}", f"data/{SUMS}"
    listed = sums in given.names and name in read_sums(given.read(sums)).by_name
    return (name,) if listed else ()


def _wanted(given: Given, edition: Edition, whole: bool) -> Iterator[tuple[str, _Wanted | None]]:
    """Every exported file with what compares it; None where it cannot be, since not all it follows from is there.

    `whole` tells that everything under the digest is there.
    """
    book = given.book
    made = {f"data/{FINDINGS}": csv_bytes([column.name for column in findings.COLUMNS], findings.rows(book))}
    yield f"data/{FINDINGS}", _Wanted(made[f"data/{FINDINGS}"], first_row)
    used: list[tuple[Record, ...]] = []
    own = [f"data/{one}" for one in _own_columns(given)]
    words = b"".join(given.read(one) for one in own if one in given.names)
    for kind in shown(book, edition.tables):
        name, data = f"data/tables/{kind.table.file}", _received(given, kind)
        if data is None or not set(own) <= set(given.names):
            yield name, None
            continue
        rows = _used(given, kind, {row.where.line: row for row in edition.parse(kind, *data[:2], words, data[2])})
        used.append(tuple(rows.values()))
        made[name] = _readable(book, kind, rows)
        yield name, _Wanted(made[name], first_row)
    made[f"data/{NOT_USED}"] = not_used.expected(book)
    yield f"data/{NOT_USED}", _Wanted(made[f"data/{NOT_USED}"], lambda _, data: not_used.differs(book, rows_of(data)))
    made[f"data/{SCHEMA}"] = schema_json()
    yield f"data/{SCHEMA}", _Wanted(made[f"data/{SCHEMA}"], first_text)
    for number, text in worked_texts(book, edition.checks, Behind.of_rows(used, hidden_columns(book))):
        made[f"data/worked/{number}.txt"] = text
        yield f"data/worked/{number}.txt", _Wanted(text, first_text) if whole else None
    yield from _describing(given, edition, made, whole and f"data/{NOT_USED}" in given.names)


def _describing(
    given: Given, edition: Edition, made: Mapping[str, bytes], whole: bool
) -> Iterator[tuple[str, _Wanted | None]]:
    """What tells names, sizes and sums of the others: of those that are missing, as they should be."""
    names = (f"data/{DESCRIPTION}", *TAG_FILES[:2])
    if not whole:
        yield from ((name, None) for name in names)
        return
    there = [name for name in given.names if name.startswith("data/") and name != names[0] and name in given.sums]
    members = [Member(name.removeprefix("data/"), *given.sums[name], lambda: iter(())) for name in there]
    members += [held(name.removeprefix("data/"), data) for name, data in made.items() if name not in given.names]
    told = descriptor(given.book, edition.tables, members)
    yield names[0], _Wanted(told, first_text)
    size, sha256 = given.sums.get(names[0], (len(told), ""))
    described = Member(DESCRIPTION, size, sha256, lambda: iter(()))
    for name, text in tags([*members, described], info(given.book, edition.said))[:2]:
        yield name, _Wanted(text, first_text)


def _received(given: Given, kind: type[Record]) -> tuple[bytes, bool, Stand] | None:
    """A table as received and where it stands, or the copy of it and True where one is published; None where missing.

    Of a table that is withheld in part and has no copy, nothing.
    """
    file, copies = kind.table.file, given.book.copies
    view = next(view for view in given.book.tables if view.file == file)
    kept = {it.name for it in given.book.withheld}
    if file not in copies and RECEIVED + view.received in kept:
        return b"", False, FILE_ITSELF
    name = copies.get(file, f"{RECEIVED}{view.received}")
    stand = Stand(view.workbook, view.sheet)
    return (given.read(f"data/{name}"), file in copies, stand) if f"data/{name}" in given.names else None


def _readable(book: Book, kind: type[Record], rows: Rows) -> bytes:
    """A readable table with these rows, by line."""
    names = tuple(kind.columns())
    unseen = hidden_columns(book).get(kind.table.file, set())
    cells = ((line, *(CELL if name in unseen else getattr(row, name) for name in names)) for line, row in rows.items())
    return csv_bytes(("row", *names), cells)


def _used(given: Given, kind: type[Record], rows: Rows) -> Rows:
    """The rows that a readable table should have: all that the book uses without a doubt, of the others those there.

    A row in doubt may stand in it or not, as the program read it; the book does not say which.
    """
    views = (view.rows for view in given.book.tables if view.file == kind.table.file)
    faults = {row.line: row.fault for view in views for row in view}
    doubted = {line for line in rows if faults.get(line or 0)}
    if not doubted:
        return rows
    name = f"data/tables/{kind.table.file}"
    most = _Wanted(_readable(given.book, kind, rows), first_row).most
    there = rows_of(given.read(name))[1:] if name in given.names and given.sums[name][0] <= most else ()
    present = {row[0] for row in there if row}
    return {line: row for line, row in rows.items() if line not in doubted or str(line) in present}


def rows_of(data: bytes) -> list[list[str]]:
    """The rows of a table; of one that is no CSV text, those up to there."""
    made: list[list[str]] = []
    with suppress(UnicodeDecodeError, csv.Error):
        made.extend(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))
    return made


def first_row(expected: bytes, data: bytes) -> str:
    """The first row of a table, counted from 1 with its heads, that is not as expected; empty where all are.

    Example:
        >>> first_row(b"a,b\\n1,2\\n", b"a,b\\n1,3\\n")
        "row 2, column b: found '3', expected '2'"
        >>> first_row(b"a\\n1\\n", b"a\\n"), first_row(b"a\\n", b"a\\n")
        ("row 2: found none, expected '1'", '')
    """
    if expected == data:
        return ""
    heads, *_ = wanted = rows_of(expected)
    for number, (row, there) in enumerate(zip_longest(wanted, rows_of(data)), start=1):
        if row is None or there is None:
            return f"row {number}: found {_shown(there)}, expected {_shown(row)}"
        for head, cell_wanted, cell_there in zip_longest(heads, row, there):
            if cell_wanted != cell_there:
                column = f", column {head}" if head and number > 1 else ""
                return f"row {number}{column}: found {_quoted(cell_there)}, expected {_quoted(cell_wanted)}"
    return "its cells are the same and its bytes are not"


def _shown(row: Sequence[str] | None) -> str:
    return "none" if row is None else _quoted(",".join(row))


def _quoted(text: str | None) -> str:
    if text is None:
        return "nothing"
    return f"'{text if len(text) <= not_used.LONGEST else text[: not_used.LONGEST] + '…'}'"
