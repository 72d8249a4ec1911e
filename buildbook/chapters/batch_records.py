"""The table of batches that infusion and parts share: what came in, when it was made, until when it is good."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.record import Record, Table, column
from buildbook.core.spelling import other_id
from buildbook.core.wording import listed

NOT_THERE = "It counts as a batch that is not on record."
GIVES_A_DATE = ("resin", "hardener", "gelcoat", "adhesive")  # kinds that go off; common practice, no source
HARDENED = ("resin", "gelcoat")  # kinds that stay liquid without a hardener; common practice, no source


class Batch(Record):
    table: ClassVar[Table] = Table("batches.csv", "Batches", "one batch of one material", ("batch",), "", "batch")

    batch: str = column("Batch or heat number on the label or certificate", example="VR-25-1102")
    material: str = column("Material, as the documents of this hull call it", example="VE-INF")
    kind: Literal["resin", "hardener", "gelcoat", "reinforcement", "core", "adhesive", "metal", "component"] = column(
        "What kind of material it is", example="resin"
    )
    made: date | None = column("Date made", blank=True, example="2025-06-30")
    expires: date | None = column(
        "Use before; empty only where `shelf_life` says no", blank=True, ahead=True, example="2025-12-30"
    )
    shelf_life: bool | None = column(
        "Whether its maker gives a use-before date: no where label and data sheet give none, as of glass or metal. "
        "Without a no here, an empty `expires` counts as a date that is not on record",
        blank=True,
        example="yes",
    )
    received: date | None = column("Date it came in", blank=True, example="2025-08-04")
    certificate: str | None = column("Certificate that came with it", blank=True, example="CC-25-144")
    supplier: str | None = column("Who supplied it", blank=True, withholdable=True, example="resin agent 1")

    @model_validator(mode="after")
    def _dates_in_order(self) -> Batch:
        if self.made and self.expires and self.expires < self.made:
            raise ValueError("expires: a date on or after `made`")
        if self.expires and self.shelf_life is False:
            raise ValueError("shelf_life: yes beside a date in `expires`")
        if self.made and self.received and self.received < self.made:
            raise ValueError("received: a date on or after `made`")
        return self

    @property
    def goes_off(self) -> bool:
        """Whether it is of a kind that goes off in the store, whatever its row says."""
        return self.kind in GIVES_A_DATE

    @property
    def lacks_date(self) -> bool:
        """Whether a use-before date is missing: it has none, and goes off or nobody says that its maker gives none."""
        return self.expires is None and (self.goes_off or self.shelf_life is not False)


def lacks_hardener(batches: Iterable[Batch]) -> bool:
    """Whether some of these batches need a hardener and none of them is one. An adhesive may be of one part."""
    kinds = {row.kind for row in batches}
    return bool(kinds & set(HARDENED)) and "hardener" not in kinds


def unsaid(batches: Sequence[str]) -> str:
    """That nobody knows whether some batches have a use-before date, and what to do."""
    return (
        f"{Batch.table.file} gives no use-before date of {listed(batches)} and does not say that there is none. "
        "Write the date under expires, or no under shelf_life."
    )


def unknown_batches(evidence: Evidence, kind: type[Record], *columns: str) -> Iterable[Fault]:
    """Faults at the batches that some columns of a table name and that the table of batches does not have.

    The rows stay: a part that was made of a batch without a record was made of it all the same.
    """
    known = evidence.values(Batch, "batch")
    if not known:
        return
    for row in evidence.of(kind):
        for name in columns:
            batch = getattr(row, name)
            if batch and batch not in known:
                found = f"{name} '{batch}', which is not there{other_id(batch, known)}"
                yield Fault(row.cell(name), f"an id from {Batch.table.file}", found, NOT_THERE, row_kept=True)
