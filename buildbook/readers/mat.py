"""Records in MATLAB files of level 5: one vector of real numbers, by its name.

Only heads and plain numbers are ever read: a structure, a cell or an object is named where somebody asks what the file
holds, and never opened. A packed variable is unpacked as it is read and never held whole.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, BinaryIO, NoReturn

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.signal import BLOCK, MOST_SAMPLES, calibrated, check_rate, refused

if TYPE_CHECKING:
    import numpy as np

HEAD = 128  # bytes
MOST_VARIABLES = 10_000
MOST_UNPACKED = 2_000_000_000  # bytes of one packed variable
MOST_NAMED = 8
LONGEST_NAME = 1000  # bytes
SAVED_ANEW = "save it with the option -v7"

_MATRIX, _PACKED = 14, 15
_NAMES, _WHOLE = (1,), (5, 6)
_AT_ONCE = 1 << 16  # bytes
# How numbers are stored, by the file's code, as numpy writes it; and the kinds of variables by theirs.
_STORED = {1: "i1", 2: "u1", 3: "i2", 4: "u2", 5: "i4", 6: "u4", 7: "f4", 9: "f8", 12: "i8", 13: "u8"}
_NUMBERS = {6: "double", 7: "single", 8: "int8", 9: "uint8", 10: "int16", 11: "uint16", 12: "int32", 13: "uint32",
            14: "int64", 15: "uint64"}  # fmt: skip
_OTHERS = {1: "cell", 2: "struct", 3: "object", 4: "char", 5: "sparse", 16: "function", 17: "object"}
_COMPLEX, _LOGICAL = 0x08, 0x02


class _Torn(Exception):
    """Bytes that are not there, or cannot be unpacked."""


@dataclass(frozen=True, slots=True)
class _Variable:
    """What the head of a variable says; `at` [bytes] where it stands, `size` [bytes] there, `packed` or not."""

    name: str
    kind: str
    plain: bool
    shape: tuple[int, ...]
    at: int
    size: int
    packed: bool

    def __str__(self) -> str:
        shape = "×".join(map(str, self.shape))
        return f"{self.name} [{shape} {self.kind}]" if shape else f"{self.name} [{self.kind}]"

    @property
    def length(self) -> int:
        """How many numbers a vector has; none where this is no vector."""
        longer = [side for side in self.shape if side != 1]
        return 0 if len(longer) > 1 or not self.shape else (longer or [1])[0]


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
        Refused without a calibration, for another level of file (4, 7.3), one that ends early, and for a variable that
        is not there or is anything but a vector of real numbers; and as `signal.calibrated` says.
    """
    check_rate(rate, Where(name))
    if calibration is None or not calibration:
        _no(name, "", "a calibration in the row that names it: the value of the number 1", "none")
    with folder.open(name) as stream:
        order = _order(stream, name)
        mine = _named(list(_variables(stream, name, order)), variable, name)
        part = f"variable {mine.name}"
        _check_vector(mine, name, part)
        try:
            _start(_Reader(stream, mine, order), mine)
        except _Torn as torn:
            _no(name, part, f"{mine.length} numbers, as its head says", str(torn))
    stored = partial(_blocks, folder, name, mine, order)
    return calibrated(Signal(Where(name, part=part), mine.name, rate, unit, mine.length, calibration, stored))


def _order(stream: BinaryIO, name: str) -> str:
    """The order of bytes of a file of level 5."""
    head = stream.read(HEAD)
    if not head:
        _no(name, "", "a MATLAB file", "an empty file")
    if head.startswith((b"MATLAB 7.3", b"\x89HDF")):
        _no(name, "", f"a MATLAB file of level 5; {SAVED_ANEW}", "one of level 7.3")
    sign, version = head[126:128], head[124:126]
    if (sign, version) not in ((b"IM", b"\x00\x01"), (b"MI", b"\x01\x00")):
        other = "another kind of file, or one of level 4"
        _no(name, "", f"a MATLAB file of level 5; {SAVED_ANEW}", other)
    return "<" if sign == b"IM" else ">"


