"""Tables about what stands behind the engines in the water: bearings of the shafts, and the stocks of the rudders."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shafting.records import Shaft
from buildbook.chapters.shared_records import Instrument, PhotographRecord, Place
from buildbook.core.record import Record, Table, column


class Bearing(Record):
    table: ClassVar[Table] = Table(
        "shafting/bearings.csv",
        "Bearings of the shafts in the water",
        "one bearing in one attempt",
        ("part", "attempt"),
        "part",
        attempt="attempt",
        time="at",
    )

    part: str = column("Bearing: its id in the table of places", refers=Place, example="BE1")
    shaft: str = column("Shaft that runs in it", refers=Shaft, example="SH1")
    attempt: int = column("1 as fitted, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-04-21 11:10")
    shaft_diameter: float = column("Diameter of the shaft in it", unit="mm", low=10, high=1500, example="70")
    clearance: float | None = column(
        "Clearance over the diameter, by feeler", unit="mm", low=0.005, high=30, blank=True, example="0.22"
    )
    spacing: float | None = column(
        "Distance to the next bearing forward of it, middle to middle",
        unit="mm",
        low=100,
        high=30000,
        blank=True,
        example="2150",
    )
    along: int | None = column("Water grooves that run along the bearing", low=0, high=60, blank=True, example="8")
    around: int | None = column("Water grooves that run round the bearing", low=0, high=20, blank=True, example="1")
    feeler: str | None = column(
        "Instrument that read the clearance",
        refers=Instrument,
        blank=True,
        example="FG-11",
        measures={"clearance": "gap"},
    )
    tape: str | None = column(
        "Instrument that read the distance",
        refers=Instrument,
        blank=True,
        example="TP-11",
        measures={"spacing": "length"},
    )
    by: str = column("Who measured: role and initials", person=True, example="ME OB")

    @model_validator(mode="after")
    def _a_small_part_of_the_diameter(self) -> Bearing:
        if self.clearance is not None and self.clearance > 0.1 * self.shaft_diameter:
            raise ValueError("clearance: at most a tenth of `shaft_diameter` (is it in hundredths?)")
        return self


class RudderStock(Record):
    table: ClassVar[Table] = Table(
        "shafting/rudder_stocks.csv",
        "Slotted stocks of the rudders",
        "one rudder in one attempt",
        ("part", "attempt"),
        "part",
        attempt="attempt",
        time="at",
    )

    part: str = column("Rudder: its id in the table of places", refers=Place, example="R1")
    attempt: int = column("1 as first closed, 2 after it was opened again, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-03-19 15:00")
    torque: float = column("Design torque of the stock", unit="Nm", low=10, high=1e7, example="2400")
    diameter: float = column("Diameter of the stock at the slot", unit="mm", low=10, high=1000, example="65.05")
    slot: float = column(
        "Length of the slot that the plate of the blade fills", unit="mm", low=10, high=5000, example="240"
    )
    plate: float = column("Thickness of that plate", unit="mm", low=1, high=200, example="16")
    throat: float = column("Throat of the fillet welds as drawn", unit="mm", low=1, high=60, example="5")
    photograph: str | None = column(
        "Picture of the slot before the blade was closed: its file",
        refers=PhotographRecord,
        blank=True,
        example="photographs/slot-r1.png",
    )
    inspected: Literal["dye penetrant", "magnetic particle", "by eye"] | None = column(
        "How the welds were inspected; empty where no record is there", blank=True, example="dye penetrant"
    )
    weld_record: str | None = column("Number of that record", blank=True, example="PT-118")
    welds_sound: bool | None = column("Whether the record says that they are sound", blank=True, example="yes")
    drawing: str = column("Document that sets torque and welds", example="DWG-330")
    revision: str | None = column("Its revision", blank=True, example="A")
    calliper: str = column(
        "Instrument that read diameter and slot",
        refers=Instrument,
        example="CL-11",
        measures={"diameter": "length", "slot": "length"},
    )
    by: str = column("Who measured: role and initials", person=True, example="QA RT")

    @model_validator(mode="after")
    def _thinner_than_the_plate(self) -> RudderStock:
        if self.throat > self.plate:
            raise ValueError("throat: not more than `plate` (are the two exchanged?)")
        return self


TABLES = (Bearing, RudderStock)
