"""Two small synthetic items, three numbers and their batches: everything in order until a test spoils it.

Item 1 is asked for twice (A-1, A-2), item 2 once (A-3). Adhesive R-1 is good to 2026-03-10; metal M-1 has no such date.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.records import ListedPart, Part, PartBatch, Stock
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.evidence import Evidence
from buildbook.core.hull import Hull, SpecifiedLimit
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import specification

NUMBER = "XX-SYN00001A626"
Rows = Mapping[type[Record], list[dict[str, Any]]]


def item(name: str, quantity: int = 1, **more: Any) -> dict[str, Any]:
    """One item of the list."""
    row = {"item": name, "name": f"thing {name}", "group": "structure", "quantity": quantity, "drawing": "DWG-1"}
    return {**row, "revision": "A", **more}


def part(number: str, of: str | None = "1", **more: Any) -> dict[str, Any]:
    """One number, fitted, released the day before."""
    row: dict[str, Any] = {"part": number, "item": of, "hull": NUMBER, "made_on": "2026-03-01", "state": "fitted"}
    row |= {"released_on": "2026-03-05 10:00", "released_by": "QA AB", "fitted_on": "2026-03-06 08:00"}
    return {**row, **more}


def scrapped(number: str, heir: str | None, report: str | None = "NCR-1", **more: Any) -> dict[str, Any]:
    """One number that was scrapped before it was fitted."""
    return part(number, state="scrapped", replaced_by=heir, report=report, released_on=None, fitted_on=None, **more)


def link(number: str, batch: str = "R-1", used_on: str = "2026-03-01") -> dict[str, Any]:
    """One batch in one part."""
    return {"part": number, "batch": batch, "used_on": used_on}


def batch(
    number: str = "R-1", kind: str = "adhesive", expires: str | None = "2026-03-10", **more: Any
) -> dict[str, Any]:
    """One batch."""
    row = {"batch": number, "material": f"material {number}", "kind": kind, "expires": expires}
    return {**row, "made": "2025-09-10", "received": "2025-10-01", **more}


def report(**more: Any) -> dict[str, Any]:
    """A report that scraps something."""
    return {
        "report": "NCR-1",
        "found_on": "2026-03-02",
        "disposition": "scrap",
        "check": None,
        "quantity": None,
        **more,
    }


PARTS = [part("A-1"), part("A-2"), part("A-3", "2")]
LINKS = [link("A-1"), link("A-2"), link("A-3", "M-1")]
BATCHES = [batch(), batch("M-1", "metal", None, shelf_life=False)]


def aboard(
    tables: Rows | None = None,
    mine: Iterable[SpecifiedLimit] = (),
    unread: Rows | None = None,
    missing: Mapping[type[Record], str] | None = None,
    number: str = NUMBER,
) -> Evidence:
    """The whole folder, with these tables in place of its own."""
    base: dict[type[Record], list[dict[str, Any]]] = {
        ListedPart: [item("1", 2), item("2")],
        Part: PARTS,
        PartBatch: LINKS,
        Batch: BATCHES,
        Stock: [],
        Nonconformity: [report()],
    }
    return evidence(
        {**base, **(tables or {})},
        hull=Hull(number=number),
        specification=specification(*mine),
        unread=unread,
        missing=missing,
    )
