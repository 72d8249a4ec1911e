"""Tables of the engine installation: the maker's sheet, and what was read at full power."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.record import Record, Table, column


class EngineSheet(Record):
    table: ClassVar[Table] = Table(
        "systems/engine_sheet.csv", "Limits of the engine maker", "one type of engine", ("model",)
    )

    model: str = column("Type of engine", example="EM 735")
    exhaust: float | None = column(
        "Highest back-pressure in the exhaust", unit="kPa", low=0.5, high=50, blank=True, example="12"
    )
    air: float | None = column(
        "Greatest depression of the air at the intake", unit="kPa", low=0.05, high=20, blank=True, example="3.7"
    )
    coolant: float | None = column(
        "Greatest difference of the coolant across the engine",
        unit="K",
        low=1,
        high=60,
        difference=True,
        blank=True,
        example="10",
    )
    crankcase: float | None = column(
        "Highest pressure in the crankcase", unit="kPa", low=0.05, high=20, blank=True, example="0.5"
    )
    fuel: float | None = column(
        "Highest temperature of the fuel at the inlet", unit="degC", low=10, high=120, blank=True, example="60"
    )
    speed_low: float | None = column(
        "Least speed at full throttle, fully loaded", unit="rpm", low=200, high=9000, blank=True, example="2300"
    )
    speed_high: float | None = column(
        "Greatest speed at full throttle", unit="rpm", low=200, high=9000, blank=True, example="2360"
    )
    drawing: str = column("Sheet of the engine maker that says so", example="EMS735")
    revision: str | None = column("Its revision", blank=True, example="4")

    @model_validator(mode="after")
    def _ends_in_order(self) -> EngineSheet:
        low, high = self.speed_low, self.speed_high
        if low is not None and high is not None and high < low:
            raise ValueError("speed_high: not less than `speed_low`")
        return self


class EngineReading(Record):
    table: ClassVar[Table] = Table(
        "systems/engine_readings.csv",
        "Engine installation, read at full power",
        "one engine, read once",
        ("place", "attempt"),
        "place",
        attempt="attempt",
        time="at",
    )

    place: str = column("Engine: its id in the table of places", refers=Place, example="Y3")
    attempt: int = column("1 as first read, 2 after a change, 3 …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-20 09:44")
    model: str = column("Type of engine", refers=EngineSheet, example="EM 735")
    exhaust: float | None = column(
        "Back-pressure in the exhaust", unit="kPa", low=0, high=50, blank=True, example="9.1"
    )
    air: float | None = column(
        "Depression of the air at the intake", unit="kPa", low=0, high=20, blank=True, example="2.1"
    )
    coolant_out: float | None = column(
        "Coolant out of the engine", unit="degC", low=0, high=130, blank=True, example="86"
    )
    coolant_in: float | None = column("Coolant into the engine", unit="degC", low=0, high=130, blank=True, example="79")
    crankcase: float | None = column(
        "Pressure in the crankcase", unit="kPa", low=-5, high=20, blank=True, example="0.2"
    )
    fuel: float | None = column(
        "Temperature of the fuel at the inlet", unit="degC", low=-10, high=120, blank=True, example="41"
    )
    speed: float | None = column("Speed at full throttle", unit="rpm", low=100, high=9000, blank=True, example="2312")
    gauge: str | None = column(
        "Gauge of the pressures",
        refers=Instrument,
        blank=True,
        example="MN-01",
        measures=dict.fromkeys(("exhaust", "air", "crankcase"), "engine pressure"),
    )
    thermometer: str | None = column(
        "Thermometer",
        refers=Instrument,
        blank=True,
        example="TC-01",
        measures=dict.fromkeys(("coolant_out", "coolant_in", "fuel"), "engine temperature"),
    )
    tachometer: str | None = column(
        "Instrument that read the speed",
        refers=Instrument,
        blank=True,
        example="TA-01",
        measures={"speed": "engine speed"},
    )
    by: str = column("Who read it: role and initials", person=True, example="TR HB")
    run: str | None = column("Run of the trial in which it was read", refers=TrialRun, blank=True, example="R1")
