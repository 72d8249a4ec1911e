"""What a package exports besides records and data: held against both, by whoever can make it a second time."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from buildbook.core.published import JSON
from buildbook.seal.finds import Finds
from buildbook.seal.holder import Holder, Unreadable, whole

MOST_FILE = 64 << 20  # bytes of one file that is read whole
NOT_MADE = "its data are not those that a build writes"
NOT_LISTED = "the first list does not name it"
# What data of a forged book can raise where a text or a table is made from them.
ODD_DATA = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, RecursionError)


class NotCompared(Exception):
    """Exported data cannot be made a second time by this edition of the program; the message says why."""


@dataclass(frozen=True, slots=True)
class Exported:
    """A package: the bytes of its book.json, its files below the top folder, size and SHA-256 of each, their bytes."""

    book: bytes
    names: Collection[str]
    sums: Mapping[str, tuple[int, str]]
    read: Callable[[str], bytes]


@dataclass(frozen=True, slots=True)
class Again:
    """What is not as this program makes it the second time: each name with the reason, empty where the file is missing.

    `other` says in words why this is not known to be the edition that wrote it; empty where it is. What differs then
    proves nothing, and what is the same is held all the same.
    """

    differing: Iterable[tuple[str, str]]
    other: str = ""


Derived = Callable[[Exported], Again]


def hold_derived(holder: Holder, found: Finds, derived: Derived) -> None:
    """Tell each exported file of a package that does not follow from its book and its records.

    Files that are told already are passed by, and so are originals that the builder withholds. Where the book itself is
    changed, nothing is compared. That a program of another version made the package is the one reason for which nothing
    is compared and nothing speaks against it; whatever else stands in the way is told as not judged. So is a file that
    differs where the package does not say that this very program wrote it: no digest covers what it says of that.

    Args:
        holder: the package.
        found: what was found so far.
        derived: gives each name that differs with the reason, empty where the file is missing.
    """
    top, name = holder.data.removesuffix("data/"), f"{holder.data}{JSON}"
    if found.sums.get(name) is None or found.sums[name] != found.listed.get(name):
        found.not_compared = "book.json is not the one that the first list names"
        if name not in found.told:
            found.unreadable[name] = NOT_LISTED
        return
    names = {one.removeprefix(top) for one in found.sums if one.startswith(top) and one not in found.originals}
    sums = {one: (found.sizes[f"{top}{one}"], found.sums[f"{top}{one}"]) for one in names}
    read = _reader(holder, found, top)
    try:
        again = derived(Exported(read(f"data/{JSON}"), names, sums, read))
        found.other = again.other
        for one, why in again.differing:
            tell(found, f"{top}{one}", why, again.other)
        found.compared = True
    except NotCompared as no:
        found.not_compared = found.other = str(no)
    except Unreadable as why:
        found.not_compared = f"a file that they follow from cannot be read ({why})"
    except ODD_DATA:
        found.not_compared = NOT_MADE
        found.unreadable.setdefault(name, NOT_MADE)


def tell(found: Finds, name: str, why: str, other: str) -> None:
    """Tell a file that differs, or is missing where `why` is empty; as not judged where `other` edition wrote it."""
    if name not in found.told:
        if other:
            found.otherwise[name] = why or "it is not there"
        elif why:
            found.changed[name] = why
        else:
            found.missing.append(name)


def _reader(holder: Holder, found: Finds, top: str) -> Callable[[str], bytes]:
    """What reads files below the top folder; one that cannot be read is told as not judged."""

    def read(name: str) -> bytes:
        try:
            return whole(holder, f"{top}{name}", MOST_FILE)
        except Unreadable as why:
            found.unreadable.setdefault(f"{top}{name}", str(why))
            raise

    return read
