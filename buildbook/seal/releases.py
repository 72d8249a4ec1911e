"""What changed since the release before: limits and formulas first, then verdicts, the worse ones before the better."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from buildbook.core.book import Book
from buildbook.core.finding import Verdict
from buildbook.core.published import CELL, IN_PART, RECEIVED
from buildbook.core.release import Change, Changes, Release
from buildbook.core.wording import listed
from buildbook.render.jsonfile import book_json
from buildbook.seal.derived import Derived
from buildbook.seal.earlier import Earlier, NotEarlier, check_same_hull, read_earlier

Item = Mapping[str, Any]
HEADINGS = {
    "limits": "Limits",
    "formulas": "Formulas and program",
    "verdicts": "Verdicts, those that got worse first",
    "values": "Values with the same verdict",
    "rows": "Rows of the records",
    "new": "New findings",
    "gone": "Findings that are no longer there",
    "particulars": "Her particulars",
    "files": "Files",
}
COUNTED = {
    "limits": ("limit", "limits"),
    "formulas": ("formula or program", "formulas or program"),
    "verdicts": ("verdict", "verdicts"),
    "values": ("value", "values"),
    "rows": ("row", "rows"),
    "new": ("new finding", "new findings"),
    "gone": ("finding no longer there", "findings no longer there"),
    "particulars": ("particular of her", "particulars of her"),
    "files": ("file", "files"),
}
ON_SITE_ONLY = ("rows",)  # they are many, and the records themselves are attached
GIVEN = ("photographs", "documents", "raw_files", "own_texts")  # files of which the book's data give the sums
NO_LIMIT = "no limit"


def release_after(out: Path, book: Book, files: Mapping[str, str], derived: Derived) -> Release:
    """The release of a book that follows the one in an output folder.

    Args:
        out: the folder of the release before.
        book: this book, without a release of its own.
        files: SHA-256 of each file as received, by its name in the hull folder.
        derived: makes what a package exports a second time, as for `verify`.

    Returns:
        Number, the digest of the release before and what changed.

    Raises:
        NotEarlier: the folder holds no earlier release of this book.
    """
    earlier = read_earlier(out, derived)
    check_same_hull(earlier, book, out)
    try:
        groups = changes(earlier, json.loads(book_json(book)), files)
    except (LookupError, TypeError, ValueError, AttributeError, RecursionError):
        raise NotEarlier(f"{out}: its book.json is of a form that this program does not know") from None
    return Release(earlier.number + 1, earlier.digest, earlier.number, groups, in_short(earlier.number, groups))


def in_short(number: int, groups: Iterable[Changes]) -> str:
    """How much changed since the release of this number.

    >>> in_short(1, (Changes("limits", "Limits", (Change("a", "1", "2"),)),))
    'Changed since release 1: 1 limit.'
    """
    counts = [f"{len(group.lines)} {COUNTED[group.key][len(group.lines) > 1]}" for group in groups]
    if not counts:
        return f"Nothing changed since release {number}: the same limits, formulas, findings, rows and files."
    return f"Changed since release {number}: {listed(counts)}."


def changes(earlier: Earlier, now: Item, files: Mapping[str, str]) -> tuple[Changes, ...]:
    """Everything that is not as it was, by kind; a kind without a change is left out."""
    before = earlier.data
    old, new = findings_of(before), findings_of(now)
    both = [(old[key], new[key]) for key in new if key in old]
    found = {
        "limits": tuple(_limits(both)),
        "formulas": tuple(_formulas(before, now)),
        "verdicts": tuple(_verdicts(both)),
        "values": tuple(_values(both)),
        "rows": tuple(_rows(before, now)),
        "new": tuple(_alone(new[key], "", _stands(new[key])) for key in _worst_first(new, set(new) - set(old))),
        "gone": tuple(_alone(old[key], _stands(old[key]), "") for key in _worst_first(old, set(old) - set(new))),
        "particulars": tuple(_particulars(before, now)),
        "files": tuple(_files(earlier, now, files)),
    }
    return tuple(Changes(key, HEADINGS[key], lines, key not in ON_SITE_ONLY) for key, lines in found.items() if lines)


def findings_of(book: Item) -> dict[str, Item]:
    """Every finding of a book as data, governing and reference, by its key."""
    checks = [check for chapter in book["chapters"] for check in chapter["checks"]]
    items = [item for check in checks for item in (*check["governing"], *check["references"])]
    return {_exact(item["finding"]["key"]): item for item in items}


def _exact(value: Any) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=False)


def _name(item: Item) -> str:
    """A finding in words: check, what and where; a reference and a later attempt are told apart."""
    key = item["finding"]["key"]
    more = [f"attempt {key['attempt']}"] if key["attempt"] != 1 else []
    more += ["reference"] if key["role"] == "reference" else []
    return f"{key['check']} {item['subject']}" + (f" ({', '.join(more)})" if more else "")


def _limit(item: Item) -> Item | None:
    """What is allowed and who says so, without the line of the file where it was written down."""
    limit = item["finding"]["limit"]
    if limit is None:
        return None
    return {**limit, "terms": [{**term, "at": None} for term in limit["terms"]]}


def _limits(both: Iterable[tuple[Item, Item]]) -> Iterator[Change]:
    """Limits that changed; findings whose limits changed alike are told together."""
    groups: dict[tuple[str, str, str, str], list[Item]] = {}
    for old, new in both:
        if _exact(_limit(old)) != _exact(_limit(new)):
            was, became = _limit_words(old, new)
            key = new["finding"]["key"]
            groups.setdefault((key["check"], key["quantity"], was, became), []).append(new)
    for (check, quantity, was, became), items in groups.items():
        yield Change(f"{check} {quantity}", was, became, tuple(item["number"] for item in items))


def _limit_words(old: Item, new: Item) -> tuple[str, str]:
    """Both limits in words; where they read alike, with what is different in the data."""
    was, became = (f"{item['limit'] or NO_LIMIT}, {item['source']}".removesuffix(", ") for item in (old, new))
    if was != became:
        return was, became
    before, after = _limit(old) or {}, _limit(new) or {}
    names = [name for name in after if before.get(name) != after[name]]
    return (
        f"{was}; " + "; ".join(f"{name} {_exact(before.get(name))}" for name in names),
        f"{became}; " + "; ".join(f"{name} {_exact(after[name])}" for name in names),
    )


def _formulas(before: Item, now: Item) -> Iterator[Change]:
    if before.get("version") != now["version"]:
        yield Change(
            "The program that computes and judges", f"buildbook {before.get('version')}", f"buildbook {now['version']}"
        )
    if "formulas" not in before:
        yield Change("What the formulas say", "not told in that release", "told in this one")
        return
    old, new = _by_formula(before), _by_formula(now)
    for name in sorted(old.keys() | new.keys()):
        was, became = old.get(name, ""), new.get(name, "")
        if was != became:
            yield Change(f"Formula {name}", was, became)


def _by_formula(book: Item) -> dict[str, str]:
    made: dict[str, str] = {}
    for one in book["formulas"]:
        told = f"{one['says']} Used by {', '.join(one['checks'])}."
        made[one["name"]] = f"{made[one['name']]} {told}" if one["name"] in made else told
    return made


def _rank(item: Item) -> int:
    return Verdict(item["finding"]["verdict"]).rank


def _stands(item: Item) -> str:
    return f"{item['value']}: {item['verdict']}" if item["value"] else str(item["verdict"])


def _verdicts(both: Iterable[tuple[Item, Item]]) -> Iterator[Change]:
    changed = [(old, new) for old, new in both if old["finding"]["verdict"] != new["finding"]["verdict"]]
    for old, new in sorted(changed, key=lambda pair: _rank(pair[0]) - _rank(pair[1])):
        yield Change(_name(new), _stands(old), _stands(new), (new["number"],))


def _values(both: Iterable[tuple[Item, Item]]) -> Iterator[Change]:
    for old, new in both:
        if old["finding"]["verdict"] != new["finding"]["verdict"]:
            continue
        was, became = ({name: item["finding"][name] for name in ("measured", "observed")} for item in (old, new))
        if _exact(was) != _exact(became):
            before, after = _stands(old), _stands(new)
            if before == after:  # alike as printed: then the whole numbers
                before, after = f"{before} {_exact(was)}", f"{after} {_exact(became)}"
            yield Change(_name(new), before, after, (new["number"],))


def _worst_first(items: Mapping[str, Item], keys: Iterable[str]) -> list[str]:
    order = {key: place for place, key in enumerate(items)}
    return sorted(keys, key=lambda key: (-_rank(items[key]), order[key]))


def _alone(item: Item, before: str, after: str) -> Change:
    return Change(_name(item), before, after, (item["number"],) if after else ())


def _rows(before: Item, now: Item) -> Iterator[Change]:
    old, new = ({table["file"]: table for table in book["tables"]} for book in (before, now))
    for file in sorted(old.keys() | new.keys()):
        held = [it["column"] for it in now.get("withheld", ()) if it["file"] == file]
        is_now = new.get(file, {})
        yield from _table(file, _veiled(old.get(file, {}), is_now, held), is_now)


def _veiled(old: Item, new: Item, held: Sequence[str]) -> Item:
    """A table of the release before without what is withheld by now, which must not be told again as what it was.

    `held` are the heads of its withheld columns, an empty one where it is withheld whole.
    """
    if not held or not old:
        return old
    if "" in held:
        return {**old, "rows": []}
    names = {column["name"] for column in new.get("columns", ()) if column["head"] in held}
    hidden = [column["name"] in names or column["head"] in held for column in old.get("columns", ())]
    return {**old, "rows": [{**row, "cells": _hidden(row["cells"], hidden)} for row in old.get("rows", ())]}


def _hidden(cells: Sequence[str], hidden: Sequence[bool]) -> list[str]:
    if len(cells) != len(hidden):
        return [CELL] * len(cells)
    return [CELL if is_hidden else cell for cell, is_hidden in zip(cells, hidden, strict=True)]


def _table(file: str, old: Item, new: Item) -> Iterator[Change]:
    """Rows of one table: those with other words in the same line are told cell by cell, the others whole."""
    was, became = old.get("rows", ()), new.get("rows", ())
    gone = Counter(_cells(row) for row in was) - Counter(_cells(row) for row in became)
    come = Counter(_cells(row) for row in became) - Counter(_cells(row) for row in was)
    lost, added = _taken(was, gone), _taken(became, come)
    heads = [column["head"] for column in new.get("columns", ())]
    same_heads = heads == [column["head"] for column in old.get("columns", ())]
    for line in sorted(lost.keys() | added.keys()):
        earlier, later = lost.get(line), added.get(line)
        what = f"{file}, line {line}"
        if earlier and later and same_heads and len(earlier) == len(later) == len(heads):
            other = [place for place, cell in enumerate(later) if cell != earlier[place]]
            was, is_now = ("; ".join(f"{heads[at]}: {row[at] or 'empty'}" for at in other) for row in (earlier, later))
            yield Change(what, was, is_now)
        else:
            yield Change(what, "; ".join(earlier or ()), "; ".join(later or ()))


def _cells(row: Item) -> tuple[str, ...]:
    return tuple(row["cells"])


def _taken(rows: Iterable[Item], wanted: Counter[tuple[str, ...]]) -> dict[int, tuple[str, ...]]:
    """As many rows as are wanted of each kind, by their line."""
    left, found = Counter(wanted), {}
    for row in rows:
        if left[_cells(row)] > 0:
            left[_cells(row)] -= 1
            found[row["line"]] = _cells(row)
    return found


def _particulars(before: Item, now: Item) -> Iterator[Change]:
    old, new = (dict(map(tuple, book["identity"])) for book in (before, now))
    for name in dict.fromkeys((*new, *old)):
        if old.get(name) != new.get(name):
            yield Change(name, old.get(name, ""), new.get(name, ""))


def _files(earlier: Earlier, now: Item, files: Mapping[str, str]) -> Iterator[Change]:
    """Files that came, went or have other bytes: tables, pictures, documents, long records, the builder's own texts.

    What is withheld is told by the sum of the original, apart from what is published of it. `files` names tables as the
    hull folder does, and copies without a withheld column as the output does.
    """
    received = {
        name.removeprefix(RECEIVED): value
        for name, value in earlier.files.items()
        if name.startswith((RECEIVED, IN_PART))
    }
    old, new = {**received, **_kept(earlier.data)}, {**files, **_kept(now)}
    for name in sorted(old.keys() | new.keys()):
        if old.get(name) != new.get(name):
            was, became = (f"SHA-256 {sums[name]}" if name in sums else "" for sums in (old, new))
            yield Change(name, was, became)


def _kept(book: Item) -> dict[str, str]:
    entries = [one for name in GIVEN for one in book.get(name, ())]
    held = {_held(one): one["sha256"] for one in book.get("withheld", ())}
    return {one["file"]: one["sha256"] for one in entries} | held


def _held(entry: Item) -> str:
    """What is withheld, in words."""
    what = f"column '{entry['column']}' of" if entry["column"] else entry["kind"]
    return f"{what} {entry['file']}, withheld"
