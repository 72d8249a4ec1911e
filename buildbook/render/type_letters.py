"""Which letters the shipped type has: what it lacks, print shows as an empty box."""

from __future__ import annotations

import re
from functools import cache

from buildbook.render.templates import fonts_dir

# Beyond these all shipped faces have every letter: Basic Latin, Latin-1, Latin Extended-A (a test holds it).
_FURTHER = re.compile("[^\u0000-\u017f]")


def lacking(text: str) -> str:
    """The signs of a text that a shipped face has not, each once, in the order of the text.

    >>> lacking("Ω µ Яхта \\u6e38\\u8247")
    '\u6e38\u8247'
    """
    further = dict.fromkeys(_FURTHER.findall(text))
    return "".join(sign for sign in further if ord(sign) not in _letters()) if further else ""


@cache
def _letters() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    faces = [frozenset(TTFont(path).getBestCmap()) for path in sorted(fonts_dir().glob("*.woff2"))]
    return frozenset.intersection(*faces)
