"""How much a head looks like one of our columns: its letters, its words in any order, in short, in another language."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from buildbook.readers.table import folded, head_of
from buildbook.readers.trade_terms import readings

SPELLED_ALIKE = 0.75  # of the letters, below which spelling says nothing
WORD_ALIKE = 0.84  # of the letters of one word
SHORTEST = 3  # letters of a word in short


@dataclass(frozen=True, slots=True)
class Likeness:
    """How much two names are alike, 0 to 1, and in which language (empty: ours)."""

    degree: float
    language: str = ""

    @property
    def words(self) -> str:
        """The language, for a remark."""
        return f" ({self.language})" if self.language else ""


def likeness(theirs: str, name: str) -> Likeness:
    """How much the head of a file looks like a column of ours.

    Example:
        >>> likeness("Harz [g]", "resin"), likeness("mass of resin", "resin_mass").degree
        (Likeness(degree=1.0, language='German'), 1.0)
    """
    text = theirs.partition("[")[0].partition("(")[0]
    ours = name.split("_")
    ways = [Likeness(_shared(one.words, ours), one.language) for one in readings(text)]
    letters = difflib.SequenceMatcher(None, head_of(text, 0).name, folded(name)).ratio()
    ways.append(Likeness(letters if letters >= SPELLED_ALIKE else 0.0))
    return max(ways, key=lambda one: (one.degree, not one.language))


def _shared(theirs: Sequence[str], ours: Sequence[str]) -> float:
    """The share of words that two names have in common, in any order."""
    left, same = list(theirs), 0
    for word in ours:
        match = next((other for other in left if _one_word(other, word)), None)
        if match is not None:
            left.remove(match)
            same += 1
    return 2.0 * same / (len(theirs) + len(ours)) if theirs else 0.0


def _one_word(theirs: str, ours: str) -> bool:
    """Whether two words are one: spelled so, or nearly, or the first in short."""
    if theirs == ours or (len(theirs) >= SHORTEST and ours.startswith(theirs)):
        return True
    return min(len(theirs), len(ours)) > SHORTEST and difflib.SequenceMatcher(None, theirs, ours).ratio() >= WORD_ALIKE
