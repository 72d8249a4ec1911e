"""What an evidence package exports, made a second time from its own book and its tables as received."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache

from buildbook import __version__
from buildbook.chapters import CHECKS, TABLES
from buildbook.core.book import Book
from buildbook.core.published import JSON
from buildbook.core.record import Record
from buildbook.core.stand import FILE_ITSELF, Stand
from buildbook.edition import SHAPED, SUM, other_edition
from buildbook.parcel.csv_text import plain
from buildbook.parcel.follows import Edition, Given, differences
from buildbook.readers.columns_file import columns_from
from buildbook.readers.gather import parsed
from buildbook.readers.own_columns import OwnColumns, in_our_names
from buildbook.readers.refused import Refused
from buildbook.readers.table import RawTable, head_of
from buildbook.render.jsonfile import NotABook, read_book
from buildbook.seal.derived import Again, Exported, NotCompared

INFO = "bag-info.txt"
MOST_INFO = 1 << 20


def differing(package: Exported) -> Again:
    """The exported files of an evidence package that do not follow from its book and its tables as received.

    Returns each name below the top folder with the first thing that differs, and whether the package says that this
    very program wrote it. Raises NotCompared where a program of another version did, ValueError where they are no data
    of a book.
    """

    def parse(kind: type[Record], data: bytes, in_part: bool, columns: bytes, stand: Stand) -> tuple[Record, ...]:
        own = own_columns(columns).of(kind)

        def meant(raw: RawTable) -> RawTable:
            return replace(in_our_names(_as_typed(raw), own, kind), stands=stand) if in_part else raw

        try:
            return parsed(kind, data, meant=meant, own=own, stand=FILE_ITSELF if in_part else stand)[1].records
        except Refused:
            return ()

    book = same_version(package.book)
    given, said = Given(book, package.names, package.sums, package.read), _said(package)
    return Again(differences(given, Edition(TABLES, CHECKS, parse, said)), other_edition(said))


@lru_cache(maxsize=1)
def own_columns(data: bytes) -> OwnColumns:
    """What columns.toml of a package says."""
    return columns_from(data, TABLES)


def _as_typed(raw: RawTable) -> RawTable:
    """A copy of a table without the apostrophes that we put before its heads and cells."""
    heads = tuple(head_of(plain(item.text), item.index) for item in raw.heads)
    return replace(raw, heads=heads, rows=tuple(replace(row, cells=tuple(map(plain, row.cells))) for row in raw.rows))


def _said(package: Exported) -> tuple[tuple[str, str], ...]:
    """What a package says of the program that wrote it: label and value, no more than once each."""
    if package.sums.get(INFO, (MOST_INFO, ""))[0] >= MOST_INFO:
        return ()
    found = (line.partition(": ") for line in package.read(INFO).decode("utf-8", "replace").splitlines())
    said = {label: value for label, _, value in found if label in (SUM, SHAPED)}
    return tuple((label, said[label]) for label in (SUM, SHAPED) if label in said)


def same_version(data: bytes) -> Book:
    """The book that a program of this version wrote.

    Raises:
        NotCompared: a program of another version did.
        ValueError: they are no data of a book.
    """
    version = _version(data)
    if version != __version__:
        raise NotCompared(f"buildbook {version} made them, and this is {__version__}")
    try:
        return read_book(data, JSON)
    except NotABook as why:
        raise ValueError(str(why)) from None


def _version(book: bytes) -> str:
    """The edition that made a book: asked first, since the form of its data may be another, too."""
    data = json.loads(book)
    version = data.get("version") if isinstance(data, dict) else None
    if not isinstance(version, str):
        raise ValueError(f"{JSON} does not say which edition made it")
    return version
