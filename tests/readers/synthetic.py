"""Synthetic tables for the tests of the readers: they describe nothing that exists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any, ClassVar, Literal

from pydantic import model_validator

from buildbook.core.chapter import Opener
from buildbook.core.record import Record, Table, column
from buildbook.readers.folder import Folder
from buildbook.readers.gather import Gathered, gather
from buildbook.readers.rows import Rows, validate
from buildbook.readers.table import read_table


class Spot(Record):
    table: ClassVar[Table] = Table("spots.csv", "Spots", "one spot", ("spot",), "spot")

    spot: str = column("Id of the spot", example="S1")
    height: float | None = column("Height", unit="m", low=-10, high=40, blank=True, example="1.2")


class OnDeck(Spot):
    table: ClassVar[Table] = Table("deck/spots.csv", "Spots on deck", "one spot", ("spot",), "spot")


class Log(Record):
    table: ClassVar[Table] = Table(
        "logs/readings.csv",
        "Readings",
        "one reading",
        ("spot", "attempt", "number"),
        "spot",
        "",
        "attempt",
        "at",
        "number",
    )

    spot: str = column("Spot", refers=Spot, example="S1")
    attempt: int = column("Attempt", low=1, high=50, example="1")
    number: int = column("Running number", low=1, high=1000, example="1")
    at: datetime = column("Date and time", example="2026-03-18 08:00")
    film: float = column("Thickness", unit="um", low=0, high=20000, example="182")
    air: float | None = column("Air", unit="degC", low=-30, high=60, blank=True, example="19.4")
    margin: float | None = column("Margin", unit="K", difference=True, low=0, high=30, blank=True, example="3")
    wet: bool | None = column("Whether it was wet", blank=True, example="no")
    kind: Literal["first coat", "top-coat"] | None = column("Kind", blank=True, example="top-coat")
    angle: Literal[20, 60, 85] | None = column("Angle", unit="deg", blank=True, example="60")
    day: date | None = column("Day", blank=True, example="2026-03-18")
    until: date | None = column("Last day", blank=True, example="2026-03-19")
    by: str | None = column("Who: role and initials", person=True, blank=True, example="QA KL")

    @model_validator(mode="after")
    def _order(self) -> Log:
        if self.day and self.until and self.until < self.day:
            raise ValueError("until: a date on or after `day`")
        return self


HEADS = "spot,attempt,number,at,film [um]"
ROW = "S1,1,1,2026-03-18 08:00,182"
OPTIONAL = "air [degC],margin [K],wet,kind,angle [deg],day,until,by"  # what may be left out
BLANK = "," * OPTIONAL.count(",")


def read(text: str, kind: type[Record] = Log) -> Rows:
    """The rows of a synthetic table given as text."""
    return validate(kind, read_table(text.encode("utf-8"), kind.table.file))


def cells(rows: Rows) -> list[dict[str, Any]]:
    """The cells of the records, by name."""
    return [record.model_dump(exclude={"where"}) for record in rows.records]


def one_cell(head: str, cell: str, delimiter: str = ",") -> Rows:
    """One row that is whole but for one more column with this cell."""
    row = f"{HEADS},{head}\n{ROW},".replace(",", delimiter)
    quoted = f'"{cell}"' if delimiter in cell else cell
    return read(f"{row}{quoted}\n")


def folder_of(root: Path, files: Mapping[str, str | bytes]) -> Folder:
    """A synthetic hull folder with these files."""
    for name, content in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    return Folder(root)


class Heard(Record):
    table: ClassVar[Table] = Table("heard.csv", "Records", "one record", ("record",), "spot")

    record: str = column("Its id", example="A")
    spot: str = column("Spot", example="S1")
    file: str = column("File", example="raw/a.wav")


def gathered(
    root: Path,
    files: Mapping[str, str | bytes],
    kinds: Sequence[type[Record]] = (Spot, Log),
    openers: Mapping[type[Record], Opener] | None = None,
) -> Gathered:
    """The two synthetic tables of such a folder, or others, gathered."""
    return gather(folder_of(root, files), kinds, openers=openers)
