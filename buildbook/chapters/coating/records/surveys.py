"""What was measured afterwards: film, adhesion, gloss, appearance, colour."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class FilmReading(Record):
    table: ClassVar[Table] = Table(
        "coating/film_thickness.csv",
        "Film thickness",
        "one reading",
        ("zone", "attempt", "number"),
        "zone",
        "",
        "attempt",
        "at",
        "number",
        series="",
    )

    zone: str = column("Zone", refers=Place, example="Z1")
    attempt: int = column("1 for the first survey, 2 after rework, and so on", low=1, high=50, example="1")
    number: int = column(
        "Running number of the reading in this zone and attempt: 1, 2, 3 …", low=1, high=100000, example="1"
    )
    spot: int | None = column(
        "Number of the spot, where several readings make one", low=1, high=100000, blank=True, example="1"
    )
    thickness: float = column("Dry film thickness", unit="um", low=0, high=20000, example="182")
    system: str = column("Which layers the reading holds", example="primer and topcoat")
    extra: bool = column(
        "Whether it was taken on purpose at a thin spot (then it does not enter the mean)", example="no"
    )
    at: datetime = column("Date and time", example="2026-03-30 09:05")
    method: Literal["ultrasonic", "witness plate", "magnetic", "eddy current", "wedge cut"] = column(
        "Method", example="ultrasonic"
    )
    instrument: str = column("Instrument", refers=Instrument, example="UT-01", measures={"thickness": "film thickness"})


class PullOff(Record):
    table: ClassVar[Table] = Table(
        "coating/pull_off.csv",
        "Pull-off tests",
        "one dolly",
        ("specimen",),
        "zone",
        "specimen",
        "attempt",
        "at",
    )

    specimen: str = column("Number of the dolly", example="A-01")
    zone: str = column("Zone it stands for", refers=Place, example="Z1")
    attempt: int = column(
        "1 for the first tests of the zone, 2 for those after rework, and so on", low=1, high=50, example="1"
    )
    at: datetime = column("Date and time", example="2026-04-08 14:00")
    on: Literal["hull", "witness panel"] = column("Where it was pulled", example="witness panel")
    dolly: float = column("Diameter of the dolly", unit="mm", low=5, high=60, example="20")
    dolly_tolerance: float | None = column(
        "How far that diameter may be off to either side", unit="mm", low=0, high=2, blank=True, example="0.1"
    )
    force: float = column("Force at fracture", unit="N", low=0, high=50000, example="2160")
    fracture: str = column("Share of each fracture letter, adding to 100 %", example="70 % B, 30 % B/C")
    instrument: str = column("Instrument", refers=Instrument, example="PO-01", measures={"force": "force"})


class CrossCut(Record):
    table: ClassVar[Table] = Table(
        "coating/cross_cut.csv",
        "Cross-cut tests",
        "one cut",
        ("zone", "attempt", "number"),
        "zone",
        "",
        "attempt",
        "at",
        "number",
    )

    zone: str = column("Zone", refers=Place, example="Z1")
    attempt: int = column("1 for the first test, 2 after rework, and so on", low=1, high=50, example="1")
    number: int = column("Running number of the cut: 1, 2, 3 …", low=1, high=1000, example="1")
    at: datetime = column("Date and time", example="2026-04-08 15:00")
    scale: Literal["ISO 2409", "ASTM D3359 B"] = column("Scale of the class", example="ISO 2409")
    rating: int = column("Class read on that scale", low=0, high=5, example="0")
    spacing: float = column("Spacing of the cuts", unit="mm", low=0.5, high=5, example="2")
    film: float = column("Thickness of the film cut through", unit="um", low=0, high=2000, example="110")


class Gloss(Record):
    table: ClassVar[Table] = Table(
        "coating/gloss.csv",
        "Gloss",
        "one reading",
        ("zone", "attempt", "number"),
        "zone",
        "",
        "attempt",
        "at",
        "number",
        series="angle",
    )

    zone: str = column("Zone", refers=Place, example="Z1")
    attempt: int = column(
        "1 for the first survey, 2 after polishing or recoating, and so on", low=1, high=50, example="1"
    )
    number: int = column("Running number of the reading: 1, 2, 3 …", low=1, high=100000, example="1")
    angle: Literal[20, 60, 85] = column("Angle of the gauge", unit="deg", example="60")
    gloss: float = column("Gloss", unit="GU", low=0, high=200, example="88.4")
    at: datetime = column("Date and time", example="2026-04-09 10:00")
    instrument: str = column("Instrument", refers=Instrument, example="GL-01", measures={"gloss": "gloss"})


class Appearance(Record):
    table: ClassVar[Table] = Table(
        "coating/appearance.csv",
        "Image, orange peel and dust",
        "one sample area",
        ("zone", "attempt", "number"),
        "zone",
        "",
        "attempt",
        "at",
        "number",
        series="",
    )

    zone: str = column("Zone", refers=Place, example="Z1")
    attempt: int = column("1 for the first survey, 2 after rework, and so on", low=1, high=50, example="1")
    number: int = column("Running number of the sample area: 1, 2, 3 …", low=1, high=100000, example="1")
    image: float | None = column(
        "Distinctness of image, scale 0 to 100 of the method named", low=0, high=100, blank=True, example="91"
    )
    image_method: str | None = column("Method of that scale", blank=True, example="ASTM D5767 method B")
    orange_peel: float | None = column(
        "Orange-peel rating on the scale named", low=0, high=100, blank=True, example="7.5"
    )
    peel_scale: str | None = column("Scale of that rating", blank=True, example="yard panels 0 to 10, 10 smoothest")
    dust: float | None = column(
        "Inclusions per square decimetre", unit="1/dm2", low=0, high=1000, blank=True, example="2"
    )
    at: datetime = column("Date and time", example="2026-04-09 11:00")
    instrument: str | None = column(
        "Instrument, if one was used",
        refers=Instrument,
        blank=True,
        example="IM-01",
        measures={"image": "distinctness of image", "orange_peel": "orange peel"},
    )


class Colour(Record):
    table: ClassVar[Table] = Table(
        "coating/colour.csv",
        "Colour",
        "one reading",
        ("zone", "number"),
        "zone",
        number="number",
        time="at",
        series="role",
    )

    zone: str = column("Zone, or the zone whose master panel this is", refers=Place, example="Z1")
    number: int = column("Running number of the reading: 1, 2, 3 …", low=1, high=100000, example="1")
    role: Literal["reference", "sample"] = column("Master panel or painted surface", example="sample")
    lightness: float = column("L* of CIELAB", low=0, high=110, example="93.1")
    red_green: float = column("a* of CIELAB", low=-150, high=150, example="-0.9")
    yellow_blue: float = column("b* of CIELAB", low=-150, high=150, example="2.3")
    illuminant: str = column("Illuminant and observer", example="D65/10")
    geometry: str = column("Geometry, specular in or out", example="d/8 included")
    at: datetime = column("Date and time", example="2026-04-09 13:00")
    instrument: str = column("Instrument", refers=Instrument, example="CM-01", measures={"lightness": "colour"})
