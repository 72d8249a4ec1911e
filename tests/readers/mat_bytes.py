"""MATLAB files of level 5 put together by hand, so that no library stands behind what a test expects of them.

After the layout that the maker of the format publishes ("MAT-File Format", level 5). Everything in them is synthetic.
"""

from __future__ import annotations

import struct
import zlib
from typing import Any

import numpy as np

# How numbers are stored and the kinds of variables, by the file's codes.
STORED = {"i1": 1, "u1": 2, "i2": 3, "u2": 4, "i4": 5, "u4": 6, "f4": 7, "f8": 9, "i8": 12, "u8": 13}
KINDS = {"f8": 6, "f4": 7, "i1": 8, "u1": 9, "i2": 10, "u2": 11, "i4": 12, "u4": 13, "i8": 14, "u8": 15}
MATRIX, PACKED, TEXT = 14, 15, 4


def padded(kind: int, data: bytes, order: str = "<") -> bytes:
    """A part of a variable, filled up to eight bytes."""
    return struct.pack(order + "II", kind, len(data)) + data + b"\0" * (-len(data) % 8)


def array(
    code: int, shape: tuple[int, ...], name: str, kind: int, numbers: bytes, order: str = "<", signs: int = 0
) -> bytes:
    """A variable: flags, shape, name, numbers."""
    parts = padded(6, struct.pack(order + "II", code | signs << 8, 0), order)
    parts += padded(5, struct.pack(f"{order}{len(shape)}i", *shape), order)
    parts += padded(1, name.encode(), order) + padded(kind, numbers, order)
    return struct.pack(order + "II", MATRIX, len(parts)) + parts


def element(*variables: bytes, order: str = "<") -> bytes:
    """A file of these variables."""
    signs = b"\x00\x01IM" if order == "<" else b"\x01\x00MI"
    return b"MATLAB 5.0 MAT-file, synthetic".ljust(124) + signs + b"".join(variables)


def packed(variable: bytes) -> bytes:
    """A variable packed."""
    data = zlib.compress(variable)
    return struct.pack("<II", PACKED, len(data)) + data


def written(pack: bool = False, **variables: Any) -> bytes:
    """A file with these variables: texts, numbers, and arrays, of which plain ones are rows."""
    made = [_variable(name, value) for name, value in variables.items()]
    return element(*(packed(one) if pack else one for one in made))


def _variable(name: str, value: Any) -> bytes:
    if isinstance(value, str):
        return array(TEXT, (1, len(value)), name, 2, value.encode("ascii"))
    numbers = np.atleast_2d(np.asarray(value))
    kind = numbers.dtype.str[1:]
    stored = numbers.astype(numbers.dtype.newbyteorder("<")).tobytes(order="F")
    return array(KINDS[kind], numbers.shape, name, STORED[kind], stored)