def _variables(stream: BinaryIO, name: str, order: str) -> Iterator[_Variable]:
    """The variables of a file by their heads, from where the stream stands."""
    at, end = HEAD, stream.seek(0, 2)
    for _ in range(MOST_VARIABLES):
        if at == end:
            return
        stream.seek(at)
        tag = stream.read(8)
        if len(tag) < 8:
            _no(name, "", "a whole variable at its end", "a file that ends early")
        kind, size = struct.unpack(order + "II", tag)
        if at + 8 + size > end:
            _no(name, "", f"{size} bytes in a variable, as its head says", f"{end - at - 8}: the file ends early")
        if kind not in (_MATRIX, _PACKED):
            _no(name, "", "variables", f"something else at byte {at} (kind {kind})")
        try:
            yield _head(_Reader(stream, _Variable("", "", False, (), at + 8, size, kind == _PACKED), order))
        except _Torn as torn:
            _no(name, "", f"variables whose heads can be read; {SAVED_ANEW}", f"{torn} at byte {at}")
        at += 8 + size
    _no(name, "", f"at most {MOST_VARIABLES} variables", "more")


class _Reader:
    """Reads the inside of a variable in order, unpacking it where it is packed."""

    def __init__(self, stream: BinaryIO, of: _Variable, order: str) -> None:
        stream.seek(of.at)
        self.stream, self.of, self.order, self.left = stream, of, order, of.size
        self.unpacking = zlib.decompressobj() if of.packed else None
        self.waiting = b""
        if of.packed:
            kind, _ = self.numbers("II")
            if kind != _MATRIX:
                raise _Torn(f"something else than a variable (kind {kind})")

    def take(self, count: int) -> bytes:
        """The next bytes; raises where there are fewer."""
        parts, missing = [], count
        while missing:
            part = self._some(min(missing, _AT_ONCE))
            if not part:
                raise _Torn(f"{missing} bytes fewer")
            parts.append(part)
            missing -= len(part)
        return b"".join(parts)

    def ended(self) -> bool:
        """Whether nothing follows, and what was packed is whole."""
        try:
            if self._some(1):
                return False
        except _Torn:
            return False
        return self.unpacking is None or self.unpacking.eof

    def numbers(self, signs: str) -> tuple[int, ...]:
        """The next whole numbers."""
        return struct.unpack(self.order + signs, self.take(struct.calcsize(self.order + signs)))

    def tag(self) -> tuple[int, int, int]:
        """Kind and size [bytes] of the next part, and how many bytes fill it up; up to four stand in the tag itself."""
        (word,) = self.numbers("I")
        if word >> 16:
            size = word >> 16
            if size > 4:
                raise _Torn(f"a small part of {size} bytes")
            return word & 0xFFFF, size, 4 - size
        (size,) = self.numbers("I")
        return word, size, -size % 8

    def part(self, kinds: tuple[int, ...], most: int) -> bytes:
        """The next part, which is one of these kinds and not too long."""
        kind, size, more = self.tag()
        if kind not in kinds or size > most:
            raise _Torn(f"a part of kind {kind} with {size} bytes")
        found = self.take(size)
        self.take(more)
        return found

    def _some(self, most: int) -> bytes:
        if self.unpacking is None:
            data = self.stream.read(min(most, self.left))
            self.left -= len(data)
            return data
        while not self.unpacking.eof:
            if not self.waiting and self.left:
                self.waiting = self.stream.read(min(_AT_ONCE, self.left))
                self.left -= len(self.waiting)
            before = self.waiting
            try:
                data = self.unpacking.decompress(before, most)
            except zlib.error:
                raise _Torn("packed bytes that cannot be unpacked") from None
            self.waiting = self.unpacking.unconsumed_tail
            if data:
                return data
            if not before:
                return b""
        return b""


