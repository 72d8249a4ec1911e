"""A small synthetic shaft line: SH1 of 100 mm, its coupling of 200 mm, a bearing BE1, a rudder R1.

The instruments state round uncertainties at k = 2 and no resolution, so that U can be worked out by hand.
"""

from __future__ import annotations

from typing import Any

from buildbook.chapters.shafting.records import Shaft
from buildbook.chapters.shared_records import Instrument, PhotographRecord, Place
from buildbook.core.evidence import Evidence
from buildbook.core.hull import SpecifiedLimit
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import instrument, specification

Rows = dict[type[Record], list[dict[str, Any]]]
WIDE = {"range_low": -1000, "range_high": 10000}
TOOLS = [
    instrument("MI-11", "diameter", "mm", 0.02, **WIDE),
    instrument("CL-11", "length", "mm", 0.02, **WIDE),
    instrument("RG-11", "radius", "mm", 0.1, **WIDE),
    instrument("DI-11", "run-out", "mm", 0.01, **WIDE),
    instrument("FG-11", "gap", "mm", 0.02, **WIDE),
    instrument("TP-11", "length", "mm", 10.0, **WIDE),
]
PLACES = [
    {"place": name, "name": name, "kind": "part", "painted": "no"} for name in ("SH1", "SH2", "BE1", "BE2", "R1", "R2")
]
PICTURE = {"file": "photographs/slot.png", "place": "R1", "taken": "2026-03-19"}
QUARTERS = (0.0, 90.0, 180.0, 270.0)


def shaft(part: str = "SH1", **more: Any) -> dict[str, Any]:
    """300 kW at 1050 r/min with a factor of 3; 723 MPa in tension are 482 MPa in torsion."""
    row = {"part": part, "service": "yacht", "factor": 3.0, "power": 300.0, "speed": 1050.0, "tensile_yield": 723.0}
    size = {"strength": 900.0, "modulus": 196000.0, "density": 7850.0, "propeller": 762.0, "length": 2.0}
    return {**row, **size, "flange": 200.0, **more}


def end(diameter: float = 100.0, part: str = "SH1", **more: Any) -> dict[str, Any]:
    """A shaft end with a taper of 50 mm/m, a fillet of 2 mm and 90 % of blue."""
    row = {"part": part, "attempt": 1, "diameter": diameter, "small": diameter - 10.0, "taper": 200.0}
    rest = {"keyway": "sled-runner", "fillet": 2.0, "contact": 90.0, "same_mark": "yes"}
    return {**row, **rest, "calliper": "CL-11", "gauge": "RG-11", **more}


def turned(span: float, station: str = "bearing", part: str = "SH1", **more: Any) -> list[dict[str, Any]]:
    """Four readings at one station, from zero to `span`."""
    along = {"bearing": 1000.0, "taper": 2000.0, "between": 500.0}[station]
    first = {"bearing": 1, "taper": 5, "between": 9}[station]
    row = {"part": part, "attempt": 1, "station": station, "along": along}
    values = zip(QUARTERS, (0.0, span / 2.0, span, span / 2.0), strict=True)
    return [{**row, "number": first + n, "angle": a, "reading": v, **more} for n, (a, v) in enumerate(values)]


def gaps(*four: float, part: str = "SH1", **more: Any) -> list[dict[str, Any]]:
    """Gaps at the quarters of the rim, afloat for two days."""
    state = {"attempt": 1, "afloat": "yes", "hours": 48.0, "load": "half tanks", **more}
    pairs = enumerate(zip(QUARTERS, four, strict=False), 1)
    return [{"part": part, "number": n, "angle": angle, "gap": gap, **state} for n, (angle, gap) in pairs]


def bearing(clearance: float | None = 0.2, part: str = "BE1", **more: Any) -> dict[str, Any]:
    """A bearing on a shaft of 50 mm."""
    row = {"part": part, "shaft": "SH1", "attempt": 1, "shaft_diameter": 50.0, "clearance": clearance}
    return {**row, "spacing": 1500.0, "along": 8, "around": 2, "feeler": "FG-11", "tape": "TP-11", **more}


def stock(part: str = "R1", **more: Any) -> dict[str, Any]:
    """The worked example: 3 kNm, 70 mm, 250 mm, plate 18 mm, throat 6 mm."""
    row = {"part": part, "attempt": 1, "torque": 3000.0, "diameter": 70.0, "slot": 250.0, "plate": 18.0, "throat": 6.0}
    papers = {"photograph": PICTURE["file"], "inspected": "dye penetrant", "weld_record": "PT-1", "welds_sound": "yes"}
    return {**row, **papers, "calliper": "CL-11", **more}


def line(tables: Rows, *mine: SpecifiedLimit, unread: Rows | None = None) -> Evidence:
    """The folder with these tables; of the others as drawn."""
    base: Rows = {Place: PLACES, Instrument: TOOLS, Shaft: [shaft()], PhotographRecord: [PICTURE]}
    return evidence({**base, **tables}, specification=specification(*mine), unread=unread)
