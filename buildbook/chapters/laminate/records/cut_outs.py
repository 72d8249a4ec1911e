"""Tables about what was laid in and what the cut-outs say: materials, schedule, burn-off, plies counted."""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.schedule_records import Material, Skin
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

NOWHERE = ("none", "no", "nil", "-", "–", "—", "n/a", "na", "n.a.", "?", "x", "thrown away", "lost", "not kept")
FABRICS = ("mat", "woven", "stitched", "unidirectional")


class Delivery(Record):
    table: ClassVar[Table] = Table(
        "laminate/deliveries.csv",
        "Deliveries of laminate materials",
        "one delivery of one batch",
        ("delivery",),
        withholdable=True,
        row_lost="This row is not used. No finding rests on it.",
    )

    delivery: str = column("Number of the delivery", example="D-031")
    material: str = column("Material", refers=Material, example="QX-1200")
    batch: str = column("Batch on the label", example="G-25-0417")
    received: date = column("Date it came in", example="2025-07-21")
    supplier: str | None = column("Who supplied it", blank=True, withholdable=True, example="glass agent 1")
    certificate: str | None = column("Certificate that came with it", blank=True, example="CC-25-118")


class BurnOff(Record):
    table: ClassVar[Table] = Table(
        "laminate/burn_off.csv",
        "Burned coupons",
        "one coupon, burned once",
        ("coupon", "attempt"),
        "zone",
        "coupon",
        "attempt",
        "at",
    )

    coupon: str = column("Number of the coupon", example="C-07")
    attempt: int = column(
        "1 for the first burn, 2 for another piece of the same cut-out burned again, and so on",
        low=1,
        high=20,
        example="1",
    )
    zone: str = column("Zone of the laminate it comes from", refers=Place, example="L1")
    opening: str = column("Opening it was cut out of", refers=Place, example="O3")
    skin: Skin = column("Which skin of the sandwich, or a single skin", example="outer skin")
    position: str = column("Where in the cut-out", example="aft edge, 40 mm from the cut")
    witness: str | None = column(
        "Where the other half is kept; empty where none is", blank=True, example="store 2, box 14"
    )
    at: datetime = column("Date and time of the last weighing", example="2025-10-21 15:40")
    method: Literal["ISO 1172 A", "ISO 1172 B", "ASTM D2584", "ASTM D3171 G"] = column(
        "Method it was burned by", example="ISO 1172 A"
    )
    crucible: float = column("Empty crucible", unit="g", low=2, high=300, example="25.1234")
    full: float = column("Crucible with the dry specimen", unit="g", low=2, high=400, example="30.2841")
    residue: float = column("Crucible with what is left after burning", unit="g", low=2, high=400, example="28.8046")
    reheated: float | None = column(
        "The same after it was heated once more", unit="g", low=2, high=400, blank=True, example="28.8044"
    )
    length: float | None = column(
        "Length of the specimen before burning", unit="mm", low=5, high=200, blank=True, example="25.02"
    )
    width: float | None = column(
        "Width of the specimen before burning", unit="mm", low=5, high=200, blank=True, example="24.97"
    )
    thickness: float | None = column(
        "Thickness of the specimen", unit="mm", low=0.2, high=100, blank=True, example="4.63"
    )
    in_air: float | None = column(
        "Specimen weighed in air, for its density", unit="g", low=0.1, high=300, blank=True, example="5.1607"
    )
    in_water: float | None = column(
        "Specimen weighed hanging in water", unit="g", low=0.02, high=300, blank=True, example="2.4086"
    )
    water: float | None = column("Temperature of that water", unit="degC", low=5, high=40, blank=True, example="23.0")
    furnace: float | None = column(
        "Temperature of the furnace", unit="degC", low=200, high=1000, blank=True, example="625"
    )
    thermometer: str | None = column(
        "What read that temperature; empty where it is only the setting",
        refers=Instrument,
        blank=True,
        example="FT-01",
        measures={"furnace": "furnace temperature"},
    )
    gelcoat: Literal["ground off", "none there", "left on"] | None = column(
        "What was done with the gelcoat before burning", blank=True, example="ground off"
    )
    filled: bool | None = column("Whether the resin holds mineral filler", blank=True, example="no")
    balance: str = column(
        "Balance",
        refers=Instrument,
        example="BA-01",
        measures=dict.fromkeys(("crucible", "full", "residue", "reheated", "in_air", "in_water"), "mass"),
    )
    caliper: str | None = column(
        "Caliper or micrometer",
        refers=Instrument,
        blank=True,
        example="CA-01",
        measures={"length": "length", "width": "length", "thickness": "length"},
    )
    by: str = column("Who weighed: role and initials", person=True, example="LT MR")

    @model_validator(mode="after")
    def _kept_somewhere(self) -> BurnOff:
        if self.witness is not None and self.witness.strip().casefold() in NOWHERE:
            raise ValueError("witness: where the other half is kept; empty where none is")
        return self

    @model_validator(mode="after")
    def _weighings_in_order(self) -> BurnOff:
        if not self.crucible < self.full:
            raise ValueError("full: heavier than the empty crucible")
        if not self.crucible < self.residue < self.full:
            raise ValueError("residue: heavier than the empty crucible and lighter than the crucible with the specimen")
        if self.reheated is not None and not self.crucible < self.reheated < self.full:
            raise ValueError("reheated: heavier than the empty crucible and lighter than with the specimen")
        hung = (self.in_air, self.in_water, self.water)
        if None in hung and hung != (None, None, None):
            raise ValueError("in_water: mass in air, mass in water and the water's temperature, all three or none")
        if self.in_air is not None and self.in_water is not None and not self.in_water < self.in_air:
            raise ValueError("in_water: lighter than in air")
        return self


class PlyCount(Record):
    table: ClassVar[Table] = Table(
        "laminate/ply_counts.csv",
        "Plies counted",
        "one count of one coupon by one reader",
        ("coupon", "reader"),
        "zone",
        "coupon",
        time="at",
        number="reader",
    )

    coupon: str = column("Number of the coupon", example="C-07")
    zone: str = column("Zone of the laminate it comes from", refers=Place, example="L1")
    skin: Skin = column("Which skin of the sandwich, or a single skin", example="outer skin")
    reader: int = column("1 for the first who counted, 2 for the second, and so on", low=1, high=20, example="1")
    by: str = column("Who counted: role and initials", person=True, example="QA KL")
    at: datetime = column("Date and time", example="2025-10-20 10:30")
    method: str = column("How", example="burned plies laid out, magnifier 10x")
    counted: int = column("Plies counted", low=0, high=200, example="6")
