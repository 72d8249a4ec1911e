"""Tables of the filling of fuel tanks: the alarm, the vents, the sender and its remote display."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

Vents = Literal["dry the whole time", "fuel came out", "not watched the whole time"]


class FuelFill(Record):
    table: ClassVar[Table] = Table(
        "systems/fuel_fills.csv",
        "Filling of the fuel tanks",
        "one tank filled once",
        ("tank", "attempt"),
        "tank",
        attempt="attempt",
        time="at",
    )

    tank: str = column("Tank", refers=Place, example="T1")
    attempt: int = column("1 at the first trial, 2 at the second …", low=1, high=50, example="1")
    at: datetime = column("Date and time at which filling began", example="2026-05-13 08:40")
    emptied: bool = column("Whether the tank was empty when filling began", example="yes")
    alarm: float | None = column(
        "Litres on the meter when the alarm came; empty where it did not come",
        unit="L",
        low=1,
        high=500000,
        blank=True,
        example="1352",
    )
    full: float = column("Litres on the meter when the tank was full", unit="L", low=1, high=500000, example="1421")
    uncertainty: float = column(
        "Expanded uncertainty (k = 2) of reading the meter at the right moment",
        unit="L",
        low=0.1,
        high=500,
        example="3",
    )
    silenced: bool | None = column("Whether the alarm could be silenced, and was", blank=True, example="yes")
    slowed: bool | None = column("Whether the flow was slowed after the alarm", blank=True, example="yes")
    shut: bool | None = column("Whether the flow was shut off at full", blank=True, example="yes")
    vents: Vents | None = column(
        "What came from the vents while she was filled", blank=True, example="dry the whole time"
    )
    heel: float | None = column(
        "Heel during the filling, to starboard", unit="deg", low=-20, high=20, blank=True, example="0.3"
    )
    trim: float | None = column(
        "Trim during the filling, by the bow", unit="deg", low=-10, high=10, blank=True, example="-0.4"
    )
    by: str = column("Who read the meter: role and initials", person=True, example="SY OD")
    instrument: str = column(
        "Flow meter",
        refers=Instrument,
        example="FM-01",
        measures={"alarm": "volume of fuel", "full": "volume of fuel"},
    )

    @model_validator(mode="after")
    def _full_comes_last(self) -> FuelFill:
        if self.alarm is not None and self.alarm > self.full:
            raise ValueError("full: no less than `alarm`, the litres at the alarm")
        return self


class SenderReading(Record):
    table: ClassVar[Table] = Table(
        "systems/sender_readings.csv",
        "Sender and remote display while a tank was filled",
        "one reading at one volume",
        ("tank", "attempt", "number"),
        "tank",
        attempt="attempt",
        time="at",
        number="number",
        series="",
    )

    tank: str = column("Tank", refers=Place, example="T1")
    attempt: int = column("The filling that it belongs to", low=1, high=50, example="1")
    number: int = column("Running number of the reading: 1, 2, 3 …", low=1, high=1000, example="1")
    at: datetime = column("Date and time", example="2026-05-13 08:52")
    metered: float = column(
        "Litres on the meter", unit="L", low=0, high=500000, stepped=True, example="355"
    )  # somebody chose at how many litres to read, and two tanks alike are read at the same
    sender: float = column(
        "What the sender gave, as a share of the capacity", unit="%", low=-10, high=120, example="25.4"
    )
    display: float = column(
        "What the remote display showed, as a share of the capacity", unit="%", low=-10, high=120, example="26"
    )
    sender_step: float = column("Smallest step of the sender", unit="%", low=0.01, high=20, example="0.5")
    display_step: float = column("Smallest step of the display", unit="%", low=0.01, high=20, example="1")
    by: str = column("Who read: role and initials", person=True, example="SY OD")
    instrument: str = column("Flow meter", refers=Instrument, example="FM-01", measures={"metered": "volume of fuel"})


TABLES = (FuelFill, SenderReading)
