"""Tables of the infusion chapter: each part infused, drop tests, the log, mixes, areas, batches."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.schedule_records import Material
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

EVENTS = ("bagged", "started", "filled", "gelled", "released")


class Infusion(Record):
    table: ClassVar[Table] = Table(
        "infusion/infusions.csv", "Infusions", "one part infused in one go", ("part",), "part", time="bagged"
    )

    part: str = column("Part that was infused", refers=Place, example="I1")
    bagged: datetime = column("When the bag was closed and the pump started", example="2025-09-09 06:00")
    started: datetime = column("When resin was let in", example="2025-09-09 09:00")
    filled: datetime | None = column("When resin had come everywhere", blank=True, example="2025-09-09 10:05")
    gelled: datetime | None = column(
        "When the last of the resin in the part had gelled", blank=True, example="2025-09-09 11:10"
    )
    released: datetime | None = column("When the vacuum was let go", blank=True, example="2025-09-09 20:00")
    resin: str = column("Resin, as the materials of the laminate call it", refers=Material, example="VE-INF")
    left_over: float | None = column(
        "Resin that was mixed and not drawn in: weighed in buckets and trap",
        unit="kg",
        low=0,
        high=20000,
        blank=True,
        example="14",
    )
    left_balance: str | None = column(
        "Balance that weighed what was left over",
        refers=Instrument,
        blank=True,
        example="BL-11",
        measures={"left_over": "mass"},
    )
    lines: float | None = column(
        "Resin that stays in hoses and channels, as the designer reckons it",
        unit="kg",
        low=0,
        high=5000,
        blank=True,
        example="24",
    )
    flow_length: float | None = column(
        "Farthest way of the resin from a feed", unit="m", low=0.05, high=20, blank=True, example="1.1"
    )
    thermometer_at: str | None = column(
        "Where the thermometer of the laminate lay: zone, and between which plies",
        blank=True,
        example="keel, L1, between plies 6 and 7",
    )
    thermometer_lay: Literal["between plies", "under the bag", "on the mould"] | None = column(
        "How it lay: between plies, or a ply and the core; under the bag, above all plies; on the mould, below them. "
        "Only between plies is the heat that of the resin",
        blank=True,
        example="between plies",
    )
    drawing: str = column("Document that sets feeds and figures", example="SPEC-06")
    revision: str | None = column("Its revision", blank=True, example="B")

    @model_validator(mode="after")
    def _events_in_order(self) -> Infusion:
        told = [(name, getattr(self, name)) for name in EVENTS if getattr(self, name) is not None]
        for (before, one), (after, other) in pairwise(told):
            if other <= one:
                raise ValueError(f"{after}: a time after `{before}`")
        return self


class DropReading(Record):
    table: ClassVar[Table] = Table(
        "infusion/drop_tests.csv",
        "Drop tests",
        "one reading of the bag with the pump shut off",
        ("part", "attempt", "number"),
        "part",
        attempt="attempt",
        time="at",
        number="number",
    )

    part: str = column("Part under the bag", refers=Place, example="I1")
    attempt: int = column("1 for the first test, 2 after the bag was mended, 3 …", low=1, high=50, example="1")
    number: int = column("Running number of the reading: 1, 2, 3 …", low=1, high=1000, example="1")
    at: datetime = column("Date and time; the first with the pump just shut off", example="2025-09-09 07:30")
    reading: float = column("What the gauge showed", unit="mbar", low=0, high=1100, example="22.4")
    reads: Literal["absolute", "below the barometer"] = column(
        "What the gauge reads: pressure against nothing at all, or how far below the air outside", example="absolute"
    )
    barometer: float | None = column(
        "Pressure of the air outside; needed where the gauge reads below it",
        unit="mbar",
        low=850,
        high=1100,
        blank=True,
        example="1016.2",
    )
    gauge: str = column("Vacuum gauge", refers=Instrument, example="VG-11", measures={"reading": "bag pressure"})
    barometer_gauge: str | None = column(
        "Barometer", refers=Instrument, blank=True, example="VG-12", measures={"barometer": "barometric pressure"}
    )
    by: str = column("Who read it: role and initials", person=True, example="LT MR")

    @model_validator(mode="after")
    def _below_a_known_barometer(self) -> DropReading:
        if self.reads == "below the barometer" and self.barometer is None:
            raise ValueError("barometer: the pressure of the air outside, where the gauge reads below it")
        if self.absolute < 0.0:
            raise ValueError("reading: not more than the barometer")
        return self

    @property
    def absolute(self) -> float:
        """Pressure in the bag [mbar] against nothing at all."""
        if self.reads == "absolute" or self.barometer is None:
            return self.reading
        return self.barometer - self.reading


class LogReading(Record):
    table: ClassVar[Table] = Table(
        "infusion/log.csv", "Infusion log", "one moment of one infusion", ("part", "at"), "part", time="at", logged=True
    )

    part: str = column("Part under the bag", refers=Place, example="I1")
    at: datetime = column("Date and time", example="2025-09-09 09:10")
    pressure: float | None = column(
        "Absolute pressure in the bag", unit="mbar", low=0, high=1100, blank=True, example="28.5"
    )
    air: float | None = column("Air in the shop", unit="degC", low=-20, high=50, blank=True, example="20.8")
    humidity: float | None = column(
        "Relative humidity of that air", unit="%", low=2, high=100, blank=True, example="52"
    )
    mould: float | None = column("Mould", unit="degC", low=-20, high=120, blank=True, example="20.4")
    laminate: float | None = column(
        "Laminate at its hottest place that is watched", unit="degC", low=-20, high=250, blank=True, example="21.0"
    )
    gauge: str | None = column(
        "Vacuum gauge", refers=Instrument, blank=True, example="VG-11", measures={"pressure": "bag pressure"}
    )
    hygrometer: str | None = column(
        "Thermo-hygrometer of the shop",
        refers=Instrument,
        blank=True,
        example="TL-12",
        measures={"air": "air temperature", "humidity": "relative humidity"},
    )
    thermometer: str | None = column(
        "Thermometer of mould and laminate",
        refers=Instrument,
        blank=True,
        example="TL-11",
        measures={"mould": "temperature", "laminate": "temperature"},
    )


class Mix(Record):
    table: ClassVar[Table] = Table(
        "infusion/mixes.csv", "Mixes of resin", "one mix", ("part", "mix"), "part", "mix", time="mixed"
    )

    part: str = column("Part it went into", refers=Place, example="I1")
    mix: str = column("Short id of the mix", example="H-3")
    station: str = column("Feed it stood at", example="feed 2, chine port")
    mixed: datetime = column("When the hardener was stirred in", example="2025-09-09 09:05")
    closed: datetime | None = column(
        "When the last of it had been drawn in or its feed was shut", blank=True, example="2025-09-09 09:40"
    )
    gelled: datetime | None = column(
        "When a beaker of it kept beside the mould gelled", blank=True, example="2025-09-09 10:50"
    )
    resin_mass: float = column("Resin, weighed", unit="kg", low=0.01, high=5000, example="150.2")
    hardener_mass: float = column("Hardener, weighed", unit="kg", low=0.0001, high=2500, example="2.25")
    temperature: float | None = column(
        "Resin when it was mixed", unit="degC", low=-10, high=80, blank=True, example="20.1"
    )
    resin_batch: str | None = column("Batch of the resin", blank=True, example="VR-25-1146")
    hardener_batch: str | None = column("Batch of the hardener", blank=True, example="HI-25-0707")
    resin_balance: str | None = column(
        "Balance of the resin", refers=Instrument, blank=True, example="BL-11", measures={"resin_mass": "mass"}
    )
    hardener_balance: str | None = column(
        "Balance of the hardener", refers=Instrument, blank=True, example="BL-12", measures={"hardener_mass": "mass"}
    )
    thermometer: str | None = column(
        "Thermometer", refers=Instrument, blank=True, example="TL-11", measures={"temperature": "temperature"}
    )
    by: str = column("Who mixed: role and initials", person=True, example="LT MR")

    @model_validator(mode="after")
    def _after_it_was_mixed(self) -> Mix:
        for name in ("closed", "gelled"):
            at = getattr(self, name)
            if at is not None and at <= self.mixed:
                raise ValueError(f"{name}: a time after `mixed`")
        if self.hardener_mass > 2.0 * self.resin_mass:
            raise ValueError("hardener_mass: at most twice `resin_mass` (are the two exchanged, or is one in grams?)")
        return self


class ResinSheet(Record):
    table: ClassVar[Table] = Table(
        "infusion/resins.csv", "Data sheets of infusion resins", "one resin", ("resin",), condition="resin"
    )

    resin: str = column("Resin, as the materials of the laminate call it", refers=Material, example="VE-INF")
    hardener_low: float = column("Least hardener, of the resin by mass", unit="%", low=0.05, high=200, example="1.0")
    hardener_high: float = column("Most hardener, of the resin by mass", unit="%", low=0.05, high=200, example="2.0")
    temperature_low: float | None = column(
        "Coldest resin it may be used at", unit="degC", low=-10, high=80, blank=True, example="18"
    )
    temperature_high: float | None = column(
        "Warmest resin it may be used at", unit="degC", low=-10, high=80, blank=True, example="25"
    )
    viscosity: float | None = column(
        "How thick the mixed resin is", unit="mPa.s", low=20, high=20000, blank=True, example="250"
    )
    sheet: str = column("Data sheet", example="VE-TDS-04")
    revision: str = column("Its revision", example="2")

    @model_validator(mode="after")
    def _ends_in_order(self) -> ResinSheet:
        if self.hardener_high < self.hardener_low:
            raise ValueError("hardener_high: not less than `hardener_low`")
        low, high = self.temperature_low, self.temperature_high
        if low is not None and high is not None and high < low:
            raise ValueError("temperature_high: not less than `temperature_low`")
        return self


class Area(Record):
    table: ClassVar[Table] = Table(
        "infusion/areas.csv", "Areas infused", "one zone of one infusion", ("part", "zone"), "part"
    )

    part: str = column("Part that was infused", refers=Place, example="I1")
    zone: str = column("Zone of the lay-up schedule", refers=Place, example="L2")
    area: float = column("Area of that zone in this part", unit="m2", low=0.01, high=5000, example="35")
    area_uncertainty: float = column(
        "Expanded uncertainty (k = 2) of the area", unit="%", low=0.1, high=50, example="2"
    )
    glass: float = column(
        "Glass content by mass that the designer reckons with", unit="%", low=20, high=85, example="68"
    )
    glass_uncertainty: float = column(
        "Expanded uncertainty (k = 2) of that content, in points", unit="%", low=0.1, high=20, example="1.5"
    )
    core: str | None = column("Core, if there is one", refers=Material, blank=True, example="PVC-80")
    core_thickness: float | None = column("Thickness of the core", unit="mm", low=2, high=200, blank=True, example="25")
    cut_width: float | None = column(
        "Width of the cuts (kerfs) in the core, when laid", unit="mm", low=0.1, high=10, blank=True, example="1.0"
    )
    cut_depth: float | None = column("Depth of the cuts", unit="mm", low=0.5, high=200, blank=True, example="22")
    cut_spacing: float | None = column(
        "From cut to cut, both ways alike", unit="mm", low=5, high=500, blank=True, example="30"
    )
    hole_diameter: float | None = column(
        "Diameter of the holes through the core", unit="mm", low=0.5, high=20, blank=True, example="2"
    )
    hole_pitch: float | None = column(
        "From hole to hole, both ways alike", unit="mm", low=5, high=500, blank=True, example="40"
    )
    surface: float | None = column(
        "Resin that the open cells of both faces of the core take",
        unit="kg/m2",
        low=0,
        high=3,
        blank=True,
        example="0.6",
    )
    media: float | None = column(
        "Resin that flow mesh and peel ply take", unit="kg/m2", low=0, high=3, blank=True, example="0.5"
    )
    drawing: str = column("Document that sets this", example="SPEC-06")
    revision: str | None = column("Its revision", blank=True, example="B")

    @model_validator(mode="after")
    def _core_with_its_cuts(self) -> Area:
        cuts = (self.cut_width, self.cut_depth, self.cut_spacing)
        if None in cuts and cuts != (None, None, None):
            raise ValueError("cut_width: width, depth and spacing of the cuts, all three or none")
        if (self.hole_diameter is None) != (self.hole_pitch is None):
            raise ValueError("hole_pitch: beside every diameter, and none without")
        if self.core is None and any(value is not None for value in (*cuts, self.hole_diameter, self.surface)):
            raise ValueError("core: which core it is, where cuts, holes or faces are given")
        if self.hole_diameter is not None and self.core_thickness is None:
            raise ValueError("core_thickness: how deep the holes are")
        if self.core_thickness is not None and self.cut_depth is not None and self.cut_depth > self.core_thickness:
            raise ValueError("cut_depth: not deeper than the core is thick")
        return self


class BatchUsed(Record):
    table: ClassVar[Table] = Table(
        "infusion/batches.csv", "Batches in each infusion", "one batch in one part", ("part", "batch"), "part"
    )

    part: str = column("Part it went into", refers=Place, example="I1")
    batch: str = column("Batch, as the table of batches calls it", example="GQ-25-0417")


TABLES = (Infusion, DropReading, LogReading, Mix, ResinSheet, Area, BatchUsed)
