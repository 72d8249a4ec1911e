"""Workbooks that were taken apart are kept for a while, since each table in one asks for its own sheet."""

from __future__ import annotations

import hashlib
from collections import OrderedDict

from buildbook.readers.xlsx import MOST_CELLS, Sheet, Workbook, taken_apart
from buildbook.readers.xlsx_package import MOST_UNPACKED

# All together no more than one workbook may have: cells take memory by their number, their texts by their length.
MOST_KEPT_CELLS = MOST_CELLS
MOST_KEPT_READ = MOST_UNPACKED  # bytes of what was read

_kept: OrderedDict[tuple[bytes, str], Workbook] = OrderedDict()  # what was asked for last stands last


def sheets_of(data: bytes, file: str) -> tuple[Sheet, ...]:
    """Every sheet of a workbook, in its order; the same bytes are taken apart once while they are kept.

    Args:
        data: the bytes of the file.
        file: its name, for messages.
    Errors:
        Refused as `xlsx.taken_apart` says.
    """
    key = (hashlib.sha256(data).digest(), file)
    book = _kept.pop(key, None) or taken_apart(data, file)
    _kept[key] = book
    while _too_much():
        _kept.popitem(last=False)
    return book.sheets


def _too_much() -> bool:
    books = _kept.values()
    return sum(book.cells for book in books) > MOST_KEPT_CELLS or sum(book.read for book in books) > MOST_KEPT_READ
