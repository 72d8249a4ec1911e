"""Small synthetic rows for the laminate checks: materials, a schedule, coupons whose masses are known beforehand.

The coupon C-01 is example W1: 25.1234 g, 30.2841 g, 28.8046 g give 71.331 % of glass (worked by hand after ISO 1172).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from buildbook.chapters.laminate.records import BurnOff, Material, Ply, PlyCount
from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.hull import SpecifiedLimit
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, specification

Rows = Mapping[Any, Any]  # record class to rows
SKIN = "single skin"
WEIGHED = {"crucible": 25.1234, "full": 30.2841, "residue": 28.8046}
METERS = (
    instrument("BA-01", "mass", "g", 0.0006, range_low=0, range_high=300),  # u = 0.3 mg
    instrument("CA-01", "length", "mm", 0.02, range_low=0, range_high=150),
    instrument("BI-01", "Barcol hardness", "1", 1.0, range_low=0, range_high=100),
    instrument("TM-01", "force", "N", 20.0, range_low=0, range_high=100000),
    instrument("UT-01", "laminate thickness", "mm", 0.1, range_low=0, range_high=60),
    instrument("FT-01", "furnace temperature", "degC", 4.0, range_low=0, range_high=1100),
    instrument("MM-01", "moisture", "1", 1.0, range_low=0, range_high=100),
)
METERS_OF_A_BURN = {"balance": "BA-01", "caliper": "CA-01", "thermometer": "FT-01"}
GLASS = {"density": 2.60, "density_uncertainty": 0.04, "coverage": 2}
FABRIC = {"material": "QX", "kind": "stitched", "weight": 1200.0, "loss": 2.0, "tolerance": 1.0, **GLASS}
THIN = {"material": "MAT", "kind": "mat", "weight": 300.0, "loss": 4.5, "tolerance": 1.0, **GLASS}
RESIN = {"material": "VE", "kind": "resin", "density": 1.15, "density_uncertainty": 0.02, "coverage": 2}
RESIN |= {"hardness": 40.0}
CORE = {"material": "PVC", "kind": "core", "density": 0.08, "strength": 2.0}
_EVERY = ({"weight": None, "name": "x", **one} for one in (FABRIC, THIN, RESIN, CORE))
MATERIALS = tuple(_EVERY)


def plies(
    number: int = 4, zone: str = "L1", skin: str = SKIN, material: str = "QX", of: int = 0
) -> list[dict[str, Any]]:
    """So many plies of one fabric."""
    row = {"zone": zone, "skin": skin, "of": of or number, "material": material, "resin": "VE"}
    return [{**row, "ply": ply} for ply in range(1, number + 1)]


def coupon(name: str = "C-01", **more: Any) -> dict[str, Any]:
    """One burned coupon, example W1 unless told otherwise."""
    row = {"coupon": name, "attempt": 1, "zone": "L1", "opening": "O1", "skin": SKIN, "at": "2025-10-21 15:00"}
    burn = {"method": "ISO 1172 A", "reheated": 28.8043, "furnace": 625.0, "gelcoat": "ground off", "filled": "no"}
    return {**row, **WEIGHED, **burn, "witness": "box 1", **METERS_OF_A_BURN, **more}


def with_glass(name: str, share: float, **more: Any) -> dict[str, Any]:
    """A coupon of 5 g with this share of glass [%]."""
    return coupon(name, crucible=25.0, full=30.0, residue=25.0 + 0.05 * share, reheated=25.0 + 0.05 * share, **more)


def counts(*counted: int, name: str = "C-01", zone: str = "L1", skin: str = SKIN) -> list[dict[str, Any]]:
    """The plies that each reader counted."""
    row = {"coupon": name, "zone": zone, "skin": skin}
    return [
        {**row, "reader": reader, "by": f"QA {'ABC'[reader - 1]}", "counted": plies}
        for reader, plies in enumerate(counted, 1)
    ]


def folder(
    tables: Rows | None = None, mine: Iterable[SpecifiedLimit] = (), unread: Rows | None = None, **more: Any
) -> Evidence:
    """An evidence with places, instruments, materials and a schedule of four plies, and these tables."""
    places = [
        {"place": "L1", "name": "Hull bottom", "kind": "zone", "painted": "no"},
        {"place": "O1", "name": "Tunnel", "kind": "opening", "painted": "no"},
    ]
    base: Tables = {Place: places, Instrument: METERS, Material: MATERIALS, Ply: plies(), Planned: ()}
    return evidence({**base, **(tables or {})}, specification=specification(*mine), unread=unread, **more)


def judged(
    check: Callable[[Evidence], Iterable[Finding]],
    tables: Rows | None = None,
    mine: Iterable[SpecifiedLimit] = (),
    unread: Rows | None = None,
    **more: Any,
) -> list[Finding]:
    """What a check finds in such a folder."""
    return list(check(folder(tables, mine, unread, **more)))


BURNED, COUNTED = BurnOff, PlyCount
