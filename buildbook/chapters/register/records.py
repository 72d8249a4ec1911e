"""Tables of the register: where the hull number stands, and which papers there are."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from buildbook.core.record import Record, Table, column


class NumberSeen(Record):
    table: ClassVar[Table] = Table(
        "hull_number.csv",
        "Where the hull number stands",
        "one place the number was read",
        ("seen_on",),
        "seen_on",
    )

    seen_on: str = column("What carries the number", example="builder's plate, cockpit")
    kind: Literal["moulded", "plate", "paper", "photograph", "record"] = column(
        "What kind of thing that is", example="plate"
    )
    number: str = column("The number exactly as written there", example="XX-EXY00007H526")
    read_on: date = column("Date it was read", example="2026-06-02")
    read_by: str = column("Who read it: role and initials", person=True, example="QA KL")


class Document(Record):
    table: ClassVar[Table] = Table(
        "documents.csv", "Documents named in this folder", "one document", ("document",), "document"
    )

    document: str = column("Short id of the document, as named by limits and reports", example="SPEC-07")
    title: str = column("Title", example="Coating specification")
    revision: str = column("Revision", example="C")
    issued: date | None = column("Date of that revision", blank=True, example="2025-10-01")
    issued_by: str = column("Who issued it", example="builder")


TABLES: tuple[type[Record], ...] = (NumberSeen, Document)
