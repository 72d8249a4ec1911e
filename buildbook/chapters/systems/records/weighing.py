"""Tables of the weighing: what hung or stood on each cell, and what was aboard."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Instrument
from buildbook.core.record import Record, Table, column


class CellReading(Record):
    table: ClassVar[Table] = Table(
        "systems/weighing.csv",
        "Weighing",
        "one load cell in one weighing",
        ("point", "attempt"),
        attempt="attempt",
        time="at",
    )

    point: str = column("Load cell or sling point", example="aft, port")
    attempt: int = column("1 for the first weighing, 2 for the next, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-11 16:30")
    mass: float = column("Mass read", unit="kg", low=50, high=2000000, example="8120")
    x: float = column("Where it bears: forward of the transom", unit="m", low=-5, high=120, example="3.20")
    y: float = column("Where it bears: to starboard of the centreline", unit="m", low=-20, high=20, example="-1.90")
    position_uncertainty: float = column(
        "Expanded uncertainty (k = 2) of that position", unit="m", low=0.001, high=1, example="0.02"
    )
    by: str = column("Who weighed: role and initials", person=True, example="QA KL")
    instrument: str = column("Load cells", refers=Instrument, example="LC-01", measures={"mass": "mass"})


class Aboard(Record):
    table: ClassVar[Table] = Table(
        "systems/weighing_aboard.csv",
        "What was aboard when she was weighed",
        "one item that the light boat has and the weighed one had not, or the other way round",
        ("item", "attempt"),
        attempt="attempt",
    )

    item: str = column("What it is", example="diesel")
    attempt: int = column("The weighing it belongs to", low=1, high=50, example="1")
    change: Literal["taken off", "added"] = column(
        "Whether it is taken off the mass weighed, or added to it", example="taken off"
    )
    mass: float = column("Its mass", unit="kg", low=0, high=500000, example="640")
    uncertainty: float = column("Expanded uncertainty (k = 2) of that mass", unit="kg", low=0, high=50000, example="20")
    x: float = column("Its centre: forward of the transom", unit="m", low=-5, high=120, example="6.40")
    y: float = column("Its centre: to starboard of the centreline", unit="m", low=-20, high=20, example="0.00")
