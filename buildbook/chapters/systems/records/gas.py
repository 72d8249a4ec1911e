"""The table of the gas tests."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

READ = ("strength", "tight_start", "tight_end")


class GasTest(Record):
    table: ClassVar[Table] = Table(
        "systems/gas_tests.csv",
        "Gas tests",
        "one test of one gas system",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="at",
    )

    place: str = column("Gas system: its id in the table of places", refers=Place, example="Y1")
    attempt: int = column("1 as first built, 2 after a repair, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-14 10:20")
    working: float = column(
        "Working pressure on the plate of the appliance", unit="mbar", low=5, high=200, example="30"
    )
    strength: float | None = column(
        "Pressure of the strength test, read at its end", unit="mbar", low=0, high=5000, blank=True, example="105"
    )
    strength_minutes: float | None = column(
        "How long it was held", unit="min", low=0.5, high=240, blank=True, example="5"
    )
    tight_start: float | None = column(
        "Pressure at the start of the tightness test", unit="mbar", low=1, high=5000, blank=True, example="30.0"
    )
    tight_end: float | None = column("Pressure at its end", unit="mbar", low=0, high=5000, blank=True, example="30.0")
    tight_minutes: float | None = column(
        "Time between the two", unit="min", low=0.5, high=1440, blank=True, example="10"
    )
    air_start: float | None = column(
        "Temperature beside the pipe at the start, to a tenth",
        unit="degC",
        low=-20,
        high=60,
        blank=True,
        example="17.2",
    )
    air_end: float | None = column(
        "Temperature beside the pipe at the end", unit="degC", low=-20, high=60, blank=True, example="17.2"
    )
    medium: str = column("What the pipe was filled with", example="air")
    by: str = column("Who tested: role and initials", person=True, example="GF AB")
    instrument: str = column("Gauge", refers=Instrument, example="PG-01", measures=dict.fromkeys(READ, "gas pressure"))
    thermometer: str | None = column(
        "Thermometer beside the pipe",
        refers=Instrument,
        blank=True,
        example="TP-01",
        measures=dict.fromkeys(("air_start", "air_end"), "air temperature"),
    )
