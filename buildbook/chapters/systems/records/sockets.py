"""Tables of the residual-current devices and the sockets."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class ResidualCurrentDevice(Record):
    table: ClassVar[Table] = Table(
        "systems/residual_current.csv",
        "Residual-current devices",
        "one device, tripped once by the tester",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="at",
    )

    place: str = column("Device: its id in the table of places", refers=Place, example="Y17")
    attempt: int = column("1 as first fitted, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-22 10:00")
    rated: float = column("Rated residual current on its plate", unit="mA", low=5, high=1000, example="30")
    current: float = column("Residual current of the test", unit="mA", low=1, high=5000, example="30")
    time: float | None = column(
        "Time until it tripped; empty where it did not trip or was not tested",
        unit="s",
        low=0.001,
        high=10,
        blank=True,
        example="0.024",
    )
    tripped: bool | None = column("Whether it tripped; empty where not tested", blank=True, example="yes")
    by: str = column("Who tested: role and initials", person=True, example="EL SW")
    instrument: str = column("Tester", refers=Instrument, example="RT-01", measures={"time": "trip time"})

    @model_validator(mode="after")
    def _only_what_tripped_has_a_time(self) -> ResidualCurrentDevice:
        if self.tripped is False and self.time is not None:
            raise ValueError("time: empty where `tripped` is `no`, since what did not trip has no time")
        return self


class Socket(Record):
    table: ClassVar[Table] = Table(
        "systems/sockets.csv",
        "Sockets",
        "one socket, tested once",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="at",
    )

    place: str = column("Socket: its id in the table of places", refers=Place, example="Y19")
    attempt: int = column("1 as first fitted, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-22 11:00")
    wiring: Literal["right", "reversed", "no protective earth", "dead"] | None = column(
        "What the tester showed of its wires; empty where not tested", blank=True, example="right"
    )
    by: str = column("Who tested: role and initials", person=True, example="EL SW")
