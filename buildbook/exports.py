"""What an evidence package exports, made a second time from its own book and its tables as received."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace

from buildbook import __version__
from buildbook.chapters import CHECKS, TABLES
from buildbook.core.published import JSON
from buildbook.core.record import Record
from buildbook.parcel.csv_text import plain
from buildbook.parcel.follows import Edition, Given, differences
from buildbook.readers.gather import parsed
from buildbook.readers.refused import Refused
from buildbook.readers.table import RawTable
from buildbook.render.jsonfile import NotABook, read_book
from buildbook.seal.derived import Exported, NotCompared


def differing(package: Exported) -> Iterable[tuple[str, str]]:
    """The exported files of an evidence package that do not follow from its book and its tables as received.

    Yields each name below the top folder with the first thing that differs; empty where it is missing. Raises
    NotCompared where another edition of this program made them, ValueError where they are no data of a book.
    """

    def parse(kind: type[Record], data: bytes, in_part: bool) -> tuple[Record, ...]:
        def meant(raw: RawTable) -> RawTable:
            return replace(raw, rows=tuple(replace(row, cells=tuple(map(plain, row.cells))) for row in raw.rows))

        try:
            return parsed(kind, data, meant=meant)[1].records if in_part else parsed(kind, data)[1].records
        except Refused:
            return ()

    version = _version(package.book)
    if version != __version__:
        raise NotCompared(f"buildbook {version} made them, and this is {__version__}")
    try:
        book = read_book(package.book, JSON)
    except NotABook as why:
        raise ValueError(str(why)) from None
    given = Given(book, package.names, package.sums, package.read)
    return differences(given, Edition(TABLES, CHECKS, parse))


def _version(book: bytes) -> str:
    """The edition that made a book: asked first, since the form of its data may be another, too."""
    data = json.loads(book)
    version = data.get("version") if isinstance(data, dict) else None
    if not isinstance(version, str):
        raise ValueError(f"{JSON} does not say which edition made it")
    return version
