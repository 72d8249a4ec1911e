"""The order in which a reader expects ids: Z2 before Z10."""

from __future__ import annotations

import re
from functools import lru_cache

from buildbook.core.finding import Key

_NUMBER = re.compile("([0-9]{1,9})")


def natural(key: Key) -> tuple[object, ...]:
    """A sort key that puts Z2 before Z10. Only plain digits count as a number, at most nine of them at a time.

    >>> natural(Key("COA-01", "x", "Z2")) < natural(Key("COA-01", "x", "Z10"))
    True
    """
    return tuple(natural_text(str(text)) for text in key.order)


@lru_cache(maxsize=4096)
def natural_text(text: str) -> tuple[tuple[int, int, str], ...]:
    """The numbers and the words of a text in turn, comparable with each other."""
    return tuple(
        (0, int(piece), "") if _NUMBER.fullmatch(piece) else (1, 0, piece) for piece in _NUMBER.split(text) if piece
    )
