"""The yard's own words held against the list of words that no page may use: told to the yard, never altered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from buildbook.core.book import TableView
from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.render.banned_words import Banned, banned

HULL_FILE = "hull.toml"
EXPECTED = "words that a reading can bear out"
STANDS = "It is printed as it stands here, and a buyer can hold the yard to it."


def claims(tables: Iterable[TableView], received: Mapping[str, bytes]) -> tuple[Fault, ...]:
    """A notice for each word of the folder that a buyer can hold the yard to, once for each column.

    Args:
        tables: the tables as received.
        received: files as received by name, for hull.toml, whose every line is shown in the book.

    Returns:
        Notices; nothing is judged otherwise because of them.
    """
    lines = received.get(HULL_FILE, b"").decode("utf-8", "replace")
    of_hull = [_notice(Where(HULL_FILE, found.line), found, 1) for found in banned(lines)]
    return (*of_hull, *(notice for table in tables for notice in _of_table(table)))


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
        yield _notice(Where(table.file, line, column=head), found, len(places))


def _notice(where: Where, found: Banned, rows: int) -> Fault:
    again = f", in {rows} rows" if rows > 1 else ""
    return Fault(where, EXPECTED, f"{found.word!r}{again}: {found.reason}", STANDS, Severity.NOTICE)
