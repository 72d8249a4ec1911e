"""What a check of a book has found so far; each step of the check adds to it."""

from __future__ import annotations

from buildbook.seal.holder import Holder, Unreadable, whole


class Finds:
    """What was found so far. Names are those in the folder, the zip or the PDF.

    `sums` are those of the files as they are, `sizes` their sizes [bytes]. `listed` are the sums of the first list,
    which are under the digest, and `first_list` are its bytes; `kept` are those that it names as withheld.
    `originals` are the names of withheld files that are there all the same, `given` those of them that are the
    original. `number` is the hull number in the book's data, None where they cannot be used; `no_package` is the
    name of the evidence package that is not there, `packed` are the raw records that lie in the package alone.
    `lists` are the sums of the lists themselves. `later` are the names that only the other lists name. `compared`
    tells that the exported data of a package were made a second time and compared; `not_compared` says why not.
    `other` says why this is not known to be the edition that wrote them, empty where it is, and at first, before
    anybody asked; `otherwise` is what then differs, which proves nothing. `pages_compared` and `pages_not` say the
    same of the pages of a folder. `verdicts_held` tells that each verdict was held against its value, U and limit.
    """

    def __init__(self, holder: Holder) -> None:
        self.there = set(holder.names())
        self.odd = dict(holder.odd)
        self.sums: dict[str, str] = {}
        self.sizes: dict[str, int] = {}
        self.listed: dict[str, str] = {}
        self.kept: dict[str, str] = {}
        self.lists: dict[str, str] = {}
        self.first_list = b""
        self.later: tuple[str, ...] = ()
        self.changed: dict[str, str] = {}
        self.missing: list[str] = []
        self.withheld: tuple[str, ...] = ()
        self.originals: set[str] = set()
        self.given: list[str] = []
        self.unreadable: dict[str, str] = {}
        self.number: str | None = None
        self.no_package = ""
        self.packed: set[str] = set()
        self.lists_whole = True
        self.digest = ""
        self.compared = False
        self.not_compared = ""
        self.other = ""
        self.otherwise: dict[str, str] = {}
        self.pages_compared = False
        self.pages_not = ""
        self.verdicts_held = False

    def read(self, holder: Holder, name: str, most: int) -> bytes | None:
        """A small file whole; None where it is not there, or cannot be read, which is kept."""
        try:
            return whole(holder, name, most) if name in self.there else None
        except Unreadable as why:
            self.unreadable.setdefault(name, str(why))
            return None

    @property
    def told(self) -> set[str]:
        """What is told as changed, missing or not judged."""
        return {*self.changed, *self.missing, *self.unreadable, *self.otherwise}
