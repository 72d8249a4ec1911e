"""Tables about the shafts: what was drawn, their ends, how straight they turn, how their couplings meet."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

Service = Literal["yacht", "small passenger vessel", "seagoing ship"]
Shape = Literal["sled-runner", "round-bottomed", "end-milled"]


class Shaft(Record):
    table: ClassVar[Table] = Table("shafting/shafts.csv", "Shafts as drawn", "one shaft", ("part",), "part")

    part: str = column("Shaft: its id in the table of places", refers=Place, example="SH1")
    service: Service | None = column(
        "Service whose rule the specification names for the diameter; empty where it names none",
        blank=True,
        example="yacht",
    )
    factor: float | None = column(
        "Service factor of the rule for yachts, where that is named", low=1, high=12, blank=True, example="4"
    )
    power: float = column("Power on the shaft at full speed", unit="kW", low=1, high=100000, example="706")
    speed: float = column("Speed of the shaft at that power", unit="rpm", low=20, high=6000, example="1127")
    tensile_yield: float = column("Yield of the metal in tension", unit="MPa", low=80, high=2500, example="724")
    strength: float = column("Strength of the metal in tension", unit="MPa", low=150, high=3000, example="900")
    modulus: float = column("Young's modulus of the metal", unit="MPa", low=50000, high=300000, example="196000")
    density: float = column("Density of the metal", unit="kg/m3", low=1500, high=20000, example="7850")
    propeller: float = column("Diameter of its propeller", unit="mm", low=150, high=12000, example="760")
    length: float = column(
        "Length between the two supports it was turned on", unit="m", low=0.2, high=60, example="3.2"
    )
    flange: float = column(
        "Diameter of the coupling at which the gaps are read", unit="mm", low=40, high=3000, example="180"
    )
    material: str = column("Metal of the shaft", example="high-strength stainless steel")
    drawing: str = column("Document that sets this: drawing or specification", example="DWG-320")
    revision: str | None = column("Its revision", blank=True, example="B")

    @model_validator(mode="after")
    def _factor_with_the_rule_for_yachts(self) -> Shaft:
        if (self.service == "yacht") != (self.factor is not None):
            raise ValueError("factor: a service factor where the rule for yachts is named, and only there")
        if self.strength < self.tensile_yield:
            raise ValueError("strength: not below the yield of the same metal, `tensile_yield`")
        return self


class ShaftEnd(Record):
    table: ClassVar[Table] = Table(
        "shafting/shaft_ends.csv",
        "Ends of the shafts: diameter, keyway, taper",
        "one shaft end in one attempt",
        ("part", "attempt"),
        "part",
        attempt="attempt",
        time="at",
    )

    part: str = column("Shaft", refers=Shaft, example="SH1")
    attempt: int = column("1 as received, 2 after it was worked on, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-04-14 09:20")
    diameter: float = column(
        "Shaft diameter at the top of the taper, the smallest of several", unit="mm", low=10, high=1500, example="70.02"
    )
    small: float | None = column(
        "Diameter at the small end of the taper", unit="mm", low=5, high=1500, blank=True, example="57.51"
    )
    taper: float | None = column(
        "Length of the taper between those two", unit="mm", low=10, high=5000, blank=True, example="200.1"
    )
    keyway: Shape | None = column(
        "Shape of the keyway; empty where it was not looked at", blank=True, example="sled-runner"
    )
    fillet: float | None = column(
        "Radius of the fillet at the bottom of the keyway; of a round bottom its own radius",
        unit="mm",
        low=0.05,
        high=200,
        blank=True,
        example="1.4",
    )
    contact: float | None = column(
        "Share of the taper that marked blue in the hub, by eye", unit="%", low=2, high=100, blank=True, example="85"
    )
    same_mark: bool | None = column(
        "Whether the hub came to the same mark with the key as without it", blank=True, example="yes"
    )
    micrometer: str = column(
        "Instrument that read the diameters",
        refers=Instrument,
        example="MI-11",
        measures={"diameter": "diameter", "small": "diameter"},
    )
    calliper: str | None = column(
        "Instrument that read the length of the taper",
        refers=Instrument,
        blank=True,
        example="CL-11",
        measures={"taper": "length"},
    )
    gauge: str | None = column(
        "Instrument that read the fillet", refers=Instrument, blank=True, example="RG-11", measures={"fillet": "radius"}
    )
    by: str = column("Who measured: role and initials", person=True, example="ME OB")

    @model_validator(mode="after")
    def _taper_falls(self) -> ShaftEnd:
        if (self.small is None) != (self.taper is None):
            raise ValueError("taper: a small end and the length of the taper, or neither")
        if self.small is not None and self.small >= self.diameter:
            raise ValueError("small: less than `diameter`, that at the top of the taper")
        return self


class RunOut(Record):
    table: ClassVar[Table] = Table(
        "shafting/run_out.csv",
        "Run-out of the shafts",
        "one reading of the dial indicator",
        ("part", "attempt", "number"),
        "part",
        attempt="attempt",
        time="at",
        number="number",
    )

    part: str = column("Shaft", refers=Shaft, example="SH1")
    attempt: int = column("1 as received, 2 after it was straightened, 3 …", low=1, high=50, example="1")
    number: int = column("Running number of the reading on this shaft: 1, 2, 3 …", low=1, high=1000, example="1")
    station: Literal["bearing", "taper", "between"] = column("What stands there on the shaft", example="bearing")
    along: float = column("Distance from the coupling end", unit="mm", low=0, high=60000, example="1650")
    angle: float = column("Angle the shaft was turned to", unit="deg", low=0, high=360, example="90")
    lay: Literal["on two supports", "in her bearings"] = column("How the shaft lay", example="on two supports")
    reading: float = column("Reading of the dial indicator", unit="mm", low=-10, high=10, example="0.04")
    at: datetime = column("Date and time", example="2026-04-15 10:05")
    by: str = column("Who measured: role and initials", person=True, example="ME OB")
    instrument: str = column("Instrument", refers=Instrument, example="DI-11", measures={"reading": "run-out"})


class CouplingGap(Record):
    table: ClassVar[Table] = Table(
        "shafting/couplings.csv",
        "Gaps of the coupling faces",
        "one gap at the rim",
        ("part", "attempt", "number"),
        "part",
        attempt="attempt",
        time="at",
        number="number",
    )

    part: str = column("Shaft", refers=Shaft, example="SH1")
    attempt: int = column("1 as first read, 2 after a change or later, 3 …", low=1, high=50, example="1")
    number: int = column("Running number of the gap on this coupling: 1, 2, 3 …", low=1, high=1000, example="1")
    angle: float = column(
        "Where on the rim: 0 at the top, growing clockwise seen from aft", unit="deg", low=0, high=359, example="90"
    )
    gap: float = column("Gap between the faces", unit="mm", low=0, high=20, example="0.12")
    afloat: bool = column("Whether she was afloat", example="yes")
    hours: float | None = column("How long she had been afloat", unit="h", low=0, high=100000, blank=True, example="52")
    load: str | None = column("How she was loaded: tanks, people, stores", blank=True, example="half tanks")
    at: datetime = column("Date and time", example="2026-05-14 14:30")
    by: str = column("Who measured: role and initials", person=True, example="ME OB")
    instrument: str = column("Instrument", refers=Instrument, example="FG-11", measures={"gap": "gap"})


TABLES = (Shaft, ShaftEnd, RunOut, CouplingGap)
