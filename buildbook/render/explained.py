"""A word of the trade is explained where a page uses it first: a link to the glossary, and its short meaning beside it.

The words and their written forms are data (`words/explained.toml`), their meanings the first sentences of the glossary.
Text is taken apart by the parser of the standard library, tag by tag; nothing is ever looked for inside a tag.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from html.parser import HTMLParser

from markupsafe import Markup, escape

from buildbook.core.shown_units import ShownUnits
from buildbook.render.links import Links
from buildbook.render.prose import Piece, Prose, anchor, prose
from buildbook.render.templates import templates_dir
from buildbook.restated.prose import prose_in

# Elements without an end tag: HTML Living Standard, section 13.1.2 (from memory).
VOID = frozenset(("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"))
HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
LEFT_ALONE = frozenset(("a", "code", "pre", "table", "svg", "figure", "summary", "script", "style", *HEADINGS))
SENTENCE_END = re.compile(r"(?<=[.!?])\s+")


@dataclass(frozen=True, slots=True)
class Word:
    """A word as the glossary names it, its meaning in one sentence, and the forms in which texts write it."""

    term: str
    meaning: str
    forms: tuple[str, ...]

    @property
    def anchor(self) -> str:
        """The anchor of its entry in the glossary."""
        return word_anchor(self.term)


def word_anchor(term: str) -> str:
    """The anchor of an entry of the glossary.

    >>> word_anchor("dew point")
    'word-dew-point'
    """
    return f"word-{anchor(term)}"


def words(link: Links, shown: ShownUnits = ShownUnits.METRIC) -> tuple[Word, ...]:
    """The words to explain that the glossary has, in the order of the list.

    Args:
        link: addresses of any page: meanings are plain words without links.
        shown: the units that figures are told in.

    Returns:
        One `Word` for each listed term with an entry.
    """
    entries = {piece.heading: _first_sentence(piece.text) for piece in glossary(link, shown).pieces}
    listed = _listed()["words"]
    return tuple(Word(term, entries[term], tuple(forms)) for term, forms in listed.items() if term in entries)


def glossary(link: Links, shown: ShownUnits) -> Prose:
    """The words that are explained, in order; with the units that figures are told in where those are not metric."""
    made = prose("words/glossary", link.written, prose_in(shown))
    if shown is ShownUnits.METRIC:
        return made
    units = prose("words/us-glossary", link.written)
    return replace(made, pieces=tuple(sorted((*made.pieces, *units.pieces), key=_in_order)))


def _in_order(piece: Piece) -> str:
    return re.sub(r"[^a-z0-9]", "", piece.heading.lower().replace("µ", "micro"))


def told_on(part: str) -> frozenset[str]:
    """The words that a part of the book explains in its own text, by the name of the part, as `how-judged`."""
    return frozenset(_listed()["told"].get(part, ()))


def _listed() -> dict[str, dict[str, list[str]]]:
    return tomllib.loads((templates_dir() / "words" / "explained.toml").read_text(encoding="utf-8"))


def _first_sentence(text: Markup) -> str:
    return SENTENCE_END.split(str(text.striptags()), maxsplit=1)[0]


class Explained:
    """What a page has explained so far; called with each of its texts in the order of reading."""

    def __init__(self, known: Iterable[Word], link: Links, told: Iterable[str] = (), *, beside: bool = True) -> None:
        """Args: the words; the addresses of the page; terms it explains itself; whether meanings stand in the text."""
        self._words = {form.lower(): word for word in known for form in word.forms}
        self._link, self._beside = link, beside
        self._told = dict.fromkeys(told)
        forms = sorted(self._words, key=len, reverse=True)
        self._form = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, forms))})(?![\w-])", re.IGNORECASE)

    def __call__(self, text: str = "", caller: Callable[[], str] | None = None) -> Markup:
        """A text of the page with its new words linked, each block of text followed by what they mean.

        Args:
            text: paragraphs, lists, tables as HTML. Plain text is escaped.
            caller: gives the text instead, where a template calls with a block.

        Returns:
            The same text; its words are unchanged.
        """
        if not self._words:
            return escape(caller() if caller else text)
        parser = _Blocks(self._linked)
        parser.feed(str(escape(caller() if caller else text)))
        parser.close()
        return Markup("").join(self._with_meanings(*block) for block in parser.blocks())

    def apart(self, *texts: str) -> tuple[Explained, tuple[Word, ...]]:
        """For a chapter in print, whose words stand together at its opening.

        Args:
            texts: the texts of the chapter in the order of reading.

        Returns:
            What links the first use of each word in the chapter, and the words by the alphabet.
        """
        known = tuple(dict.fromkeys(self._words.values()))
        ahead = Explained(known, self._link, beside=False)
        for text in texts:
            ahead(text)
        found = sorted((word for word in known if word.term in ahead._told), key=lambda word: word.term.lower())
        return Explained(known, self._link, beside=False), tuple(found)

    def _linked(self, text: str, found: list[Word]) -> str:
        """One stretch of text, still escaped, with a link at each word that was not told yet."""

        def link(match: re.Match[str]) -> str:
            word = self._words[match.group().lower()]
            if word.term in self._told:
                return match.group()
            self._told[word.term] = None
            found.append(word)
            described = f' aria-describedby="beside-{word.anchor}"' if self._beside else ""
            address = escape(self._link.page("glossary.html", word.anchor))
            return f'<a class="term" href="{address}"{described}>{match.group()}</a>'

        return self._form.sub(link, text)

    def _with_meanings(self, block: str, found: list[Word]) -> Markup:
        if not (found and self._beside):
            return Markup(block)
        notes = Markup("").join(
            Markup('<p id="beside-{}"><b>{}</b> {}</p>').format(word.anchor, word.term, word.meaning) for word in found
        )
        return Markup('<div class="explained">{}<div class="meanings" role="note">{}</div></div>\n').format(
            Markup(block.rstrip()), notes
        )


class _Blocks(HTMLParser):
    """Cuts a text into its outermost elements and hands on what of it may be linked, with references as written."""

    def __init__(self, linked: Callable[[str, list[Word]], str]) -> None:
        super().__init__(convert_charrefs=False)
        self._linked = linked
        self._open: list[str] = []
        self._made: list[tuple[list[str], list[Word]]] = [([], [])]

    def blocks(self) -> Iterator[tuple[str, list[Word]]]:
        """Each outermost element with the words that were linked in it."""
        return (("".join(pieces), found) for pieces, found in self._made if pieces)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._put(self.get_starttag_text() or "")
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._put(self.get_starttag_text() or "")

    def handle_endtag(self, tag: str) -> None:
        self._put(f"</{tag}>")
        if tag in self._open:
            while self._open.pop() != tag:
                pass
        if not self._open:
            self._made.append(([], []))

    def handle_data(self, data: str) -> None:
        if LEFT_ALONE.isdisjoint(self._open):
            data = self._linked(data, self._made[-1][1])
        self._put(data)

    def handle_entityref(self, name: str) -> None:
        self._put(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self._put(f"&#{name};")

    def handle_comment(self, data: str) -> None:
        self._put(f"<!--{data}-->")

    def _put(self, text: str) -> None:
        self._made[-1][0].append(text)
