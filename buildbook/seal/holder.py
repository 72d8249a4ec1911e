"""Where the files of a book can lie: what `verify` asks of a folder, a zip and a PDF alike."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from buildbook.core.published import SUMS

PIECE = 1 << 20  # bytes in memory at a time
PACKAGES = ("zip", "unpacked package")  # kinds of holders that are evidence packages
MOST_LIST = 16 << 20  # bytes of a list of sums: some hundred thousand files


class CannotJudge(Exception):
    """It is no book, or it cannot be read; the message says which."""


class Unreadable(Exception):
    """One file cannot be read, or is not a plain file; the message says why, and `name` which, if that is known."""

    def __init__(self, why: str, name: str = "") -> None:
        super().__init__(why)
        self.name = name


@dataclass(frozen=True, slots=True)
class ListAt:
    """A list of sums: its name, what its entries lie below, and whether it escapes names as BagIt does."""

    name: str
    below: str = ""
    bag: bool = False


MANIFEST, TAGS = "manifest-sha256.txt", "tagmanifest-sha256.txt"


def bag_top(names: Iterable[str]) -> str | None:
    """The one folder in which a bag lies, with a slash behind it, empty where its files lie at the top; None for none.

    Example:
        >>> bag_top(["XX-1-evidence/data/SHA256SUMS"]), bag_top(["data/SHA256SUMS"]), bag_top(["SHA256SUMS"])
        ('XX-1-evidence/', '', None)
    """
    end = f"data/{SUMS}"
    tops = {
        name.removesuffix(end) for name in names if name == end or (name.endswith(f"/{end}") and name.count("/") == 2)
    }
    return tops.pop() if len(tops) == 1 else None


def bag_lists(top: str) -> tuple[ListAt, ...]:
    """The lists of a bag, that of the digest first."""
    data = f"{top}data/"
    return (
        ListAt(f"{data}{SUMS}", data),
        ListAt(f"{top}{MANIFEST}", top, bag=True),
        ListAt(f"{top}{TAGS}", top, bag=True),
    )


class Holder(Protocol):
    """A folder, a zip or a PDF with a book in it. Names have forward slashes; nothing is ever written or unpacked.

    `lists` are the lists of sums that belong to it, that of the digest first. `unlisted` are the files that no list
    names and that belong to it all the same. `odd` are entries that are no plain files, with the reason. `data` is the
    folder in which the files of the first list lie. `said` is the digest that the holder gives of itself, if any.
    """

    kind: str
    lists: tuple[ListAt, ...]
    unlisted: frozenset[str]
    data: str
    said: str

    @property
    def odd(self) -> Mapping[str, str]: ...

    def names(self) -> Collection[str]:
        """Every plain file."""
        ...

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of a file, piece by piece. Raises Unreadable."""
        ...


def summed(holder: Holder, name: str) -> tuple[str, int]:
    """The SHA-256 of a file as 64 hexadecimal digits, and its size [bytes], holding one piece of it at a time."""
    total, size = hashlib.sha256(), 0
    for piece in holder.pieces(name):
        total.update(piece)
        size += len(piece)
    return total.hexdigest(), size


def whole(holder: Holder, name: str, most: int) -> bytes:
    """A small file whole. Raises Unreadable where it has more than `most` bytes."""
    kept, size = [], 0
    for piece in holder.pieces(name):
        size += len(piece)
        if size > most:
            raise Unreadable(f"larger than {most // 1_000_000} MB, so it is not read")
        kept.append(piece)
    return b"".join(kept)
