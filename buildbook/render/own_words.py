"""A builder's own words on a page: in place of the built-in text or below it, and always named as his."""

from __future__ import annotations

from markupsafe import Markup

from buildbook.core.book import Book
from buildbook.render.prose import Link, Piece, Prose, parsed, prose
from buildbook.restated.prose import prose_in

# Under these headings the built-in text always stands: what a reading does not show, who set the limit, what can hurt.
STANDING = frozenset(
    {"The limit and who set it", "What this does not show", "Caution", "What this chapter does not show"}
)
BLOCK = Markup('<div class="own"><p class="over">In the builder\'s words</p>\n{}</div>\n')


def prose_of(book: Book, page: str, link: Link) -> Prose:
    """The prose of a check or a chapter as this book tells it.

    Args:
        book: the finished book with the builder's own texts.
        page: `coating/COA-04` or `coating/chapter`.
        link: turns the name of an own page into the address that this medium uses.

    Returns:
        The built-in text; where the builder wrote his own, that in its place, except under the headings in `STANDING`,
        where it stands below. The sources of the built-in text always stay, his come behind them.
    """
    built_in = prose(f"chapters/{page}", link, prose_in(book.shown, _check(book, page)))
    own = next((text for text in book.own_texts if text.page == page), None)
    if own is None:
        return built_in
    his = parsed(own.text, link)
    pieces = tuple(_piece(piece, his.under(piece.heading)) for piece in built_in.pieces)
    return Prose(built_in.title, built_in.opening, pieces, tuple(dict.fromkeys((*built_in.sources, *his.sources))))


def _check(book: Book, page: str) -> str:
    """The check that a page is about; of a chapter its first one."""
    key, _, name = page.partition("/")
    if name != "chapter":
        return name
    return next((check.id for chapter in book.chapters if chapter.key == key for check in chapter.checks), "")


def _piece(built_in: Piece, his: Markup) -> Piece:
    if not his.strip():
        return built_in
    kept = built_in.text if built_in.heading in STANDING else Markup("")
    return Piece(built_in.heading, built_in.anchor, kept + BLOCK.format(his))
