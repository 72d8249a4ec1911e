"""Tables of the register: where the hull number stands, which papers there are, and the work behind her."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from pydantic import model_validator

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
        "documents.csv",
        "Documents named in this folder",
        "one document",
        ("document",),
        "document",
        row_lost="The document is not shown as the one behind what names it. No finding changes.",
    )

    document: str = column("Short id of the document, as named by limits and reports", example="SPEC-07")
    title: str = column("Title", example="Coating specification")
    revision: str = column("Revision", example="C")
    issued: date | None = column("Date of that revision", blank=True, example="2025-10-01")
    issued_by: str = column("Who issued it", example="builder")
    file: str | None = column(
        "Path of the document inside the hull folder: a PDF, PNG, JPEG or WebP; empty where it is only named",
        blank=True,
        example="documents/SPEC-07.pdf",
    )
    kind: (
        Literal[
            "specification",
            "procedure",
            "plan",
            "drawing",
            "data sheet",
            "calibration certificate",
            "test report",
            "scanned sheet",
            "letter",
            "note",
            "other",
        ]
        | None
    ) = column("What kind of document it is", blank=True, example="specification")

    @model_validator(mode="after")
    def _kind_of_a_file(self) -> Document:
        if self.file is not None and self.kind is None:
            raise ValueError("kind: what kind of document it is, beside every file")
        return self


WHOLE_TABLE = "whole table"  # instead of the key of a row


class Support(Record):
    table: ClassVar[Table] = Table(
        "supports.csv",
        "What each document supports",
        "one thing that a document supports",
        ("link",),
        row_lost="This link is not shown. No finding changes.",
    )

    link: str = column("Number of the link", example="S-01")
    document: str = column("Document", refers=Document, example="SPEC-07")
    instrument: str | None = column("Instrument that it is about", blank=True, example="TH-01")
    clause: str | None = column("Clause of it that a limit rests on", blank=True, example="")
    check: str | None = column("Check whose findings it supports", blank=True, example="")
    quantity: str | None = column("Only findings of this quantity, in the words of the check", blank=True, example="")
    place: str | None = column("Only findings at this place", blank=True, example="")
    condition: str | None = column("Only findings under this coat, specimen or condition", blank=True, example="")
    attempt: int | None = column("Only findings of this attempt", low=1, high=50, blank=True, example="")
    table_file: str | None = column(
        "Table that it supports, or that has the row it supports: its file", blank=True, example=""
    )
    row_key: str | None = column(
        "That row: the cells of the key of its table, parted by semicolons; `whole table` for all its rows",
        blank=True,
        example="",
    )

    @model_validator(mode="after")
    def _one_thing(self) -> Support:
        named = [name for name in ("instrument", "clause", "check", "table_file") if getattr(self, name) is not None]
        if not named:
            raise ValueError("instrument: what it supports, in one of instrument, clause, check and table_file")
        if len(named) > 1:
            raise ValueError(f"{named[1]}: nothing, since this row names `{named[0]}` already; one link in each row")
        if self.table_file is not None and self.row_key is None:
            raise ValueError(f"row_key: the key of the row in the table that `table_file` names, or `{WHOLE_TABLE}`")
        if self.row_key is not None and self.table_file is None:
            raise ValueError("table_file: the table that has the row of `row_key`")
        narrowed = [name for name in ("quantity", "place", "condition", "attempt") if getattr(self, name) is not None]
        if narrowed and self.check is None:
            raise ValueError(f"{narrowed[0]}: nothing where no check is named")
        return self


class Work(Record):
    table: ClassVar[Table] = Table(
        "effort.csv",
        "The work behind her",
        "one kind of work in one stage, on a day or over some days",
        ("stage", "kind", "begun", "by"),
        condition="stage",
    )

    stage: str = column("Stage of the work, in the words of the plan where it has one", example="laminate")
    kind: Literal["preparation", "first pass", "inspection", "rework"] = column(
        "Kind of work: rework is what had to be done again", example="first pass"
    )
    begun: date = column("First day", example="2025-08-18")
    ended: date | None = column("Last day; empty where it is the same", blank=True, example="2025-08-29")
    days: int = column("On how many days of that time somebody worked", low=1, high=2000, example="10")
    people: int = column("How many people", low=1, high=500, example="4")
    hours: float = column("Hours each of them worked on such a day", unit="h", low=0, high=24, example="8")
    by: str = column("Who did it: role and initials, or the shop", person=True, example="shop GF")
    purpose: str | None = column("What this work is for", blank=True, example="glass wetted out, no voids")
    shown_by: str | None = column(
        "Checks whose findings show its result: ids, parted by semicolons", blank=True, example="LAM-01; LAM-05"
    )

    @property
    def checks(self) -> tuple[str, ...]:
        """The ids of the checks that show the result."""
        return tuple(part.strip() for part in (self.shown_by or "").split(";") if part.strip())

    @property
    def last(self) -> date:
        """The last day."""
        return self.ended or self.begun

    @model_validator(mode="after")
    def _days_in_span(self) -> Work:
        if self.last < self.begun:
            raise ValueError("ended: a date on or after `begun`")
        span = (self.last - self.begun).days + 1
        if self.days > span:
            raise ValueError(f"days: at most {span}, the days from `begun` to `ended`")
        return self


TABLES: tuple[type[Record], ...] = (NumberSeen, Document, Support, Work)
