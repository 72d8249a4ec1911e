"""Long records in blocks: WAV files and columns of text. Nothing holds a record whole.

A record is calibrated or refused: without a number for one stored unit nobody knows what it means.
"""

from __future__ import annotations

import io
import math
import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, BinaryIO

from buildbook.core.fault import Fault
from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.cells import CellError, decimal_mark, number
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from buildbook.readers.units import UnitError, converter

if TYPE_CHECKING:
    import numpy as np

BLOCK = 65_536  # samples
MOST_SAMPLES = 2_000_000_000
MOST_CHANNELS = 64
LONGEST_LINE = 200  # characters of a line of a text record

_NOT_READ = "The record is not read."
_INTEGER, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_HEAD = re.compile(r"^\s*(?P<name>[^\[\]]*?)\s*\[(?P<unit>[^\[\]]+)\]\s*$")
_PLAIN = re.compile(r"[+-]?[0-9]{1,20}\.[0-9]{1,20}(?:[eE][+-]?[0-9]{1,3})?")


@dataclass(frozen=True, slots=True)
class _Wav:
    """The layout of a WAV file: `width` [bytes] of a sample, `start` [bytes] and `frames` of its data."""

    kind: int
    channels: int
    rate: int
    width: int
    start: int
    frames: int


def read_wav(folder: Folder, name: str, unit: str, calibration: float | None, channel: int = 1) -> Signal:
    """One channel of a WAV file: integers of 16, 24 or 32 bit, or 32-bit floating point.

    Args:
        folder: the hull folder.
        name: the file.
        unit: unit of the calibrated values.
        calibration: value at full scale [unit]; integers are taken as fractions of full scale, floats as they are.
        channel: which channel, from 1.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused without a calibration, and for any other kind of file or one that ends early. `blocks()` raises it too,
        for a value that is not a finite number.
    """
    if calibration is None or not math.isfinite(calibration) or calibration == 0.0:
        raise _refused(name, None, "a calibration: the value at full scale", "none")
    with folder.open(name) as stream:
        layout = _wav_layout(stream, name)
    if not 1 <= channel <= layout.channels:
        raise _refused(name, None, f"a channel from 1 to {layout.channels}", f"{channel}")
    blocks = partial(_wav_blocks, folder, name, layout, channel, calibration)
    where = Where(name, part=f"channel {channel}")
    return Signal(where, f"channel {channel}", float(layout.rate), unit, layout.frames, calibration, blocks)


def read_column(folder: Folder, name: str, rate: float, unit: str, calibration: float = 1.0) -> Signal:
    """A record as text: one head `name [unit]`, then one number in each line, sampled at a steady rate.

    Args:
        folder: the hull folder.
        name: the file.
        rate: samples per second [1/s].
        unit: unit wanted; the head's unit is converted to it.
        calibration: quantity per stored number, 1 where the numbers are in the head's unit already.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused for a line that is no number (a lost sample would shift all later ones), a unit that does not fit, a
        unit with an offset (degC), text that is not UTF-8.
    """
    if not (math.isfinite(rate) and rate > 0):
        raise _refused(name, None, "a rate above zero", f"{rate:g}")
    title, scale = _column_head(folder, name, unit)
    mark = decimal_mark((text for _, text in _numbers(folder, name)), "")
    length = 0
    for line, text in _numbers(folder, name):
        _value(text, mark, name, line)
        length += 1
    if length == 0 or length > MOST_SAMPLES:
        raise _refused(name, None, f"from 1 to {MOST_SAMPLES} numbers", f"{length}")
    factor = scale * calibration
    blocks = partial(_column_blocks, folder, name, mark, factor)
    return Signal(Where(name, column=title), title, rate, unit, length, factor, blocks)


def _wav_layout(stream: BinaryIO, name: str) -> _Wav:
    riff = stream.read(12)
    if len(riff) < 12 or riff[:4] != b"RIFF" or riff[8:] != b"WAVE":
        raise _refused(name, None, "a WAV file (RIFF)", "another kind of file")
    form: tuple[int, int, int, int] | None = None
    while len(header := stream.read(8)) == 8:
        mark, size = struct.unpack("<4sI", header)
        if mark == b"data":
            return _with_data(stream, form, size, name)
        if mark == b"fmt ":
            form = _wav_format(stream.read(min(size, 64)), name)
            size = max(0, size - 64)
        stream.seek(size + size % 2, io.SEEK_CUR)
    raise _refused(name, None, "a WAV file with data", "no data in it")


