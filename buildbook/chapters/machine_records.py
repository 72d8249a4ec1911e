"""The table of machines that make her shake; what the order of a propeller says of the same is set beside it."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Place
from buildbook.core.record import Record, Table, column

NEEDED = {
    "engine": ("propeller", "cylinders", "strokes", "ratio"),
    "propeller": ("propeller", "blades"),
    "generator": ("speed",),
}


class Machine(Record):
    table: ClassVar[Table] = Table(
        "vibration/machinery.csv", "Machines that make her shake", "one machine", ("machine",), "machine"
    )

    machine: str = column("Short id of the machine", example="ENG-P")
    kind: Literal["engine", "propeller", "generator", "other"] = column("What it is", example="other")
    name: str = column("Its name in words", example="Port engine")
    propeller: str | None = column(
        "Propeller on the same shaft: its id in the table of places", refers=Place, blank=True, example="P1"
    )
    cylinders: int | None = column("Cylinders of an engine", low=1, high=24, blank=True, example="8")
    strokes: Literal[2, 4] | None = column("Strokes of a cycle of an engine", blank=True, example="4")
    ratio: float | None = column(
        "Turns of an engine for one of its shaft", low=0.3, high=12, blank=True, example="2.04"
    )
    blades: int | None = column("Blades of a propeller, or of a fan or pump", low=2, high=200, blank=True, example="")
    speed: float | None = column(
        "Speed of a machine that does not change its own", unit="rpm", low=50, high=30000, blank=True, example=""
    )
    document: str = column("Document that says so", example="DWG-300")
    revision: str | None = column("Its revision", blank=True, example="C")

    @model_validator(mode="after")
    def _what_each_kind_needs(self) -> Machine:
        for kind, names in NEEDED.items():
            for name in names if self.kind == kind else ():
                if getattr(self, name) is None:
                    raise ValueError(f"{name}: a number beside every {kind}")
        return self
