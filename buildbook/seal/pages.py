"""What the pages of a folder say of who signed it: each says it once, all say the same."""

from __future__ import annotations

from buildbook.render.stamp import NotStamped, Stamp, claimed, stamped
from buildbook.seal.finds import Finds
from buildbook.seal.holder import Holder

MOST_PAGE = 64 << 20
FIRST_PAGE = "index.html"
NO_STAMP = "it has not the one line at its head that says who signed the book, or that nobody did"
OTHER_STAMP = "it does not say of who signed the book what the first page says"


def stamp_of(holder: Holder, found: Finds) -> Stamp | None:
    """The stamp of the pages; each page of the release without its one stamp, or with another, is told as changed.

    Args:
        holder: the folder.
        found: what was found so far; pages that are told already are passed by.

    Returns:
        The stamp of the first page, None where it has none or cannot be read.
    """
    first = claimed(found.read(holder, FIRST_PAGE, MOST_PAGE) or b"")
    for name in sorted(name for name in found.later if name.endswith(".html")):
        page = None if name in found.told else found.read(holder, name, MOST_PAGE)
        if page is None:
            continue
        said = claimed(page)
        if said is None:
            found.changed[name] = NO_STAMP
        elif first is not None and not _has(page, name, first):
            found.changed[name] = OTHER_STAMP
    return first


def _has(page: bytes, name: str, stamp: Stamp) -> bool:
    """Whether its one stamp is this, to the byte."""
    try:
        return stamped(page, name, stamp) == page
    except NotStamped:
        return False
