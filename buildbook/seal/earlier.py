"""The release before this one, read from its output folder."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from buildbook.core.book import Book
from buildbook.render.jsonfile import NotABook, check_form
from buildbook.seal.holder import JSON, MOST_JSON, SUMS
from buildbook.seal.lists import read_sums

MOST_NUMBER = 1_000_000


class NotEarlier(Exception):
    """The folder is not an earlier release of this book; the message says why."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """A release that was written before: its number, its digest, its book as plain data, its list of files."""

    number: int
    digest: str
    data: Mapping[str, Any]
    files: Mapping[str, str]


def read_earlier(out: Path) -> Earlier:
    """Read the release that lies in an output folder.

    Args:
        out: the folder.

    Returns:
        The release, with `book.json` compared with its sum.

    Raises:
        NotEarlier: there is no book, or its data are not those that its list names.
    """
    sums, raw = _file(out, SUMS), _file(out, JSON)
    files = read_sums(sums).by_name
    if files.get(JSON) != hashlib.sha256(raw).hexdigest():
        raise NotEarlier(f"{out}: {JSON} is not the file that {SUMS} names; take an unchanged copy of that release")
    try:
        check_form(raw, f"{out}: {JSON}")
    except NotABook as why:
        raise NotEarlier(str(why)) from None
    data = json.loads(raw)
    if not isinstance(data, dict) or not isinstance(data.get("hull"), dict) or "chapters" not in data:
        raise NotEarlier(f"{out}: {JSON} is not the data of a book")
    number = (data.get("release") or {"number": 1}).get("number")
    if not isinstance(number, int) or not 1 <= number < MOST_NUMBER:
        raise NotEarlier(f"{out}: {JSON} gives no number of its release")
    return Earlier(number, hashlib.sha256(sums).hexdigest(), data, files)


def _file(out: Path, name: str) -> bytes:
    path = out / name
    if path.is_symlink() or not path.is_file():
        raise NotEarlier(f"{out} holds no book: there is no {name} in it")
    if path.stat().st_size > MOST_JSON:
        raise NotEarlier(f"{path} is larger than that of a book")
    return path.read_bytes()


def check_same_hull(earlier: Earlier, book: Book, out: Path) -> None:
    """Raise NotEarlier where the release is of another hull, or of a later day or program than this book."""
    hull = earlier.data["hull"]
    if hull.get("number") != book.hull.number:
        theirs, ours = hull.get("number") or "without a number", book.hull.number or "without a number"
        raise NotEarlier(f"{out} is the book of another hull: {theirs}, and this one is {ours}")
    day = hull.get("as_of") or ""
    if book.hull.as_of and day > book.hull.as_of.isoformat():
        raise NotEarlier(f"{out} is newer: its records are as of {day}, and these as of {book.hull.as_of.isoformat()}")
    version = str(earlier.data.get("version", ""))
    if _parts(version) > _parts(book.version):
        raise NotEarlier(f"{out} was made by a newer program, buildbook {version}; this is {book.version}")


def _parts(version: str) -> tuple[int, ...]:
    """
    >>> _parts("0.10.2") > _parts("0.9")
    True
    """
    return tuple(int(part) for part in version.split(".") if part.isdecimal())
