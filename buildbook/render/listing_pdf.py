"""The listing sheet as a PDF of exactly two pages."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass

from buildbook.core.book import Book
from buildbook.render.html import Facts
from buildbook.render.links import links
from buildbook.render.listing import shown
from buildbook.render.pdf import INK, Shelf, book_pdf, print_styles
from buildbook.render.templates import environment, templates_dir
from buildbook.render.units import unbroken

PAGES = 2
SHEETS = ("style/theme.css", "style/shared.css", "style/verdict.css", "style/kept.css", "style/listing-print.css")


class TooLong(Exception):
    """The sheet does not fit on two pages even in the smallest setting; the message says so."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How small the sheet is set [pt], and how many sentences are printed at most; all of them are in the web file."""

    size: float
    sentences: int


# The first that fits is used. Facts, exceptions and cautions are never left out; sentences are, and that is said.
SETTINGS = (
    Setting(9.2, 8),
    Setting(8.8, 8),
    Setting(8.8, 5),
    Setting(8.4, 8),
    Setting(8.4, 5),
    Setting(8.0, 5),
    Setting(7.6, 3),
    Setting(7.2, 0),
)


def listing_pdf(book: Book, facts: Facts, pages: Mapping[str, int], paper: str = "A4") -> bytes:
    """The listing sheet as PDF.

    Args:
        book: the finished book with its listing.
        facts: digest, received files, name of the printed book.
        pages: page of the printed book by anchor.
        paper: the size of the paper as style sheets call it, `A4` or `letter`; upright.

    Returns:
        The bytes of the PDF, two pages.

    Raises:
        NotPossible: a system library is missing.
        NotClean: the sheet asks for something that is not part of it.
        TooLong: names of this folder are so long that two pages are not enough.
    """
    for setting in SETTINGS:
        made = _set(book, facts, pages, paper, setting)
        if _count(made) < PAGES:
            made = _set(book, facts, pages, paper, setting, apart=True)
        if _count(made) == PAGES:
            return made
    raise TooLong("The printed listing sheet was not made: it does not fit on two pages. The web file has all of it.")


def _set(
    book: Book, facts: Facts, pages: Mapping[str, int], paper: str, setting: Setting, *, apart: bool = False
) -> bytes:
    """The sheet in one setting; `apart` starts the sentences on a page of their own."""
    shelf = Shelf(facts.face.light.ink if facts.face.light else INK)
    html = (
        environment()
        .get_template("listing/print.html.j2")
        .render(
            **shown(book, facts, links(book, printed=True), pages),
            src=shelf.put,
            sheets=SHEETS,
            paper=paper,
            setting=setting,
            apart=apart,
        )
    )
    own = {SHEETS[-1]: (templates_dir() / "listing" / "print.css").read_bytes()}
    return book_pdf(unbroken(html), {**print_styles(facts.face), **own, **shelf.content}, (), book.hull.as_of)


def _count(pdf: bytes) -> int:
    import pikepdf

    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return len(opened.pages)
