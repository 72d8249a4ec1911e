"""The table of the fuel meters on trial."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.record import Record, Table, column


class FuelFlow(Record):
    table: ClassVar[Table] = Table(
        "systems/trial_fuel.csv",
        "Fuel on trial",
        "one engine in one run",
        ("run", "place"),
        "place",
        time="at",
    )

    run: str = column("Run", refers=TrialRun, example="R1")
    place: str = column("Engine: its id in the table of places", refers=Place, example="Y3")
    at: datetime = column("Date and time", example="2026-05-20 09:40")
    supply: float = column("Fuel to the engine", unit="L/h", low=0.1, high=20000, example="262")
    back: float = column(
        "Fuel that came back to the tank; 0 where the meter reads what is burned", unit="L/h", low=0, high=20000,
        example="98",
    )  # fmt: skip
    instrument: str = column(
        "Fuel meter", refers=Instrument, example="FM-01", measures={"supply": "fuel flow", "back": "fuel flow"}
    )

    @model_validator(mode="after")
    def _less_comes_back(self) -> FuelFlow:
        if self.back >= self.supply:
            raise ValueError("back: less than `supply`")
        return self
