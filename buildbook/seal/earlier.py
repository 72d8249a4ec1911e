"""The release before this one, read from its output folder."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from buildbook.core.book import Book
from buildbook.core.published import JSON, SUMS
from buildbook.render.jsonfile import NotABook, check_form
from buildbook.render.sums import read_sums
from buildbook.seal.derived import Derived
from buildbook.seal.holder import CannotJudge
from buildbook.seal.verify import verify

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


def read_earlier(out: Path, derived: Derived) -> Earlier:
    """Read the release that lies in an output folder.

    Args:
        out: the folder.
        derived: makes what its evidence package exports a second time, as for `verify`; of a package that another
            edition made, this is not compared.

    Returns:
        The release, with `book.json` compared with its sum.

    Raises:
        NotEarlier: there is no book, or it is not as it was built: a file is missing, changed or added.
    """
    try:
        checked = verify(out, derived=derived)
    except CannotJudge as why:
        raise NotEarlier(str(why)) from None
    if checked.bad or checked.spoiled:
        what = checked.spoiled or checked.vouched.wrong
        raise NotEarlier(f"{out} is not as it was built ({what}); take an unchanged copy of that release")
    sums, raw = ((out / name).read_bytes() for name in (SUMS, JSON))
    files = read_sums(sums).by_name
    if files.get(JSON) != hashlib.sha256(raw).hexdigest() or hashlib.sha256(sums).hexdigest() != checked.digest:
        raise NotEarlier(f"{out} was changed while it was read; look at it, then build again")
    try:
        data = check_form(raw, f"{out}: {JSON}")
    except NotABook as why:
        raise NotEarlier(str(why)) from None
    if not isinstance(data.get("hull"), dict) or "chapters" not in data:
        raise NotEarlier(f"{out}: {JSON} is not the data of a book")
    return Earlier(_number(data, out), checked.digest, data, files)


def _number(data: Mapping[str, Any], out: Path) -> int:
    release = data.get("release", {"number": 1})
    number = release.get("number") if isinstance(release, dict) else None
    if type(number) is not int or not 1 <= number < MOST_NUMBER:
        raise NotEarlier(f"{out}: {JSON} gives no number of its release")
    return number


def check_same_hull(earlier: Earlier, book: Book, out: Path) -> None:
    """Raise NotEarlier where the release is of another hull, or of a later day or program than this book."""
    hull = earlier.data["hull"]
    if not book.hull.number and not hull.get("number"):
        raise NotEarlier(f"{out} and this book have no hull number, so nobody can tell that they are of one hull")
    if hull.get("number") != book.hull.number:
        theirs, ours = hull.get("number") or "without a number", book.hull.number or "without a number"
        raise NotEarlier(f"{out} is the book of another hull: {theirs}, and this one is {ours}")
    day = _day(hull.get("as_of"), out)
    if book.hull.as_of and day and day > book.hull.as_of:
        raise NotEarlier(f"{out} is newer: its records are as of {day}, and these as of {book.hull.as_of}")
    version = str(earlier.data.get("version", ""))
    if _parts(version) > _parts(book.version):
        raise NotEarlier(f"{out} was made by a newer program, buildbook {version}; this is {book.version}")


def _day(value: Any, out: Path) -> date | None:
    try:
        return date.fromisoformat(value) if value is not None else None
    except (TypeError, ValueError):
        raise NotEarlier(f"{out}: {JSON} does not give the day of its records as a date") from None


def _parts(version: str) -> tuple[int, ...]:
    """
    >>> _parts("0.10.2") > _parts("0.9")
    True
    """
    return tuple(int(part[:9]) for part in version.split(".") if part.isdecimal())