def _head(reader: _Reader) -> _Variable:
    """The variable with what its head says."""
    import numpy as np

    of = reader.of
    flags = reader.part(_WHOLE, 8)
    if len(flags) != 8:
        raise _Torn("a head without its kind")
    word = struct.unpack(reader.order + "I", flags[:4])[0]
    code, signs = word & 0xFF, word >> 8 & 0xFF
    kind = _NUMBERS.get(code) or _OTHERS.get(code, f"kind {code}")
    if code == 17:
        shape: tuple[int, ...] = ()
    else:
        shape = tuple(int(side) for side in np.frombuffer(reader.part(_WHOLE, 256), reader.order + "i4"))
    name = reader.part(_NAMES, LONGEST_NAME).decode("ascii", "replace")
    if signs & _LOGICAL:
        kind = "logical"
    elif signs & _COMPLEX:
        kind = f"complex {kind}"
    plain = code in _NUMBERS and not signs & (_LOGICAL | _COMPLEX)
    return _Variable(name, kind, plain, shape, of.at, of.size, of.packed)


def _named(found: list[_Variable], variable: str | None, name: str) -> _Variable:
    """The variable that the row names."""
    more = f" and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    holds = "this file holds: " + (", ".join(map(str, found[:MOST_NAMED])) + more if found else "nothing")
    if not variable:
        _no(name, "", "the name of the variable with the samples in the cell `variable` of its row", f"none; {holds}")
    mine = [one for one in found if one.name == variable]
    if len(mine) != 1:
        how = "which is not there" if not mine else f"which is there {len(mine)} times"
        _no(name, "", "the name of one variable in the cell `variable` of its row", f"'{variable}', {how}; {holds}")
    return mine[0]


def _check_vector(mine: _Variable, name: str, part: str) -> None:
    if not mine.plain:
        _no(name, part, f"a vector of real numbers; {_REMEDY}", f"{mine}")
    if not 1 <= mine.length <= MOST_SAMPLES:
        _no(name, part, f"a vector, with from 1 to {MOST_SAMPLES} numbers; {_REMEDY}", f"{mine}")


_REMEDY = "save the samples as a variable of their own"


def _start(reader: _Reader, mine: _Variable) -> tuple[str, int]:
    """Goes to the first number of a variable; how numpy writes its kind, and how many bytes fill up behind the last."""
    _head(reader)
    kind, size, more = reader.tag()
    stored = _STORED.get(kind)
    if stored is None:
        raise _Torn(f"numbers of an unknown kind ({kind})")
    if size != mine.length * int(stored[1]):
        raise _Torn(f"{size} bytes for {mine.length} numbers of {stored[1]} bytes")
    if mine.packed and size > MOST_UNPACKED:
        raise _Torn(f"{size / 1e6:.0f} MB once unpacked, of at most {MOST_UNPACKED / 1e6:.0f}")
    return reader.order + stored, more


def _blocks(folder: Folder, name: str, mine: _Variable, order: str) -> Iterator[np.ndarray]:
    import numpy as np

    part = f"variable {mine.name}"
    with folder.open(name) as stream:
        try:
            reader = _Reader(stream, mine, order)
            kind, more = _start(reader, mine)
            for first in range(0, mine.length, BLOCK):
                data = reader.take(min(BLOCK, mine.length - first) * int(kind[2]))
                with np.errstate(all="ignore"):  # no number stays none, and is refused where blocks are looked at
                    yield np.frombuffer(data, kind).astype(np.float64)
            reader.take(more)
            if not reader.ended():
                raise _Torn("more than that")
        except _Torn as torn:
            _no(name, part, f"{mine.length} numbers, as its head says", f"{torn}: it ends early or is damaged")


def _no(name: str, part: str, expected: str, found: str) -> NoReturn:
    raise refused(Where(name, part=part), expected, found)
