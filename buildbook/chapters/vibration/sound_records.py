"""Tables of sound on trial: what kind of space each place is, and the level that a meter showed there."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.record import Record, Table, column

SoundSpace = Literal[
    "standard cabin",
    "better cabin",
    "lounge",
    "open deck, second above the waterline",
    "open deck, third above the waterline",
    "wheelhouse",
    "galley",
    "machinery space",
]
ACCOMMODATION = ("standard cabin", "better cabin", "lounge")  # where more is allowed above the propellers


class SoundPlace(Record):
    table: ClassVar[Table] = Table("sound/places.csv", "Where sound was measured", "one place", ("place",), "place")

    place: str = column("Place: its id in the table of places", refers=Place, example="V1")
    space: SoundSpace = column(
        "Kind of space, as agreed before the trial; which cabins are the better ones is the builder's word",
        example="better cabin",
    )
    comfort: Literal["1", "2", "3", "none"] = column(
        "Comfort number that was agreed, 1 asks most; `none` where none was", example="2"
    )
    above_propellers: bool = column("Whether it lies right above the propellers", example="no")
    drawing: str = column("Document that says so", example="VP-01")
    revision: str | None = column("Its revision", blank=True, example="A")


class SoundLevel(Record):
    table: ClassVar[Table] = Table(
        "sound/levels.csv",
        "Sound levels on trial",
        "one reading at one place in one run",
        ("place", "run", "attempt", "number"),
        "place",
        "run",
        "attempt",
        "at",
        number="number",
        series="run",
    )

    place: str = column("Place", refers=SoundPlace, example="V1")
    run: str = column("Run on trial", refers=TrialRun, example="R3")
    attempt: int = column(
        "1 as first measured, 2 as measured again after a change, and so on", low=1, high=20, example="1"
    )
    number: int = column("Running number at this place in this run: 1, 2, 3 …", low=1, high=100, example="1")
    at: datetime = column("Date and time", example="2026-05-20 10:18")
    level: float = column(
        "A-weighted level, the mean by energy over the reading", unit="dB", low=20, high=140, example="51.2"
    )
    background: float | None = column(
        "The same with the machinery stopped; empty where it was not measured", unit="dB", low=10, high=140,
        blank=True, example="43.8",
    )  # fmt: skip
    duration: float = column("How long the reading lasted", unit="s", low=1, high=86400, example="30")
    instrument: str = column(
        "Sound level meter",
        refers=Instrument,
        example="SL-01",
        measures={"level": "sound level", "background": "sound level"},
    )
    by: str = column("Who measured: role and initials", person=True, example="TR HB")


SOUND_TABLES = (SoundPlace, SoundLevel)
