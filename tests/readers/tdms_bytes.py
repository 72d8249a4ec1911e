"""TDMS files put together by hand, so that no library stands behind what a test expects of them.

After the layout that the maker of the format publishes ("TDMS File Format Internal Structure"); that of the numbers of
measuring cards is in the same paper. Everything in them is synthetic.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

RATE = 1024.0
OVER_TIME: Mapping[str, Any] = {"wf_increment": 1.0 / RATE, "wf_start_offset": 0.0, "unit_string": "m/s2"}
KINDS = {"i1": 1, "i2": 2, "i4": 3, "i8": 4, "u1": 5, "u2": 6, "u4": 7, "u8": 8, "f4": 9, "f8": 10,
         "b1": 0x21, "c8": 0x08000C, "c16": 0x10000D}  # fmt: skip
TEXT, TIME, CARD, CARD_RAW = 0x20, 0x44, 0x1269, 0xFFFF_FFFF
_HEAD, _NEW_LIST, _NUMBERS, _IN_TURN, _BIG, _OF_CARD = 2, 4, 8, 32, 64, 128
_FIRST_DAY = np.datetime64("1904-01-01T00:00:00", "s")


@dataclass(frozen=True)
class Thing:
    """The file, a group or a channel: what is said of it, and its values; or an index and numbers given as bytes."""

    path: str
    values: Any = None
    said: Mapping[str, Any] = field(default_factory=dict)
    index: bytes = b""


def path(*names: str) -> str:
    """The path of a group or a channel; an apostrophe in a name is doubled."""
    return "/" + "/".join("'" + name.replace("'", "''") + "'" for name in names)


def channel(
    values: Any, name: str = "V1 vertical", group: str = "Deck", properties: Mapping[str, Any] = OVER_TIME
) -> Thing:
    """A channel with these values: numbers, truths, times or texts."""
    return Thing(path(group, name), values, properties)


def card(
    name: str, count: int, widths: Sequence[int], scalers: Sequence[tuple[int, int, int, int]], said: Mapping[str, Any]
) -> Thing:
    """A channel as a measuring card stores it; each raw number by its kind, buffer, offset and scale."""
    index = struct.pack("<IIIQI", CARD, CARD_RAW, 1, count, len(scalers))
    for kind, buffer, offset, scale in scalers:
        index += struct.pack("<IIIII", kind, buffer, offset, 0, scale)
    return Thing(path("Group", name), None, said, index + struct.pack(f"<I{len(widths)}I", len(widths), *widths))


def written(*segments: Sequence[Thing], order: str = "<", in_turn: bool = False) -> bytes:
    """A file with these segments."""
    return b"".join(segment(things, order, in_turn) for things in segments)


def segment(things: Sequence[Thing], order: str = "<", in_turn: bool = False, numbers: bytes = b"") -> bytes:
    """A segment with a head of its own."""
    head = struct.pack(order + "I", len(things))
    for thing in things:
        head += _word(thing.path, order) + (thing.index or _index(thing.values, order)) + _said(thing.said, order)
    given = [thing.values for thing in things if thing.values is not None]
    numbers = numbers or (_turned(given, order) if in_turn else b"".join(_stored(values, order) for values in given))
    signs = _HEAD | _NEW_LIST | (_IN_TURN if in_turn else 0) | (_OF_CARD if any(it.index for it in things) else 0)
    return lead_in(signs, len(head), len(numbers), order) + head + numbers


def lead_in(signs: int, head: int, numbers: int, order: str = "<") -> bytes:
    """What stands before each segment; the signs themselves are always little end first."""
    signs |= (_NUMBERS if numbers else 0) | (_BIG if order == ">" else 0)
    return b"TDSm" + struct.pack("<I", signs) + struct.pack(order + "IQQ", 4713, head + numbers, head)


def _word(text: str, order: str) -> bytes:
    return struct.pack(order + "I", len(text.encode())) + text.encode()


def _said(said: Mapping[str, Any], order: str) -> bytes:
    found = struct.pack(order + "I", len(said))
    for key, value in said.items():
        found += _word(key, order)
        if isinstance(value, str):
            found += struct.pack(order + "I", TEXT) + _word(value, order)
        else:
            kind, sign = (KINDS["f8"], "d") if isinstance(value, float) else (KINDS["u4"], "I")
            found += struct.pack(order + "I" + sign, kind, value)
    return found


def _index(values: Any, order: str) -> bytes:
    if values is None:
        return struct.pack(order + "I", 0xFFFF_FFFF)
    if isinstance(values, list):
        return struct.pack(order + "IIIQQ", 28, TEXT, 1, len(values), len(_stored(values, order)))
    kind = TIME if values.dtype.kind == "M" else KINDS[values.dtype.str[1:]]
    return struct.pack(order + "IIIQ", 20, kind, 1, len(values))


def _stored(values: Any, order: str) -> bytes:
    if isinstance(values, list):
        texts = [text.encode() for text in values]
        ends = np.cumsum([len(text) for text in texts])
        return struct.pack(f"{order}{len(ends)}I", *ends) + b"".join(texts)
    if values.dtype.kind == "M":
        seconds = (values.astype("datetime64[s]") - _FIRST_DAY).astype(int)
        return b"".join(struct.pack(order + ("Qq" if order == "<" else "qQ"), 0, int(one)) for one in seconds)
    return bytes(values.astype(values.dtype.newbyteorder(order)).tobytes())


def _turned(given: Sequence[np.ndarray], order: str) -> bytes:
    """One number of each, then the next of each."""
    columns = [np.frombuffer(_stored(one, order), np.uint8).reshape(len(one), -1) for one in given]
    return np.concatenate(columns, axis=1).tobytes()
