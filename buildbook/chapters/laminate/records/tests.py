"""Tables about test coupons, the bond of the core, and the readings that later surveys start from."""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.schedule_records import Material, Skin
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

STIFFNESS_READ = ("tension", "flexure")
SUREST = 0.005  # of an area: a curved skin is not measured better than that (house rule, from memory)


class StrengthTest(Record):
    table: ClassVar[Table] = Table(
        "laminate/strength.csv",
        "Strength of test coupons",
        "one specimen",
        ("series", "number"),
        "zone",
        "series",
        time="at",
        number="number",
        series="series",
    )

    series: str = column("Name of the series: one method, direction, conditioning and speed", example="T0-dry")
    number: int = column("Running number of the specimen: 1, 2, 3 …", low=1, high=1000, example="1")
    zone: str = column("Zone of the laminate it stands for", refers=Place, example="L1")
    panel: str = column("Panel or cut-out it was cut from", example="panel P1, infused with the hull")
    kind: Literal["tension", "compression", "flexure", "short beam"] = column("Kind of test", example="tension")
    method: str = column("Method", example="ISO 527-4")
    direction: str = column("Direction of the load against the fibres", example="0")
    conditioning: str = column("How it was kept before the test", example="23 °C, 50 %, 7 days")
    speed: float = column("Speed of the test", unit="mm/min", low=0.01, high=2000, example="2")
    at: datetime = column("Date and time", example="2025-11-04 09:20")
    force: float = column("Force at first failure", unit="N", low=1, high=2000000, example="39800")
    width: float = column("Width of the specimen", unit="mm", low=2, high=300, example="25.1")
    thickness: float = column("Thickness of the specimen", unit="mm", low=0.3, high=100, example="4.32")
    span: float | None = column(
        "Distance of the supports, for flexure", unit="mm", low=5, high=1000, blank=True, example="64"
    )
    strength: float | None = column(
        "Strength as the laboratory printed it", unit="MPa", low=0.1, high=5000, blank=True, example="367"
    )
    skin: Skin | Literal["none"] = column(
        "Skin of the zone that the panel was laid up like; none where it is like none of them", example="outer skin"
    )
    modulus: float | None = column(
        "Stiffness (modulus) as the laboratory read it", unit="MPa", low=1000, high=100000, blank=True, example="17400"
    )
    modulus_uncertainty: float | None = column(
        "Expanded uncertainty U (k = 2) of that stiffness, as the laboratory states it",
        unit="MPa",
        low=0,
        high=20000,
        blank=True,
        example="350",
    )
    failure: str = column("How and where it failed", example="in the gauge length, fibres broken")
    laboratory: str = column("Who tested", example="Example Test House")
    machine: str = column("Test machine", refers=Instrument, example="TM-01", measures={"force": "force"})
    caliper: str | None = column(
        "Caliper or micrometer",
        refers=Instrument,
        blank=True,
        example="CA-01",
        measures={"width": "length", "thickness": "length"},
    )

    @model_validator(mode="after")
    def _span_of_a_beam(self) -> StrengthTest:
        if self.width < self.thickness:
            raise ValueError("width: at least the thickness; width and thickness may be in each other's column")
        if self.kind == "flexure" and self.span is None:
            raise ValueError("span: the distance of the supports beside every test in flexure")
        if self.modulus is not None and self.kind not in STIFFNESS_READ:
            raise ValueError(f"modulus: empty in {self.kind}; it is read in tension and in flexure")
        if self.modulus_uncertainty is not None and self.modulus is None:
            raise ValueError("modulus: the stiffness that the uncertainty beside it belongs to")
        return self


class CoreBond(Record):
    table: ClassVar[Table] = Table(
        "laminate/core_bond.csv",
        "Bond of core and skins, pulled apart",
        "one specimen",
        ("specimen",),
        "zone",
        "specimen",
        "attempt",
        "at",
    )

    specimen: str = column("Number of the specimen", example="F-03")
    zone: str = column("Zone of the laminate it stands for", refers=Place, example="L1")
    attempt: int = column("1 for the first tests, 2 after replacement, and so on", low=1, high=20, example="1")
    at: datetime = column("Date and time", example="2025-11-06 10:00")
    force: float = column("Force at failure", unit="N", low=1, high=500000, example="5610")
    length: float = column("Length of the piece", unit="mm", low=10, high=200, example="50.1")
    width: float = column("Width of the piece", unit="mm", low=10, high=200, example="50.0")
    core: str = column("Core", refers=Material, example="PVC-80")
    in_core: float = column("Share of the area that broke inside the core", unit="%", low=0, high=100, example="100")
    at_skin: float = column("Share that parted between core and skin", unit="%", low=0, high=100, example="0")
    at_glue: float = column("Share that parted at the glue of the test blocks", unit="%", low=0, high=100, example="0")
    unsure: float | None = column(
        "Expanded uncertainty of these shares as they were estimated, k = 2",
        unit="%", low=0, high=50, blank=True, example="5",
    )  # fmt: skip
    machine: str = column("Test machine", refers=Instrument, example="TM-01", measures={"force": "force"})
    caliper: str | None = column(
        "Caliper or micrometer",
        refers=Instrument,
        blank=True,
        example="CA-01",
        measures={"length": "length", "width": "length"},
    )

    @model_validator(mode="after")
    def _shares_add_up(self) -> CoreBond:
        if abs(self.in_core + self.at_skin + self.at_glue - 100.0) > 0.5:
            raise ValueError("in_core: shares of the area that add to 100 %")
        return self


