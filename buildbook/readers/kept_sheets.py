"""Workbooks that were taken apart are kept for a while, since each table in one asks for its own sheet."""

from __future__ import annotations

import hashlib
from collections import OrderedDict

from buildbook.readers.xlsx import Sheet, Workbook, taken_apart
from buildbook.readers.xlsx_package import MOST_UNPACKED

MOST_KEPT = MOST_UNPACKED  # bytes unpacked, all together: no more than one workbook may have

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
    while sum(one.unpacked for one in _kept.values()) > MOST_KEPT:
        _kept.popitem(last=False)
    return book.sheets
