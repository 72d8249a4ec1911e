"""Records in universal files, dataset 58: text or binary, of either byte order.

The exception among the readers of long records: the library wants the file whole and makes some fifteen times its size
of it. So its size is capped, and the numbers are not kept but read anew for each pass over a record. The library takes
much on trust, so what it gives is checked.
"""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.signal import BLOCK, IN_ITS_ROW, MOST_SAMPLES, calibrated, check_rate, no_record, scale_to

if TYPE_CHECKING:
    import numpy as np

MOST_BYTES = 36_000_000  # of one file: 36 channels of a minute at 2048 Hz in double precision
TIME_RESPONSE = 1
KEPT = 1_000_000  # bytes of a file that is kept as taken apart
RECORD = 58
REAL = (2, 4)  # the file's codes for real numbers, single and double
WHOLE_RATE = 1e-4  # a step printed with six digits gives 65535.95 Hz for 65536 Hz
ORDER = "; binary data may be stored in the other order of bytes than its head says"
ON_A_LINE = {2: 6, 4: 4}  # numbers on a full line of text, by the file's code for real numbers
WIDTH = {2: 4, 4: 8}  # bytes of a number, likewise


def read_uff(folder: Folder, name: str, channel: int, unit: str) -> Signal:
    """One time record of a universal file.

    Args:
        folder: the hull folder.
        name: the file.
        channel: which of its time records, from 1.
        unit: unit wanted. The unit label of the record is converted to it; its code for the kind of quantity is not
            believed, since programs write it wrongly.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused for a file that is larger than the cap, ends early, holds no such record or more numbers than its head
        says, is not evenly spaced, has no unit, and as `signal.calibrated` says.
    """
    head, values = _record(folder, name, channel)
    part = f"channel {channel}"
    factor, rate = _factor(head, unit, name, part), _rate(head, name, part)
    label = str(head.get("id1") or "").strip()
    title = part if label in ("", "NONE") else f"{part}, {label}"
    stored = partial(_blocks, folder, name, channel)
    return calibrated(Signal(Where(name, part=part), title, rate, unit, len(values), factor, stored), ORDER)


def _record(folder: Folder, name: str, channel: int) -> tuple[Mapping[str, Any], np.ndarray]:
    """The head of one time record and its numbers as stored."""
    data = _checked(folder, name)
    return (_kept if len(data) <= KEPT else _taken_out)(data, name, channel)


def _checked(folder: Folder, name: str) -> bytes:
    """The bytes of a file that begins and ends like a universal file."""
    size = folder.size(name)
    if size > MOST_BYTES:
        expected = f"a universal file of at most {MOST_BYTES / 1e6:g} MB; save longer records as WAV or as text"
        no_record(name, expected, f"{size / 1e6:.0f} MB")
    data = folder.read(name, MOST_BYTES)
    if not data.lstrip(b"\r\n").startswith(b"    -1"):
        no_record(
            name,
            "a universal file, which begins with '    -1'",
            "another kind of file" if data else "an empty file",
        )
    if not data.rstrip().endswith(b"-1"):
        no_record(name, "'    -1' at the end of the last record", "a file that ends early")
    return data


def _taken_out(data: bytes, name: str, channel: int) -> tuple[Mapping[str, Any], np.ndarray]:
    """The head of one time record and its numbers, as the library reads them."""
    part = f"channel {channel}"
    with _copy(data) as path:
        library = _asked(name, lambda: _library(path))
        kinds = _asked(name, library.get_set_types)
        numbers = [number for number, kind in enumerate(kinds) if int(kind) == RECORD]
        if not numbers:
            no_record(name, "a universal file with records (dataset 58)", "none of them")
        heads = {n: _asked(name, partial(library.read_sets, n, header_only=True)) for n in numbers}
        over_time = [number for number, head in heads.items() if head.get("func_type") == TIME_RESPONSE]
        if not over_time:
            no_record(name, "a record over time", f"{len(heads)} of another kind")
        if not 1 <= channel <= len(over_time):
            no_record(name, f"a channel from 1 to {len(over_time)} {IN_ITS_ROW}", f"{channel}")
        head = heads[over_time[channel - 1]]
        _check_form(head, name, part)
        found = _asked(name, lambda: library.read_sets(over_time[channel - 1]))
        return head, _values(head, found, name, part)


