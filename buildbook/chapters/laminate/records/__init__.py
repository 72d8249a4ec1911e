"""Tables of the laminate chapter."""

from __future__ import annotations

from buildbook.chapters.laminate.records.cut_outs import BurnOff, Delivery, PlyCount
from buildbook.chapters.laminate.records.tests import (
    BondFinding,
    BondSurvey,
    CoreBond,
    StrengthTest,
    ThicknessReading,
)
from buildbook.chapters.schedule_records import Material, Ply
from buildbook.core.record import Record

__all__ = [
    "TABLES",
    "BondFinding",
    "BondSurvey",
    "BurnOff",
    "CoreBond",
    "Delivery",
    "Material",
    "Ply",
    "PlyCount",
    "StrengthTest",
    "ThicknessReading",
]

TABLES: tuple[type[Record], ...] = (
    Material,
    Delivery,
    Ply,
    BurnOff,
    PlyCount,
    StrengthTest,
    CoreBond,
    BondSurvey,
    BondFinding,
    ThicknessReading,
)
