"""The files of the listing sheet: the web file always, the PDF where the printed book could be made."""

from __future__ import annotations

from collections.abc import Mapping

from buildbook.core.book import Book
from buildbook.render.html import Facts
from buildbook.render.listing import listing_html
from buildbook.render.pages import pages


def sheet_files(
    book: Book, facts: Facts, name: str, pdf: bytes, styles: Mapping[str, bytes]
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """The listing sheet by the names of its files, and notices.

    Args:
        book: the finished book with its listing.
        facts: digest, received files, name of the printed book, the builder's face and the paper.
        name: what its files are called, without an ending.
        pdf: the printed book, empty where it was not made: then no page is named and no sheet is printed.
        styles: style sheets and fonts of the output folder, by name.

    Returns:
        The web file, then the PDF if any; a notice says why there is none although the book could be printed.
    """
    numbers = pages(pdf)
    made = {f"{name}.html": listing_html(book, facts, numbers, styles).encode("utf-8")}
    if not pdf:
        return made, ()
    from buildbook.render.listing_pdf import TooLong, listing_pdf
    from buildbook.render.pdf_stamp import LISTING, laid_on

    try:
        made[f"{name}.pdf"] = laid_on(listing_pdf(book, facts, numbers, facts.face.paper.value), LISTING)
    except TooLong as error:
        return made, (str(error),)
    return made, ()
