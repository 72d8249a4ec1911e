"""What was done: preparation, coats, climate, products, metal parts, effort."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

Step = Literal[
    "wash",
    "rinse",
    "de-wax",
    "sand",
    "fill",
    "strip",
    "grind",
    "blast",
    "vacuum",
    "wipe",
    "mask",
    "prime",
    "peel ply",
]

ANY_GRADE = "any"
_GRADES = re.compile(r"P([1-9][0-9]{0,4})(?: to P([1-9][0-9]{0,4}))?")

# Surface and air farther apart: a typing error or a wrong unit. Common practice, no source: a white hull in the sun is
# some 15 K warmer than the air.
FARTHEST_FROM_AIR = 20.0  # K


class Preparation(Record):
    table: ClassVar[Table] = Table(
        "coating/preparation.csv", "Preparation log", "one step on one zone", ("id",), "zone", time="started"
    )

    id: str = column("Number of the step", example="P-001")
    zone: str = column("Zone", refers=Place, example="Z1")
    step: Step = column("What was done", example="de-wax")
    started: datetime = column("Start", example="2026-03-02 08:00")
    finished: datetime = column("End", example="2026-03-02 11:30")
    product: str | None = column("Cleaner, solvent or filler used", blank=True, example="solvent wipe A")
    grit: str | None = column("Abrasive grade, FEPA P scale (P and the number)", blank=True, example="P180")
    cloths: str | None = column("How the cloths were used", blank=True, example="two-cloth, changed every 2 m2")
    by: str = column("Who did it: role and initials", person=True, example="PT AB")
    note: str | None = column("Anything a reader should know", blank=True)

    @model_validator(mode="after")
    def _order(self) -> Preparation:
        if self.finished < self.started:
            raise ValueError("finished: a time on or after `started`")
        if self.step in ("sand", "grind") and not self.grit:
            raise ValueError("grit: an abrasive grade for every sanding step")
        return self


class WaterBreak(Record):
    table: ClassVar[Table] = Table(
        "coating/water_break.csv",
        "Water-break checks",
        "one check of one zone",
        ("zone", "attempt"),
        "zone",
        "",
        "attempt",
        "at",
    )

    zone: str = column("Zone", refers=Place, example="Z1")
    attempt: int = column("1 for the first, 2 after washing again, and so on", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-03-02 12:10")
    watched: float = column(
        "How long the film was watched, or until it broke", unit="s", low=0, high=3600, example="60"
    )
    held: bool = column("Whether the film was still whole then", example="yes")
    instrument: str | None = column(
        "Stopwatch or clock", refers=Instrument, blank=True, example="SW-01", measures={"watched": "time"}
    )
    by: str = column("Who watched: role and initials", person=True, example="QA KL")


class Product(Record):
    table: ClassVar[Table] = Table(
        "coating/products.csv",
        "Coating products and their data sheets",
        "one product",
        ("product",),
        "",
        "product",
    )

    product: str = column("Short id of the product", example="PU-T")
    name: str = column("What it is", example="two-pack polyurethane topcoat")
    family: Literal["filler", "primer", "undercoat", "topcoat", "antifouling", "other"] = column(
        "Kind of layer", example="topcoat"
    )
    volume_solids: float = column("Volume solids", unit="%", low=1, high=100, example="52")
    air_low: float | None = column(
        "Lowest air temperature while applying", unit="degC", low=-10, high=60, blank=True, example="12"
    )
    air_high: float | None = column(
        "Highest air temperature while applying", unit="degC", low=0, high=80, blank=True, example="30"
    )
    surface_low: float | None = column(
        "Lowest surface temperature", unit="degC", low=-10, high=60, blank=True, example="12"
    )
    surface_high: float | None = column(
        "Highest surface temperature", unit="degC", low=0, high=80, blank=True, example="30"
    )
    humidity_high: float | None = column(
        "Highest relative humidity", unit="%", low=1, high=100, blank=True, example="75"
    )
    margin_low: float | None = column(
        "Smallest dew-point margin", unit="K", difference=True, low=2, high=30, blank=True, example="3"
    )
    pot_life: float | None = column(
        "Pot life at the temperature of the next column",
        unit="h",
        low=0.1,
        high=24,
        blank=True,
        example="3",
    )
    pot_life_at: float | None = column(
        "Temperature that pot life is given for", unit="degC", low=0, high=60, blank=True, example="20"
    )
    first_cure: float | None = column(
        "Time after application that conditions must still hold",
        unit="h",
        low=0.5,
        high=240,
        blank=True,
        example="6",
    )
    sheet: str = column("Data sheet", example="TDS-PU-T")
    revision: str = column("Its revision", example="4")
    clause: str | None = column("Page or clause", blank=True, example="p. 2")

    @model_validator(mode="after")
    def _pairs(self) -> Product:
        if (self.pot_life is None) != (self.pot_life_at is None):
            raise ValueError("pot_life_at: a temperature beside every pot life")
        return self

    @model_validator(mode="after")
    def _ends(self) -> Product:
        pairs = (("air", self.air_low, self.air_high), ("surface", self.surface_low, self.surface_high))
        for name, low, high in pairs:
            if low is not None and high is not None and high < low:
                raise ValueError(f"{name}_high: a temperature not below `{name}_low`")
        return self


class Window(Record):
    table: ClassVar[Table] = Table(
        "coating/windows.csv",
        "Overcoating windows of the data sheets",
        "one temperature of one pair of products",
        ("product", "next_product", "surface"),
        "",
        "product",
    )

    product: str = column("Product below", refers=Product, example="EP-S")
    next_product: str = column("Product above", refers=Product, example="PU-T")
    surface: float = column("Surface temperature the line is for", unit="degC", low=-10, high=60, example="20")
    shortest: float = column("Shortest time before the next coat", unit="h", low=0, high=2000, example="8")
    longest: float | None = column(
        "Longest time without abrading; empty where the sheet sets none",
        unit="h",
        low=0,
        high=20000,
        blank=True,
        example="72",
    )
    no_longest: str | None = column("Reason where there is no longest time", blank=True)
    reopened_by: Literal["abrading"] | None = column(
        "What lets a coat follow after the longest time, by the sheet; empty where the sheet does not say",
        blank=True,
        example="abrading",
    )
    reopening_grit: str | None = column(
        "Grade that the sheet asks for then, or lowest and highest number (FEPA P scale); any where it names none",
        blank=True,
        example="P320 to P400",
    )
    sheet: str = column("Data sheet", example="TDS-EP-S")
    revision: str = column("Its revision", example="6")
    clause: str | None = column("Page or clause", blank=True, example="table 3")

    @model_validator(mode="after")
    def _ends(self) -> Window:
        if self.longest is not None and self.longest < self.shortest:
            raise ValueError("longest: a time not below `shortest`")
        if self.longest is None and not self.no_longest:
            raise ValueError("no_longest: the reason why there is no longest time")
        return self

    @property
    def reopening_grades(self) -> tuple[int, int] | None:
        """Numbers of the coarsest and the finest grade that reopen the window; None where the sheet names none.

        None too where the cell cannot be made out: see `reopening_unclear`.
        """
        match = _GRADES.fullmatch(self.reopening_grit or "")
        grades = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        return grades if grades[0] <= grades[1] else None

    @property
    def reopening_unclear(self) -> bool:
        """Whether the line says only half of how the window is reopened, or names no grade that can be made out."""
        if (self.reopened_by is None) != (self.reopening_grit is None):
            return True
        return self.reopening_grit not in (None, ANY_GRADE) and self.reopening_grades is None


class Batch(Record):
    table: ClassVar[Table] = Table(
        "coating/batches.csv", "Batches of paint", "one batch of one component", ("batch",), "", "batch"
    )

    batch: str = column("Batch number on the tin", example="B-25-1187")
    product: str = column("Product", refers=Product, example="PU-T")
    component: Literal["base", "hardener", "thinner", "filler"] = column("Which component", example="base")
    made: date | None = column("Date made", blank=True, example="2025-11-04")
    expires: date | None = column("Use before", blank=True, ahead=True, example="2026-11-04")
    supplier: str | None = column("Who supplied it", blank=True, withholdable=True, example="paint agent 1")

    @model_validator(mode="after")
    def _order(self) -> Batch:
        if self.made and self.expires and self.expires < self.made:
            raise ValueError("expires: a date on or after `made`")
        return self


class Coat(Record):
    table: ClassVar[Table] = Table(
        "coating/coats.csv", "Coating log", "one coat on one zone", ("coat",), "zone", "coat", time="started"
    )

    coat: str = column("Number of the coat", example="Z1-4")
    zone: str = column("Zone", refers=Place, example="Z1")
    layer: int = column("Order of the coat on this zone: 1, 2, 3 …", low=1, high=100, example="4")
    product: str = column("Product", refers=Product, example="PU-T")
    base_batch: str | None = column("Batch of the base", blank=True, example="B-25-1187")
    hardener_batch: str | None = column("Batch of the hardener", blank=True, example="H-25-0456")
    thinner_batch: str | None = column("Batch of the thinner", blank=True, example="T-25-0101")
    thinning: float | None = column(
        "Thinner per 100 volumes of mixed paint", unit="%", low=0, high=100, blank=True, example="10"
    )
    mixed: datetime | None = column("When it was mixed", blank=True, example="2026-03-18 07:40")
    started: datetime = column("Start of application", example="2026-03-18 08:10")
    finished: datetime = column("End of application", example="2026-03-18 09:35")
    abraded: str | None = column(
        "Grade the coat below was abraded with before this coat; empty if it was not",
        blank=True,
        example="P320",
    )
    litres: float | None = column(
        "Mixed paint used, before thinner was added", unit="L", low=0.01, high=5000, blank=True, example="7.8"
    )
    loss: float | None = column(
        "Share of it lost in spraying and in the pot", unit="%", low=1, high=95, blank=True, example="35"
    )
    wet_film: float | None = column("Mean wet film by comb", unit="um", low=5, high=3000, blank=True, example="95")
    by: str = column("Who applied it: role and initials", person=True, example="PT CD")

    @model_validator(mode="after")
    def _order(self) -> Coat:
        if self.finished < self.started:
            raise ValueError("finished: a time on or after `started`")
        if self.mixed is not None and self.mixed > self.started:
            raise ValueError("mixed: a time on or before `started`")
        return self


class Climate(Record):
    table: ClassVar[Table] = Table(
        "coating/climate.csv",
        "Climate readings",
        "one reading in one zone",
        ("zone", "at"),
        "zone",
        time="at",
        windowed=True,
        logged=True,
    )

    zone: str = column("Zone the surface temperature was taken in", refers=Place, example="Z1")
    at: datetime = column("Date and time", example="2026-03-18 08:00")
    air: float = column("Air temperature", unit="degC", low=-30, high=60, example="19.4")
    humidity: float = column("Relative humidity", unit="%", low=1, high=100, example="54")
    surface: float = column("Surface temperature", unit="degC", low=-30, high=80, example="18.7")
    instrument: str = column(
        "Thermo-hygrometer",
        refers=Instrument,
        example="TH-01",
        measures={"air": "air temperature", "humidity": "relative humidity"},
    )
    surface_instrument: str = column(
        "Surface thermometer", refers=Instrument, example="ST-01", measures={"surface": "surface temperature"}
    )

    @model_validator(mode="after")
    def _alike(self) -> Climate:
        if abs(self.surface - self.air) > FARTHEST_FROM_AIR:
            raise ValueError(f"surface: a temperature within {FARTHEST_FROM_AIR:g} K of `air` (is the unit right?)")
        return self


class MetalPart(Record):
    table: ClassVar[Table] = Table(
        "coating/metal_parts.csv",
        "Metal parts before primer",
        "one part",
        ("part",),
        "part",
        time="prepared_at",
    )

    part: str = column("Part", refers=Place, example="M1")
    metal: Literal["aluminium", "steel", "stainless steel"] = column("Metal", example="aluminium")
    prepared: str = column("How the surface was prepared", example="ground P36 to bright metal")
    prepared_at: datetime = column("End of preparation", example="2026-03-05 10:30")
    primed_at: datetime = column("Start of the first coat of primer", example="2026-03-05 12:45")
    profile: float | None = column("Surface profile", unit="um", low=0, high=500, blank=True, example="61")
    profile_instrument: str | None = column(
        "Instrument for the profile",
        refers=Instrument,
        blank=True,
        example="PG-01",
        measures={"profile": "surface profile"},
    )
    rise: float | None = column(
        "Rise in conductivity of the salt extraction",
        unit="uS/cm",
        low=0,
        high=10000,
        blank=True,
        example="4.1",
    )
    blank_rise: float | None = column(
        "Rise of the blank test", unit="uS/cm", low=0, high=10000, blank=True, example="0.3"
    )
    water: float | None = column("Volume of water", unit="mL", low=0.1, high=1000, blank=True, example="15")
    patch: float | None = column("Area of the patch", unit="mm2", low=10, high=100000, blank=True, example="1250")
    salt_instrument: str | None = column(
        "Conductivity meter",
        refers=Instrument,
        blank=True,
        example="CO-01",
        measures={"rise": "conductivity", "blank_rise": "conductivity"},
    )
    dust_quantity: int | None = column("Dust quantity rating of the tape test", low=0, high=5, blank=True, example="1")
    dust_size: int | None = column("Dust size class of the tape test", low=0, high=5, blank=True, example="2")

    @model_validator(mode="after")
    def _order(self) -> MetalPart:
        if self.primed_at < self.prepared_at:
            raise ValueError("primed_at: a time on or after `prepared_at`")
        return self
