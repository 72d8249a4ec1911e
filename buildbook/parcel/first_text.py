"""The first line of a text that is not as it was made a second time, in few words."""

from __future__ import annotations

from itertools import zip_longest

BEFORE, LONGEST = 20, 60  # characters of a line in an excerpt: before what differs, and of all


def first_text(expected: bytes, data: bytes) -> str:
    """The first line of a text that is not as expected, from shortly before what differs; empty where all are.

    Example:
        >>> first_text(b"<p>\\nmargin 4.2 K\\n", b"<p>\\nmargin 9.2 K\\n")
        "line 2: found 'margin 9.2 K', expected 'margin 4.2 K'"
    """
    if expected == data:
        return ""
    wanted, there = (text.decode("utf-8", "replace").split("\n") for text in (expected, data))
    for number, (one, other) in enumerate(zip_longest(wanted, there), start=1):
        if one != other:
            return f"line {number}: found {_excerpt(other, one)}, expected {_excerpt(one, other)}"
    return "its signs are the same and its bytes are not"


def _excerpt(line: str | None, other: str | None) -> str:
    if line is None:
        return "none"
    pairs = zip(line, other or "", strict=False)
    at = next((place for place, (one, two) in enumerate(pairs) if one != two), min(len(line), len(other or "")))
    start = max(at - BEFORE, 0)
    end = start + LONGEST
    return f"'{'…' if start else ''}{line[start:end]}{'…' if end < len(line) else ''}'"
