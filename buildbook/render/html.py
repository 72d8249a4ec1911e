"""The pages of the site, from the book and the templates."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from buildbook.core.book import Book
from buildbook.render.content import Opening, opening, tally
from buildbook.render.content import lines as finding_lines
from buildbook.render.figures import SIGNS, examples, profile_figure
from buildbook.render.links import HULL_FILE, Links, links, source_anchor
from buildbook.render.prose import prose
from buildbook.render.templates import environment

Progress = Callable[[str], None]
SHEETS = ("style/theme.css", "style/shared.css", "style/site.css", "style/verdict.css")
SHORT = 12


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the site: its address, its name in the contents, the part it shows and what only that part needs."""

    name: str
    heading: str
    body: str
    own: Mapping[str, Any]
    under: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """What the pages say besides the book: the digest, the received files by name, the name of the PDF if any."""

    digest: str
    received: Mapping[str, bytes]
    pdf: str


def site(book: Book, facts: Facts, progress: Progress) -> dict[str, str]:
    """Every page of the site.

    Args:
        book: the finished book.
        facts: digest, received files, name of the PDF.
        progress: told the name of each page.

    Returns:
        The text of each page by its name in the output folder.
    """
    pages = _pages(book, facts)
    template = environment().get_template("site/page.html.j2")
    listed = [page for page in pages if not page.under]
    made: dict[str, str] = {}
    for page in pages:
        progress(page.name)
        place = listed.index(next(other for other in listed if other.name == (page.under or page.name)))
        link = page.own["link"]
        made[page.name] = template.render(
            **common(book, facts, link),
            **{key: value for key, value in page.own.items() if key != "link"},
            page=page,
            heading=page.heading,
            body=page.body,
            contents=listed,
            before=listed[place - 1] if place else None,
            after=listed[place + 1] if place + 1 < len(listed) else None,
            sheets=SHEETS,
        )
    return made


def common(book: Book, facts: Facts, link: Links) -> dict[str, Any]:
    """What every template may name, on the site and in print."""
    return {
        "book": book,
        "link": link,
        "printed": link.printed,
        "signs": SIGNS,
        "digest": facts.digest,
        "short": facts.digest[:SHORT],
        "pdf": facts.pdf,
        "source_anchor": source_anchor,
    }


def hull_lines(facts: Facts) -> tuple[str, ...]:
    """The lines of hull.toml as received, for a page with an anchor per line."""
    return tuple(facts.received.get(HULL_FILE, b"").decode("utf-8", "replace").splitlines())


def _pages(book: Book, facts: Facts) -> list[Page]:
    top = links(book, hull_lines=len(hull_lines(facts)))
    openings = tuple(opening(book, chapter, top) for chapter in book.chapters)
    pages = [
        Page("index.html", "First page", "parts/index.html.j2", first_page(book, openings, top)),
    ]
    pages += [
        Page(f"{made.chapter.key}.html", made.chapter.title, "parts/chapter.html.j2", {"link": top, "opening": made})
        for made in openings
    ]
    return pages


def first_page(book: Book, openings: tuple[Opening, ...], link: Links) -> dict[str, Any]:
    """What the first page, or the first spread, shows."""
    return {
        "link": link,
        "openings": openings,
        "profile": profile_figure(book),
        "what": prose("words/what-this-is", link.page),
        "tally": tally(book.counts),
        "worst": finding_lines(book.exceptions, (), "first-"),
        "examples": examples(),
    }
