"""The register of seacocks and hoses."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Place
from buildbook.core.record import Record, Table, column

NO_HOSE = "none"


class Seacock(Record):
    table: ClassVar[Table] = Table(
        "systems/seacocks.csv",
        "Seacocks and hoses",
        "one opening through the hull with its valve and hose",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="at",
    )

    place: str = column("Opening: its id in the table of places, which says where it is", refers=Place, example="Y12")
    attempt: int = column("1 as first fitted, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-18 09:00")
    serves: str = column("What it serves", example="cooling water, port engine")
    material: str = column("What valve and skin fitting are made of", example="bronze")
    size: float = column("Inside diameter of the valve", unit="mm", low=3, high=500, example="63")
    hose: str | None = column(
        "Hose: kind and size; `none` where no hose is fitted", blank=True, example="wire-reinforced water hose 63 mm"
    )
    below: bool = column("Whether it lies below the waterline", example="yes")
    operated: Literal["opens and shuts", "stuck", "leaks when shut"] | None = column(
        "What it did when it was worked by hand; empty where not tried", blank=True, example="opens and shuts"
    )
    clamps: int | None = column(
        "Clamps on each hose end, the fewer of the two ends; empty where no hose is fitted, or nobody counted",
        low=0,
        high=6,
        blank=True,
        example="2",
    )
    by: str = column("Who tried it: role and initials", person=True, example="QA RT")

    @model_validator(mode="after")
    def _clamps_hold_a_hose(self) -> Seacock:
        if self.hose == NO_HOSE and self.clamps is not None:
            raise ValueError(f"clamps: empty where `hose` is `{NO_HOSE}`")
        return self
