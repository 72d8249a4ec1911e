"""The listing sheet as one self-contained file: what the printed sheet shares with it, and the page itself."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from buildbook.core.book import Book, Numbered
from buildbook.core.listing import Saying
from buildbook.render.figures import Figure, profile_figure, strip_figure
from buildbook.render.html import Facts, common
from buildbook.render.links import Links, links
from buildbook.render.listing_data import json_ld
from buildbook.render.stamp import DRAFT, element
from buildbook.render.templates import environment, templates_dir
from buildbook.render.units import unbroken

SHEETS = ("style/theme.css", "style/shared.css", "style/verdict.css", "style/kept.css")
FACE = re.compile(r"@font-face\s*\{[^}]*\}\s*")


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact with its strip and its page in the printed book, None where that is not known."""

    saying: Saying
    item: Numbered
    strip: Figure
    page: int | None


def listing_html(book: Book, facts: Facts, pages: Mapping[str, int], content: Mapping[str, bytes]) -> str:
    """The listing sheet as one file that needs no other: styles, face and pictures are in it, and no script runs.

    Args:
        book: the finished book with its listing.
        facts: digest, received files, names of the PDFs.
        pages: page of the printed book by anchor.
        content: the style sheets and fonts of the output folder, by name.

    Returns:
        The page; its links to records work where the book lies beside it.
    """
    template = environment().get_template("listing/page.html.j2")
    return unbroken(
        template.render(
            **shown(book, facts, links(book), pages),
            brief=False,
            style=Markup(style(content)),
            data=json_ld(book),
            seal=element(DRAFT, "listing.html"),
        ),
        shown=book.shown,
    )


def shown(book: Book, facts: Facts, link: Links, pages: Mapping[str, int]) -> dict[str, Any]:
    """What both forms of the sheet show; `page_of` gives the page in the printed book of a finding, by its number."""
    return {
        **common(book, facts, printed=link.printed),
        "link": link,
        "sheet": book.listing,
        "facts": fact_lines(book, book.listing.facts, pages),
        "page_of": {item.number: pages[item.anchor] for item in book.governing if item.anchor in pages},
        "profile": profile_figure(book),
    }


def fact_lines(book: Book, sayings: Iterable[Saying], pages: Mapping[str, int]) -> tuple[Fact, ...]:
    """Facts with strips and pages; the strips of one sheet share no scale, since each is of another quantity."""
    items = {item.number: item for item in book.governing}
    made = []
    for one in (one for one in sayings if one.finding in items):
        item = items[one.finding]
        made.append(Fact(one, item, strip_figure(item, None, (item,), "listing-"), pages.get(item.anchor)))
    return tuple(made)


def style(content: Mapping[str, bytes]) -> str:
    """Every style of the sheet with the plain face, upright, as data in it; other faces are left out for size.

    Args:
        content: files by name, as the output folder has them; a face whose file is not there is left out too.
    """
    sheets = "\n".join(content[name].decode("utf-8") for name in SHEETS)
    plain = re.search(r"--plain:\s*([^;,]+)", sheets)
    faces = [face for face in FACE.findall(sheets) if plain and plain[1] in face and "italic" not in face]
    own = (templates_dir() / "listing" / "listing.css").read_text(encoding="utf-8")
    return "\n".join((*(_inlined(face, content) for face in faces), FACE.sub("", sheets), own)).replace("</", "<\\/")


def _inlined(face: str, content: Mapping[str, bytes]) -> str:
    """A face with its file as data."""

    def file(found: re.Match[str]) -> str:
        kept = content.get(f"style/{found[1]}", b"")
        return f'url("data:font/woff2;base64,{base64.b64encode(kept).decode("ascii")}")'

    return re.sub(r"url\(\"([^\")]+)\"\)", file, face)