class BondSurvey(Record):
    table: ClassVar[Table] = Table(
        "laminate/bond_survey.csv",
        "Surveys of the bond by tapping or ultrasound",
        "one survey of one zone",
        ("zone", "attempt"),
        "zone",
        "",
        "attempt",
        "at",
    )

    zone: str = column("Zone", refers=Place, example="L1")
    attempt: int = column("1 for the first survey, 2 after repair, and so on", low=1, high=20, example="1")
    at: datetime = column("Date and time", example="2025-10-27 09:00")
    method: Literal["tapping", "ultrasound"] = column("How", example="tapping")
    tool: str = column("Hammer or probe", example="28 g plastic hammer")
    pitch: float = column("Distance from one tap or reading to the next", unit="mm", low=5, high=2000, example="100")
    area: float = column("Area of the zone", unit="m2", low=0.1, high=2000, example="38.5")
    covered: float = column("Area that was looked at", unit="m2", low=0, high=2000, example="38.5")
    uncertainty: float | None = column(
        "Expanded uncertainty U (k = 2) of the area that was looked at",
        unit="m2",
        low=0,
        high=200,
        blank=True,
        example="0.3",
    )
    found: int = column("Places that sounded or read different", low=0, high=10000, example="2")
    by: str = column("Who: role and initials", person=True, example="QA RT")

    @model_validator(mode="after")
    def _no_more_than_there_is(self) -> BondSurvey:
        if self.covered > self.area * 1.001:
            raise ValueError("covered: no more than the area of the zone")
        if self.uncertainty is not None and self.uncertainty < SUREST * self.area:
            least = f"{SUREST * self.area:.2g} m2, {100 * SUREST:g} % of the area: nobody measures it better than that"
            raise ValueError(f"uncertainty: at least {least}")
        return self


class BondFinding(Record):
    table: ClassVar[Table] = Table(
        "laminate/bond_findings.csv",
        "Places where the bond was found open",
        "one place",
        ("finding",),
        "zone",
        "finding",
        label=("finding", "what", "repair", "result"),
    )

    finding: str = column("Number of the place", example="B-01")
    zone: str = column("Zone", refers=Place, example="L1")
    x: float | None = column("Forward of the transom", unit="m", low=-5, high=120, blank=True, example="7.85")
    y: float | None = column("To starboard of the centreline", unit="m", low=-20, high=20, blank=True, example="-1.9")
    z: float | None = column("Above the design waterline", unit="m", low=-10, high=40, blank=True, example="0.3")
    length: float = column("Length of the place", unit="mm", low=1, high=20000, example="120")
    width: float = column("Width of the place", unit="mm", low=1, high=20000, example="60")
    what: str = column("What was found", example="dull sound, skin off the core")
    found_on: date = column("Date it was found", example="2025-10-27")
    repair: str | None = column("What was done", blank=True, example="drilled, resin injected under vacuum")
    repaired_on: date | None = column("Date of the repair", blank=True, example="2025-10-29")
    tested_on: date | None = column("Date it was looked at again", blank=True, example="2025-11-03")
    result: Literal["sound", "still open"] | None = column("What that showed", blank=True, example="sound")

    @model_validator(mode="after")
    def _dates_in_order(self) -> BondFinding:
        if self.repaired_on and self.repaired_on < self.found_on:
            raise ValueError("repaired_on: a date on or after `found_on`")
        if self.tested_on and self.tested_on < (self.repaired_on or self.found_on):
            raise ValueError("tested_on: a date on or after the repair")
        if (self.result is None) != (self.tested_on is None):
            raise ValueError("result: the result and its date, both or neither")
        return self


class ThicknessReading(Record):
    table: ClassVar[Table] = Table(
        "laminate/thickness.csv",
        "Thickness readings by grid position",
        "one reading",
        ("zone", "number"),
        "zone",
        number="number",
        time="at",
        series="",
        label=("grid", "thickness"),
    )

    zone: str = column("Zone", refers=Place, example="L1")
    number: int = column("Running number of the reading: 1, 2, 3 …", low=1, high=100000, example="1")
    grid: str = column("Position on the grid", example="F3")
    x: float | None = column("Forward of the transom", unit="m", low=-5, high=120, blank=True, example="7.5")
    y: float | None = column("To starboard of the centreline", unit="m", low=-20, high=20, blank=True, example="-2.0")
    z: float | None = column("Above the design waterline", unit="m", low=-10, high=40, blank=True, example="-0.4")
    at: datetime = column("Date and time", example="2026-05-04 10:00")
    thickness: float = column("Thickness of the near skin", unit="mm", low=0.5, high=100, example="6.41")
    velocity: float = column(
        "Velocity of sound the instrument was set to", unit="m/s", low=1500, high=4000, example="2680"
    )
    set_on: str = column("Piece of known thickness it was set on", example="witness half of C-01, 6.38 mm")
    instrument: str = column(
        "Instrument", refers=Instrument, example="UT-01", measures={"thickness": "laminate thickness"}
    )
