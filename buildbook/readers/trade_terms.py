"""Words of the trade in other languages, for suggestions only: what a yard's head or word may mean in ours.

`trade_terms.csv` beside this module: common practice, no source; the words are from memory.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("trade_terms.csv")
OWN = "ours"
FEWEST = 3  # letters of a part of a compound
_LINKS = ("", "s", "n", "en", "e")  # between the parts of a compound
_WORD = re.compile(r"[^\W\d_]+")
_HUMP = re.compile(r"(?<=[a-zß-ÿ])(?=[A-ZÀ-Þ])")
_LITTLE_WORDS = (
    "the of der die das dem den und am im von il la lo le i gli di del della da a les du de des et en van het een el "
    "los las al and y e o or"
)
_LITTLE = frozenset(_LITTLE_WORDS.split())


@dataclass(frozen=True, slots=True)
class Sense:
    """What a word of the yard's may mean: words of ours, and the language in which it does (empty: ours)."""

    words: tuple[str, ...]
    language: str = ""


def words_in(text: str) -> tuple[str, ...]:
    """The words of a head or a cell in one spelling: small letters without accents, ae as a; without little words.

    >>> words_in("Größe der Harz-Probe_2"), words_in("FilmThickness")
    (('grosse', 'harz', 'probe'), ('film', 'thickness'))
    """
    found = [_bare(word) for word in _WORD.findall(_HUMP.sub(" ", text))]
    kept = tuple(word for word in found if word not in _LITTLE)
    return kept or tuple(found)


def _bare(word: str) -> str:
    plain = unicodedata.normalize("NFKD", word.casefold())
    letters = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return letters.replace("ae", "a").replace("oe", "o").replace("ue", "u")


@cache
def _terms() -> Mapping[str, tuple[Sense, ...]]:
    """Every foreign term in one spelling, its words put together, with what it may mean."""
    found: dict[str, dict[Sense, None]] = {}
    with FILE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            for language, terms in row.items():
                for term in terms.split("/") if language != OWN else ():
                    sense = Sense(tuple(row[OWN].split()), language)
                    found.setdefault("".join(words_in(term)), {})[sense] = None
    found.pop("", None)
    return {term: tuple(senses) for term, senses in found.items()}


def senses(word: str) -> tuple[Sense, ...]:
    """What one word, or several put together, may mean; a compound by its parts.

    >>> [sense.words for sense in senses("harz")], senses("harzgewicht")[0].words
    ([('resin',)], ('resin', 'mass'))
    """
    known = _terms()
    if word in known:
        return known[word]
    made: dict[Sense, None] = {}
    for cut in range(FEWEST, len(word) - FEWEST + 1):
        for link in _LINKS:
            if not word[:cut].endswith(link) or len(word[:cut]) - len(link) < FEWEST:
                continue
            first, rest = word[: cut - len(link)], word[cut:]
            for one, other in _pairs(known.get(first, ()), senses(rest) if first in known else ()):
                if one.language == other.language:
                    made[Sense((*one.words, *other.words), one.language)] = None
    return tuple(made) or tuple(_by_its_end(word))


def _by_its_end(word: str) -> Iterable[Sense]:
    """What a compound may mean of which only the end is known, the longest such: `prufdatum` as day."""
    for cut in range(FEWEST, len(word) - FEWEST):
        if word[cut:] in _terms():
            return [Sense((word[:cut], *one.words), one.language) for one in _terms()[word[cut:]]]
    return []


def _pairs(ones: Iterable[Sense], others: Iterable[Sense]) -> Iterable[tuple[Sense, Sense]]:
    return ((one, other) for one in ones for other in others)


def readings(text: str) -> tuple[Sense, ...]:
    """Every way in which a head may be read in words of ours, the head as it is first.

    >>> [" ".join(one.words) for one in readings("Charge Harz")]
    ['charge harz', 'batch resin', 'batch harz', 'load harz']
    """
    words = words_in(text)
    found: dict[Sense, None] = {Sense(words): None}
    found |= dict.fromkeys(senses("".join(words)))
    languages = dict.fromkeys(sense.language for word in words for sense in senses(word))
    for language in languages:
        ways: list[tuple[str, ...]] = [()]
        for word in words:
            meant = [sense.words for sense in senses(word) if sense.language == language] or [(word,)]
            ways = [(*way, *one) for way in ways for one in meant][:64]
        found |= dict.fromkeys(Sense(way, language) for way in ways)
    return tuple(found)
