"""Text of tables that we write for others: no cell is run as a formula by a spreadsheet, and each can be read back."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime

RUN_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
NUMBER = re.compile(r"[+-]?[0-9][0-9 ]*([.,][0-9]+)?([eE][+-]?[0-9]+)?")


def neutral(text: str) -> str:
    """A cell of text with an apostrophe before it where a spreadsheet would run it as a formula; numbers stay.

    Example:
        >>> neutral("=1+1"), neutral("-2,5"), neutral("@sum"), neutral("Z1")
        ("'=1+1", '-2,5', "'@sum", 'Z1')
    """
    return f"'{text}" if _would_run(text) else text


def plain(text: str) -> str:
    """The text of a cell that `neutral` wrote: its exact inverse, for whatever text.

    Example:
        >>> plain("'=1+1"), plain("-2,5"), plain(neutral("'-Z1")), plain("'Z1")
        ('=1+1', '-2,5', "'-Z1", "'Z1")
    """
    return text[1:] if text.startswith("'") and _would_run(text) else text


def _would_run(text: str) -> bool:
    """Whether a text is a formula behind its apostrophes, if it has any: those too are told apart by one more."""
    bare = text.lstrip("'")
    return bare.startswith(RUN_AS_FORMULA) and not NUMBER.fullmatch(bare)


def cell(value: object) -> str:
    """A value as a cell: full digits, ISO 8601 dates, `true` and `false`; text made neutral, nothing for None.

    Example:
        >>> cell(0.1 + 0.2), cell(-2.5), cell(True), cell(date(2026, 3, 2)), cell("-x"), cell(None)
        ('0.30000000000000004', '-2.5', 'true', '2026-03-02', "'-x", '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, datetime):
        return value.isoformat(timespec="microseconds" if value.microsecond else "seconds")
    if isinstance(value, date):
        return value.isoformat()
    return neutral(str(value))


def csv_bytes(heads: Sequence[str], rows: Iterable[Iterable[object]]) -> bytes:
    """A table as CSV: UTF-8, commas, a line feed at the end of each row."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow([neutral(head) for head in heads])
    for row in rows:
        writer.writerow([cell(value) for value in row])
    return buffer.getvalue().encode("utf-8")
