"""How a TDMS file is laid out: its segments one after another, each with the numbers of some channels.

The file is walked anew for each pass and nothing of it is kept but what the last segment said. Every length that the
file names is held against the file before anything is read: the numbers of a channel are found by their place alone.
"""

from __future__ import annotations

import io
import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import takewhile
from typing import Any, BinaryIO, NoReturn

from buildbook.core.where import Where
from buildbook.readers.signal import refused

LEAD_IN = 28  # bytes
MOST_HEAD = 16_000_000  # bytes of one segment's description
MOST_OBJECTS = 1000  # groups and channels of a file
MOST_PROPERTIES = 10_000  # of one of them
LONGEST_WORD = 100_000  # bytes of a name or a text
WHOLE_FILE = "; open it in the program that recorded it, save it once more and name that file"

_HAS_HEAD, _NEW_LIST, _HAS_NUMBERS, _IN_TURN, _BIG = 1 << 1, 1 << 2, 1 << 3, 1 << 5, 1 << 6
_UNKNOWN_END = 0xFFFF_FFFF_FFFF_FFFF
_NOTHING, _AS_BEFORE = 0xFFFF_FFFF, 0
NO_SCALE = 0xFFFF_FFFF  # of numbers that no card stored
_OF_A_CARD, _OF_LINES = 0x1269, (0x126A, 0x1369)
_STRING, _TIME, _RAW = 0x20, 0x44, 0xFFFF_FFFF
_PART = re.compile(r"/'((?:[^']|'')*)'")
# Codes of the kinds of numbers, as numpy writes them; the second list is that of measuring cards.
NUMBERS = {
    1: "i1",
    2: "i2",
    3: "i4",
    4: "i8",
    5: "u1",
    6: "u2",
    7: "u4",
    8: "u8",
    9: "f4",
    10: "f8",
    25: "f4",
    26: "f8",
}
_OF_CARDS = {0: "u1", 1: "i1", 2: "u2", 3: "i2", 4: "u4", 5: "i4", 6: "u8", 7: "i8", 8: "f4", 9: "f8"}
_OTHER_SIZES = {0x21: 1, _TIME: 16, 0x08000C: 8, 0x10000D: 16}  # truth values, times, complex numbers


@dataclass(frozen=True, slots=True)
class Stored:
    """How a channel stands in a segment: `count` in each chunk, their `kind` as numpy writes it.

    Times and the like are of the kind V with their bytes, texts of none. `bytes` of all of them in a chunk. Of a
    measuring card: `card` is which of its buffers, `offset` [bytes] where in a row of it, `scale` the number of its
    scale, `widths` [bytes] those of a row in every buffer.
    """

    kind: str
    count: int
    bytes: int
    card: int | None = None
    offset: int = 0
    scale: int = NO_SCALE
    widths: tuple[int, ...] = ()

    @property
    def numbers(self) -> bool:
        """Whether these are numbers, and how each of them stands is known."""
        return self.kind[:1] in ("i", "u", "f")

    @property
    def size(self) -> int:
        """Bytes of one of them; none of a text, whose lengths differ."""
        return int(self.kind[1:] or 0)


@dataclass(frozen=True, slots=True)
class Run:
    """Numbers of one channel: `rows` of `stride` [bytes] from `start` on, in each `count` of this kind at `offset`."""

    start: int
    rows: int
    stride: int
    offset: int
    count: int
    kind: str

    @property
    def length(self) -> int:
        """How many numbers these are."""
        return self.rows * self.count


@dataclass(slots=True)
class Layout:
    """What the file said up to the segment that was walked last: how each channel stands, and its properties.

    `listed` are the channels of this segment in their order, and whether they have anything in it.
    """

    stored: dict[str, Stored] = field(default_factory=dict)
    properties: dict[str, dict[str, Any]] = field(default_factory=dict)
    listed: dict[str, bool] = field(default_factory=dict)
    segment: _Segment | None = None

    def here(self) -> dict[str, Stored]:
        """The channels with something in this segment, in the order in which it stands."""
        given = self.segment is not None
        return {path: self.stored[path] for path, there in self.listed.items() if there and given}

    def runs(self, path: str) -> Iterator[Run]:
        """Where the numbers of a channel stand in this segment."""
        here = self.here()
        if self.segment is not None and path in here:
            yield from _runs(self.segment, here, path)


@dataclass(frozen=True, slots=True)
class _Segment:
    name: str
    order: str
    in_turn: bool
    start: int
    size: int


def walked(stream: BinaryIO, name: str) -> Iterator[Layout]:
    """The layout after each segment of a file; the same value each time, so ask it before going on.

    Args:
        stream: the file, at its beginning.
        name: its name, for messages.
    Errors:
        Refused for anything but a TDMS file, one that ends early, and lengths that cannot be.
    """
    end = stream.seek(0, io.SEEK_END)
    if not end:
        no_record(name, "a TDMS file, which begins with 'TDSm'", "an empty file")
    layout, at = Layout(), 0
    while at < end:
        at = _segment(stream, name, layout, at, end)
        yield layout


