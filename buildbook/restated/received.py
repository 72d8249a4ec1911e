"""What of a book's words was received: texts of the folder that hold a number with a unit, wherever they are told."""

from __future__ import annotations

import re
from collections.abc import Iterator

from buildbook.core.book import Book
from buildbook.restated.texts import figures_in

# Words that a yard's cell may share with ours: a cell that has no others is no text of its own.
OF_LIMITS = frozenset(("at", "least", "most", "more", "than", "less", "exactly", "to", "and", "or", "up", "per", "the"))
WORD = re.compile(r"[^\W\d_]{3,}")
LETTER = re.compile(r"[^\W\d_]")
NAMING = frozenset(("name", "title", "label", "place", "part", "item", "document", "instrument"))  # columns of names


def received(book: Book) -> re.Pattern[str] | None:
    """A pattern that finds the yard's own texts in the words of a book, also with another first letter; None for none.

    Only those are looked for that would be told differently in other units: a cell that says `plate 16 mm`.
    """
    ours_too = {report.as_found for report in book.reports}  # what a report tells in the form in which findings do
    names = frozenset(_names(book))
    texts = sorted(
        {text for text in _texts(book) if _is_own(text, names)} - ours_too, key=lambda text: (-len(text), text)
    )
    return re.compile("|".join(map(_loose, texts))) if texts else None


def _texts(book: Book) -> Iterator[str]:
    for table in book.tables:
        for row in table.rows:
            yield from row.cells
    for report in book.reports:
        yield from (report.requirement, report.work, report.result)
    yield from (text for _, text in (*book.hull.machinery, *book.hull.release))
    yield from (document.title for document in book.documents)
    yield from (source.title for source in book.sources)


def _names(book: Book) -> Iterator[str]:
    """What places, parts, documents and instruments are called: a name stays however short it is."""
    for table in book.tables:
        at = [place for place, column in enumerate(table.columns) if column.name in NAMING]
        for row in table.rows:
            yield from (row.cells[place] for place in at if place < len(row.cells))
    yield from (document.title for document in book.documents)


def _is_own(text: str, names: frozenset[str]) -> bool:
    """Whether a text is the yard's own and would be told differently; a name with a letter beside its figure is."""
    told = figures_in(text)
    if told == text:
        return False
    return any(word.lower() not in OF_LIMITS for word in WORD.findall(told)) or (
        text in names and bool(LETTER.search(told))
    )


def _loose(text: str) -> str:
    first = re.escape(text[0])
    either = f"(?:{re.escape(text[0].lower())}|{re.escape(text[0].upper())})" if text[0].isalpha() else first
    return f"(?<!\\w){either}{re.escape(text[1:])}"
