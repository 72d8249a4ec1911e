"""The yard's own words: claims that no page may make, and signs that no page shows, are told and never altered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from buildbook.core.fault import Fault, Severity
from buildbook.core.letters import odd_signs, sign_words
from buildbook.core.published import COLUMNS_FILE
from buildbook.core.table_view import TableView
from buildbook.core.where import Where
from buildbook.render.banned_words import Banned, banned
from buildbook.render.type_letters import lacking

TEXTS = ("hull.toml", COLUMNS_FILE)
EXPECTED = "words that a reading can bear out"
SHOWN = "letters that a page can show"
UNSEEN = "signs that are not seen, or that turn or cover others"
LACKED = "letters that the book's type has not, so that print shows empty boxes"
STANDS = "It is printed as it stands here, and a buyer can hold the yard to it."


def claims(tables: Iterable[TableView], received: Mapping[str, bytes]) -> tuple[Fault, ...]:
    """A notice for each word of the folder that a buyer can hold the yard to, once for each column, and for odd signs.

    Odd signs are those that a reader does not see, that turn the order of the others, or that the shipped type lacks.

    Args:
        tables: the tables as received.
        received: files as received by name, for hull.toml and columns.toml, whose every line is shown in the book.

    Returns:
        Notices; nothing is judged otherwise because of them.
    """
    of_texts = (notice for file in TEXTS for notice in _of_text(file, received.get(file, b"")))
    return (*of_texts, *(notice for table in tables for notice in (*_of_table(table), *_signs(table))))


def _of_text(file: str, data: bytes) -> Iterator[Fault]:
    text = data.decode("utf-8", "replace")
    yield from (_claim(Where(file, found.line), found) for found in banned(text))
    for number, line in enumerate(text.splitlines(), start=1):
        yield from (_sign(Where(file, number), words) for words in _odd(line))


def _signs(table: TableView) -> Iterator[Fault]:
    seen: dict[tuple[str, str], list[int]] = {}
    for row in table.rows:
        for column, cell in zip(table.columns, row.cells, strict=False):
            for words in () if cell.isascii() and cell.isprintable() else _odd(cell):
                seen.setdefault((column.head, words), []).append(row.line)
    for (head, words), lines in seen.items():
        yield _sign(Where(table.file, lines[0], column=head), words, len(lines))


def _odd(text: str) -> Iterator[str]:
    hidden = dict.fromkeys(words for _, words in odd_signs(text))
    if hidden:
        yield f"{UNSEEN}: {', '.join(hidden)}"
    lacked = "".join(sign for sign in lacking(text) if sign_words(sign) not in hidden)
    if lacked:
        yield f"{LACKED}: {lacked}"


def _of_table(table: TableView) -> Iterator[Fault]:
    seen: dict[tuple[str, str], list[tuple[int, Banned]]] = {}
    texts = {cell for row in table.rows for cell in row.cells if any(map(str.isalpha, cell))}
    if not banned("\n".join(sorted(texts))):
        return
    claimed = {text: {found.word.lower(): found for found in banned(text)} for text in texts}
    for row in table.rows:
        for column, cell in zip(table.columns, row.cells, strict=False):
            for found in claimed.get(cell, {}).values():
                seen.setdefault((column.head, found.word.lower()), []).append((row.line, found))
    for (head, _), places in seen.items():
        line, found = places[0]
        yield _claim(Where(table.file, line, column=head), found, len(places))


def _claim(where: Where, found: Banned, rows: int = 1) -> Fault:
    claimed = f"{found.word!r}{_again(rows)}: {found.reason}"
    return Fault(where, EXPECTED, claimed, STANDS, Severity.NOTICE)


def _sign(where: Where, words: str, rows: int = 1) -> Fault:
    return Fault(where, SHOWN, f"{words}{_again(rows)}", "It stands as it is written.", Severity.NOTICE)


def _again(rows: int) -> str:
    return f", in {rows} rows" if rows > 1 else ""
