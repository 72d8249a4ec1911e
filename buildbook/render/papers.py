"""Documents and withheld things as pages look them up: by instrument, by finding, by row, by file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from buildbook.core.book import Book
from buildbook.core.published import DocumentFile, Withheld

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Papers:
    """Documents by what they support, and what is withheld by its file.

    `given` are the published files that the rows of a table name, by the table and what stands in the cell, name or
    id; `packed` those that are in the evidence package alone.
    """

    instruments: Mapping[str, tuple[DocumentFile, ...]]
    findings: Mapping[str, tuple[DocumentFile, ...]]
    rows: Mapping[str, tuple[tuple[int, DocumentFile], ...]]
    withheld: Mapping[str, tuple[Withheld, ...]]
    raw_files: tuple[str, ...]
    given: Mapping[str, Mapping[str, str]]
    packed: Mapping[str, tuple[str, ...]]


def papers(book: Book) -> Papers:
    """The documents and the withheld things of a book, by what a page asks for."""
    raw_files = [it for it in book.raw_files if it.file not in {held.file for held in book.withheld}]
    links = [(document, link) for document in book.documents for link in document.supports]
    return Papers(
        _by((link.instrument, document) for document, link in links if link.instrument),
        _by((number, document) for document, link in links for number in link.findings),
        _by((link.row.file, (link.row.line or 0, document)) for document, link in links if link.row is not None),
        _by((it.file, it) for it in book.withheld),
        tuple(it.file for it in raw_files),
        _given(book),
        _by((where.file, it.file) for it in raw_files for where in it.at),
    )


def _given(book: Book) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for photograph in book.photographs:
        found.setdefault(photograph.at.file, {})[photograph.file] = photograph.out
    for it in book.documents:
        if it.out:  # its id leads there too: a narrow window shows the first columns
            found.setdefault(it.at.file, {}).update({it.file: it.out, it.document: it.out})
    return found


def _by(pairs: Iterable[tuple[str, T]]) -> dict[str, tuple[T, ...]]:
    found: dict[str, dict[T, None]] = {}
    for key, value in pairs:
        found.setdefault(key, {})[value] = None
    return {key: tuple(values) for key, values in found.items()}
