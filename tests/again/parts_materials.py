"""PAR-02 and PAR-05: parts, batches and days, read again.

Written from the pages of the checks. The materials rules of a class society ask that sections can be traced to batches
and that nothing is used after its date; that the day itself still counts is common practice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from tests.again.common_rules import Key, Limit, Own, Package, Row, Value, judged
from tests.again.parts_register import REGISTER, in_words, places, told

HARDENED = {"resin", "gelcoat"}  # stay liquid without a hardener: common practice
GO_OFF = {"resin", "hardener", "gelcoat", "adhesive"}  # common practice
NOT_LATE = Limit(low=0.0, guard=0)


def traced(package: Package) -> Iterator[Own]:
    """PAR-02: every part made has batches on record, every batch of those kinds a part or a place, one hull number."""
    made = [row for row in package.rows(REGISTER) if row.text("state") != "not used"]
    links, batches = package.rows("parts/batches.csv"), package.rows("batches.csv")
    stock = {row.text("batch"): row for row in package.rows("parts/stock.csv")}
    known = {row.text("batch") for row in batches}
    mine = [link for link in links if link.text("part") in {row.text("part") for row in made}]
    whole = {link.text("part") for link in mine} == {row.text("part") for row in made}
    found = whole and {link.text("batch") for link in mine} <= known
    kind = {row.text("batch"): row.text("kind") for row in batches}
    inside: dict[str, set[str]] = defaultdict(set)
    for link in mine:
        inside[link.text("part")].add(kind.get(link.text("batch"), ""))
    found = found and all("hardener" in its for its in inside.values() if its & HARDENED)
    observed = f"{len(made)} parts, {len(mine)} links, each to a batch on record" if found else ""
    key = Key("PAR-02", "batches behind each part")
    yield told(key, "pass" if found else "no record", [*made, *mine], observed)

    used = {link.text("batch") for link in links}
    kinds = {row.text("kind") for row in batches if row.text("batch") in used}
    asked = [row for row in batches if row.text("kind") in kinds]
    ids = {row.text("batch") for row in asked}
    at = [*asked, *(link for link in links if link.text("batch") in ids), *(stock[one] for one in ids & set(stock))]
    lost = ids - used - set(stock)
    observed = f"{len(ids)} batches: {len(ids & used)} in parts, {len(ids - used)} accounted for elsewhere"
    key = Key("PAR-02", "parts behind each batch")
    yield told(key, "no record" if lost else "pass", at, "" if lost else observed)

    fitted = [row for row in made if row.text("state") == "fitted"]
    own, numbers = package.hull["hull"]["number"], {row.text("hull") for row in fitted}
    verdict = "fail" if numbers - {own, ""} else "no record" if "" in numbers else "pass"
    observed = f"{len(fitted)} parts fitted, all with {own}"
    yield told(Key("PAR-02", "hull number on each part"), verdict, fitted, observed if verdict == "pass" else None)


def in_date(package: Package) -> Iterator[Own]:
    """PAR-05: days from the last use of each batch to its date; what lacks one; what has none by its maker."""
    uses: dict[str, list[Row]] = defaultdict(list)
    for link in package.rows("parts/batches.csv"):
        uses[link.text("batch")].append(link)
    keep = []
    for row in package.rows("batches.csv"):
        used, expires = uses.get(row.text("batch"), []), row.day("expires")
        if not used:
            continue
        key = Key("PAR-05", "days left on the last day of use", "", row.text("batch"))
        if expires is not None:
            last = max(date.fromisoformat(link.text("used_on")) for link in used)
            left = Value(float(expires.toordinal() - last.toordinal()), kind="counted", unit="d")
            asked = package.specified(key.check, key.quantity, "", key.condition) or NOT_LATE
            late = [link.text("part") for link in used if date.fromisoformat(link.text("used_on")) > expires]
            newest = next(link.text("part") for link in used if link.text("used_on") == last.isoformat())
            seen = (f"{row.text('material')}, {in_words(late or [newest])}",)
            own = judged(left, asked, seen)
            yield Own(own.verdict, left, asked, own.margin, own.guard, seen, rows=places([row, *used]), key=key)
        elif row.text("kind") in GO_OFF or row.text("shelf_life") != "no":
            yield Own("no record", limit=NOT_LATE, observed="", rows=places([row, *used]), key=key)
        else:
            keep.append(row)
    if keep:
        key = Key("PAR-05", "materials without a use-before date")
        yield Own("not applicable", observed="", rows=places(keep), key=key)
