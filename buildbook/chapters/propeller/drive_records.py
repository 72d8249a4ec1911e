"""Tables about the propellers as they work: balance, room around them, and what drives them."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.shared_records import Instrument
from buildbook.core.record import Record, Table, column

Way = Literal["static", "dynamic in one plane", "dynamic forward plane", "dynamic aft plane"]


class Balance(Record):
    table: ClassVar[Table] = Table(
        "propeller/balance.csv",
        "Balance of the propellers",
        "one balancing in one plane",
        ("propeller", "way", "attempt"),
        "propeller",
        "way",
        "attempt",
        "at",
    )

    propeller: str = column("Propeller", refers=Propeller, example="P1")
    way: Way = column(
        "How it was balanced: at rest (static), turning in one plane, or turning in two (one row for each plane)",
        example="static",
    )
    attempt: int = column("1 as received, 2 after the first correction, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-03-03 14:10")
    mass: float = column("Mass of the propeller", unit="kg", low=0.5, high=200000, example="61.8")
    residual: float = column("Unbalance that is left, as a mass", unit="g", low=0, high=100000, example="1.6")
    radius: float = column("Radius at which that mass would stand", unit="mm", low=10, high=6000, example="380")
    speed: float = column(
        "Speed that the grade is for: the shaft speed at full power", unit="rpm", low=20, high=6000, example="1127"
    )
    by: str = column("Who balanced: role and initials", person=True, example="PS TW")
    instrument: str = column(
        "Balancing stand or machine", refers=Instrument, example="BS-01", measures={"residual": "residual mass"}
    )


class Clearance(Record):
    table: ClassVar[Table] = Table(
        "propeller/clearances.csv",
        "Room around the propellers",
        "one propeller",
        ("propeller", "attempt"),
        "propeller",
        attempt="attempt",
        time="at",
    )

    propeller: str = column("Propeller", refers=Propeller, example="P1")
    attempt: int = column("1 as first fitted, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-08 10:20")
    tip: float = column(
        "Shortest distance from the circle of the blade tips to hull or tunnel",
        unit="mm",
        low=5,
        high=3000,
        example="130",
    )
    bracket: float | None = column(
        "Distance fore and aft from the blade at 0.7 R to the shaft bracket or hull before it",
        unit="mm",
        low=5,
        high=3000,
        blank=True,
        example="165",
    )
    uncertainty: float = column(
        "Expanded uncertainty (k = 2) of these distances: how well the nearest place was found",
        unit="mm",
        low=0.5,
        high=25,
        example="3",
    )
    by: str = column("Who measured: role and initials", person=True, example="QA RT")
    instrument: str = column(
        "Instrument", refers=Instrument, example="TS-01", measures={"tip": "distance", "bracket": "distance"}
    )


class Drive(Record):
    table: ClassVar[Table] = Table(
        "propeller/drives.csv", "What drives each shaft", "one shaft", ("propeller",), "propeller"
    )

    propeller: str = column("Propeller", refers=Propeller, example="P1")
    ratio: float = column("Gear ratio: turns of the engine for one of the shaft", low=0.5, high=12, example="2.04")
    power: float | None = column(
        "Power on this shaft; for the class recommendation", unit="kW", low=2, high=100000, blank=True, example="706"
    )
    rule_length: float | None = column(
        "Rule length of the hull, as the designer gives it; for the class recommendation",
        unit="m",
        low=2,
        high=200,
        blank=True,
        example="16.0",
    )
    block: float | None = column(
        "Block coefficient of the hull, as the designer gives it; for the class recommendation",
        low=0.15,
        high=0.95,
        blank=True,
        example="0.40",
    )
    drawing: str = column("Document that sets this: drawing or order", example="DWG-300")
    revision: str | None = column("Its revision", blank=True, example="C")


TABLES = (Balance, Clearance, Drive)
