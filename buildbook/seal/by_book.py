"""What `book.json` itself says of other files: it is under the digest, and so is each sum that stands in it."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from itertools import zip_longest
from typing import Any

from buildbook.core.published import COLUMNS_FILE, JSON, RECEIVED
from buildbook.render.jsonfile import MOST_BYTES as MOST_JSON
from buildbook.render.sums import list_by_name, withheld_lines
from buildbook.seal.finds import Finds
from buildbook.seal.holder import PACKAGES, Holder, Unreadable, summed, whole

RAW = "raw/"
NOT_ITS_SUM = "not the sum that book.json gives"
NOT_OF_BOOK = "a table that the list names and book.json does not"
ONE_SIDED = "named as withheld, and not with one sum in the list and in book.json"
NOT_ORIGINAL = "the builder withholds it, and what is here has not the sum of the original in book.json"
NOT_KNOWN = "the list names it as withheld; whether book.json does too cannot be said"
NOT_WRITTEN_SO = "line {number} is not as a build writes this list from book.json"
NO_DATA = "it is as the list names it and is not the data of a book, so nothing was compared with what it says"


def hold_to_book(holder: Holder, found: Finds) -> None:
    """Compare tables, documents, long records and what is withheld with the sums in the book's data.

    Documents are compared in a folder and a package, photographs and first pages in a folder, long records in a
    package; a PDF has none. Where `book.json` is not the file that the first list names, nothing that it says is used.
    """
    name = f"{holder.data}{JSON}"
    data: Mapping[str, Any] | None = None
    if found.sums.get(name) is not None and found.sums[name] == found.listed.get(name):
        data = _data(holder, name)
        if data is None:
            found.unreadable.setdefault(name, NO_DATA)
    _withheld(holder, found, data)
    if data is None:
        return
    hull = data.get("hull")
    found.number = str(hull.get("number") or "") if isinstance(hull, dict) else None
    held = set(_named(data.get("withheld"), "name"))
    _tables(holder, found, data, held)
    _list_itself(holder, found, data)
    if holder.kind == "folder" or holder.kind in PACKAGES:
        _compare(holder, found, _named(data.get("documents"), "out", "out_sha256"))
    if holder.kind == "folder":
        _compare(holder, found, _named(data.get("photographs"), "out", "out_sha256"))
        _compare(holder, found, _named(data.get("documents"), "picture", "picture_sha256"))
    raw = {f"{RAW}{file}": value for file, value in _named(data.get("raw_files"), "file").items()}
    raw = {file: value for file, value in raw.items() if file not in held}
    found.packed = set(raw)
    if holder.kind in PACKAGES:
        _compare(holder, found, raw)


def _list_itself(holder: Holder, found: Finds, data: Mapping[str, Any]) -> None:
    """The first list has one form, to the byte: names in order, then what the book withholds and whom it says to ask.

    Any other order or word would be a free counter: with it somebody could look for a list whose digest begins as that
    of another book. Where an entry itself is told already, nothing is added.
    """
    held = data.get("withheld")
    entries = [it for it in held if isinstance(it, dict)] if isinstance(held, list) else []
    lines = withheld_lines((str(it.get("ask", "")), str(it.get("sha256")), str(it.get("name"))) for it in entries)
    pairs = zip_longest(
        (
            list_by_name({name.removeprefix(holder.data): value for name, value in found.listed.items()}) + lines
        ).splitlines(keepends=True),
        found.first_list.splitlines(keepends=True),
    )
    other = next((number for number, (one, two) in enumerate(pairs, start=1) if one != two), 0)
    if other and not found.told & {*found.kept, *(str(it.get("name")) for it in entries)}:
        found.changed.setdefault(holder.lists[0].name, NOT_WRITTEN_SO.format(number=other))


def _tables(holder: Holder, found: Finds, data: Mapping[str, Any], held: Collection[str]) -> None:
    """The tables as received, those that are given whole: each has its sum in the book, and there is no other."""
    if not isinstance(data.get("tables"), list):
        return
    books = {it["file"]: it["workbook"] for it in data["tables"] if isinstance(it, dict) and it.get("workbook")}
    sums = {f"{RECEIVED}{books.get(file, file)}": value for file, value in _named(data["tables"], "file").items()}
    _compare(holder, found, {name: value for name, value in sums.items() if name not in held})
    others, beside = [], (f"{RECEIVED}hull.toml", f"{RECEIVED}{COLUMNS_FILE}")
    for name in found.listed:
        short = name.removeprefix(holder.data)
        if short.startswith(RECEIVED) and short not in sums and short not in beside:
            others.append(name)
    found.changed |= {name: NOT_OF_BOOK for name in others if name not in found.told}


def _data(holder: Holder, name: str) -> Mapping[str, Any] | None:
    try:
        data = json.loads(whole(holder, name, MOST_JSON))
    except (Unreadable, ValueError, RecursionError):
        return None
    return data if isinstance(data, dict) else None


def _withheld(holder: Holder, found: Finds, data: Mapping[str, Any] | None) -> None:
    """Files that the builder keeps: the list under the digest names them, and so does the book, with the same sum.

    One that only one of the two names is told as a change. Where the book cannot be asked, nobody can say that it is
    withheld and not taken away: it is told as not judged. One that is here all the same is held to that sum, whatever
    list names it; under its name the book may publish another document, which has a sum of its own there.
    """
    if data is None:
        for name in found.kept:
            found.unreadable.setdefault(name, NOT_KNOWN)
        return
    named = _named(data.get("withheld"), "name")
    both = {name for name in named if named[name] == found.kept.get(name)}
    for name in {*named, *found.kept} - both:
        found.changed.setdefault(name, ONE_SIDED)
    published = _named(data.get("documents"), "out", "out_sha256")
    here = {name: f"{holder.data}{name}" for name in both if name not in published}
    here = {name: full for name, full in here.items() if full in found.there | set(found.odd)}
    found.withheld = tuple(sorted(both - set(here)))
    for name, full in sorted(here.items()):
        _original(holder, found, full, named[name])


def _original(holder: Holder, found: Finds, name: str, value: str) -> None:
    """A withheld file that is here: the original, or something else under its name."""
    if name in found.odd:
        return
    found.originals.add(name)
    try:
        if (found.sums.get(name) or summed(holder, name)[0]) != value:
            found.changed[name] = NOT_ORIGINAL
        elif name not in found.told:
            found.given.append(name)
    except Unreadable as why:
        found.unreadable[name] = str(why)


def _compare(holder: Holder, found: Finds, sums: Mapping[str, str]) -> None:
    """Files by their sums in the book; one that is not there is missing, whatever the other lists say."""
    for short, value in sums.items():
        name = f"{holder.data}{short}"
        if name in found.told:
            continue
        if name not in found.there | set(found.odd):
            found.missing.append(name)
        elif found.sums.get(name, value) != value:  # what no list names was not summed: it is told as extra
            found.changed[name] = NOT_ITS_SUM


def _named(entries: Any, by: str, value: str = "sha256") -> dict[str, str]:
    """Names with sums from a list of objects with the name under `by`; what has no name or no sum is passed by."""
    made = {}
    for entry in entries if isinstance(entries, list) else ():
        if isinstance(entry, dict):
            name, said = entry.get(by), entry.get(value)
            if isinstance(name, str) and isinstance(said, str) and name and said:
                made[name] = said
    return made
