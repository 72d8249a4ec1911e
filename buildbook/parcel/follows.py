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
from buildbook.core.published import CELL, IN_PART, JSON, RECEIVED, SUMS
from buildbook.core.record import Record
from buildbook.parcel import findings
from buildbook.parcel.bag import Member, held, tags
from buildbook.parcel.csv_text import cell, csv_bytes
from buildbook.parcel.evidence_package import NOT_USED_HEADS, descriptor, hidden_columns, info, is_held, shown
from buildbook.parcel.worked import Behind, worked_texts
from buildbook.render.jsonfile import schema_json

FINDINGS, NOT_USED, DESCRIPTION, SCHEMA = "findings.csv", "rows-not-used.csv", "datapackage.json", "book.schema.json"
UNASKED = "nothing in book.json says that it belongs here"
LONGEST = 60  # characters of a cell in a message

Parse = Callable[[type[Record], bytes, bool], tuple[Record, ...]]
Read = Callable[[str], bytes]
Rows = Mapping[int | None, Record]


@dataclass(frozen=True, slots=True)
class Edition:
    """What this edition of the program makes a package with: tables, checks, and how a table becomes rows.

    `parse` takes a table by its class and bytes, and whether they are a copy without what is withheld.
    """

    tables: Sequence[type[Record]]
    checks: Sequence[Check]
    parse: Parse


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

    Args:
        given: the package. Its tables as received, documents and raw records are taken as compared already.
        edition: the program; it must be of the version that made the book.

    Returns:
        Name below the top folder, and why, in the order in which they are compared.
    """
    book, wanted = given.book, dict(_wanted(given, edition))
    for name, compare in wanted.items():
        if name not in given.names:
            yield name, ""
        elif why := compare(given.read(name)):
            yield name, why
    known = {*wanted, *(f"data/{name}" for name in _under_digest(book)), *TAGS}
    for name in sorted(set(given.names) - known):
        yield name, UNASKED


TAGS = ("bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt")
Compare = Callable[[bytes], str]


def _under_digest(book: Book) -> Iterator[str]:
    yield from (SUMS, JSON, f"{RECEIVED}hull.toml")
    yield from (f"{RECEIVED}{view.file}" for view in book.tables if view.sha256)
    yield from (it.instead for it in book.withheld if it.instead)
    yield from (it.out for it in book.documents if it.out)
    yield from (f"raw/{it.file}" for it in book.raw_files)


def _wanted(given: Given, edition: Edition) -> Iterator[tuple[str, Compare]]:
    """Every exported file with what compares it."""
    book = given.book
    table = csv_bytes([column.name for column in findings.COLUMNS], findings.rows(book))
    yield f"data/{FINDINGS}", lambda data: first_row(table, data)
    used: dict[type[Record], tuple[Record, ...]] = {}
    for kind in shown(book, edition.tables):
        name = f"data/tables/{kind.table.file}"
        parsed = {row.where.line: row for row in edition.parse(kind, *_received(given, kind))}
        rows = _used(book, kind, parsed, _lines(given.read(name)) if name in given.names else set())
        used[kind] = tuple(rows.values())
        yield name, _Readable(book, kind, rows)
    yield f"data/{NOT_USED}", lambda data: _not_used(book, data)
    yield "data/" + SCHEMA, lambda data: _first_line(schema_json(), data)
    hidden = hidden_columns(book)
    for number, text in worked_texts(book, edition.checks, Behind.of_rows(used.values(), hidden)):
        yield f"data/worked/{number}.txt", _Text(text)
    members = [
        Member(name.removeprefix("data/"), *given.sums[name], lambda: iter(()))
        for name in given.names
        if name.startswith("data/") and name != f"data/{DESCRIPTION}" and name in given.sums
    ]
    if {f"data/tables/{kind.table.file}" for kind in used} <= set(given.names):
        yield f"data/{DESCRIPTION}", lambda data: _first_line(descriptor(book, edition.tables, members), data)
    described = held(DESCRIPTION, given.read(f"data/{DESCRIPTION}")) if f"data/{DESCRIPTION}" in given.names else None
    for name, text in tags([*members, *([described] if described else [])], info(book))[:2]:
        yield name, _Text(text)


def _received(given: Given, kind: type[Record]) -> tuple[bytes, bool]:
    """A table as received, or its copy without what is withheld and True; nothing where it is not there."""
    names = (f"data/{RECEIVED}{kind.table.file}", f"data/{IN_PART}{kind.table.file}")
    return next(((given.read(name), name == names[1]) for name in names if name in given.names), (b"", False))


@dataclass(frozen=True, slots=True)
class _Text:
    text: bytes

    def __call__(self, data: bytes) -> str:
        return _first_line(self.text, data)


@dataclass(frozen=True, slots=True)
class _Readable:
    """A readable table against the rows that it should have, by line."""

    book: Book
    kind: type[Record]
    rows: Rows

    def __call__(self, data: bytes) -> str:
        names = tuple(self.kind.columns())
        unseen = hidden_columns(self.book).get(self.kind.table.file, set())
        expected = (
            (line, *(CELL if name in unseen else getattr(row, name) for name in names))
            for line, row in self.rows.items()
        )
        return first_row(csv_bytes(("row", *names), expected), data)


def _used(book: Book, kind: type[Record], rows: Rows, present: Collection[str]) -> Rows:
    """The rows that a readable table should have: all that the book uses without a doubt, of the others those there.

    A row in doubt may stand in it or not, as the program read it; the book does not say which.
    """
    views = (view.rows for view in book.tables if view.file == kind.table.file)
    faults = {row.line: row.fault for view in views for row in view}
    return {line: row for line, row in rows.items() if str(line) in present or not faults.get(line or 0)}


def _lines(data: bytes) -> set[str]:
    """The lines as received that a readable table has rows of."""
    return {row[0] for row in _rows(data)[1:] if row}


def _not_used(book: Book, data: bytes) -> str:
    """Rows that are not used or in doubt: each that the book tells is here, and none that it uses without a doubt."""
    rows = _rows(data)
    if not rows or rows[0] != list(NOT_USED_HEADS):
        return f"its first row is not {', '.join(NOT_USED_HEADS)}"
    views = {view.file: {str(row.line): row.fault for row in view.rows} for view in book.tables}
    for number, row in enumerate(rows[1:], start=2):
        if len(row) != len(NOT_USED_HEADS) or row[0] not in views or not views[row[0]].get(row[1], "it has no row"):
            return f"row {number}: book.json uses {':'.join(row[:2])[:LONGEST]} without a doubt"
    told = {tuple(row) for row in rows}
    for file, faults in views.items():
        for line, why in faults.items():
            if why and (file, line, CELL if is_held(book, file) else cell(why)) not in told:
                return f"{file}:{line} is not in it with the reason that book.json gives"
    return ""


def _rows(data: bytes) -> list[list[str]]:
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
    heads, *_ = wanted = _rows(expected)
    for number, (row, there) in enumerate(zip_longest(wanted, _rows(data)), start=1):
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
    return f"'{text if len(text) <= LONGEST else text[:LONGEST] + '…'}'"


def _first_line(expected: bytes, data: bytes) -> str:
    if expected == data:
        return ""
    pairs = enumerate(zip_longest(expected.splitlines(), data.splitlines()), start=1)
    number = next((number for number, (one, other) in pairs if one != other), 1)
    return f"line {number} is not what book.json gives"
