"""The pages of a folder: no digest covers them, but whoever can make them a second time can hold them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass

from buildbook.core.published import COLUMNS_FILE, JSON, RECEIVED, RELEASE, SIGNATURE
from buildbook.render.stamp import DRAFT, Stamp
from buildbook.seal.derived import MOST_FILE, NOT_MADE, ODD_DATA, NotCompared, tell
from buildbook.seal.finds import Finds
from buildbook.seal.holder import Holder, Unreadable, whole

HULL = f"{RECEIVED}hull.toml"
TEXTS = (HULL, f"{RECEIVED}{COLUMNS_FILE}")  # the folder's own texts; not every folder has the second
NO_BASE = "{name} is not the one that the first list names, and the pages follow from it"
NO_EDITION = "the evidence package, which says which program wrote the book, was not compared"


@dataclass(frozen=True, slots=True)
class Site:
    """The folder of a book.

    `book` are the bytes of its book.json, `digest` is that of its first list, `listed` are the names in that list.
    `names` are its files but for lists and signature, `stamp` is what its pages say of who signed; `read` gives bytes.
    """

    book: bytes
    digest: str
    listed: Collection[str]
    names: Collection[str]
    stamp: Stamp
    read: Callable[[str], bytes]


Pages = Callable[[Site], Iterable[tuple[str, str]]]


def hold_pages(folder: Holder, found: Finds, pages: Pages, stamp: Stamp | None) -> None:
    """Tell each page that does not follow from the book and its records.

    Pages that are told already are passed by. Where it is not known that this very program wrote the book, a page that
    differs is told as not judged, as `hold_derived` does with the exports.

    Args:
        folder: the folder.
        found: what was found so far, the evidence package in it among that.
        pages: gives each name that differs with the reason, empty where the file is missing.
        stamp: what the first page says of who signed the book.
    """
    for name in (JSON, HULL, *(name for name in TEXTS[1:] if name in found.listed)):
        if found.sums.get(name) is None or found.sums[name] != found.listed.get(name):
            found.pages_not = NO_BASE.format(name=name)
            return
    other = found.other or ("" if found.compared else NO_EDITION)
    names = found.there - {RELEASE, SIGNATURE} - found.originals
    unlisted = names - {*found.listed, *found.later}  # told as extra, whatever else may be said of them
    read = _reader(folder)
    try:
        site = Site(read(JSON), found.digest, found.listed, names, stamp or DRAFT, read)
        for name, why in pages(site):
            if name not in unlisted:
                tell(found, name, why, other)
        found.pages_compared = True
    except NotCompared as no:
        found.pages_not = str(no)
    except Unreadable as why:
        name = why.name or JSON
        found.pages_not = f"{name} cannot be read: {why}"
        if name not in found.told:
            found.unreadable[name] = str(why)
    except ODD_DATA:
        found.pages_not = NOT_MADE
        found.unreadable.setdefault(JSON, NOT_MADE)


def _reader(folder: Holder) -> Callable[[str], bytes]:
    """What reads files of the folder; Unreadable names the file."""

    def read(name: str) -> bytes:
        try:
            return whole(folder, name, MOST_FILE)
        except Unreadable as why:
            raise Unreadable(str(why), name) from None

    return read
