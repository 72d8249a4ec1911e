"""A folder of a builder's own texts: which there are, and whether each may stand in the book."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from markdown_it.token import Token

from buildbook.core.book import OwnText
from buildbook.core.fault import Fault
from buildbook.core.letters import mixed_words, odd_signs, sign_words
from buildbook.core.where import Where
from buildbook.face.refusal import EFFECT, FaceRefused
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from buildbook.readers.toml_reading import near
from buildbook.render.banned_words import banned
from buildbook.render.own_words import STANDING
from buildbook.render.prose import tokens_of
from buildbook.render.templates import templates_dir

MOST_BYTES = 20_000
MOST_WORDS = 600  # the longest text that comes with the program has 260
ENDING = ".md"
NAMED = "the name of a check or chapter, as 'coating/COA-04.md'"
PAGES = ("index", "exceptions", "coverage", "instruments", "how-judged", "glossary", "sources", "verify")
VERDICT_LIKE = frozenset("✓✔✅☑✗✘✕✖❌☒☐●■▲◆○□△◇")
_HTML = re.compile(r"<(?!https://)[A-Za-z/!?][^>\n]{0,40}")
_LINE = re.compile(r"\[sources\]:", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Head:
    """A heading: how deep (1 to 6), its words, its line, and whether anything stands under it."""

    level: int
    words: str
    line: int
    filled: bool

    def __str__(self) -> str:
        return f"'{'#' * self.level} {self.words}'"


@dataclass(slots=True)
class _Text:
    """One text while it is looked at: tokens, headings, keys of sources, and the faults found so far."""

    file: str
    text: str
    faults: list[Fault] = field(default_factory=list)
    tokens: list[Token] = field(default_factory=list)
    env: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.tokens, self.env = tokens_of(self.text)

    @property
    def heads(self) -> list[Head]:
        at = [n for n, token in enumerate(self.tokens) if token.type == "heading_open"]
        nexts = [*at[1:], len(self.tokens)][: len(at)]
        return [
            Head(int(self.tokens[n].tag[1]), self.tokens[n + 1].content.strip(), _line(self.tokens[n]), after > n + 3)
            for n, after in zip(at, nexts, strict=True)
        ]

    @property
    def plain(self) -> list[tuple[int, str]]:
        """What is read of each paragraph, heading and list item, without marks of emphasis, and its first line."""
        ends = ("softbreak", "hardbreak")
        return [
            (_line(token), "".join("\n" if child.type in ends else child.content for child in token.children or ()))
            for token in self.tokens
            if token.type == "inline"
        ]

    @property
    def sources(self) -> tuple[str, ...]:
        named = str(self.env.get("references", {}).get("SOURCES", {}).get("title", ""))
        return tuple(key.strip() for key in named.split(",") if key.strip())

    def blame(self, line: int | None, expected: str, found: str) -> None:
        self.faults.append(Fault(Where(self.file, line), expected, found, EFFECT))


def read_texts(
    root: Path, chapters: Mapping[str, Iterable[str]], sources: Iterable[str]
) -> tuple[tuple[OwnText, ...], tuple[str, ...]]:
    """Read a folder of texts.

    Args:
        root: the folder; `<chapter>/<check>.md` and `<chapter>/chapter.md` in it stand for the built-in texts.
        chapters: the ids of the checks of each chapter, by its key.
        sources: the keys of the documents that a text may cite.

    Returns:
        The texts in the order of their files, and notices of what lies there and is not used.

    Raises:
        FaceRefused: a text cannot be used; every fault of every text, with file and line.
    """
    pages = [f"{key}/{name}" for key, ids in chapters.items() for name in (*ids, "chapter")]
    linked = frozenset(f"{name}.html" for name in (*PAGES, *chapters))
    try:
        folder = Folder(root)
        names = folder.names()
    except Refused as refused:
        raise FaceRefused([refused.fault]) from None
    texts, faults = [], []
    for name in (name for name in names if name.lower().endswith(ENDING)):
        page = name[: -len(ENDING)]
        if page not in pages or not name.endswith(ENDING):
            faults.append(Fault(Where(name), NAMED, f"'{name}'{near(page, pages)}", EFFECT))
            continue
        own, its = _read(folder, name, page, linked, frozenset(sources))
        texts += [own] if own else []
        faults += its
    if faults or not texts:
        raise FaceRefused(faults or [Fault(Where("."), "a text, as 'coating/COA-04.md'", "none", EFFECT)])
    unused = [f"{name}: not a text, not used" for name in names if not name.lower().endswith(ENDING)]
    return tuple(texts), (*unused, *map(str, folder.left_out()))


def _read(
    folder: Folder, name: str, page: str, linked: frozenset[str], sources: frozenset[str]
) -> tuple[OwnText | None, list[Fault]]:
    """One text, or its faults."""
    try:
        data = folder.read(name, MOST_BYTES)
        words = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except Refused as refused:
        return None, [Fault(refused.fault.where, refused.fault.expected, refused.fault.found, EFFECT)]
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        return None, [Fault(Where(name, line), "text in UTF-8", "another encoding", EFFECT)]
    if "\0" in words:
        return None, [Fault(Where(name), "text", "a file with zero bytes", EFFECT)]
    text = _Text(name, words)
    built_in = _Text(name, (templates_dir() / "chapters" / f"{page}.md").read_text(encoding="utf-8"))
    _check_headings(text, built_in)
    _check_sources(text, built_in, sources)
    _check_words(text)
    _check_signs(text)
    _check_emphasis(text)
    _check_pieces(text, linked)
    return OwnText(page, name, words, hashlib.sha256(data).hexdigest()), text.faults


def _check_headings(text: _Text, built_in: _Text) -> None:
    """The same headings in the same order, and something to read under those that the text stands for."""
    heads, wanted = text.heads, built_in.heads
    have, want = [(head.level, head.words) for head in heads], [(head.level, head.words) for head in wanted]
    for head, before in zip(wanted, [None, *wanted], strict=False):
        if (head.level, head.words) not in have:
            place = f"after {before}" if before else "as the first"
            text.blame(None, f"the heading {head}, {place}", "no such heading")
    for number, head in enumerate(heads):
        if (head.level, head.words) not in want:
            hint = near(head.words, [words for _, words in want])
            text.blame(head.line, "no heading but those of the built-in text", f"{head}{hint}")
        elif have.index((head.level, head.words)) != number:
            text.blame(head.line, "each heading once", f"{head} again")
        elif head.level > 1 and not head.filled and head.words not in STANDING:
            text.blame(head.line, f"a text under {head}", "nothing")
    if sorted(have) == sorted(want) and have != want:
        wrong = next(head for head, words in zip(heads, want, strict=True) if (head.level, head.words) != words)
        text.blame(wrong.line, f"the headings in this order: {'; '.join(map(str, wanted))}", f"{wrong} here")
    if heads and (heads[0].filled or _line(text.tokens[0]) < heads[0].line):
        text.blame(heads[0].line, "nothing before the first '##' heading but the question", "a text that no page shows")


def _check_sources(text: _Text, built_in: _Text, known: frozenset[str]) -> None:
    """The line of the sources: all that the built-in text cites, and none that the book does not list."""
    line = next((n for n, words in enumerate(text.text.split("\n"), 1) if _LINE.match(words)), None)
    whole = f'[sources]: # "{", ".join(built_in.sources)}"'
    if not text.sources:
        text.blame(line, f"the line {whole}", "none" if line is None else "one without keys")
        return
    dropped = [key for key in built_in.sources if key not in text.sources]
    if dropped:
        text.blame(line, f"every source of the built-in text: {whole}", f"a line without {', '.join(dropped)}")
    for key in text.sources:
        if key not in known:
            expected = "keys of documents that the book lists (docs/reference/sources.md)"
            text.blame(line, expected, f"'{key}'{near(key, sorted(known))}")


def _check_words(text: _Text) -> None:
    # As written and as read: a word may be broken by emphasis, or spelled by the numbers of its letters.
    pieces = [(1, text.text), *text.plain]
    found = [(line + it.line - 1, f"'{it.word}' ({it.reason})") for line, words in pieces for it in banned(words)]
    for line, what in dict.fromkeys(found):
        text.blame(line, "words that records can bear", what)
    for number, written in enumerate(text.text.split("\n"), 1):
        for match in _HTML.finditer(written):
            text.blame(number, "Markdown without HTML", f"'{match.group()}'")
    count = len([word for word in text.text.split() if any(sign.isalnum() for sign in word)])
    if count > MOST_WORDS:
        text.blame(None, f"at most {MOST_WORDS} words", str(count))


def _check_signs(text: _Text) -> None:
    """Nothing that a reader does not see, that looks like a letter it is not, or that may pass for a verdict."""
    pieces = [(1, text.text), *text.plain]
    odd = [(_line_at(line, words, at), sign) for line, words in pieces for at, sign in odd_signs(words)]
    for number, sign in dict.fromkeys(odd):
        text.blame(number, "signs that a reader sees, in the order in which they stand", sign)
    for first, words in text.plain:
        for at, word in mixed_words(words):
            text.blame(_line_at(first, words, at), "each word in the letters of one alphabet", f"'{word}'")
        for at in (at for at, sign in enumerate(words) if sign in VERDICT_LIKE):
            text.blame(_line_at(first, words, at), "no sign that may pass for a verdict", sign_words(words[at]))


def _check_emphasis(text: _Text) -> None:
    """A paragraph all in bold looks like a heading or a verdict, and those are the book's own."""
    for token in text.tokens:
        depth, bold, plain = 0, "", ""
        for child in token.children or ():
            depth += {"strong_open": 1, "strong_close": -1}.get(child.type, 0)
            bold, plain = (bold + child.content, plain) if depth else (bold, plain + child.content)
        if bold.strip() and not any(map(str.isalnum, plain)):
            text.blame(_line(token), "no paragraph all in bold", f"'{bold.strip()[:60]}'")


def _check_pieces(text: _Text, linked: frozenset[str]) -> None:
    """Pictures have a table of their own; a link leads to a page that there is, or to an https address."""
    for token in text.tokens:
        for child in token.children or ():
            if child.type == "image" or (child.type == "text" and "![" in child.content):
                text.blame(_line(token), "words; pictures stand in photographs.csv", "a picture")
            elif child.type == "link_open":
                address = str(child.attrGet("href") or "")
                if not address.startswith("https://") and address not in linked:
                    text.blame(_line(token), _link_words(linked), f"'{address}'")
            elif child.type == "text" and "](" in child.content:
                text.blame(_line(token), _link_words(linked), f"'{child.content[:60]}'")


def _link_words(linked: frozenset[str]) -> str:
    return f"a link to an https address or to one of {', '.join(sorted(linked))}"


def _line_at(first: int, words: str, at: int) -> int:
    """The line in which the sign at a place of some words stands, which begin on the line `first`."""
    return first + words.count("\n", 0, at)


def _line(token: Token) -> int:
    return token.map[0] + 1 if token.map else 1