@lru_cache(maxsize=32)
def _kept(data: bytes, name: str, channel: int) -> tuple[Mapping[str, Any], np.ndarray]:
    """The same of a small file, which is taken apart once however often it is asked for."""
    return _taken_out(data, name, channel)


@contextmanager
def _copy(data: bytes) -> Iterator[Path]:
    """A copy of the file, since the library wants a path; so no link is followed either."""
    with tempfile.TemporaryDirectory() as aside:
        path = Path(aside) / "record.uff"
        path.write_bytes(data)
        yield path


def _library(path: Path) -> Any:
    """The library's view of a file."""
    import pyuff

    return pyuff.UFF(str(path))


def _asked(name: str, question: Callable[[], Any]) -> Any:
    """What the library answers; it raises plain exceptions for anything it cannot read."""
    try:
        return question()
    except Exception as error:
        no_record(name, "records that can be read (dataset 58)", f"others: {str(error)[:80]}")


def _check_form(head: Mapping[str, Any], name: str, part: str) -> None:
    if head.get("ord_data_type") not in REAL:
        no_record(name, "real numbers", "complex ones", part)
    if head.get("abscissa_spacing") != 1:
        no_record(name, "samples at even steps", "uneven ones", part)


def _values(head: Mapping[str, Any], found: Mapping[str, Any], name: str, part: str) -> np.ndarray:
    import numpy as np

    values = np.asarray(found.get("data"), dtype=np.float64)
    said = int(head.get("num_pts") or 0)
    if values.ndim != 1 or not 1 <= said <= MOST_SAMPLES:
        no_record(name, f"from 1 to {MOST_SAMPLES} numbers", f"{said}", part)
    if len(values) < said:
        no_record(name, f"{said} numbers, as its head says", f"{len(values)}: the record ends early", part)
    if len(values) > said and not _only_filling(head, values[said:], said):
        no_record(name, f"{said} numbers, as its head says", f"{len(values)}: a part would be left out", part)
    return values[:said].copy()


def _only_filling(head: Mapping[str, Any], more: np.ndarray, said: int) -> bool:
    """Whether no numbers of the record stand behind it: a line break behind binary data, noughts to the end of a line.

    The line break and the blanks before the end may be read as one number more, whatever it is; where the head's own
    count of bytes has room for that number, it is one.
    """
    kind = int(head["ord_data_type"])
    if head.get("binary"):
        return len(more) == 1 and int(head.get("n_bytes") or 0) < (said + 1) * WIDTH[kind]
    return len(more) <= -said % ON_A_LINE[kind] and not more.any()


def _factor(found: Mapping[str, Any], unit: str, name: str, part: str) -> float:
    label = str(found.get("ordinate_axis_units_lab") or "").strip()
    if label in ("", "NONE"):
        no_record(name, f"a unit beside the values, such as {unit}", "none", part)
    return scale_to(label, unit, Where(name, part=part))


def _rate(found: Mapping[str, Any], name: str, part: str) -> float:
    step = float(found.get("abscissa_inc") or 0.0)
    if not (math.isfinite(step) and step > 0):
        no_record(name, "a step of time above zero", f"{step:g}", part)
    rate = 1.0 / step
    check_rate(rate, Where(name, part=part))
    whole = round(rate)
    return float(whole) if whole and abs(rate - whole) <= WHOLE_RATE * rate else rate


def _blocks(folder: Folder, name: str, channel: int) -> Iterator[np.ndarray]:
    _, values = _record(folder, name, channel)
    for start in range(0, len(values), BLOCK):
        yield values[start : start + BLOCK]
