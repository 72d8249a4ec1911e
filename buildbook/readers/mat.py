"""Records in MATLAB files of level 5: one vector of real numbers, by its name, taken out by the library scipy.

The library crashes on some damaged files and unpacks whatever a head says. So it runs as a program of its own
(`mat_program`) with limits on memory and time; what it finds is asked for first, and only a vector is ever loaded.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import IO, TYPE_CHECKING, NamedTuple

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.signal import BLOCK, calibrated, check_rate, no_record

if TYPE_CHECKING:
    import numpy as np

MOST_BYTES = 1_000_000_000  # of one file
MOST_UNPACKED = 300_000_000  # bytes of the vector that is read: the program may take 500 MB
MOST_NAMED = 8
SAVED_ANEW = "save it with the option -v7"
OWN = "save the samples as a variable of their own"

_LEVEL_5 = (b"\x00\x01IM", b"\x01\x00MI")  # version and order of bytes
_BYTES = {"double": 8, "single": 4} | {f"{sign}int{8 * width}": width for sign in ("", "u") for width in (1, 2, 4, 8)}
_PROGRAM = Path(__file__).with_name("mat_program.py")
_LONGEST_LIST = 10_000_000  # bytes


class _Variable(NamedTuple):
    name: str
    shape: tuple[int, ...]
    kind: str

    def __str__(self) -> str:
        return f"{self.name} [{'×'.join(map(str, self.shape))} {self.kind}]"

    @property
    def length(self) -> int:
        """How many numbers a vector has; none where this is no vector of numbers."""
        vector = self.kind in _BYTES and min(self.shape, default=0) > 0 and sum(side > 1 for side in self.shape) <= 1
        return math.prod(self.shape) if vector else 0


def read_mat(
    folder: Folder, name: str, variable: str | None, unit: str, rate: float, calibration: float | None
) -> Signal:
    """One vector of a MATLAB file of level 5, packed or not.

    Args:
        folder: the hull folder.
        name: the file.
        variable: name of the variable with the samples.
        unit: unit of the calibrated values.
        rate: samples per second [1/s].
        calibration: value of the number 1 [unit], since the file names no unit.
    Returns:
        The signal; each call of `blocks()` reads the file anew.
    Errors:
        Refused without a calibration, for another level of file (4, 7.3), one that ends early, one that is larger than
        the cap, and for a variable that is not there or is anything but a vector of real numbers; and as
        `signal.calibrated` says.
    """
    check_rate(rate, Where(name))
    if calibration is None or not calibration:
        no_record(name, "a calibration in the cell `calibration` of its row: the value of the number 1", "none")
    _check_file(folder, name)
    mine = _named(_held(folder, name), variable, name)
    part = f"variable {mine.name}"
    if not mine.length:
        no_record(name, f"a vector of real numbers; {OWN}", f"{mine}", part)
    if mine.length * _BYTES[mine.kind] > MOST_UNPACKED:
        expected = (
            f"at most {MOST_UNPACKED / 1e6:g} MB of numbers once unpacked; save a longer record in parts, or as WAV"
        )
        no_record(name, expected, f"{mine}", part)
    stored = partial(_blocks, folder, name, mine)
    return calibrated(Signal(Where(name, part=part), mine.name, rate, unit, mine.length, calibration, stored))


def _check_file(folder: Folder, name: str) -> None:
    """Refused for anything but a file of level 5 that is not too large."""
    size = folder.size(name)
    with folder.open(name) as stream:
        head = stream.read(128)
    if not head:
        no_record(name, "a MATLAB file", "an empty file")
    if head.startswith((b"MATLAB 7.3", b"\x89HDF")):
        no_record(name, f"a MATLAB file of level 5; {SAVED_ANEW}", "one of level 7.3")
    if head[124:] not in _LEVEL_5:
        no_record(name, f"a MATLAB file of level 5; {SAVED_ANEW}", "another kind of file, or one of level 4")
    if size > MOST_BYTES:
        no_record(name, f"a MATLAB file of at most {MOST_BYTES / 1e6:g} MB", f"{size / 1e6:.0f} MB")


@contextmanager
def _program(folder: Folder, name: str, *asked: str) -> Iterator[IO[bytes]]:
    """What the library answers; nothing where it stopped."""
    # -I: its own folder holds modules that are called as some of the standard library, and must not be looked in
    command = [sys.executable, "-I", str(_PROGRAM), *map(json.dumps, asked)]
    alone = os.environ | {"OPENBLAS_NUM_THREADS": "1"}  # each thread of its own would take memory
    with (
        folder.open(name) as stream,
        subprocess.Popen(
            command, stdin=stream, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=alone
        ) as program,
    ):
        assert program.stdout is not None
        try:
            yield program.stdout
        finally:
            program.kill()


def _held(folder: Folder, name: str) -> list[_Variable]:
    """The variables of a file by their heads."""
    with _program(folder, name) as answer:
        line = answer.readline(_LONGEST_LIST)
    if not line.endswith(b"\n"):
        expected = "a whole MATLAB file without objects; save the samples alone, with the option -v7"
        no_record(name, expected, "one that ends early, is damaged, or holds an object such as a table or a string")
    return [_Variable(called, tuple(shape), kind) for called, shape, kind in json.loads(line)]


def _named(found: list[_Variable], variable: str | None, name: str) -> _Variable:
    """The variable that the row names."""
    more = f" and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    holds = "this file holds: " + (", ".join(map(str, found[:MOST_NAMED])) + more if found else "nothing")
    if not variable:
        no_record(name, "the name of the variable with the samples in the cell `variable` of its row", f"none; {holds}")
    mine = [one for one in found if one.name == variable]
    if len(mine) != 1:
        how = "which is not there" if not mine else f"which is there {len(mine)} times"
        expected = "the name of one variable in the cell `variable` of its row"
        no_record(name, expected, f"'{variable}', {how}; {holds}")
    return mine[0]


def _blocks(folder: Folder, name: str, mine: _Variable) -> Iterator[np.ndarray]:
    import numpy as np

    part = f"variable {mine.name}"
    with _program(folder, name, mine.name) as answer:
        kind = answer.readline(_LONGEST_LIST)
        if kind.startswith(b"complex"):
            no_record(name, f"a vector of real numbers; {OWN}", f"{mine}, whose numbers are complex", part)
        for first in range(0, mine.length, BLOCK):
            data = answer.read(8 * min(BLOCK, mine.length - first))
            if len(data) != 8 * min(BLOCK, mine.length - first):
                expected = f"{mine.length} numbers, as its head says; {SAVED_ANEW}"
                no_record(name, expected, "others: it ends early, is damaged or takes too much memory", part)
            yield np.frombuffer(data, "<f8")
