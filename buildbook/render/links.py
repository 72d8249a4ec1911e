"""Where things stand: addresses of pages, findings, rows, files and sources, on the site and in the printed book."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from urllib.parse import quote

from buildbook.core.book import Book
from buildbook.core.published import COLUMNS_FILE, RECEIVED, Support
from buildbook.core.where import Where
from buildbook.render.on_her import ToMark, ways
from buildbook.render.prose import anchor

HULL_FILE = "hull.toml"
TEXTS = (HULL_FILE, COLUMNS_FILE)  # files of the folder that are no tables and are shown line by line


@dataclass(frozen=True, slots=True)
class Links:
    """Addresses as one page writes them.

    `prefix` leads from the page to the top of the site; `here` is the page itself, whose places are named by their
    anchor alone. A printed book has no other pages: there an address is an anchor in the book, or empty where the thing
    is not printed.
    """

    prefix: str
    printed: bool
    findings: Mapping[str, tuple[str, str]]
    tables: Mapping[str, str]
    lines: Mapping[str, frozenset[int]]
    sources: frozenset[str]
    marks: Mapping[str, Mapping[int, ToMark]]
    here: str = ""
    sheets: Mapping[str, str] = field(default_factory=dict)

    def on(self, name: str) -> Links:
        """The same addresses as the page of this name writes them, by its name below the top of the site."""
        return replace(self, prefix="../" * name.count("/"), here=name)

    def page(self, name: str, fragment: str = "") -> str:
        """The address of an own page or file, as `coverage.html`, or of a place on it."""
        if self.printed:
            return f"#{fragment or name.removesuffix('.html').replace('/', '-')}"
        if fragment and name == self.here:
            return f"#{quote(fragment)}"
        return f"{self.prefix}{quote(name)}{f'#{quote(fragment)}' if fragment else ''}"

    def written(self, address: str) -> str:
        """The address of an own page as prose writes it, `how-judged.html#reading` or `#reading`."""
        name, _, fragment = address.partition("#")
        return self.page(name, fragment) if name else address

    def finding(self, number: str) -> str:
        """The address of a finding by its number (`COA-04/7`), empty where there is no such number."""
        if number not in self.findings:
            return ""
        chapter, place = self.findings[number]
        return self.page(f"{chapter}.html", place)

    def table(self, file: str) -> str:
        """The address of a table in readable form, empty where the folder does not hold it."""
        if file not in self.tables:
            return ""
        return self.page(f"evidence/{self.tables[file]}.html", self.printed_table(file) if self.printed else "")

    def shown(self, file: str) -> str:
        """A table as it is called before the number of a row: its file, or its workbook and sheet."""
        return self.sheets.get(file, file)

    def printed_table(self, file: str) -> str:
        """The anchor of a table in the printed book."""
        return f"table-{self.tables[file]}"

    def row(self, file: str, line: int | None) -> str:
        """The address of a row on the site; in print that of its table, since long tables are attached."""
        if self.printed or file not in self.tables or line not in self.lines[file]:
            return self.table(file)
        return self.page(f"evidence/{self.tables[file]}.html", f"L{line}")

    def supported(self, support: Support) -> str:
        """The address of what a document supports; of several findings that of the first, empty where there is none."""
        if support.instrument:
            return self.page("instruments.html")
        if support.row is not None:
            return self.row(support.row.file, support.row.line)
        return self.finding(support.findings[0]) if support.findings else ""

    def received(self, file: str) -> str:
        """The address of a file as received; empty in print, where it is attached."""
        return "" if self.printed else self.page(RECEIVED + file)

    def way(self, number: int, chapter: str) -> ToMark | None:
        """The way to a mark: on the drawings of this chapter, else on the first page, else wherever it is drawn."""
        among = (self.marks.get(chapter, {}), self.marks.get("", {}), *self.marks.values())
        return next((ways[number] for ways in among if number in ways), None)

    def mark(self, way: ToMark) -> str:
        """The address of a mark; in print that of its line in the list beside the drawing."""
        return self.page(way.page, way.line if self.printed else way.mark)

    def mark_of_row(self, way: ToMark) -> str:
        """The address of a mark as a row of a table leads to it: on the page of the table where it is drawn there."""
        return self.page(way.row_page, way.mark) if way.row_page and not self.printed else self.mark(way)

    def source(self, key: str) -> str:
        """The address of a cited document, empty where the book does not list it."""
        return self.page("sources.html", source_anchor(key)) if key in self.sources else ""


def links(book: Book, *, printed: bool = False, texts: Mapping[str, int] = MappingProxyType({})) -> Links:
    """The addresses of one book, as words write them that any page at the top of the site may say.

    Args:
        book: the finished book.
        printed: whether they are for the printed book.
        texts: how many lines hull.toml and columns.toml have, of each that was received.

    Returns:
        The addresses.
    """
    findings = {
        item.number: (chapter.key, item.anchor)
        for chapter in book.chapters
        for check in chapter.checks
        for item in (*check.governing, *check.references)
    }
    tables = {table.file: table.anchor for table in book.tables if table.rows or not printed}
    lines = {table.file: frozenset(row.line for row in table.rows) for table in book.tables}
    for file, number in texts.items():
        if number and not printed and file not in tables:
            tables[file] = anchor(file)
            lines[file] = frozenset(range(1, number + 1))
    sources = frozenset(source.key for source in book.sources)
    sheets = {table.file: table.stands_in for table in book.tables if table.workbook}
    return Links("", printed, findings, tables, lines, sources, ways(book), sheets=sheets)


def place_words(where: Where) -> str:
    """Where somebody wrote a limit down, in words for a reader who does not know the files of the folder.

    >>> place_words(Where("hull.toml", 505, part="limits[42].high"))
    "the hull's specification, entry 42"
    >>> place_words(Where("sound/places.csv", 5, column="limit"))
    'line 5 of sound/places.csv'
    """
    if where.file != HULL_FILE:
        return where.stands_in if where.line is None else f"line {where.line} of {where.stands_in}"
    entry = re.match(r"limits\[([0-9]+)\]", where.part)
    if entry:
        return f"the hull's specification, entry {entry[1]}"
    return "the hull's specification" + (f", line {where.line}" if where.line is not None else "")


def source_anchor(key: str) -> str:
    """The anchor of a cited document.

    >>> source_anchor("ISO-8502-4")
    'source-iso-8502-4'
    """
    return f"source-{anchor(key)}"
