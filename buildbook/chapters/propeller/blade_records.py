"""Tables about the blades beside their pitch: where each one stands, and how thick and long its sections are."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from pydantic import model_validator

from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.shared_records import Instrument
from buildbook.core.record import Record, Table, column


class BladeReading(Record):
    table: ClassVar[Table] = Table(
        "propeller/blades.csv",
        "Where each blade stands, and its surface",
        "one blade",
        ("propeller", "blade", "attempt"),
        "propeller",
        "blade",
        "attempt",
        "at",
    )

    propeller: str = column("Propeller", refers=Propeller, example="P1")
    blade: str = column("Blade, as it is marked on the boss, numbered in turn", example="B2")
    attempt: int = column("1 as received, 2 after the first correction, 3 …", low=1, high=50, example="1")
    angle: float | None = column(
        "Angle about the bore axis from the reference line of the first blade to that of this one, in the order of "
        "the marks",
        unit="deg",
        low=0,
        high=360,
        blank=True,
        example="72.05",
    )
    axial: float | None = column(
        "Position of its reference line along the bore axis, from the plane that the drawing measures from",
        unit="mm",
        low=-3000,
        high=3000,
        blank=True,
        example="28.4",
    )
    axial_radius: float | None = column(
        "Radius at which that position was read, of the tip radius",
        unit="%",
        low=10,
        high=100,
        blank=True,
        example="70",
    )
    tip_radius: float | None = column(
        "Distance of its tip from the bore axis", unit="mm", low=50, high=6500, blank=True, example="380.2"
    )
    roughness: float | None = column(
        "Surface roughness Ra, the highest of the places read on this blade",
        unit="um",
        low=0.01,
        high=500,
        blank=True,
        example="3.2",
    )
    at: datetime = column("Date and time", example="2026-03-02 13:30")
    by: str = column("Who measured: role and initials", person=True, example="PS TW")
    instrument: str = column(
        "Instrument for angle, axial position and tip radius",
        refers=Instrument,
        example="PB-01",
        measures={"angle": "blade angle", "axial": "axial position", "tip_radius": "tip radius"},
    )
    roughness_tester: str | None = column(
        "Roughness tester", refers=Instrument, blank=True, example="RT-01", measures={"roughness": "roughness"}
    )

    @model_validator(mode="after")
    def _position_with_its_radius(self) -> BladeReading:
        if self.axial is not None and self.axial_radius is None:
            raise ValueError("axial_radius: the radius at which the axial position was read")
        return self


class SectionReading(Record):
    table: ClassVar[Table] = Table(
        "propeller/blade_sections.csv",
        "Thickness and length of the sections",
        "one section of one blade",
        ("propeller", "blade", "attempt", "number"),
        "propeller",
        "blade",
        "attempt",
        "at",
        number="number",
    )

    propeller: str = column("Propeller", refers=Propeller, example="P1")
    blade: str = column("Blade, as it is marked on the boss", example="B1")
    attempt: int = column("1 as received, 2 after the first correction, 3 …", low=1, high=50, example="1")
    number: int = column("Running number of the section on this blade: 1, 2, 3 …", low=1, high=1000, example="1")
    radius: float = column("Radius of the section, of the tip radius", unit="%", low=10, high=100, example="70")
    thickness: float | None = column(
        "Greatest thickness of the section", unit="mm", low=0.5, high=500, blank=True, example="12.24"
    )
    length: float | None = column(
        "Length of the section along the face, from edge to edge",
        unit="mm",
        low=10,
        high=5000,
        blank=True,
        example="240",
    )
    cup: float | None = column(
        "Drop of the turned-down trailing edge, where the blade is cupped",
        unit="mm",
        low=0,
        high=50,
        blank=True,
        example="1.0",
    )
    at: datetime = column("Date and time", example="2026-03-02 14:10")
    by: str = column("Who measured: role and initials", person=True, example="PS TW")
    instrument: str = column(
        "Instrument for the thickness",
        refers=Instrument,
        example="MC-01",
        measures={"thickness": "blade thickness"},
    )
    tape: str | None = column(
        "Tape or rule for the length",
        refers=Instrument,
        blank=True,
        example="FR-01",
        measures={"length": "section length"},
    )
    cup_gauge: str | None = column(
        "Gauge for the cup", refers=Instrument, blank=True, example="DG-01", measures={"cup": "cup drop"}
    )


BLADE_TABLES = (BladeReading, SectionReading)
