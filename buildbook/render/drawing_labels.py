"""Where the words of a chart go: measured, wrapped, moved apart. Plain arithmetic in points, 72 to the inch."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache

FAMILY = "IBM Plex Sans"
TEXT_SIZE = 8.5
LINE_HEIGHT = 10.5


@lru_cache(maxsize=4096)
def text_width(words: str, size: float = TEXT_SIZE) -> float:
    """How wide a line of words is set [pt], by the metrics of the shipped font (which must be registered)."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    width, _, _ = text_to_path.get_text_width_height_descent(words, FontProperties(family=FAMILY, size=size), False)
    return float(width)


def wrapped(words: str, width: float, *, cut: bool = False, size: float = TEXT_SIZE) -> tuple[str, ...]:
    """The lines of a text that fit a width [pt]; a word that is too long for it stands alone or, if wished, is cut."""
    lines: list[str] = []
    for word in _pieces(words, width, size) if cut else words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def shortened(words: str, width: float, size: float = TEXT_SIZE) -> str:
    """The words, cut with an ellipsis where they are wider than there is room for [pt]."""
    if text_width(words, size) <= width:
        return words
    return words[: _fitting(words, width - text_width("…", size), size)].rstrip() + "…"


def _fitting(words: str, width: float, size: float) -> int:
    """How many letters fit a width, at least one."""
    return max(bisect_right(range(len(words) + 1), width, key=lambda count: text_width(words[:count], size)) - 1, 1)


def _pieces(words: str, width: float, size: float) -> list[str]:
    """The words, those that are too long for a line cut into pieces that are not."""
    pieces = []
    for word in words.split():
        while text_width(word, size) > width and len(word) > 1:
            most = _fitting(word, width, size)
            pieces.append(word[:most])
            word = word[most:]
        pieces.append(word)
    return pieces


def moved_apart(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Middles of labels that stand one above the other, moved as little as needed so that none overlap.

    Labels that touch form a block, which stands where the mean of its members' wishes is (least squares), within
    `low` and `high`; if they need more room than there is, the stack begins at `low` and runs over `high`.

    Args:
        wanted: where each label's middle would like to be.
        heights: how tall each label is.
        low: the lower edge of the room.
        high: its upper edge.

    >>> moved_apart([10.0, 11.0, 40.0], [4.0, 4.0, 4.0], 0.0, 50.0)
    [8.5, 12.5, 40.0]
    """
    order = sorted(range(len(wanted)), key=lambda index: (wanted[index], index))
    blocks: list[tuple[list[int], float, float]] = []
    for index in order:
        members, height = [index], heights[index]
        start = wanted[index] - height / 2.0
        start = max(min(start, high - height), low)
        while blocks and blocks[-1][1] + blocks[-1][2] > start:
            before, _, tall = blocks.pop()
            members, height = before + members, tall + height
            offsets, done = [], 0.0
            for member in members:
                offsets.append(wanted[member] - done - heights[member] / 2.0)
                done += heights[member]
            start = max(min(sum(offsets) / len(offsets), high - height), low)
        blocks.append((members, start, height))
    middles = [0.0] * len(wanted)
    for members, start, _ in blocks:
        for member in members:
            middles[member] = start + heights[member] / 2.0
            start += heights[member]
    return middles


def lanes(stretches: Sequence[tuple[float, float]], gap: float) -> list[int]:
    """Which row each label above the chart takes (0 the lowest), so that none overlap in their row.

    >>> lanes([(0, 10), (8, 20), (21, 30)], 0)
    [0, 1, 0]
    """
    ends: list[float] = []
    rows = [0] * len(stretches)
    for index in sorted(range(len(stretches)), key=lambda i: (stretches[i], i)):
        start, end = stretches[index]
        row = next((number for number, taken in enumerate(ends) if taken + gap <= start), len(ends))
        if row == len(ends):
            ends.append(end)
        ends[row] = end
        rows[index] = row
    return rows
