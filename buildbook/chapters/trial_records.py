"""Tables of the sea trial: the runs with their conditions, and how fast each shaft turned."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class TrialRun(Record):
    table: ClassVar[Table] = Table(
        "trial/runs.csv", "Runs on trial", "one run on one course", ("run",), condition="setting", time="at"
    )

    run: str = column("Short id of the run", example="R1")
    setting: str = column(
        "Engine setting in the yard's own words, the same word for all runs that belong together", example="full"
    )
    at: datetime = column("Date and time", example="2026-05-20 09:40")
    course: float = column("Course over ground", unit="deg", low=0, high=360, example="62")
    speed: float = column(
        "Speed over ground, the mean of the run, by satellite receiver", unit="kn", low=0.5, high=100, example="28.1"
    )
    depth: float | None = column("Depth of water", unit="m", low=0.5, high=12000, blank=True, example="24")
    sea: str | None = column("State of the sea", blank=True, example="slight, 0.3 m")
    wind: str | None = column("Wind: force and whence", blank=True, example="3, south-west")
    sea_state: int | None = column("State of the sea as a number, 0 to 9", low=0, high=9, blank=True, example="2")
    wind_force: int | None = column("Wind as a number of the Beaufort scale", low=0, high=12, blank=True, example="3")
    rudder: float | None = column(
        "Largest rudder angle in the run, to either side", unit="deg", low=0, high=45, blank=True, example="1.5"
    )
    running: str | None = column(
        "What else ran: generator, stabilisers, air conditioning; `nothing` where nothing did",
        blank=True,
        example="generator, air conditioning",
    )
    load: str | None = column("How she was loaded: tanks, people, stores", blank=True, example="half tanks, 6 people")
    note: str | None = column("Anything a reader should know", blank=True)
    instrument: str = column(
        "Instrument that read the speed", refers=Instrument, example="GP-01", measures={"speed": "speed over ground"}
    )
    by: str = column("Who measured: role and initials", person=True, example="TR HB")


class ShaftSpeed(Record):
    table: ClassVar[Table] = Table(
        "trial/shafts.csv",
        "Shaft speeds on trial",
        "one shaft in one run",
        ("run", "propeller"),
        "propeller",
        time="at",
    )

    run: str = column("Run", refers=TrialRun, example="R1")
    propeller: str = column("Propeller on this shaft: its id in the table of places", refers=Place, example="P1")
    at: datetime = column("Date and time", example="2026-05-20 09:40")
    shaft_speed: float = column("Speed of the shaft", unit="rpm", low=20, high=6000, example="1133")
    engine_speed: float | None = column(
        "Speed of its engine, as the dashboard showed it", unit="rpm", low=50, high=9000, blank=True, example="2311"
    )
    instrument: str = column(
        "Instrument that read the shaft", refers=Instrument, example="TA-01", measures={"shaft_speed": "shaft speed"}
    )


TABLES = (TrialRun, ShaftSpeed)
