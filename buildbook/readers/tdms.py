"""Records in TDMS files, as data loggers write them: one channel, read in blocks where it stands.

The file tells scale, unit and step of time in properties of its channels. An index of the same name beside it is never
read: everything stands in the file itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, BinaryIO

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.signal import BLOCK, MOST_SAMPLES, calibrated, check_rate, scale_to
from buildbook.readers.tdms_layout import Run, no_record, parts, shown, walked
from buildbook.readers.tdms_scale import Scale, ScaleError, scaling

if TYPE_CHECKING:
    import numpy as np

AT_ONCE = 1 << 20  # bytes
STEP, UNITS, AXIS = "wf_increment", ("unit_string", "NI_UnitDescription"), "wf_xunit_string"
NEARLY_WHOLE = 1e-9  # a step of 1/25600 s gives 25600.000000000004 Hz
MOST_NAMED = 8


@dataclass(frozen=True, slots=True)
class _Channel:
    """One channel: its path in the file, how many numbers, what is said of it, and which scale a card meant."""

    path: str
    length: int
    said: tuple[Mapping[str, Any], ...]
    raw: int


def read_tdms(folder: Folder, name: str, channel: int, unit: str, rate: float | None = None) -> Signal:
    """One channel of a TDMS file.

    Args:
        folder: the hull folder.
        name: the file.
        channel: which of its channels of numbers, from 1, in the order in which the file names them.
        unit: unit wanted. The unit that the channel names is converted to it.
        rate: samples per second [1/s] of a file that does not say them; what the file says goes before it.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused for a file that ends early or cannot be right, for no such channel, one over anything but time, without
        a unit, with a scale of another kind than a line, a polynomial or a table, and as `signal.calibrated` says.
    """
    part = f"channel {channel}"
    with folder.open(name) as stream:
        found = _channels(stream, name)
    if not found:
        no_record(name, "a channel of numbers", "none in this file")
    if not 1 <= channel <= len(found):
        named = "; ".join(f"{place} is {shown(one.path)}" for place, one in enumerate(found[:MOST_NAMED], 1))
        no_record(name, f"a channel from 1 to {len(found)} ({named})", f"{channel}")
    mine = found[channel - 1]
    if mine.length > MOST_SAMPLES:
        no_record(name, f"at most {MOST_SAMPLES} numbers", f"{mine.length}", part)
    scale, factor = _scale(mine, name, part), _factor(mine.said[0], unit, name, part)
    stored = partial(_blocks, folder, name, mine.path, scale)
    title = f"{part}, {shown(mine.path)}"
    rate = _rate(mine.said[0], rate, name, part)
    return calibrated(Signal(Where(name, part=part), title, rate, unit, mine.length, factor, stored))


def _channels(stream: BinaryIO, name: str) -> list[_Channel]:
    """The channels of numbers of a file, in the order in which it names them."""
    lengths: dict[str, int] = {}
    raw: dict[str, int] = {}
    others: set[str] = set()
    layout = None
    for layout in walked(stream, name):
        for path, stored in layout.here().items():
            if stored.count and not stored.numbers:
                others.add(path)
            elif stored.count:
                lengths[path] = lengths.get(path, 0) + sum(run.length for run in layout.runs(path))
                if raw.setdefault(path, stored.scale) != stored.scale:
                    no_record(name, f"one scale for all numbers of {shown(path)}", "several")
    mixed = sorted(others & lengths.keys())
    if mixed:
        no_record(name, f"numbers alone in {shown(mixed[0])}", "texts or times among them")
    if layout is None:
        return []
    said = layout.properties
    return [
        _Channel(path, lengths[path], (said[path], said.get(_group(path), {}), said.get("/", {})), raw[path])
        for path in said
        if lengths.get(path) and len(parts(path)) == 2
    ]


def _group(path: str) -> str:
    name = parts(path)[0].replace("'", "''")
    return f"/'{name}'"


def _scale(mine: _Channel, name: str, part: str) -> Scale:
    try:
        return scaling(mine.said, mine.raw)
    except ScaleError as error:
        no_record(name, error.expected, error.found, part)


def _factor(said: Mapping[str, Any], unit: str, name: str, part: str) -> float:
    labels = dict.fromkeys(text for key in UNITS if (text := str(said.get(key) or "").strip()))
    if len(labels) != 1:
        expected = f"one unit of the numbers in the property `{UNITS[0]}` of the channel, such as {unit}"
        no_record(name, expected, " and ".join(f"'{label[:40]}'" for label in labels) or "none", part)
    return scale_to(next(iter(labels)), unit, Where(name, part=part))


def _rate(said: Mapping[str, Any], of_row: float | None, name: str, part: str) -> float:
    axis = str(said.get(AXIS) or "s").strip()
    if axis != "s":
        no_record(name, f"a record over time, in s, by the property `{AXIS}` of the channel", f"'{axis[:40]}'", part)
    step = said.get(STEP)
    if step is None:
        if of_row is None:
            expected = f"the step of time in the property `{STEP}` of the channel, or the cell `rate` in its row"
            no_record(name, expected, "neither", part)
        return of_row
    if not isinstance(step, int | float) or not (math.isfinite(step) and step > 0):
        no_record(name, f"a step of time above zero in the property `{STEP}`", f"{step!r}"[:40], part)
    rate = 1.0 / step
    check_rate(rate, Where(name, part=part))
    whole = round(rate)
    return float(whole) if abs(rate - whole) <= NEARLY_WHOLE * rate else rate


def _blocks(folder: Folder, name: str, path: str, scale: Scale) -> Iterator[np.ndarray]:
    import numpy as np

    with folder.open(name) as stream:
        for block in _even(_numbers(stream, name, path)):
            with np.errstate(all="ignore"):  # what is no number is refused where blocks are looked at
                values = scale(block)
            yield values


def _even(pieces: Iterable[np.ndarray]) -> Iterator[np.ndarray]:
    """The same numbers in blocks of one size."""
    import numpy as np

    held: list[np.ndarray] = []
    size = 0
    for piece in pieces:
        held.append(piece)
        size += len(piece)
        if size >= BLOCK:
            whole = np.concatenate(held)
            even = size - size % BLOCK
            yield from whole[:even].reshape(-1, BLOCK)
            held, size = [whole[even:]], size - even
    if size:
        yield np.concatenate(held)


def _numbers(stream: BinaryIO, name: str, path: str) -> Iterator[np.ndarray]:
    for layout in walked(stream, name):
        for run in layout.runs(path):
            yield from _run(stream, name, run)


def _run(stream: BinaryIO, name: str, run: Run) -> Iterator[np.ndarray]:
    """The numbers of a run as float64: many short rows at once, or a long row in parts."""
    import numpy as np

    width = run.count * int(run.kind[2])
    if run.stride <= AT_ONCE:
        many = AT_ONCE // run.stride
        for first in range(0, run.rows, many):
            rows = min(many, run.rows - first)
            data = _read(stream, name, run.start + first * run.stride, rows * run.stride)
            table = np.frombuffer(data, np.uint8).reshape(rows, run.stride)[:, run.offset : run.offset + width]
            yield _floats(np.ascontiguousarray(table).reshape(-1).view(run.kind))
        return
    for row in range(run.rows):
        start = run.start + row * run.stride + run.offset
        for at in range(0, width, AT_ONCE):
            data = _read(stream, name, start + at, min(AT_ONCE, width - at))
            yield _floats(np.frombuffer(data, run.kind))


def _floats(stored: np.ndarray) -> np.ndarray:
    import numpy as np

    with np.errstate(all="ignore"):
        return stored.astype(np.float64)


def _read(stream: BinaryIO, name: str, at: int, count: int) -> bytes:
    stream.seek(at)
    data = stream.read(count)
    if len(data) != count:
        no_record(name, f"{count} bytes", f"{len(data)}: the file ends early")
    return data
