"""Tables of the pressure test of tanks, and of the hose test of doors, hatches and windows."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class PressureTest(Record):
    table: ClassVar[Table] = Table(
        "systems/pressure_tests.csv",
        "Pressure tests of the tanks",
        "one test of one tank",
        ("tank", "attempt"),
        "tank",
        attempt="attempt",
        time="at",
    )

    tank: str = column("Tank", refers=Place, example="T1")
    attempt: int = column("1 at the first test, 2 after a repair …", low=1, high=50, example="1")
    at: datetime = column("Date and time at which the pressure was set", example="2026-05-13 07:30")
    content: Literal["fuel", "fresh water", "grey water", "black water"] = column("What it holds", example="fuel")
    scope: Literal["tank alone", "tank with its lines"] = column("What was shut in", example="tank with its lines")
    medium: Literal["air", "inert gas", "water"] = column("What it was filled with", example="air")
    head: float = column(
        "Height of the overflow above the bottom of the tank", unit="m", low=0.1, high=20, example="1.65"
    )
    density: float = column("Density of what it will hold", unit="kg/m3", low=500, high=1300, example="840")
    start: float = column("Pressure at the start", unit="kPa", low=0.5, high=500, example="21.8")
    end: float = column("Pressure at the end", unit="kPa", low=0, high=500, example="21.8")
    minutes: float = column("How long it was held", unit="min", low=0.5, high=10000, example="30")
    by: str = column("Who tested: role and initials", person=True, example="SY OD")
    instrument: str = column(
        "Pressure gauge",
        refers=Instrument,
        example="PM-01",
        measures={"start": "pressure", "end": "pressure"},
    )
    air_start: float | None = column(
        "Temperature of the tank at the start, to a tenth", unit="degC", low=-20, high=60, blank=True, example="14.2"
    )
    air_end: float | None = column(
        "Temperature of the tank at the end", unit="degC", low=-20, high=60, blank=True, example="14.2"
    )
    thermometer: str | None = column(
        "Thermometer at the tank",
        refers=Instrument,
        blank=True,
        example="TP-01",
        measures=dict.fromkeys(("air_start", "air_end"), "air temperature"),
    )


class HoseTest(Record):
    table: ClassVar[Table] = Table(
        "systems/hose_tests.csv",
        "Hose tests of doors, hatches and windows",
        "one opening under the jet",
        ("opening", "attempt"),
        "opening",
        attempt="attempt",
        time="at",
    )

    opening: str = column("Door, hatch or window", refers=Place, example="K1")
    attempt: int = column("1 as first tried, 2 after work …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-15 09:10")
    pressure: float = column("Pressure at the nozzle", unit="MPa", low=0.01, high=2, example="0.23")
    distance: float = column("Greatest distance of the nozzle", unit="m", low=0.1, high=20, example="1.2")
    nozzle: float = column("Bore of the nozzle", unit="mm", low=2, high=60, example="12.5")
    minutes: float = column("How long the jet was on it", unit="min", low=0.1, high=120, example="5")
    inside: bool | None = column("Whether water was found inside", blank=True, example="no")
    note: str | None = column("Where it was found, what was done", blank=True, example="")
    by: str = column("Who looked inside: role and initials", person=True, example="QA RT")
    instrument: str = column(
        "Gauge at the nozzle", refers=Instrument, example="PM-02", measures={"pressure": "pressure"}
    )


TABLES = (PressureTest, HoseTest)
