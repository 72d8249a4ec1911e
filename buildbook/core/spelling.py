"""The word that was probably meant: for suggestions in messages, never for values."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable

# Greek and Cyrillic letters that look like Latin ones (from memory), and those.
_FOREIGN = "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧονАВЕЅІЈКМНОРСТУХаеорсухіјѕ"
_LATIN = "ABEZHIKMNOPTYXovABESIJKMHOPCTYXaeopcyxijs"
_AS_LATIN = str.maketrans(_FOREIGN, _LATIN)


def nearest_word(word: str, choices: Iterable[str], likeness: float = 0.6) -> str:
    """The choice nearest to a mistyped word, empty where none is near.

    Args:
        word: what was typed.
        choices: the words that are known, in any order; the result does not depend on it.
        likeness: 0 to 1, how alike two words must be; capitals, spaces, hyphens and noughts before a number do not
            count.
    Returns:
        One of the choices.
    Example:
        >>> nearest_word("z1", ["Z2", "Z1"]), nearest_word("iso-19804", ["iso-19840"]), nearest_word("keel", ["Z1"])
        ('Z1', 'iso-19840', '')
        >>> nearest_word("COA-4", ["COA-14", "COA-04"])
        'COA-04'
    """
    known = sorted(choices)
    same = [choice for choice in known if _plain(choice) == _plain(word)]
    same = same or [choice for choice in known if _counted(choice) == _counted(word)]
    folded = {choice.casefold(): choice for choice in reversed(known)}
    found = difflib.get_close_matches(word.casefold(), sorted(folded), 1, likeness)
    return same[0] if same else folded[found[0]] if found else ""


def alike(word: str, choices: Iterable[str], likeness: float = 0.6) -> tuple[str, ...]:
    """Every choice that a mistyped word may have been meant for, in order; empty where none is near.

    >>> alike("Z22", ["Z1", "Z2", "Z7", "z22"]), alike("Z8", ["Z1", "Z7"])
    (('Z2', 'z22'), ())
    """
    return tuple(
        choice
        for choice in sorted(set(choices))
        if _plain(choice) == _plain(word)
        or difflib.SequenceMatcher(None, word.casefold(), choice.casefold()).ratio() >= likeness
    )


def did_you_mean(word: str, choices: Iterable[str], likeness: float = 0.6) -> str:
    """The nearest word as the end of a message; empty where none is near.

    >>> did_you_mean("z1", ["Z1"])
    " (did you mean 'Z1'?)"
    >>> did_you_mean("\N{GREEK CAPITAL LETTER ZETA}1", ["Z1", "P1"]).isascii()
    False
    """
    known = tuple(choices)
    if foreign := _of_another_alphabet(word, known):
        latin = nearest_word(word.translate(_AS_LATIN), known, likeness)
        return f" (did you mean '{latin}'? {foreign})" if latin else f" ({foreign})"
    meant = nearest_word(word, known, likeness)
    return f" (did you mean '{meant}'?)" if meant else ""


def _of_another_alphabet(word: str, known: Iterable[str]) -> str:
    """The first letter that only looks like a Latin one, in words; empty where there is none, or where ids are such."""
    letter = next((sign for sign in word if sign in _FOREIGN), "")
    if not letter or not word.translate(_AS_LATIN).isascii() or any(set(_FOREIGN) & set(choice) for choice in known):
        return ""
    alphabet = unicodedata.name(letter).partition(" ")[0].capitalize()
    return f"the letter '{letter}' in it is {alphabet}, not the Latin '{letter.translate(_AS_LATIN)}'"


def other_id(value: str, known: Iterable[str]) -> str:
    """What to do about an id that its table does not have, as the end of a message.

    >>> other_id("z1", ["Z1"]), other_id("keel", ["Z1"])
    (" (did you mean 'Z1'?)", '; write an id that it has, or add a row for this one there')
    """
    return did_you_mean(value, known, 0.75) or "; write an id that it has, or add a row for this one there"


def nearest_names(name: str, choices: Iterable[str], most: int = 3, likeness: float = 0.6) -> tuple[str, ...]:
    """The file names nearest to a mistyped one, the nearest first; alike as a whole, or behind the last slash.

    >>> nearest_names("DWG-21.png", ["documents/DWG-201.png", "documents/DWG-210.png", "raw/V1.wav"])
    ('documents/DWG-201.png', 'documents/DWG-210.png')
    """
    ranked = sorted((-_alike_names(name, choice), choice) for choice in set(choices))
    return tuple(choice for far, choice in ranked if -far >= likeness)[:most]


def _alike_names(one: str, other: str) -> float:
    pairs = ((one, other), (one.rpartition("/")[2], other.rpartition("/")[2]))
    return max(difflib.SequenceMatcher(None, a.casefold(), b.casefold()).ratio() for a, b in pairs)


def _counted(word: str) -> str:
    """A word with its numbers as one counts, 04 like 4."""
    return re.sub(r"(?<!\d)0+(?=\d)", "", _plain(word))


def _plain(word: str) -> str:
    return "".join(sign for sign in word.casefold() if sign.isalnum()) or word