def _wav_format(chunk: bytes, name: str) -> tuple[int, int, int, int]:
    """Kind of sample, channels, rate, bytes of a sample."""
    if len(chunk) < 16:
        raise _refused(name, None, "a WAV file", "one with a damaged head")
    kind, channels, rate, _, align, bits = struct.unpack("<HHIIHH", chunk[:16])
    if kind == _EXTENSIBLE and len(chunk) >= 26:
        kind = struct.unpack("<H", chunk[24:26])[0]
    known = (kind == _INTEGER and bits in (16, 24, 32)) or (kind == _FLOAT and bits == 32)
    if not known:
        raise _refused(name, None, "integers of 16, 24 or 32 bit, or 32-bit floating point", f"kind {kind}, {bits} bit")
    if not 1 <= channels <= MOST_CHANNELS or rate < 1 or align != channels * bits // 8:
        raise _refused(name, None, "a WAV file", "one with a damaged head")
    return kind, channels, rate, bits // 8


def _with_data(stream: BinaryIO, form: tuple[int, int, int, int] | None, size: int, name: str) -> _Wav:
    start = stream.tell()
    there = stream.seek(0, io.SEEK_END) - start
    if form is None:
        raise _refused(name, None, "a WAV file", "one without a format")
    kind, channels, rate, width = form
    if size > there:
        raise _refused(name, None, f"{size} bytes of data, as its head says", f"{there}: the file ends early")
    frames, rest = divmod(size, channels * width)
    if rest or not 1 <= frames <= MOST_SAMPLES:
        raise _refused(name, None, f"from 1 to {MOST_SAMPLES} whole samples", f"{size} bytes")
    return _Wav(kind, channels, rate, width, start, frames)


def _wav_blocks(folder: Folder, name: str, layout: _Wav, channel: int, calibration: float) -> Iterator[np.ndarray]:
    import numpy as np

    with folder.open(name) as stream:
        stream.seek(layout.start)
        left = layout.frames
        while left:
            count = min(left, BLOCK)
            data = stream.read(count * layout.channels * layout.width)
            values = _samples(data, layout).reshape(-1, layout.channels)[:, channel - 1] * calibration
            if len(values) != count or not np.isfinite(values).all():
                raise _refused(name, None, "finite numbers to the end", "others, or the end of the file")
            left -= count
            yield values


def _samples(data: bytes, layout: _Wav) -> np.ndarray:
    """The stored numbers as float64: integers as fractions of full scale, floats as they are."""
    import numpy as np

    if layout.kind == _FLOAT:
        return np.frombuffer(data, "<f4").astype(np.float64)
    if layout.width == 3:
        wide = np.zeros((len(data) // 3, 4), np.uint8)
        wide[:, 1:] = np.frombuffer(data, np.uint8)[: len(data) // 3 * 3].reshape(-1, 3)
        return wide.reshape(-1).view("<i4") / 2.0**31
    stored = np.frombuffer(data, f"<i{layout.width}")
    return stored / 2.0 ** (8 * layout.width - 1)


def _column_head(folder: Folder, name: str, unit: str) -> tuple[str, float]:
    """The name in the head, and the scale from its unit to the one wanted."""
    _, text = next(_lines(folder, name), (1, ""))
    head = _HEAD.match(text)
    if head is None:
        raise _refused(name, 1, "a head with its unit, like 'acceleration [m/s2]'", f"'{text.strip()[:60]}'")
    try:
        scale, offset = converter(head["unit"], unit)
    except UnitError as error:
        raise _refused(name, 1, f"a unit for {unit} ({error.accepted})", error.found) from None
    if offset:
        raise _refused(name, 1, f"values in {unit}", f"'{head['unit']}', whose zero is elsewhere")
    return head["name"], scale


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


def _column_blocks(folder: Folder, name: str, mark: str, factor: float) -> Iterator[np.ndarray]:
    import numpy as np

    block: list[float] = []
    for line, text in _numbers(folder, name):
        block.append(_value(text, mark, name, line))
        if len(block) == BLOCK:
            yield np.array(block) * factor
            block = []
    if block:
        yield np.array(block) * factor


def _refused(name: str, line: int | None, expected: str, found: str) -> Refused:
    return Refused(Fault(Where(name, line), expected, found, _NOT_READ))
