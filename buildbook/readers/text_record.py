"""Long records as text: one column of numbers under one head. Nothing holds a record whole.

Nearly every such file has plain numbers with a decimal point in every line; those are read in blocks of bytes. Any
other file is read line by line, so that the line that is wrong can be named.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.cells import CellError, decimal_mark, number
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK, MOST_SAMPLES, calibrated, check_rate, refused, scale_to

if TYPE_CHECKING:
    import numpy as np

LONGEST_LINE = 200  # characters of a line of a text record
AT_ONCE = 1 << 19  # bytes of plain numbers
_ONE_COLUMN = "one column under a head with its unit, like 'acceleration [m/s2]', and no column of times"
_HEAD = re.compile(r"^\s*(?P<name>[^\[\]]*?)\s*\[(?P<unit>[^\[\]]+)\]\s*$")
_PLAIN = re.compile(r"[+-]?[0-9]{1,20}\.[0-9]{1,20}(?:[eE][+-]?[0-9]{1,3})?")
_PLAIN_LINES = re.compile(rb"(?:[+-]?[0-9]{1,20}\.[0-9]{1,20}(?:[eE][+-]?[0-9]{1,3})?\r?\n)*+")


Stored = Callable[[], Iterator["np.ndarray"]]


class _NotPlain(Exception):
    """Some line of a file is not a plain number."""


def read_column(folder: Folder, name: str, rate: float, unit: str) -> Signal:
    """A record as text: one head `name [unit]`, then one number in each line, sampled at a steady rate.

    Args:
        folder: the hull folder.
        name: the file.
        rate: samples per second [1/s].
        unit: unit wanted; the head's unit is converted to it.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused for a line that is no number (a lost sample would shift all later ones), a unit that does not fit, a
        unit with an offset (degC), text that is not UTF-8, and as `calibrated` says.
    """
    check_rate(rate, Where(name))
    title, scale = _column_head(folder, name, unit)
    length, stored = _plain(folder, name) or _line_by_line(folder, name)
    if length == 0 or length > MOST_SAMPLES:
        raise _refused(name, None, f"from 1 to {MOST_SAMPLES} numbers", f"{length}")
    return calibrated(Signal(Where(name, column=title), title, rate, unit, length, scale, stored))


def _column_head(folder: Folder, name: str, unit: str) -> tuple[str, float]:
    """The name in the head, and the scale from its unit to the one wanted."""
    _, text = next(_lines(folder, name), (1, ""))
    head = _HEAD.match(text)
    if head is None:
        raise _refused(name, 1, _ONE_COLUMN, f"'{text.strip()[:60]}'")
    return head["name"], scale_to(head["unit"], unit, Where(name, 1))


def _plain(folder: Folder, name: str) -> tuple[int, Stored] | None:
    """How many numbers a file of plain numbers holds, and what gives them; None where any line is something else.

    One number at least has to show that its point is no mark between thousands, as in 1.250.
    """
    length, sure = 0, False
    try:
        for block in _plain_lines(folder, name):
            length += block.count(b"\n")
            sure = sure or any(decimal_mark((text,), "") for text in block.decode("ascii").split())
    except _NotPlain:
        return None
    return (length, partial(_plain_blocks, folder, name)) if sure else None


def _plain_blocks(folder: Folder, name: str) -> Iterator[np.ndarray]:
    import numpy as np

    try:
        for block in _plain_lines(folder, name):
            numbers = np.fromstring(block.decode("ascii"), sep="\n")
            yield from (numbers[start : start + BLOCK] for start in range(0, len(numbers), BLOCK))
    except _NotPlain:
        raise _refused(name, None, "the same numbers as when it was opened", "others") from None


def _plain_lines(folder: Folder, name: str) -> Iterator[bytes]:
    """The lines below the head, many at a time, each block ending with a line."""
    with folder.open(name) as stream:
        if not stream.readline(4 * LONGEST_LINE).endswith(b"\n"):
            raise _NotPlain
        rest = b""
        while data := stream.read(AT_ONCE):
            lines, end, begun = (rest + data).rpartition(b"\n")
            if len(begun) > LONGEST_LINE:
                raise _NotPlain
            rest = begun
            if end:
                yield _all_plain(lines)
        if rest:
            yield _all_plain(rest)


def _all_plain(lines: bytes) -> bytes:
    """Some lines with the end of the last one; raises where one of them is no plain number."""
    whole = lines + b"\n"
    if not _PLAIN_LINES.fullmatch(whole):
        raise _NotPlain
    return whole


def _line_by_line(folder: Folder, name: str) -> tuple[int, Stored]:
    """How many numbers any other file holds, each looked at once, and what gives them."""
    mark = decimal_mark((text for _, text in _numbers(folder, name)), "")
    length = 0
    for line, text in _numbers(folder, name):
        _value(text, mark, name, line)
        length += 1
    return length, partial(_column_blocks, folder, name, mark)


def _numbers(folder: Folder, name: str) -> Iterator[tuple[int, str]]:
    """Line and text of every number; blank lines are allowed at the end only."""
    blank = 0
    lines = _lines(folder, name)
    next(lines, None)
    for line, text in lines:
        if not text.strip():
            blank = blank or line
            continue
        if blank:
            raise _refused(name, blank, "a number in every line", "a blank line: a sample is missing")
        yield line, text.strip()


def _lines(folder: Folder, name: str) -> Iterator[tuple[int, str]]:
    with folder.open(name) as stream, io.TextIOWrapper(stream, encoding="utf-8-sig", newline=None) as text:
        line = 0
        try:
            while words := text.readline(LONGEST_LINE + 1):
                line += 1
                if len(words) > LONGEST_LINE or "\x00" in words:
                    raise _refused(name, line, "one number in each line", "something that is no text record")
                yield line, words
        except UnicodeDecodeError:
            raise _refused(name, line + 1, "text in UTF-8", "another encoding or binary data") from None


def _value(text: str, mark: str, name: str, line: int) -> float:
    if mark == "." and _PLAIN.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value
    try:
        return number(text, mark)
    except CellError as error:
        raise _refused(name, line, error.expected, error.found) from None


def _column_blocks(folder: Folder, name: str, mark: str) -> Iterator[np.ndarray]:
    import numpy as np

    block: list[float] = []
    for line, text in _numbers(folder, name):
        block.append(_value(text, mark, name, line))
        if len(block) == BLOCK:
            yield np.array(block)
            block = []
    if block:
        yield np.array(block)


def _refused(name: str, line: int | None, expected: str, found: str) -> Refused:
    return refused(Where(name, line), expected, found)
