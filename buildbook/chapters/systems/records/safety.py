"""The table of detectors and extinguishers."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Place
from buildbook.core.record import Record, Table, column

Kind = Literal[
    "extinguisher",
    "fixed extinguishing system",
    "smoke detector",
    "heat detector",
    "carbon monoxide detector",
    "gas detector",
    "fire blanket",
]


class SafetyDevice(Record):
    table: ClassVar[Table] = Table(
        "systems/safety_devices.csv",
        "Detectors and extinguishers",
        "one device, looked at once",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="on",
    )

    place: str = column("Device: its id in the table of places", refers=Place, example="Y5")
    attempt: int = column("1 as first seen, 2 after it was changed, 3 …", low=1, high=50, example="1")
    kind: Kind = column("What it is", example="smoke detector")
    details: str | None = column("Size, filling, maker's number", blank=True, example="6 kg foam")
    on: date = column("Date it was looked at", example="2026-05-28")
    works: bool | None = column(
        "Whether it worked when it was tried; empty where it was not tried", blank=True, example="yes"
    )
    tried_by: str | None = column("How it was tried", blank=True, example="test gas, sounder heard at the helm")
    good_until: date | None = column(
        "Last day before it is due: service, or replacement", blank=True, ahead=True, example="2027-03-31"
    )
    by: str = column("Who looked: role and initials", person=True, example="QA KL")