def _segment(stream: BinaryIO, name: str, layout: Layout, at: int, end: int) -> int:
    """Reads one segment's description into the layout; where the next segment starts."""
    stream.seek(at)
    lead = stream.read(LEAD_IN)
    if not lead.startswith(b"TDSm"):
        _no_segment(name, lead, at)
    if len(lead) < LEAD_IN:
        _ends_early(name, "a whole segment", f"{len(lead)} bytes of one")
    signs = int.from_bytes(lead[4:8], "little")
    order = ">" if signs & _BIG else "<"
    _, whole, head = struct.unpack(order + "IQQ", lead[8:])
    following = at + LEAD_IN + whole
    if whole == _UNKNOWN_END:
        no_record(name, f"a file that was closed after recording{WHOLE_FILE}", "one whose last segment has no end")
    if following > end:
        _ends_early(name, f"{whole} bytes in its last segment", f"{end - at - LEAD_IN}")
    if head > whole or (head > MOST_HEAD and signs & _HAS_HEAD):
        _damaged(name, f"{head} bytes of description in {whole}")
    if signs & _HAS_HEAD:
        _Head(name, order, stream.read(head)).read_into(layout, bool(signs & _NEW_LIST) or at == 0)
    elif at == 0:
        _damaged(name, "none in the first segment")
    size = whole - head if signs & _HAS_NUMBERS else 0
    in_turn = bool(signs & _IN_TURN)
    layout.segment = _Segment(name, order, in_turn, at + LEAD_IN + head, size) if size else None
    return int(following)


def _no_segment(name: str, lead: bytes, at: int) -> NoReturn:
    if at:
        _damaged(name, f"something else where a segment should start, at byte {at}")
    if lead.startswith(b"TDSh"):
        no_record(name, "the .tdms file itself", "its index, which holds no numbers")
    no_record(name, "a TDMS file, which begins with 'TDSm'", "another kind of file")


class _Head:
    """Reads the description of one segment."""

    def __init__(self, name: str, order: str, data: bytes) -> None:
        self.name, self.order, self.data, self.at = name, order, data, 0

    def read_into(self, layout: Layout, new_list: bool) -> None:
        """Puts what this description says into the layout."""
        if new_list:
            layout.listed = {}
        for _ in range(self._up_to(MOST_OBJECTS, "groups and channels")):
            path = self._word()
            self._index(layout, path)
            known = layout.properties.setdefault(path, {})
            if len(layout.properties) > MOST_OBJECTS:
                no_record(self.name, f"at most {MOST_OBJECTS} groups and channels", "more")
            for _ in range(self._up_to(MOST_PROPERTIES, "properties")):
                key = self._word()
                known[key] = self._value()
            if len(known) > MOST_PROPERTIES:
                no_record(self.name, f"at most {MOST_PROPERTIES} properties", "more")

    def _index(self, layout: Layout, path: str) -> None:
        kind = self._number("I")
        if kind == _NOTHING:
            layout.listed[path] = False
            return
        if kind == _AS_BEFORE:
            if path not in layout.stored:
                _damaged(self.name, f"{shown(path)} as before, where nothing was before")
        elif kind == _OF_A_CARD or kind in _OF_LINES:
            layout.stored[path] = self._of_card(path, kind in _OF_LINES)
        else:
            layout.stored[path] = self._plain()
        layout.listed[path] = True

    def _plain(self) -> Stored:
        kind, dimension, count = self._number("I"), self._number("I"), self._number("Q")
        if dimension != 1:
            _damaged(self.name, f"{dimension} dimensions")
        if kind == _STRING:
            return Stored("", count, self._number("Q"))
        other = _OTHER_SIZES.get(kind)
        number = NUMBERS.get(kind, f"V{other}" if other else "")
        if not number and count:
            _damaged(self.name, f"numbers of an unknown kind ({kind})")
        return Stored(number, count, count * int(number[1:] or 0))

    def _of_card(self, path: str, lines: bool) -> Stored:
        """A channel as a measuring card stored it."""
        kind, dimension, count, scalers = (self._number(sign) for sign in "IIQI")
        if dimension != 1 or not 1 <= scalers <= MOST_OBJECTS:
            _damaged(self.name, f"{dimension} dimensions, {scalers} raw numbers")
        found = [(*(self._number("I") for _ in range(3)), self._number("B" if lines else "I"), self._number("I"))
                 for _ in range(scalers)]  # fmt: skip
        widths = tuple(self._number("I") for _ in range(self._up_to(MOST_OBJECTS, "buffers")))
        code, card, offset, _, scale = found[0]
        number = "" if lines or scalers > 1 else _OF_CARDS.get(code, "")
        if any(one[1] >= len(widths) for one in found):
            _damaged(self.name, f"{shown(path)} in a buffer that is not there")
        if number and offset + int(number[1]) > widths[card]:
            _damaged(self.name, f"{shown(path)} behind the end of its row")
        return Stored(number, count, 0, card, offset, scale if kind == _RAW else NO_SCALE, widths)

    def _value(self) -> Any:
        kind = self._number("I")
        if kind == _STRING:
            return self._word()
        if kind in NUMBERS:
            return struct.unpack(self.order + _SIGNS[NUMBERS[kind]], self._bytes(int(NUMBERS[kind][1])))[0]
        if kind not in _OTHER_SIZES:
            _damaged(self.name, f"a property of an unknown kind ({kind})")
        return self._bytes(_OTHER_SIZES[kind])

    def _word(self) -> str:
        length = self._number("I")
        if length > LONGEST_WORD:
            _damaged(self.name, f"a name of {length} bytes")
        return self._bytes(length).decode("utf-8", "replace")

    def _up_to(self, most: int, what: str) -> int:
        count = self._number("I")
        if count > most:
            no_record(self.name, f"at most {most} {what}", f"{count}")
        return count

    def _number(self, sign: str) -> int:
        return int(struct.unpack(self.order + sign, self._bytes(struct.calcsize(self.order + sign)))[0])

    def _bytes(self, count: int) -> bytes:
        found = self.data[self.at : self.at + count]
        if len(found) < count:
            _damaged(self.name, "one that breaks off")
        self.at += count
        return found


