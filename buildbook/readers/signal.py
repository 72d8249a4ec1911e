"""Long records in blocks: WAV files, and what the readers of all records share. Nothing holds a record whole.

A record is calibrated or refused: without a number for one stored unit nobody knows what it means. `calibrated` makes
the signal of every reader: there the rate and each value are held against what can be.
"""

from __future__ import annotations

import io
import math
import struct
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, BinaryIO, NoReturn

from buildbook.core.fault import Fault
from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from buildbook.readers.units import UnitError, converter

if TYPE_CHECKING:
    import numpy as np

BLOCK = 65_536  # samples
MOST_SAMPLES = 2_000_000_000
MOST_CHANNELS = 64
LOWEST_RATE, HIGHEST_RATE = 1.0, 500_000.0  # Hz: a spectrum holds some seconds of samples at once
IMPOSSIBLE = 1e12  # of the unit: bytes read in the wrong order give such numbers, or a whole record next to nothing
NEXT_TO_NOTHING = 1e-30

IN_ITS_ROW = "in the cell `channel` of its row"
_NOT_READ = "The record is not read."
_INTEGER, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE


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
        Refused without a calibration, for any other kind of file or one that ends early, and as `calibrated` says.
    """
    if calibration is None or not math.isfinite(calibration) or calibration == 0.0:
        no_record(name, "a calibration in the cell `calibration` of its row: the value at full scale", "none")
    with folder.open(name) as stream:
        layout = _wav_layout(stream, name)
    if not 1 <= channel <= layout.channels:
        no_record(name, f"a channel from 1 to {layout.channels} {IN_ITS_ROW}", f"{channel}")
    part = f"channel {channel}"
    stored = partial(_wav_blocks, folder, name, layout, channel)
    signal = Signal(Where(name, part=part), part, float(layout.rate), unit, layout.frames, calibration, stored)
    return calibrated(signal)


def calibrated(signal: Signal, hint: str = "") -> Signal:
    """The signal whose blocks give values, made of one whose blocks give stored numbers. Every reader ends here.

    Args:
        signal: its blocks are the numbers as stored, its `calibration` the value of one of them [unit of the signal].
        hint: what else may be the matter where a value cannot be.
    Returns:
        The same with values in its blocks, as float64.
    Errors:
        Refused for a rate outside the range. `blocks()` raises it for a value that is no finite number or cannot be,
        and at the end of a record whose values are all next to nothing without being zero.
    """
    check_rate(signal.rate, signal.where)
    return replace(signal, blocks=partial(_possible, signal, hint))


def check_rate(rate: float, where: Where) -> None:
    """Refused for a rate [1/s] that no record of this kind has."""
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        expected = f"a rate from {LOWEST_RATE:g} to {HIGHEST_RATE:.0f} samples a second"
        raise refused(where, expected, f"{rate:g}")


def _possible(signal: Signal, hint: str) -> Iterator[np.ndarray]:
    import numpy as np

    expected = f"finite numbers that can be, below {IMPOSSIBLE:g} {signal.unit}{hint}"
    largest, before = 0.0, 0
    for stored in signal.blocks():
        with np.errstate(over="ignore", invalid="ignore"):
            values = np.multiply(stored, signal.calibration, dtype=np.float64)
        size = np.abs(values)
        most = float(size.max())
        if not most < IMPOSSIBLE:
            raise refused(signal.where, expected, f"{most:.3g} as number {before + int(size.argmax()) + 1}")
        largest, before = max(largest, most), before + len(values)
        yield values
    if 0.0 < largest < NEXT_TO_NOTHING:
        raise refused(signal.where, expected, f"none larger than {largest:.3g}")


def _wav_layout(stream: BinaryIO, name: str) -> _Wav:
    riff = stream.read(12)
    if len(riff) < 12 or riff[:4] != b"RIFF" or riff[8:] != b"WAVE":
        no_record(name, "a WAV file (RIFF)", "another kind of file" if riff else "an empty file")
    form: tuple[int, int, int, int] | None = None
    while len(header := stream.read(8)) == 8:
        mark, size = struct.unpack("<4sI", header)
        if mark == b"data":
            return _with_data(stream, form, size, name)
        if mark == b"fmt ":
            form = _wav_format(stream.read(min(size, 64)), name)
            size = max(0, size - 64)
        stream.seek(size + size % 2, io.SEEK_CUR)
    raise refused(Where(name), "a WAV file with data", "no data in it")


def _wav_format(chunk: bytes, name: str) -> tuple[int, int, int, int]:
    """Kind of sample, channels, rate, bytes of a sample."""
    if len(chunk) < 16:
        no_record(name, "a WAV file", "one with a damaged head")
    kind, channels, rate, _, align, bits = struct.unpack("<HHIIHH", chunk[:16])
    if kind == _EXTENSIBLE and len(chunk) >= 26:
        kind = struct.unpack("<H", chunk[24:26])[0]
    known = (kind == _INTEGER and bits in (16, 24, 32)) or (kind == _FLOAT and bits == 32)
    if not known:
        no_record(name, "integers of 16, 24 or 32 bit, or 32-bit floating point", f"kind {kind}, {bits} bit")
    if not 1 <= channels <= MOST_CHANNELS or rate < 1 or align != channels * bits // 8:
        no_record(name, "a WAV file", "one with a damaged head")
    return kind, channels, rate, bits // 8


def _with_data(stream: BinaryIO, form: tuple[int, int, int, int] | None, size: int, name: str) -> _Wav:
    start = stream.tell()
    there = stream.seek(0, io.SEEK_END) - start
    if form is None:
        no_record(name, "a WAV file", "one without a format")
    kind, channels, rate, width = form
    if size > there:
        no_record(name, f"{size} bytes of data, as its head says", f"{there}: the file ends early")
    _check_behind(stream, start + size + size % 2, start + there, name)
    frames, rest = divmod(size, channels * width)
    if rest or not 1 <= frames <= MOST_SAMPLES:
        no_record(name, f"from 1 to {MOST_SAMPLES} whole samples", f"{size} bytes")
    return _Wav(kind, channels, rate, width, start, frames)


def _check_behind(stream: BinaryIO, at: int, end: int, name: str) -> None:
    """Refused where what stands behind the data is no further parts of the file but may be more data."""
    while at < end:
        stream.seek(at)
        header = stream.read(8)
        mark, size = header[:4], int.from_bytes(header[4:], "little")
        at += 8 + size + size % 2
        if len(header) < 8 or not (mark.isascii() and mark.decode().isprintable()) or at > end + 1:
            no_record(name, "as much data as its head says", "more: a part would be left out")


def _wav_blocks(folder: Folder, name: str, layout: _Wav, channel: int) -> Iterator[np.ndarray]:
    with folder.open(name) as stream:
        stream.seek(layout.start)
        left = layout.frames
        while left:
            count = min(left, BLOCK)
            data = stream.read(count * layout.channels * layout.width)
            if len(data) != count * layout.channels * layout.width:
                no_record(name, f"{layout.frames} samples", f"{left} fewer: the file ends early")
            left -= count
            yield _samples(data, layout).reshape(-1, layout.channels)[:, channel - 1]


def _samples(data: bytes, layout: _Wav) -> np.ndarray:
    """The stored numbers as float64: integers as fractions of full scale, floats as they are."""
    import numpy as np

    if layout.kind == _FLOAT:
        with np.errstate(invalid="ignore"):  # no number stays none, and is refused where blocks are looked at
            return np.frombuffer(data, "<f4").astype(np.float64)
    if layout.width == 3:
        wide = np.zeros((len(data) // 3, 4), np.uint8)
        wide[:, 1:] = np.frombuffer(data, np.uint8)[: len(data) // 3 * 3].reshape(-1, 3)
        return wide.reshape(-1).view("<i4") / 2.0**31
    stored = np.frombuffer(data, f"<i{layout.width}")
    return stored / 2.0 ** (8 * layout.width - 1)


def scale_to(label: str, unit: str, where: Where) -> float:
    """The scale from the unit that a record names to the one wanted; Refused where it does not fit or has an offset."""
    try:
        scale, offset = converter(label, unit)
    except UnitError as error:
        raise refused(where, f"a unit for {unit} ({error.accepted})", error.found) from None
    if offset:
        raise refused(where, f"values in {unit}", f"'{label}', whose zero is elsewhere")
    return scale


def refused(where: Where, expected: str, found: str) -> Refused:
    """The refusal of a record, or of a place in it."""
    return Refused(Fault(where, expected, found, _NOT_READ))


def no_record(name: str, expected: str, found: str, part: str = "") -> NoReturn:
    """Refuses the file, or a part of it."""
    raise refused(Where(name, part=part), expected, found)
