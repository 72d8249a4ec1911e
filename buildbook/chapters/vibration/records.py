"""Tables of the vibration survey: where it was measured, and each record of a sensor."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.record import InColumn, Record, Table, column
from buildbook.readers.signal import HIGHEST_RATE, LOWEST_RATE

Space = Literal[
    "cabin or lounge",
    "public space",
    "open deck",
    "crew accommodation or wheelhouse",
    "crew work space",
    "machine",
]
Axis = Literal["vertical", "longitudinal", "transverse"]
NUMBERED = ("cabin or lounge", "public space", "open deck")  # spaces whose guideline has a comfort number


class Position(Record):
    table: ClassVar[Table] = Table(
        "vibration/positions.csv", "Where vibration was measured", "one position", ("position",), "position"
    )

    position: str = column("Position: its id in the table of places", refers=Place, example="V1")
    space: Space = column("Kind of space, as agreed before the trial", example="cabin or lounge")
    comfort: Literal["1", "2", "3", "none"] = column(
        "Comfort number that was agreed, 1 asks most; `none` for crew spaces and where none was agreed", example="2"
    )
    above_propellers: bool = column("Whether it lies in the aft body right above the propellers", example="no")
    mirror: str | None = column("The same position on the other side", refers=Place, blank=True, example="V2")
    machine_class: Literal["I", "II", "III", "IV", "none"] | None = column(
        "Class of the machine by size and seating, where the position is on one; `none` where it has none",
        blank=True,
        example="III",
    )
    drawing: str = column("Document that says so", example="VP-01")
    revision: str | None = column("Its revision", blank=True, example="A")

    @model_validator(mode="after")
    def _a_class_beside_every_machine(self) -> Position:
        if self.space == "machine" and self.machine_class is None:
            raise ValueError("machine_class: a class beside every machine, or `none`")
        return self


class VibrationRecord(Record):
    table: ClassVar[Table] = Table(
        "vibration/records.csv",
        "Vibration records",
        "one channel of one record",
        ("record",),
        "position",
        "",
        "attempt",
        "at",
    )

    record: str = column("Number of the record", example="A-07")
    position: str = column("Position", refers=Position, example="V1")
    axis: Axis = column("Direction the sensor was facing", example="vertical")
    run: str = column("Run on trial", refers=TrialRun, example="R1")
    attempt: int = column(
        "1 as first measured, 2 as measured again or after tuning, and so on", low=1, high=20, example="1"
    )
    at: datetime = column("Date and time", example="2026-05-20 10:10")
    file: str = column("File with the samples, in this folder", example="vibration/raw/V1_R1.uff")
    channel: int = column("Which channel of the file, 1 where it has one", low=1, high=64, example="1")
    variable: str | None = column(
        "Name of the variable with the samples in a .mat file; empty for all others", blank=True, example=""
    )
    quantity: Literal["acceleration", "velocity"] = column(
        "What the sensor measured, in the word that its measuring chain has in the table of instruments",
        example="acceleration",
    )
    rate: float | None = column(
        "Samples per second of a text or .mat file, and of a .tdms file that does not say them", unit="Hz",
        low=LOWEST_RATE, high=HIGHEST_RATE, blank=True, example="",
    )  # fmt: skip
    calibration: float | None = column(
        "Value in m/s2 or mm/s at full scale of a .wav file, or of the number 1 in a .mat file; empty for all others, "
        "which say their unit themselves",
        low=1e-9, high=1e9, blank=True, example="",
    )  # fmt: skip
    mounting: str | None = column("How the sensor was held to the deck", blank=True, example="magnet on a steel plate")
    checked_before: float | None = column(
        "Reading of the field calibrator before, away from its nominal value", unit="%", low=-100, high=100,
        blank=True, example="0.4",
    )  # fmt: skip
    checked_after: float | None = column(
        "The same after the survey", unit="%", low=-100, high=100, blank=True, example="0.6"
    )
    instrument: str = column(
        "Measuring chain", refers=Instrument, example="VM-01", measures={"file": InColumn("quantity")}
    )
    by: str = column("Who measured: role and initials", person=True, example="TR HB")

    @model_validator(mode="after")
    def _a_rate_beside_text(self) -> VibrationRecord:
        if self.file.lower().endswith((".csv", ".txt", ".mat")) and self.rate is None:
            raise ValueError("rate: the samples per second beside every record in a text or .mat file")
        return self


class SweepReading(Record):
    table: ClassVar[Table] = Table(
        "vibration/sweep.csv",
        "Vibration while she speeds up",
        "one speed at one position and axis",
        ("position", "axis", "number"),
        "position",
        "axis",
        time="at",
        number="number",
    )

    position: str = column("Position", refers=Position, example="V1")
    axis: Axis = column("Direction the sensor was facing", example="vertical")
    number: int = column("Running number at this position and axis: 1, 2, 3 …", low=1, high=500, example="1")
    shaft_speed: float = column("Speed of the shafts, all set alike", unit="rpm", low=20, high=6000, example="840")
    level: float = column("Weighted vibration as the meter showed it", unit="mm/s", low=0.001, high=200, example="1.31")
    instrument: str = column(
        "Meter that showed it", refers=Instrument, example="VM-02", measures={"level": "weighted vibration"}
    )
    at: datetime = column("Date and time", example="2026-05-20 11:14")
    by: str = column("Who measured: role and initials", person=True, example="TR HB")


TABLES = (Position, VibrationRecord, Machine, SweepReading)
