"""The prose of checks, chapters and general pages: Markdown files to pieces of a page, by their headings."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.token import Token
from markdown_it.utils import EnvType, OptionsDict
from markupsafe import Markup

from buildbook.render.templates import templates_dir

OWN_PAGE = re.compile(r"[a-z0-9-]+\.html(#[A-Za-z0-9-]+)?|#[A-Za-z0-9-]+")
Link = Callable[[str], str]
Tell = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Piece:
    """What stands under one second-level heading: the heading, an anchor made of it, and the text as HTML."""

    heading: str
    anchor: str
    text: Markup


@dataclass(frozen=True, slots=True)
class Prose:
    """One file of prose: its title, the text before the first heading, the pieces, and the keys of its sources."""

    title: str
    opening: Markup
    pieces: tuple[Piece, ...]
    sources: tuple[str, ...]

    def under(self, heading: str) -> Markup:
        """The text under a heading, empty where the file does not have it."""
        return next((piece.text for piece in self.pieces if piece.heading == heading), Markup(""))


def prose(name: str, link: Link, tell: Tell = str) -> Prose:
    """One file of prose from the folder of the templates.

    Args:
        name: path inside the templates without the ending, as `chapters/coating/COA-04` or `words/glossary`.
        link: turns the name of an own page into the address that this medium uses.
        tell: tells its figures in the units of the book.

    Returns:
        Its pieces.

    Raises:
        FileNotFoundError: there is no such file.
    """
    path = templates_dir() / f"{name}.md"
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise FileNotFoundError(f"the prose of {name} is missing: no file {path}") from None
    return parsed(tell(text), link)


def parsed(text: str, link: Link) -> Prose:
    """Markdown as prose.

    HTML in the text is shown as text, images are left out, links lead to own pages or to https addresses only. The
    definition `[sources]: # "A, B"` names the sources and is not shown.

    Args:
        text: CommonMark with tables.
        link: turns the name of an own page into the address that this medium uses.

    Returns:
        Title (the first heading), opening, pieces (by second-level headings), sources.

    Example:
        >>> made = parsed("# Why?\\n\\n## Answer\\n\\n<b>So.</b>\\n", str)
        >>> made.title, str(made.under("Answer"))
        ('Why?', '<p>&lt;b&gt;So.&lt;/b&gt;</p>\\n')
    """
    env: dict[str, Any] = {"link": link}
    tokens = _parser().parse(text, env)
    title, rest = "", tokens
    if rest and rest[0].type == "heading_open" and rest[0].tag == "h1":
        title, rest = rest[1].content, rest[3:]
    starts = [i for i, token in enumerate(rest) if token.type == "heading_open" and token.tag == "h2"]
    pieces = []
    for start, end in pairwise([*starts, len(rest)]):
        heading = rest[start + 1].content
        pieces.append(Piece(heading, anchor(heading), _html(rest[start + 3 : end], env)))
    opening = _html(rest[: starts[0]] if starts else rest, env)
    named = env.get("references", {}).get("SOURCES", {}).get("title", "")
    sources = tuple(key.strip() for key in named.split(",") if key.strip())
    return Prose(title, opening, tuple(pieces), sources)


def tokens_of(text: str) -> tuple[list[Token], dict[str, Any]]:
    """Markdown as the parser of the pages reads it: its tokens, each with its lines, and what its definitions hold."""
    env: dict[str, Any] = {"link": str}
    return _parser().parse(text, env), env


def anchor(words: str) -> str:
    """A name that an address can carry, made of some words.

    >>> anchor("Why the yard takes the strict side?")
    'why-the-yard-takes-the-strict-side'
    """
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")


@cache
def _parser() -> MarkdownIt:
    made = MarkdownIt("commonmark", {"html": False}, renderer_cls=_Safe).enable("table")
    made.validateLink = _allowed  # type: ignore[method-assign, assignment]
    return made


def _allowed(address: str) -> bool:
    return address.startswith("https://") or OWN_PAGE.fullmatch(address) is not None or address == "#"


def _html(tokens: Sequence[Token], env: dict[str, Any]) -> Markup:
    parser = _parser()
    return Markup(parser.renderer.render(tokens, parser.options, env))


class _Safe(RendererHTML):
    """Leaves images out and lets the medium say where own pages are."""

    def image(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: EnvType) -> str:
        return ""

    def link_open(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: EnvType) -> str:
        token = tokens[idx]
        address = str(token.attrGet("href") or "")
        if not address.startswith("https://"):
            token.attrSet("href", env["link"](address))
        return self.renderToken(tokens, idx, options, env)
