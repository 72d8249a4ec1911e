"""Tables about the propellers: what was ordered, and what the pitch bench read."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column

Class = Literal["S", "I", "II", "III", "none"]


class Propeller(Record):
    table: ClassVar[Table] = Table(
        "propeller/propellers.csv", "Propellers as ordered", "one propeller", ("propeller",), "propeller"
    )

    propeller: str = column("Propeller: its id in the table of places", refers=Place, example="P1")
    side: Literal["port", "starboard", "centre"] = column("On which shaft", example="port")
    hand: Literal["left", "right"] = column(
        "Hand: a right-hand propeller turns clockwise ahead, seen from astern", example="left"
    )
    diameter: float = column("Diameter", unit="mm", low=150, high=12000, example="760")
    blades: int = column("Number of blades", low=2, high=9, example="5")
    pitch: float = column("Design pitch, the mean of the propeller", unit="mm", low=50, high=15000, example="880")
    accuracy: Class = column("Accuracy class agreed; none where none was", example="I")
    minima: bool | None = column(
        "Whether the least tolerances in millimetres apply; empty: from 800 mm diameter on", blank=True, example="no"
    )
    material: str | None = column("Material", blank=True, example="nickel-aluminium bronze")
    drawing: str = column("Document that sets this: drawing or order", example="DWG-310")
    revision: str | None = column("Its revision", blank=True, example="B")
    axial: float | None = column(
        "Design position of the blades' reference lines along the bore axis, from the plane the drawing measures from",
        unit="mm",
        low=-3000,
        high=3000,
        blank=True,
        example="28",
    )
    axial_radius: float | None = column(
        "Radius at which that position is drawn, of the tip radius",
        unit="%",
        low=10,
        high=100,
        blank=True,
        example="70",
    )

    @property
    def agreed_class(self) -> str | None:
        """The class of accuracy that was agreed; None where none was."""
        return None if self.accuracy == "none" else self.accuracy

    @model_validator(mode="after")
    def _position_with_its_radius(self) -> Propeller:
        if (self.axial is None) != (self.axial_radius is None):
            raise ValueError("axial_radius: an axial position and the radius at which it is drawn, or neither")
        return self


class DesignSection(Record):
    table: ClassVar[Table] = Table(
        "propeller/sections.csv", "Design of the sections by radius", "one radius", ("propeller", "radius"), "propeller"
    )

    propeller: str = column("Propeller", refers=Propeller, example="P1")
    radius: float = column("Radius of the section, of the tip radius", unit="%", low=10, high=100, example="70")
    pitch: float = column("Design pitch at this radius", unit="mm", low=50, high=15000, example="880")
    thickness: float | None = column(
        "Design thickness, the greatest of this section", unit="mm", low=0.5, high=500, blank=True, example="12.2"
    )
    length: float | None = column(
        "Design length of this section along the face", unit="mm", low=10, high=5000, blank=True, example="240"
    )


class PitchReading(Record):
    table: ClassVar[Table] = Table(
        "propeller/pitch.csv",
        "Pitch readings",
        "one station of a section, or one pitch as the shop worked it out",
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
    number: int = column("Running number of the reading on this blade: 1, 2, 3 …", low=1, high=1000, example="1")
    radius: float = column("Radius of the section, of the tip radius", unit="%", low=10, high=100, example="70")
    angle: float | None = column(
        "Angle about the bore axis, growing with the height",
        unit="deg",
        low=-720,
        high=720,
        blank=True,
        stepped=True,
        example="12.00",
    )
    height: float | None = column(
        "Height of the pressure face along the bore axis", unit="mm", low=-5000, high=5000, blank=True, example="29.33"
    )
    pitch: float | None = column(
        "Mean pitch of this section, where the shop gives no angles and heights",
        unit="mm",
        low=50,
        high=15000,
        blank=True,
        example="",
    )
    on: Literal["face", "cup", "edge"] = column(
        "Where on the section: only readings on the face are set against the design", example="face"
    )
    at: datetime = column("Date and time", example="2026-03-02 09:10")
    by: str = column("Who measured: role and initials", person=True, example="PS TW")
    instrument: str = column(
        "Instrument",
        refers=Instrument,
        example="PB-01",
        measures={"angle": "angle", "height": "height", "pitch": "pitch"},
    )

    @model_validator(mode="after")
    def _station_or_pitch(self) -> PitchReading:
        if self.pitch is not None and (self.angle is not None or self.height is not None):
            raise ValueError("pitch: empty where angle and height are given, since it follows from them")
        if self.pitch is None and self.angle is None:
            raise ValueError("angle: an angle and a height, or else a pitch")
        if self.pitch is None and self.height is None:
            raise ValueError("height: a height beside the angle")
        return self


TABLES = (Propeller, DesignSection, PitchReading)
