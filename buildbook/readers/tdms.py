"""Records in TDMS files, as data loggers write them: one channel, taken out by the library npTDMS.

The file tells scale, unit and step of time in properties of its channels. An index of the same name beside it is never
read: everything stands in the file itself. The library holds a whole piece of a file at once, so its size is capped. It
reads a torn file as far as it goes and says so in its log; here that is a refusal.
"""

from __future__ import annotations

import logging
import math
import re
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any, BinaryIO

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK, IN_ITS_ROW, calibrated, check_rate, no_record, scale_to

if TYPE_CHECKING:
    import numpy as np

MOST_BYTES = 150_000_000  # of one file: the library takes up to three times its size, and somewhat more
MOST_HEADS = 8_000_000  # bytes of all descriptions in it
MOST_SCALES = 50
SCALES = ("Linear", "Polynomial", "Table")
STEP, UNITS, AXIS = "wf_increment", ("unit_string", "NI_UnitDescription"), "wf_xunit_string"
NEARLY_WHOLE = 1e-9  # a step of 1/25600 s gives 25600.000000000004 Hz
MOST_NAMED = 8
AGAIN = "; open it in the program that recorded it, save it once more and name that file"

_SIGN = b"TDSm"
_LEAD_IN = 28  # bytes before each description: where there are none, the file is at its end
_AT_ONCE = 64 * BLOCK  # numbers: for each of these the library reads the whole piece in which they stand
_SCALE_KIND = re.compile(r"NI_Scale\[(\d{1,9})\]_Scale_Type")


def read_tdms(folder: Folder, name: str, channel: int, unit: str, rate: float | None = None) -> Signal:
    """One channel of a TDMS file.

    Args:
        folder: the hull folder.
        name: the file.
        channel: which of its channels of numbers, from 1, group by group in the order in which the file names them.
        unit: unit wanted. The unit that the channel names is converted to it.
        rate: samples per second [1/s] of a file that does not say them; what the file says goes before it.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused for a file that is larger than the cap, ends early or cannot be right, for no such channel, one over
        anything but time, without a unit, with a scale of another kind than a line, a polynomial or a table, and as
        `signal.calibrated` says.
    """
    part = f"channel {channel}"
    with _opened(folder, name) as file:
        mine = _channel(file, channel, name)
        for said in (mine.properties, file[mine.group_name].properties, file.properties):
            _check_scales(said, name, part)
        if len(mine) > folder.size(name):
            no_record(name, "no more numbers than the file has bytes", f"{len(mine)}, as its heads say", part)
        said, length, title = mine.properties, len(mine), f"{part}, {_shown(mine)}"
    where = Where(name, part=part)
    factor, rate = _factor(said, unit, name, part), _rate(said, rate, name, part)
    return calibrated(Signal(where, title, rate, unit, length, factor, partial(_blocks, folder, name, channel)))


@contextmanager
def _opened(folder: Folder, name: str) -> Iterator[Any]:
    """The library's view of a file, from its descriptions alone."""
    size = folder.size(name)
    if size > MOST_BYTES:
        expected = f"a TDMS file of at most {MOST_BYTES / 1e6:g} MB; save a longer record in parts, or as WAV"
        no_record(name, expected, f"{size / 1e6:.0f} MB")
    with folder.open(name) as stream:
        _check_kind(stream.read(len(_SIGN)), name)
        heads = _Heads(stream, name)
        with _asked(name, f"a whole TDMS file{AGAIN}"):
            from nptdms import TdmsFile

            file = TdmsFile.open(heads)
        heads.left = sys.maxsize
        yield file


@contextmanager
def _asked(name: str, expected: str) -> Iterator[None]:
    """What the library says no to is refused, and what it goes on from with a part of the file or without a scale.

    On damaged bytes it raises what Python raises where something does not fit: struct.error, ValueError, KeyError,
    IndexError, TypeError, OverflowError, MemoryError, RecursionError and plain Exception. So every one of them means
    that this file cannot be read. What it goes on from it says in its log alone.
    """
    import numpy as np
    from nptdms.log import log_manager

    def stopped(record: logging.LogRecord) -> bool:
        if record.name != "nptdms.types":  # which says that a text is not in UTF-8
            raise ValueError(record.getMessage())
        return False

    log_manager.console_handler.addFilter(stopped)
    try:
        with np.errstate(all="ignore"):  # what is no number is refused where blocks are looked at
            yield
    except Refused:
        raise
    except Exception as error:
        found = f"one that ends early, was not closed or is damaged ({str(error)[:80] or type(error).__name__})"
        no_record(name, expected, found)
    finally:
        log_manager.console_handler.removeFilter(stopped)


