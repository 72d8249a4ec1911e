"""Tables of bilge alarms and bilge pumps."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class BilgeAlarm(Record):
    table: ClassVar[Table] = Table(
        "systems/bilge_alarms.csv",
        "Bilge alarms",
        "one alarm tried once",
        ("space", "attempt"),
        "space",
        attempt="attempt",
        time="at",
    )

    space: str = column("Space", refers=Place, example="B-1")
    attempt: int = column("1 as first tried, 2 after work …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-18 10:20")
    way: Literal["water poured in", "float lifted by hand"] = column("How it was set off", example="water poured in")
    heard: bool | None = column("Whether it was heard at the helm", blank=True, example="yes")
    seen: bool | None = column("Whether it was seen at the helm", blank=True, example="yes")
    by: str = column("Who stood at the helm: role and initials", person=True, example="SY OD")


class BilgePump(Record):
    table: ClassVar[Table] = Table(
        "systems/bilge_pumps.csv",
        "Bilge pumps",
        "one pump run once",
        ("pump", "attempt"),
        "pump",
        attempt="attempt",
        time="at",
    )

    pump: str = column("Pump", refers=Place, example="B-11")
    attempt: int = column("1 as first run, 2 after work …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-18 11:00")
    kind: Literal["electric, automatic", "electric", "by hand", "driven by an engine"] = column(
        "How it is driven", example="electric, automatic"
    )
    collected: float = column("Water caught at the outlet", unit="L", low=0, high=5000, example="59.2")
    time: float = column("In this time", unit="s", low=2, high=7200, example="60")
    uncertainty: float = column(
        "Expanded uncertainty (k = 2) of that time: start and stop by hand", unit="s", low=0.05, high=30, example="0.6"
    )
    wanted: float | None = column(
        "Least flow at the outlet that the drawing asks for", unit="L/min", low=1, high=2000, blank=True, example="55"
    )
    drawing: str = column("Document that says so", example="DWG-402")
    revision: str | None = column("Its revision", blank=True, example="B")
    by: str = column("Who measured: role and initials", person=True, example="SY OD")
    instrument: str = column(
        "Vessel or scale", refers=Instrument, example="MV-01", measures={"collected": "volume of water"}
    )


TABLES = (BilgeAlarm, BilgePump)
