"""Two small synthetic propellers as they work: 1.00 m diameter and pitch, balanced, fitted and tried at sea.

926 r/min at 1000 mm of pitch are 926 x 60 / 1852 = 30 kn without slip (worked by hand). Of the pitch U is 2.83 mm, as
in `blade_folder`. The receiver has U = 0.3 kn, the stand 1 g, the gauge 2 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from buildbook.chapters.propeller.blade_records import BladeReading
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.evidence import Evidence
from buildbook.core.hull import SpecifiedLimit
from tests.chapters.propeller import blade_folder
from tests.chapters.propeller.blade_folder import BENCH, BLADES, RADII, Rows, ordered, standing, whole
from tests.chapters.small_folder import instrument

NAMES = ("P1", "P2")
TOOLS = (
    *BENCH,
    *blade_folder.TOOLS,
    instrument("BS-01", "residual mass", "g", 1.0, range_low=0, range_high=1000),
    instrument("TS-01", "distance", "mm", 2.0, range_low=0, range_high=1000),
    instrument("GP-01", "speed over ground", "kn", 0.3, range_low=0, range_high=80),
    instrument("TA-01", "shaft speed", "rpm", 0.001, range_low=0, range_high=9000),
)
BOTH = [ordered(), ordered(propeller="P2", side="starboard", hand="right")]


def of(name: str, rows: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The same rows about another propeller."""
    return [{**row, "propeller": name} for row in rows]


def pitches(port: float = 1000.0, starboard: float = 1000.0) -> list[dict[str, Any]]:
    """Three blades on each side."""
    return [*whole(None, port), *of("P2", whole(None, starboard))]


def tips(port: float | None = 500.0, starboard: float | None = 500.0) -> list[dict[str, Any]]:
    """Where three blades stand on each side, with this tip radius [mm]."""
    sides = (("P1", port), ("P2", starboard))
    return [row for name, far in sides for row in of(name, [standing(mark, tip_radius=far) for mark in BLADES])]


def balance(residual: float = 10.0, **more: Any) -> dict[str, Any]:
    """100 kg, its residual at half the tip radius, for 600 r/min."""
    row = {"propeller": "P1", "way": "static", "attempt": 1, "mass": 100.0, "residual": residual, "radius": 250.0}
    return {**row, "speed": 600.0, "instrument": "BS-01", **more}


def gap(tip: float = 200.0, **more: Any) -> dict[str, Any]:
    """With 1.5 mm for finding the place beside the 2 mm of the gauge, U = 2.5 mm (worked by hand)."""
    row = {"propeller": "P1", "attempt": 1, "tip": tip, "bracket": None, "uncertainty": 1.5, "instrument": "TS-01"}
    return {**row, **more}


def run(name: str, course: float, speed: float, setting: str = "full", **more: Any) -> dict[str, Any]:
    """One run with all its conditions."""
    row = {"run": name, "setting": setting, "course": course, "speed": speed, "instrument": "GP-01"}
    return {**row, "depth": 24.0, "sea": "slight", "wind": "2", "load": "half", "note": None, **more}


def shaft(name: str, propeller: str = "P1", speed: float = 926.0, **more: Any) -> dict[str, Any]:
    """One shaft, with its engine over a gear of 2."""
    row = {"run": name, "propeller": propeller, "shaft_speed": speed, "engine_speed": 2.0 * speed}
    return {**row, "instrument": "TA-01", **more}


def trial(speed: float = 25.5, port: float = 926.0, starboard: float = 926.0) -> Rows:
    """There and back, 0.3 kn of current; both shafts."""
    return {
        TrialRun: [run("R1", 60.0, speed + 0.3), run("R2", 240.0, speed - 0.3)],
        ShaftSpeed: [
            shaft(name, side, n) for name in ("R1", "R2") for side, n in zip(NAMES, (port, starboard), strict=True)
        ],
    }


def afloat(
    tables: Rows | None = None, mine: Iterable[SpecifiedLimit] = (), unread: Rows | None = None, **more: Any
) -> Evidence:
    """Both propellers as left, with everything that was recorded about them afloat."""
    base: Rows = {
        Place: [{"place": name, "name": f"Propeller {name}", "kind": "part", "painted": "no"} for name in NAMES],
        Instrument: TOOLS,
        Propeller: BOTH,
        DesignSection: [{"propeller": name, "radius": radius, "pitch": 1000.0} for name in NAMES for radius in RADII],
        PitchReading: pitches(),
        BladeReading: tips(),
        Balance: [balance(speed=930.0), balance(propeller="P2", speed=930.0)],
        Clearance: [gap(), gap(propeller="P2")],
        Drive: [{"propeller": name, "ratio": 2.0} for name in NAMES],
        **trial(),
    }
    return blade_folder.folder({**base, **(tables or {})}, mine, unread, **more)
