"""The table of batches that infusion and parts share: what came in, when it was made, until when it is good."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.core.record import Record, Table, column

GIVES_A_DATE = ("resin", "hardener", "gelcoat", "adhesive")  # kinds that go off; common practice, no source


class Batch(Record):
    table: ClassVar[Table] = Table("batches.csv", "Batches", "one batch of one material", ("batch",), "", "batch")

    batch: str = column("Batch or heat number on the label or certificate", example="VR-25-1102")
    material: str = column("Material, as the documents of this hull call it", example="VE-INF")
    kind: Literal["resin", "hardener", "gelcoat", "reinforcement", "core", "adhesive", "metal", "component"] = column(
        "What kind of material it is", example="resin"
    )
    made: date | None = column("Date made", blank=True, example="2025-06-30")
    expires: date | None = column(
        "Use before; empty where the maker gives no such date", blank=True, ahead=True, example="2025-12-30"
    )
    received: date | None = column("Date it came in", blank=True, example="2025-08-04")
    certificate: str | None = column("Certificate that came with it", blank=True, example="CC-25-144")
    supplier: str | None = column("Who supplied it", blank=True, withholdable=True, example="resin agent 1")

    @model_validator(mode="after")
    def _dates_in_order(self) -> Batch:
        if self.made and self.expires and self.expires < self.made:
            raise ValueError("expires: a date on or after `made`")
        if self.made and self.received and self.received < self.made:
            raise ValueError("received: a date on or after `made`")
        return self
