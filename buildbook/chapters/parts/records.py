"""Tables of parts and materials: the parts list, the register of numbers, the batches in each part, what is left."""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.core.record import Record, Table, column


class ListedPart(Record):
    table: ClassVar[Table] = Table("parts/list.csv", "Parts list", "one item of the parts list", ("item",), "", "group")

    item: str = column("Item number on the parts list", example="14")
    name: str = column("What it is", example="Rudder stock")
    group: Literal["structure", "tanks", "underwater", "deck", "machinery"] = column(
        "Which part of the boat it belongs to", example="underwater"
    )
    quantity: int = column("How many of it the hull should have", low=1, high=10000, example="2")
    drawing: str = column("Document that sets this: drawing or parts list", example="DWG-210")
    revision: str | None = column("Its revision", blank=True, example="C")


class Part(Record):
    table: ClassVar[Table] = Table("parts/register.csv", "Register of numbered parts", "one number", ("part",), "part")

    part: str = column("Number of the part", example="N7014")
    item: str | None = column("Item of the parts list; empty for a number that was not used", blank=True, example="14")
    hull: str | None = column("Hull number that the part or its card bears", blank=True, example="XX-EXY00007H526")
    made_on: date | None = column("Date it was made or came in", blank=True, example="2026-01-19")
    state: Literal["fitted", "in stock", "scrapped", "not used"] = column(
        "Where it is: fitted in her, in stock, scrapped, or a number given to no part", example="fitted"
    )
    released_on: datetime | None = column("When inspection released it", blank=True, example="2026-01-22 10:15")
    released_by: str | None = column("Who released it: role and initials", blank=True, person=True, example="QA KL")
    fitted_on: datetime | None = column("When it was fitted", blank=True, example="2026-01-26 13:30")
    report: str | None = column("Report behind a scrapped part", blank=True, example="")
    replaced_by: str | None = column("Number of the part made in place of a scrapped one", blank=True, example="")
    note: str | None = column("Anything a reader should know", blank=True)

    @model_validator(mode="after")
    def _what_each_state_has(self) -> Part:
        if self.state != "not used" and self.item is None:
            raise ValueError("item: an item of the parts list beside every number that was used")
        if self.replaced_by is not None and self.state != "scrapped":
            raise ValueError("replaced_by: nothing beside a part that was not scrapped")
        if self.replaced_by is not None and self.replaced_by == self.part:
            raise ValueError("replaced_by: another number than that of the scrapped part")
        if self.state == "in stock" and self.fitted_on is not None:
            raise ValueError("fitted_on: nothing beside a part in stock")
        return self

    @model_validator(mode="after")
    def _dates_in_order(self) -> Part:
        for name in ("released_on", "fitted_on"):
            when = getattr(self, name)
            if self.made_on is not None and when is not None and when.date() < self.made_on:
                raise ValueError(f"{name}: a time on or after `made_on`")
        return self


class PartBatch(Record):
    table: ClassVar[Table] = Table(
        "parts/batches.csv", "Batches in each part", "one batch in one part", ("part", "batch"), "part", "batch"
    )

    part: str = column("Part", refers=Part, example="N7014")
    batch: str = column("Batch or heat number, as in the table of batches", example="ST-H-60417")
    used_on: date = column("Date it was used in this part", example="2026-01-19")


class Stock(Record):
    table: ClassVar[Table] = Table(
        "parts/stock.csv", "Batches that went into no part", "one batch", ("batch",), "", "batch"
    )

    batch: str = column("Batch or heat number, as in the table of batches", example="ST-H-60422")
    where_now: Literal["in stock", "sent back", "thrown away"] = column(
        "Where the batch is or went", example="in stock"
    )
    seen_on: date = column("Date somebody looked", example="2026-05-18")
    by: str = column("Who looked: role and initials", person=True, example="ST MO")


TABLES: tuple[type[Record], ...] = (ListedPart, Part, PartBatch, Stock)