def _check_kind(sign: bytes, name: str) -> None:
    if sign == b"TDSh":
        no_record(name, "the .tdms file itself", "its index, which holds no numbers")
    if sign != _SIGN:
        no_record(name, "a TDMS file, which begins with 'TDSm'", "another kind of file" if sign else "an empty file")


class _Heads:
    """A file as the library reads it: the descriptions by `read`, within bounds, and the numbers by `readinto`."""

    def __init__(self, stream: BinaryIO, name: str) -> None:
        stream.seek(0)
        self.name, self.left, self._read = name, MOST_HEADS, stream.read
        self.seek, self.tell = stream.seek, stream.tell
        self.readinto = stream.readinto  # type: ignore[attr-defined]

    def read(self, count: int) -> bytes:
        """The next bytes of a description; Refused where they are too many, or not all there."""
        self.left -= count
        if self.left < 0:
            no_record(
                self.name, f"at most {MOST_HEADS / 1e6:g} MB of descriptions{AGAIN}", "more, or a length that cannot be"
            )
        found = self._read(count)
        if len(found) < count and (found or count != _LEAD_IN):
            no_record(self.name, f"a whole TDMS file{AGAIN}", "one that ends early")
        return found


def _channel(file: Any, number: int, name: str) -> Any:
    """One of the channels of numbers of a file."""
    found = [one for group in file.groups() for one in group.channels() if len(one) and _of_numbers(one)]
    if not found:
        no_record(name, "a channel of numbers", "none in this file")
    if not 1 <= number <= len(found):
        named = "; ".join(f"{place} is {_shown(one)}" for place, one in enumerate(found[:MOST_NAMED], 1))
        no_record(name, f"a channel from 1 to {len(found)} {IN_ITS_ROW} ({named})", f"{number}")
    return found[number - 1]


def _of_numbers(channel: Any) -> bool:
    kind = getattr(channel.data_type, "nptype", None)
    return bool(channel.scaler_data_types) or (kind is not None and kind.kind in "iuf")


def _shown(channel: Any) -> str:
    return f"{channel.group_name}, {channel.name}"


def _check_scales(said: Mapping[str, Any], name: str, part: str) -> None:
    """Refused for scales that nobody checked here, and for so many that they cannot be meant."""
    kinds = {int(found[1]): said[key] for key in said if (found := _SCALE_KIND.fullmatch(key))}
    count = said.get("NI_Number_Of_Scales", 0)
    if not isinstance(count, int) or max(count, *kinds, 0) > MOST_SCALES:
        no_record(name, f"at most {MOST_SCALES} scales, one after the other", f"{count!r}"[:40], part)
    for kind in kinds.values():
        if kind not in SCALES:
            expected = "straight lines, polynomials and tables as scales; export the channel with its values worked out"
            no_record(name, expected, f"a scale of the kind '{str(kind)[:40]}'", part)


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


def _blocks(folder: Folder, name: str, number: int) -> Iterator[np.ndarray]:
    import numpy as np

    expected = f"a whole TDMS file with scales that can be worked out{AGAIN}, or export it with its values worked out"
    with _opened(folder, name) as file:
        channel = _channel(file, number, name)
        for start in range(0, len(channel), _AT_ONCE):
            with _asked(name, expected):
                values = np.asarray(channel[start : start + _AT_ONCE], np.float64)
            if len(values) != min(_AT_ONCE, len(channel) - start):
                no_record(name, f"{len(channel)} numbers, as its heads say", "fewer", f"channel {number}")
            for first in range(0, len(values), BLOCK):
                yield values[first : first + BLOCK]
