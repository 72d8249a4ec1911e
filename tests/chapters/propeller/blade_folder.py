"""Small synthetic propellers for the checks: three blades of 1000 mm pitch, read at the radii that class I asks for.

Each section is drawn 10 mm thick and 330 mm long; the reference line stands 30 mm along the axis at 0.7 R. The bench
reads heights with U = 0.2 mm and angles without a doubt worth naming, so that U of a pitch over 36 degrees is
10 x sqrt(2) x 0.2 = 2.83 mm (worked by hand).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.hull import SpecifiedLimit
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, specification

Rows = Mapping[Any, Any]
RADII = (30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 95.0)
BLADES = ("B1", "B2", "B3")
BENCH = (
    instrument("PB-01", "height", "mm", 0.2, range_low=0, range_high=1000),
    instrument("PB-01", "angle", "deg", 1e-6, range_low=-360, range_high=360),
    instrument("PB-01", "pitch", "mm", 2.0, range_low=0, range_high=5000),
)
TOOLS = (
    instrument("PB-01", "blade angle", "deg", 0.1, range_low=0, range_high=360),
    instrument("PB-01", "axial position", "mm", 0.5, range_low=-500, range_high=500),
    instrument("PB-01", "tip radius", "mm", 0.4, range_low=0, range_high=2000),
    instrument("RT-01", "roughness", "um", 0.5, range_low=0, range_high=100),
    instrument("MC-01", "blade thickness", "mm", 0.1, range_low=0, range_high=100),
    instrument("FR-01", "section length", "mm", 1.0, range_low=0, range_high=1000),
    instrument("DG-01", "cup drop", "mm", 0.2, range_low=0, range_high=50),
)


def ordered(**more: Any) -> dict[str, Any]:
    """A propeller of 1.00 m diameter and 1000 mm pitch, class I."""
    row = {"propeller": "P1", "side": "port", "hand": "left", "diameter": 1000.0, "blades": 3, "pitch": 1000.0}
    row |= {"accuracy": "I", "minima": None, "drawing": "DWG-1", "revision": "A", "axial": 30.0, "axial_radius": 70.0}
    return {**row, **more}


def drawn(radius: float, **more: Any) -> dict[str, Any]:
    """One section as drawn."""
    return {"propeller": "P1", "radius": radius, "pitch": 1000.0, "thickness": 10.0, "length": 330.0, **more}


def blade(
    mark: str = "B1", pitch: float = 1000.0, attempt: int = 1, radii: Iterable[float] = RADII, **of: float
) -> list[dict[str, Any]]:
    """Three stations at each radius, 18 degrees apart; `of` gives single radii another pitch: r70=1010."""
    rows: list[dict[str, Any]] = []
    for radius in radii:
        steep = of.get(f"r{radius:g}", pitch)
        for angle in (0.0, 18.0, 36.0):
            row = {"propeller": "P1", "blade": mark, "attempt": attempt, "number": len(rows) + 1, "radius": radius}
            rows.append({**row, "angle": angle, "height": steep * angle / 360.0, "pitch": None, "instrument": "PB-01"})
    return rows


def given(mark: str = "B1", pitch: float = 1000.0, radii: Iterable[float] = RADII) -> list[dict[str, Any]]:
    """One pitch at each radius, as the shop worked it out."""
    row = {"propeller": "P1", "blade": mark, "attempt": 1, "angle": None, "height": None, "instrument": "PB-01"}
    return [{**row, "number": number, "radius": radius, "pitch": pitch} for number, radius in enumerate(radii, 1)]


def whole(first: list[dict[str, Any]] | None = None, pitch: float = 1000.0) -> list[dict[str, Any]]:
    """Three blades; the first as handed in."""
    return [*(blade("B1", pitch) if first is None else first), *blade("B2", pitch), *blade("B3", pitch)]


def standing(mark: str = "B1", attempt: int = 1, **more: Any) -> dict[str, Any]:
    """Where one blade stands, right on everything; `more` changes single columns."""
    row = {"propeller": "P1", "blade": mark, "attempt": attempt, "angle": 120.0 * BLADES.index(mark), "axial": 30.0}
    row |= {"axial_radius": 70.0, "tip_radius": 500.0, "roughness": 2.0, "instrument": "PB-01"}
    return {**row, "roughness_tester": "RT-01", **more}


def across(mark: str = "B1", attempt: int = 1, radii: Iterable[float] = RADII, **of: Any) -> list[dict[str, Any]]:
    """The sections of one blade, right on everything; `of` changes single ones: r70={"thickness": 9.0}."""
    row = {"propeller": "P1", "blade": mark, "attempt": attempt, "thickness": 10.0, "length": 330.0}
    tools = {"instrument": "MC-01", "tape": "FR-01", "cup_gauge": "DG-01"}
    return [
        {**row, **tools, "number": number, "radius": radius, **of.get(f"r{radius:g}", {})}
        for number, radius in enumerate(radii, 1)
    ]


def all_standing(**of: Any) -> list[dict[str, Any]]:
    """Where three blades stand; `of` changes single ones: B2={"angle": 121.0}."""
    return [standing(mark, **of.get(mark, {})) for mark in BLADES]


def all_across(first: list[dict[str, Any]] | None = None) -> list[dict[str, Any]]:
    """The sections of three blades; the first as handed in."""
    return [*(across("B1") if first is None else first), *across("B2"), *across("B3")]


def folder(
    tables: Rows | None = None, mine: Iterable[SpecifiedLimit] = (), unread: Rows | None = None, **more: Any
) -> Evidence:
    """An evidence with one propeller, its bench, and these tables."""
    places = [{"place": "P1", "name": "Propeller, port", "kind": "part", "painted": "no"}]
    base: Tables = {
        Place: places,
        Instrument: (*BENCH, *TOOLS),
        Planned: (),
        Propeller: [ordered()],
        DesignSection: [drawn(radius) for radius in RADII],
        PitchReading: whole(),
        BladeReading: all_standing(),
        SectionReading: all_across(),
    }
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