_SIGNS = {"i1": "b", "i2": "h", "i4": "i", "i8": "q", "u1": "B", "u2": "H", "u4": "I", "u8": "Q", "f4": "f", "f8": "d"}


def _runs(segment: _Segment, here: dict[str, Stored], path: str) -> Iterator[Run]:
    mine = here[path]
    if not mine.numbers or not mine.count:
        return
    if any(one.card is not None for one in here.values()):
        yield from _of_card(segment, here, mine)
    elif segment.in_turn:
        yield _in_turn(segment, here, path)
    else:
        yield _in_chunks(segment, here, path)


def _in_turn(segment: _Segment, here: dict[str, Stored], path: str) -> Run:
    """One number of every channel, then the next of every channel."""
    sizes = {one: stored.size for one, stored in here.items()}
    if not all(sizes.values()) or any(one.count != here[path].count for one in here.values()):
        no_record(segment.name, "equally many numbers of each channel where they stand in turn", "others")
    row = sum(sizes.values())
    if segment.size % row:
        _not_whole(segment, row)
    before = sum(sizes[one] for one in takewhile(path.__ne__, sizes))
    return Run(segment.start, segment.size // row, row, before, 1, segment.order + here[path].kind)


def _in_chunks(segment: _Segment, here: dict[str, Stored], path: str) -> Run:
    """All numbers of a chunk of one channel, then those of the next; chunk after chunk."""
    mine = here[path]
    chunk = sum(one.bytes for one in here.values())
    if segment.size % chunk:
        _not_whole(segment, chunk)
    before = sum(here[one].bytes for one in takewhile(path.__ne__, here))
    return Run(segment.start, segment.size // chunk, chunk, before, mine.count, segment.order + mine.kind)


def _of_card(segment: _Segment, here: dict[str, Stored], mine: Stored) -> Iterator[Run]:
    """Buffers one after the other, in each one row for each sample."""
    if any(one.card is None or one.widths != mine.widths for one in here.values()):
        no_record(segment.name, "channels of one measuring card alone", "others among them")
    most = [
        max((one.count for one in here.values() if one.card == card), default=0) for card, _ in enumerate(mine.widths)
    ]
    sizes = [count * width for count, width in zip(most, mine.widths, strict=True)]
    card = mine.card or 0
    width, kind = mine.widths[card], segment.order + mine.kind
    if sum(sizes) == sizes[card] and mine.count == most[card] and segment.size % width == 0:
        yield Run(segment.start, segment.size // width, width, mine.offset, 1, kind)
        return
    if segment.size % sum(sizes):
        _not_whole(segment, sum(sizes))
    for start in range(segment.start + sum(sizes[:card]), segment.start + segment.size, sum(sizes)):
        yield Run(start, mine.count, width, mine.offset, 1, kind)


def shown(path: str) -> str:
    """A channel as its file's programs show it: group, then channel.

    >>> shown("/'Deck'/'V1 ''aft'''")
    "Deck, V1 'aft'"
    """
    return ", ".join(parts(path))


def parts(path: str) -> list[str]:
    """The names in a path: none for the file, one for a group, two for a channel."""
    return [part.replace("''", "'") for part in _PART.findall(path)]


def no_record(name: str, expected: str, found: str, part: str = "") -> NoReturn:
    """Refuses the file, or a channel of it."""
    raise refused(Where(name, part=part), expected, found)


def _ends_early(name: str, expected: str, found: str) -> NoReturn:
    no_record(name, f"{expected}, as its head says{WHOLE_FILE}", f"{found}: the file ends early")


def _not_whole(segment: _Segment, chunk: int) -> NoReturn:
    expected = f"a whole number of pieces of {chunk} bytes in each segment{WHOLE_FILE}"
    no_record(segment.name, expected, f"{segment.size} bytes: the file ends early, or its head is wrong")


def _damaged(name: str, found: str) -> NoReturn:
    no_record(name, f"a TDMS file whose descriptions can be read{WHOLE_FILE}", found)
