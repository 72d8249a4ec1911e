"""The listing sheet as a PDF of exactly two pages."""

from __future__ import annotations

import io
from collections.abc import Mapping

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


# Sizes of the type [pt], and whether every matter is told in its short form: the first that fits is used. No matter and
# no fact is left out to make it fit.
SETTINGS = (
    *((size, False) for size in (9.2, 8.8, 8.4, 8.2, 8.0, 7.8, 7.6)),
    *((size, True) for size in (8.0, 7.6, 7.2, 6.8)),
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
    words = shown(book, facts, links(book, printed=True), pages)
    own = {SHEETS[-1]: (templates_dir() / "listing" / "print.css").read_bytes()}
    styles = {**print_styles(facts.face), **own}

    def set_in(size: float, brief: bool, *, apart: bool = False) -> bytes:
        """The sheet in type of one size; `apart` starts what has to be said with it on a page of its own."""
        shelf = Shelf(facts.face.light.ink if facts.face.light else INK)
        how = {"src": shelf.put, "sheets": SHEETS, "paper": paper, "size": size, "brief": brief, "apart": apart}
        html = environment().get_template("listing/print.html.j2").render(**words, **how)
        return book_pdf(unbroken(html, shown=book.shown), {**styles, **shelf.content}, (), book.hull.as_of)

    for size, brief in SETTINGS:
        made = set_in(size, brief)
        if _count(made) < PAGES:
            made = set_in(size, brief, apart=True)
        if _count(made) == PAGES:
            return made
    raise TooLong("The printed listing sheet was not made: it does not fit on two pages. The web file has all of it.")


def _count(pdf: bytes) -> int:
    import pikepdf

    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return len(opened.pages)
