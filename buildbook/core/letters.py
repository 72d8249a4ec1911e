"""Letters of a text as a reader sees them: one spelling for searching, and signs that hide, turn or pile up."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

HYPHENS = frozenset("\u2010\u2011\u2012\u2013\u2014\u2212\ufe58\ufe63\uff0d")
MOST_MARKS = 3  # accents on one letter; Vietnamese and Hebrew need two or three
_WORD = re.compile(r"[^\W\d_]+")
_SCRIPTS = ("LATIN", "CYRILLIC", "GREEK")
_USUAL = "\n\t\ufeff"  # what a text file may hold: ends of lines, tabs, the mark at the start of a file


def searched(text: str) -> tuple[str, list[int]]:
    """A text as it is searched for words, and the place in the text of each of its signs.

    Signs that are not seen go; every kind of space and any number of them is one space, every kind of hyphen and dash
    one hyphen; letters that are only written otherwise are brought together (Unicode Standard Annex 15, form NFKC).

    >>> searched("zero\\u00a0 de\\u00adfects")[0]
    'zero defects'
    """
    made: list[str] = []
    at: list[int] = []
    for place, sign in enumerate(text):
        if sign.isspace():
            plain = " " if not made or made[-1] != " " else ""
        elif sign in HYPHENS:
            plain = "-"
        else:
            plain = "" if unicodedata.category(sign) == "Cf" else unicodedata.normalize("NFKC", sign)
        made += plain
        at += [place] * len(plain)
    return "".join(made), at


def odd_signs(text: str) -> Iterator[tuple[int, str]]:
    """Signs that a reader does not see, that turn the order of what follows, or that pile up on one letter.

    Args:
        text: any text; a sign that only allows a break in a word (U+00AD) is none of them.

    Yields:
        The place in the text, and the sign in words.

    >>> list(odd_signs("ab\\u202ec"))
    [(2, 'U+202E (right-to-left override)')]
    """
    marks = 0
    for place, sign in enumerate(text):
        kind = unicodedata.category(sign)
        marks = marks + 1 if kind == "Mn" else 0
        hidden = kind in ("Cf", "Cc", "Co", "Cs") and sign not in _USUAL and sign not in "\r\u00ad"
        if hidden or marks == MOST_MARKS + 1:
            yield place, sign_words(sign)


def sign_words(sign: str) -> str:
    """A sign by its number and, where it has one, its name.

    >>> sign_words("\\u6e38")
    'U+6E38 (cjk unified ideograph-6e38)'
    """
    name = unicodedata.name(sign, "").lower()
    return f"U+{ord(sign):04X}" + (f" ({name})" if name else "")


def mixed_words(text: str) -> Iterator[tuple[int, str]]:
    """Words whose letters come from two alphabets, so that one may pass for another; with their place.

    >>> [word for _, word in mixed_words("perfe\\u0441t, \\u03a9")]
    ['perfe\u0441t']
    """
    for match in _WORD.finditer(text):
        if match[0].isascii():
            continue
        names = {unicodedata.name(sign, "").partition(" ")[0] for sign in match[0]}
        if len(names & set(_SCRIPTS)) > 1:
            yield match.start(), match[0]
