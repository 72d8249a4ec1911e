"""What a package exports besides records and data: held against both, by whoever can make it a second time."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from buildbook.core.published import JSON
from buildbook.seal.finds import Finds
from buildbook.seal.holder import Holder, Unreadable, whole

MOST_FILE = 64 << 20  # bytes of one exported file
NOT_MADE = "its data are not those that a build writes"
# What data of a forged book can raise where a text or a table is made from them.
ODD_DATA = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, RecursionError)


class NotCompared(Exception):
    """Exported data cannot be made a second time; the message says why."""


@dataclass(frozen=True, slots=True)
class Exported:
    """A package: the bytes of its book.json, its files below the top folder, size and SHA-256 of each, their bytes."""

    book: bytes
    names: Collection[str]
    sums: Mapping[str, tuple[int, str]]
    read: Callable[[str], bytes]


Derived = Callable[[Exported], Iterable[tuple[str, str]]]


def hold_derived(holder: Holder, found: Finds, derived: Derived) -> None:
    """Tell each exported file of a package that does not follow from its book and its records.

    Files that are told already are passed by. Where the book itself is, nothing is compared, and that is told.

    Args:
        holder: the package.
        found: what was found so far.
        derived: gives each name that differs with the reason, empty where the file is missing.
    """
    top, name = holder.data.removesuffix("data/"), f"{holder.data}{JSON}"
    if found.sums.get(name) is None or found.sums[name] != found.listed.get(name):
        found.not_compared = "book.json is not the one that the first list names"
        return
    names = {one.removeprefix(top) for one in found.sums if one.startswith(top)}
    sums = {one: (found.sizes[f"{top}{one}"], found.sums[f"{top}{one}"]) for one in names}
    try:
        package = Exported(
            whole(holder, name, MOST_FILE), names, sums, lambda one: whole(holder, f"{top}{one}", MOST_FILE)
        )
        for one, why in derived(package):
            if f"{top}{one}" in found.told:
                continue
            if why:
                found.changed[f"{top}{one}"] = why
            else:
                found.missing.append(f"{top}{one}")
        found.compared = True
    except (NotCompared, Unreadable) as no:
        found.not_compared = str(no)
    except ODD_DATA:
        found.not_compared = NOT_MADE
