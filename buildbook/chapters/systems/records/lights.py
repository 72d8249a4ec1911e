"""The table of what is tried by looking and listening: lights, horn, emergency stops."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Place
from buildbook.core.record import Record, Table, column


class Tried(Record):
    table: ClassVar[Table] = Table(
        "systems/lights_and_stops.csv",
        "Navigation lights, horn and emergency stops",
        "one light, horn or stop, tried once",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="on",
    )

    place: str = column("What was tried: its id in the table of places", refers=Place, example="Y24")
    attempt: int = column("1 as first tried, 2 after a change, 3 …", low=1, high=50, example="1")
    kind: Literal["navigation light", "horn", "emergency stop"] = column("What it is", example="navigation light")
    on: date | None = column("Date it was tried", blank=True, example="2026-05-29")
    works: bool | None = column("Whether it worked; empty where it was not tried", blank=True, example="yes")
    found: str | None = column("What was seen or heard", blank=True, example="seen from 200 m, colour right")
    by: str = column("Who tried it: role and initials", person=True, example="QA RT")
