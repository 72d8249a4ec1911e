"""The table of the steering."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class Steering(Record):
    table: ClassVar[Table] = Table(
        "systems/steering.csv",
        "Steering",
        "one trial of one steering gear",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="at",
    )

    place: str = column("Steering gear: its id in the table of places", refers=Place, example="Y2")
    attempt: int = column("1 as first fitted, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-15 14:00")
    drawn: float = column("Rudder angle at each stop by the drawing", unit="deg", low=5, high=80, example="35")
    tolerance: float = column("How far it may be off, either way", unit="deg", low=0.1, high=10, example="1.5")
    drawing: str = column("Drawing that says so", example="DWG-420")
    revision: str | None = column("Its revision", blank=True, example="B")
    port: float | None = column(
        "Rudder angle with the wheel hard to port", unit="deg", low=1, high=90, blank=True, example="35.2"
    )
    starboard: float | None = column(
        "Rudder angle with the wheel hard to starboard", unit="deg", low=1, high=90, blank=True, example="34.8"
    )
    stop_to_stop: float | None = column(
        "Time from one stop to the other",
        unit="s",
        low=0.5,
        high=300,
        blank=True,
        example="9.4",
    )
    ship_time: float | None = column(
        "Time from 35° on one side to 30° on the other", unit="s", low=0.5, high=300, blank=True, example="8.6"
    )
    time_uncertainty: float = column(
        "Expanded uncertainty (k = 2) of the times, as taken by hand", unit="s", low=0.01, high=10, example="0.4"
    )
    stops: Literal["held", "did not hold"] | None = column(
        "Whether the stops held the rudder before its gear ran to its end; empty where not tried",
        blank=True,
        example="held",
    )
    emergency: Literal["steered her", "did not steer her"] | None = column(
        "What the emergency tiller did when it was fitted and tried; empty where not tried",
        blank=True,
        example="steered her",
    )
    by: str = column("Who tried it: role and initials", person=True, example="TR HB")
    instrument: str = column(
        "Instrument that read the angles",
        refers=Instrument,
        example="AG-01",
        measures={"port": "rudder angle", "starboard": "rudder angle"},
    )
