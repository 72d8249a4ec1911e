"""What to do about rows that cannot be used, in one line: which they are, and what waits for them."""

from __future__ import annotations

from collections.abc import Sequence

from buildbook.core.where import Where
from buildbook.core.wording import listed

SHOWN_FILES = 3  # before the rest is only counted


def rows_named(rows: Sequence[Where]) -> str:
    """Rows in words, the first of each file and how many more of it there are.

    >>> rows_named([Where("a.csv", 4), Where("a.csv", 5), Where("b.csv", 2)])
    'a.csv:4 and 1 more row, and b.csv:2'
    """
    files: dict[str, list[Where]] = {}
    for row in rows:
        files.setdefault(row.stands_in, []).append(row)
    told = [f"{its[0]}{_more(len(its) - 1, 'row')}" for its in files.values()]
    left = len(told) - SHOWN_FILES
    return f"{listed(told[:SHOWN_FILES])}{_more(left, 'file')}" if left > 0 else ", and ".join(told)


def _more(number: int, what: str) -> str:
    return f" and {number} more {what}{'' if number == 1 else 's'}" if number > 0 else ""


def correct(rows: Sequence[Where]) -> str:
    """The remedy of what waits for rows alone."""
    return f"Correct {rows_named(rows)}; this waits for {'it' if len(rows) == 1 else 'them'}."


def first_correct(rows: Sequence[Where], remedy: str) -> str:
    """The remedy of what was judged by the rows that are left, where others may change it."""
    them = "it" if len(rows) == 1 else "them"
    return f"First correct {rows_named(rows)}: this was judged without {them}. If it stays as it is: {remedy}"
