"""The evidence package: everything that goes into it, and what each part is."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from typing import Any, BinaryIO

from buildbook.core.book import Book
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence, reasons
from buildbook.core.published import CELL, JSON, Withheld, WithheldKind
from buildbook.core.record import Record
from buildbook.parcel import findings
from buildbook.parcel.bag import Member, held, on_demand, write_bag
from buildbook.parcel.csv_text import csv_bytes
from buildbook.parcel.schema import resource_name, table_schema
from buildbook.parcel.worked import Behind, worked_texts
from buildbook.render.jsonfile import read_book
from buildbook.render.streamed import Make, Sink

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
NOT_USED: dict[str, Any] = {
    "fields": [
        {"name": "file", "type": "string", "description": "Table", "constraints": {"required": True}},
        {"name": "line", "type": "integer", "description": "Line as received; empty where it is the whole table"},
        {
            "name": "why",
            "type": "string",
            "description": "Why it is not used or in doubt",
            "constraints": {"required": True},
        },
    ],
    "missingValues": [""],
}
ABOUT = (
    "The records of one hull as received (evidence/received) and readable (tables), with every finding (findings.csv) "
    "and how it was worked out (worked). Numbers carry full digits in the units of the schema. In tables, findings.csv "
    "and rows-not-used.csv a cell of text that a spreadsheet would run as a formula has an apostrophe before it; the "
    "files as received are untouched. SHA256SUMS lists the digests; its own SHA-256 is the digest printed in the book."
)

NOT_USED_HEADS = ("file", "line", "why")
OpenRaw = Callable[[str], AbstractContextManager[BinaryIO]]


@dataclass(frozen=True, slots=True)
class Contents:
    """What a package is made from: the book, the evidence behind it, its tables and checks, a reader of raw records.

    `edition` says which program makes it, as `bag-info.txt` is to say it: label and value.
    """

    book: Book
    evidence: Evidence
    tables: Sequence[type[Record]]
    checks: Sequence[Check]
    open_raw: OpenRaw
    edition: Sequence[tuple[str, str]] = ()


def packed(contents: Contents, top: str, files: Mapping[str, bytes]) -> Make:
    """What writes the package, the same bytes each time.

    Args:
        contents: what it is made from.
        top: the folder inside the ZIP file.
        files: what goes in as it stands in the output folder: digests, book.json, tables as received, documents.

    Returns:
        A function that writes to a sink; it raises `bag.Changed` where a raw record is no longer what the book says.
    """
    book = read_book(files[JSON], JSON)  # as anybody reads it, so that who has only that can make the same
    contents = replace(contents, book=book)
    made = _tables(contents)
    made["findings.csv"] = csv_bytes([column.name for column in findings.COLUMNS], findings.rows(book))
    texts = {f"worked/{number}.txt": text for number, text in _worked(contents)}
    raw = [_raw(it.file, it.bytes, it.sha256, contents.open_raw) for it in book.raw_files if not is_held(book, it.file)]
    whole = [held(name, data) for name, data in {**files, **made, **texts}.items()]
    described = held("datapackage.json", descriptor(book, contents.tables, [*whole, *raw]))
    members, about = [*whole, *raw, described], info(book, contents.edition)

    def make(sink: Sink) -> None:
        write_bag(top, members, about, sink)

    return make


def is_held(book: Book, file: str) -> bool:
    """Whether a file is withheld whole."""
    return any(it.file == file and not it.column for it in book.withheld)


def _raw(file: str, size: int, sha256: str, open_raw: OpenRaw) -> Member:
    return on_demand(f"raw/{file}", size, sha256, lambda: open_raw(file), file)


def hidden_columns(book: Book) -> dict[str, set[str]]:
    """The withheld columns by the file of their table, as the record class calls them."""
    found: dict[str, set[str]] = {}
    heads = {(table.file, column.head): column.name for table in book.tables for column in table.columns}
    for it in book.withheld:
        if it.kind is WithheldKind.COLUMN:
            found.setdefault(it.file, set()).add(heads[it.file, it.column])
    return found


def shown(book: Book, tables: Iterable[type[Record]]) -> tuple[type[Record], ...]:
    """The tables that are there and not withheld whole."""
    there = {table.file for table in book.tables if table.sha256}
    return tuple(kind for kind in tables if kind.table.file in there and not is_held(book, kind.table.file))


def _tables(contents: Contents) -> dict[str, bytes]:
    """Every table readable, by its name in the package, and the rows that are not used."""
    evidence, hidden = contents.evidence, hidden_columns(contents.book)
    made = {}
    for kind in shown(contents.book, contents.tables):
        names, unseen = tuple(kind.columns()), hidden.get(kind.table.file, set())
        rows = (
            (row.where.line, *(CELL if name in unseen else getattr(row, name) for name in names))
            for row in evidence.records.get(kind, ())
        )
        made[f"tables/{kind.table.file}"] = csv_bytes(("row", *names), rows)
    made["rows-not-used.csv"] = csv_bytes(NOT_USED_HEADS, _not_used(contents))
    return made


def _not_used(contents: Contents) -> Iterator[tuple[Any, ...]]:
    """Each row that is not used or in doubt once, with every reason."""
    for kind in contents.tables:
        file = kind.table.file
        for line, why in reasons(contents.evidence.unread.get(kind, ())).items():
            yield file, line, CELL if is_held(contents.book, file) else why


def _worked(contents: Contents) -> Iterator[tuple[str, bytes]]:
    return worked_texts(contents.book, contents.checks, Behind.of(contents.evidence, hidden_columns(contents.book)))


def descriptor(book: Book, kinds: Iterable[type[Record]], members: Sequence[Member]) -> bytes:
    """What datapackage.json says of the members; tables and findings must be among them."""
    by_name = {member.name: member for member in members}
    there, hidden = shown(book, kinds), hidden_columns(book)
    tables = {
        f"tables/{kind.table.file}": (kind.table.title, table_schema(kind, there, hidden.get(kind.table.file, ())))
        for kind in there
    }
    tables["findings.csv"] = ("Findings", findings.schema())
    tables["rows-not-used.csv"] = ("Rows that are not used, or in doubt", NOT_USED)
    resources = [_table(by_name[path], title, schema) for path, (title, schema) in tables.items()]
    for number, it in enumerate(book.raw_files, start=1):
        if f"raw/{it.file}" in by_name:
            resources.append(_file(by_name[f"raw/{it.file}"], f"raw-{number}", "Raw record", it.file))
    for number, paper in enumerate(book.documents, start=1):
        if paper.out in by_name:
            title = f"{paper.document}: {paper.title}"
            resources.append(_file(by_name[paper.out], f"document-{number}", title, paper.file))
    made: dict[str, Any] = {
        "$schema": PROFILE,
        "name": "evidence",
        "title": book.title,
        "description": " ".join(part for part in (ABOUT, _held_words(book), book.hull.label) if part),
        "version": book.version,
        "withheld": [_held(it) for it in book.withheld],
        "resources": resources,
    }
    return (json.dumps(made, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def _table(member: Member, title: str, schema: dict[str, Any]) -> dict[str, Any]:
    name = resource_name(member.name.removeprefix("tables/"))
    return {
        "name": name,
        "type": "table",
        "path": member.name,
        "title": title,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": member.size,
        "hash": f"sha256:{member.sha256}",
        "schema": schema,
    }


def _file(member: Member, name: str, title: str, given: str) -> dict[str, Any]:
    return {
        "name": name,
        "path": member.name,
        "title": title,
        "description": given,
        "bytes": member.size,
        "hash": f"sha256:{member.sha256}",
    }


def _held(it: Withheld) -> dict[str, Any]:
    return {
        "what": it.words,
        "file": it.file,
        "column": it.column,
        "name": it.name,
        "instead": it.instead,
        "bytes": it.bytes,
        "hash": f"sha256:{it.sha256}",
        "said": f"Withheld by the yard. Ask {it.ask} for it.",
    }


def _held_words(book: Book) -> str:
    told = "; ".join(it.words for it in book.withheld)
    return f"Withheld by the yard: {told}." if told else ""


def info(book: Book, edition: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """What bag-info.txt says, with `edition` in it; no date, since nothing in a build asks a clock."""
    said = [
        ("Source-Organization", book.hull.builder),
        ("External-Identifier", book.hull.number),
        ("External-Description", f"{book.title}. {book.hull.label}".strip()),
        ("Bag-Software-Agent", f"buildbook {book.version}"),
        *edition,
    ]
    said += [("Withheld", f"{it.words}; {it.bytes} bytes; SHA-256 {it.sha256}; ask {it.ask}") for it in book.withheld]
    return tuple((label, value) for label, value in said if value)
