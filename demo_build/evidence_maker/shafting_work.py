"""Shafts, couplings, strut bearings and rudders of the invented yacht: one shaft came bowed and was straightened."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.shafting.aft_records import Bearing, RudderStock
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft, ShaftEnd
from buildbook.chapters.shared_records import Place
from demo_build.evidence_maker.propeller_work import DIAMETER
from demo_build.evidence_maker.tables import here

PORT, STARBOARD = "SH1", "SH2"
BENT = STARBOARD
DRAWING, RUDDERS = "DWG-320", "DWG-330"
SIDES = {PORT: -1.15, STARBOARD: 1.15}  # m from the centreline, as the propellers


def _place(key: str, name: str, at: tuple[float, float, float]) -> Place:
    values = {"place": key, "name": name, "kind": "part", "x": at[0], "y": at[1], "z": at[2], "painted": False}
    return Place.model_validate({"where": here(Place), **values})


PLACES = (
    _place(PORT, "Shaft, port", (3.0, -1.15, -0.85)),
    _place(STARBOARD, "Shaft, starboard", (3.0, 1.15, -0.85)),
    _place("BE1", "Strut bearing, port", (1.65, -1.15, -1.05)),
    _place("BE2", "Strut bearing, starboard", (1.65, 1.15, -1.05)),
    _place("R1", "Rudder, port", (0.4, -1.15, -0.7)),
    _place("R2", "Rudder, starboard", (0.4, 1.15, -0.7)),
)

# part, attempt, station, mm from the coupling, eccentricity [mm], where it points [deg]
_BOWS = (
    (PORT, 1, "between", 1600.0, 0.036, 60.0),
    (PORT, 1, "bearing", 2900.0, 0.030, 75.0),
    (PORT, 1, "taper", 3300.0, 0.012, 20.0),
    (STARBOARD, 1, "between", 1600.0, 0.205, 180.0),
    (STARBOARD, 1, "bearing", 2900.0, 0.048, 180.0),
    (STARBOARD, 1, "taper", 3300.0, 0.012, 150.0),
    (STARBOARD, 2, "between", 1600.0, 0.036, 190.0),
    (STARBOARD, 2, "bearing", 2900.0, 0.030, 190.0),
    (STARBOARD, 2, "taper", 3300.0, 0.012, 160.0),
)
TURNED = {
    (PORT, 1): datetime(2026, 4, 15, 9, 10),
    (STARBOARD, 1): datetime(2026, 4, 15, 10, 40),
    (STARBOARD, 2): datetime(2026, 4, 22, 9, 30),
}
QUARTERS = (0.0, 90.0, 180.0, 270.0)

# part, attempt, when, afloat, hours, gaps at 0, 90, 180 and 270 degrees [mm]
_GAPS = (
    (PORT, 1, datetime(2026, 5, 6, 14, 20), False, None, (0.12, 0.20, 0.26, 0.17)),
    (PORT, 2, datetime(2026, 5, 14, 15, 30), True, 53.0, (0.14, 0.16, 0.20, 0.19)),
    (STARBOARD, 1, datetime(2026, 5, 14, 16, 20), True, 54.0, (0.15, 0.22, 0.21, 0.14)),
)


def shafts() -> tuple[Shaft, ...]:
    """Both alike: 735 kW at the engine, less what gearbox and seals take."""
    metal = {"tensile_yield": 724.0, "strength": 900.0, "modulus": 196000.0, "density": 7850.0}
    size = {"propeller": DIAMETER, "length": 2.2, "flange": 180.0, "material": "high-strength stainless steel"}
    rest = {"service": "yacht", "factor": 4.0, "power": 706.0, "speed": 1127.0, "drawing": DRAWING, "revision": "B"}
    return tuple(Shaft.model_validate({"where": here(Shaft), "part": key, **rest, **metal, **size}) for key in SIDES)


def shaft_ends() -> tuple[ShaftEnd, ...]:
    """The end of the straight shaft as received, that of the bowed one after it was straightened."""
    found = (
        (PORT, datetime(2026, 4, 14, 9, 20), 70.02, 57.51, 200.2, 1.4, 85.0),
        (STARBOARD, datetime(2026, 4, 23, 11, 5), 70.01, 57.50, 200.1, 1.3, 78.0),
    )
    names = ("part", "at", "diameter", "small", "taper", "fillet", "contact")
    rest = {"attempt": 1, "keyway": "sled-runner", "same_mark": True, "by": "ME OB"}
    tools = {"micrometer": "MI-11", "calliper": "CL-11", "gauge": "RG-11"}
    return tuple(
        ShaftEnd.model_validate({"where": here(ShaftEnd), **dict(zip(names, row, strict=True)), **rest, **tools})
        for row in found
    )


def run_out(rng: np.random.Generator) -> tuple[RunOut, ...]:
    """Every quarter of a turn at three stations; the bowed shaft again after it was straightened."""
    rows: list[RunOut] = []
    numbers: dict[tuple[str, int], int] = {}
    for part, attempt, station, along, off, points in _BOWS:
        for angle in QUARTERS:
            number = numbers[part, attempt] = numbers.get((part, attempt), 0) + 1
            value = round(off * math.cos(math.radians(angle - points)) + 0.002 * float(rng.standard_normal()), 2)
            about = {"part": part, "attempt": attempt, "number": number, "station": station, "along": along}
            at = TURNED[part, attempt] + timedelta(minutes=2 * number)
            rest = {
                "angle": angle,
                "lay": "on two supports",
                "reading": value + 0.0,
                "at": at,
                "by": "ME OB",
                "instrument": "DI-11",
            }
            rows.append(RunOut.model_validate({"where": here(RunOut), **about, **rest}))
    return tuple(rows)


def couplings() -> tuple[CouplingGap, ...]:
    """One side was read ashore first, which says nothing, and again with the other two days after the launch.

    She was launched on 2026-05-12 at 10:30; the fuel tanks had been filled the day before.
    """
    return tuple(_gaps())


def _gaps() -> Iterable[CouplingGap]:
    for part, attempt, at, afloat, hours, gaps in _GAPS:
        for number, (angle, gap) in enumerate(zip(QUARTERS, gaps, strict=True), 1):
            about = {"part": part, "attempt": attempt, "number": number, "angle": angle, "gap": gap}
            state = {"afloat": afloat, "hours": hours, "load": "full tanks, 2 people" if afloat else None}
            rest = {"at": at + timedelta(minutes=3 * number), "by": "ME OB", "instrument": "FG-11"}
            yield CouplingGap.model_validate({"where": here(CouplingGap), **about, **state, **rest})


def bearings() -> tuple[Bearing, ...]:
    """The strut bearings with the shafts in them."""
    found = (("BE1", PORT, 10, 0.22, 2150.0), ("BE2", STARBOARD, 35, 0.24, 2155.0))
    rest = {"attempt": 1, "shaft_diameter": 70.0, "along": 8, "around": 2, "feeler": "FG-11", "tape": "TP-11"}
    return tuple(
        Bearing.model_validate(
            {"where": here(Bearing), "part": key, "shaft": shaft, "at": datetime(2026, 4, 28, 11, minute),
             "clearance": clearance, "spacing": spacing, "by": "ME OB", **rest}
        )
        for key, shaft, minute, clearance, spacing in found
    )  # fmt: skip


def rudder_stocks() -> tuple[RudderStock, ...]:
    """Both blades before they were closed; of one the record of the weld inspection is not to be found."""
    found = (("R1", 0, 65.04, 240.5, "dye penetrant", "PT-118", True), ("R2", 40, 65.03, 240.0, None, None, None))
    names = ("part", "minute", "diameter", "slot", "inspected", "weld_record", "welds_sound")
    rest = {"attempt": 1, "torque": 2400.0, "plate": 16.0, "throat": 5.0, "drawing": RUDDERS, "revision": "A"}
    rows = []
    for values in found:
        given: dict[str, object] = dict(zip(names, values, strict=True))
        at = datetime(2026, 3, 19, 15) + timedelta(minutes=int(str(given.pop("minute"))))
        picture = f"photographs/slot-{str(given['part']).lower()}.png"
        more = {"at": at, "photograph": picture, "calliper": "CL-11", "by": "QA RT"}
        rows.append(RudderStock.model_validate({"where": here(RudderStock), **given, **rest, **more}))
    return tuple(rows)
