"""The tables of laminate and infusion about what is laid in: materials and the lay-up schedule."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Place
from buildbook.core.record import Record, Table, column

Skin = Literal["outer skin", "inner skin", "single skin"]


class Material(Record):
    table: ClassVar[Table] = Table("laminate/materials.csv", "Materials of the laminate", "one material", ("material",))

    material: str = column("Short id of the material, used in the schedule", example="QX-1200")
    name: str = column("What it is", example="quadriaxial stitched E-glass")
    kind: Literal["mat", "woven", "stitched", "unidirectional", "resin", "core"] = column(
        "What kind of material", example="stitched"
    )
    weight: float | None = column(
        "Dry areal weight of a fabric or mat", unit="g/m2", low=20, high=5000, blank=True, example="1216"
    )
    tolerance: float | None = column(
        "How far that weight may be off to either side", unit="%", low=0, high=25, blank=True, example="5"
    )
    loss: float | None = column(
        "Share of that weight that burns away: binder, sizing, thread",
        unit="%",
        low=0,
        high=15,
        blank=True,
        example="2",
    )
    density: float | None = column(
        "Density of the glass, of the cured resin (never the liquid one) or of the core",
        unit="g/cm3",
        low=0.02,
        high=3,
        blank=True,
        example="2.58",
    )
    density_uncertainty: float | None = column(
        "Expanded uncertainty U of that density", unit="g/cm3", low=0.0005, high=0.5, blank=True, example="0.02"
    )
    coverage: float | None = column("Coverage factor k of that U", low=1, high=3, blank=True, example="2")
    hardness: float | None = column(
        "Barcol hardness that the maker gives for the cured resin", low=1, high=100, blank=True, example="40"
    )
    strength: float | None = column(
        "Tensile strength that the maker gives for the core, across the sheet",
        unit="MPa",
        low=0.05,
        high=30,
        blank=True,
        example="2.2",
    )
    sheet: str | None = column("Data sheet or certificate", blank=True, example="EX-TDS-31")
    revision: str | None = column("Its revision", blank=True, example="4")

    @model_validator(mode="after")
    def _uncertainty_with_its_factor(self) -> Material:
        if self.density_uncertainty is not None and self.coverage is None:
            raise ValueError("coverage: a coverage factor k beside every uncertainty")
        return self


class Ply(Record):
    table: ClassVar[Table] = Table(
        "laminate/schedule.csv", "Lay-up schedule", "one ply of one skin", ("zone", "skin", "ply"), "zone"
    )

    zone: str = column("Zone", refers=Place, example="L1")
    skin: Skin = column("Which skin of the sandwich, or a single skin", example="outer skin")
    ply: int = column("Number of the ply, counted from the mould: 1, 2, 3 …", low=1, high=200, example="1")
    of: int = column("Number of plies that this skin has in all", low=1, high=200, example="6")
    material: str = column("Fabric or mat", refers=Material, example="QX-1200")
    angle: str = column("Direction of the fibres against the length of the hull", example="0/90")
    resin: str = column("Resin it is laid in", refers=Material, example="VE-INF")
    drawing: str = column("Document that says so", example="LAM-03")
    revision: str = column("Its revision", example="B")

    @model_validator(mode="after")
    def _number_within_its_skin(self) -> Ply:
        if self.ply > self.of:
            raise ValueError("ply: a number up to the plies of this skin")
        return self
