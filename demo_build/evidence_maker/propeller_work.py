"""The propellers of the invented yacht: two of five blades, one blade corrected and read again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.shared_records import Place
from demo_build.evidence_maker.tables import here

PORT, STARBOARD = "P1", "P2"
CORRECTED = (STARBOARD, "B3")
DRAWING = "DWG-310"
BLADES = ("B1", "B2", "B3", "B4", "B5")
RECEIVED, CORRECTED_AT = datetime(2026, 3, 2, 8, 30), datetime(2026, 3, 6, 13, 0)

DIAMETER = 760.0
RAKE, RAKE_RADIUS = 28.0, 70.0  # mm from the plane of the drawing, at this radius [% of the tip radius]


@dataclass(frozen=True, slots=True)
class Design:
    """One section as drawn: radius [% of the tip radius], pitch [mm], angle that the stations span [deg], their number,
    greatest thickness and length [mm].
    """

    radius: float
    pitch: float
    span: float
    stations: int
    thickness: float
    length: float


DESIGN = (
    Design(30.0, 852.0, 62.0, 6, 27.0, 206.0), Design(40.0, 866.0, 58.0, 6, 23.0, 222.0),
    Design(50.0, 876.0, 54.0, 6, 19.2, 236.0), Design(60.0, 882.0, 49.0, 6, 15.6, 243.0),
    Design(70.0, 886.0, 43.0, 6, 12.2, 240.0), Design(80.0, 890.0, 36.0, 6, 9.2, 224.0),
    Design(90.0, 893.0, 26.0, 4, 6.6, 181.0), Design(95.0, 895.0, 18.0, 4, 5.4, 134.0),
)  # fmt: skip
_TOO_HIGH = {80.0: 2.7, 90.0: 3.3, 95.0: 3.7}  # per cent of the design pitch, near the tip of one blade as received


def _place(key: str, name: str, side: float) -> Place:
    values = {"place": key, "name": name, "kind": "part", "x": 1.3, "y": side, "z": -1.1, "painted": False}
    return Place.model_validate({"where": here(Place), **values})


PLACES = (_place(PORT, "Propeller, port", -1.15), _place(STARBOARD, "Propeller, starboard", 1.15))


def _propeller(key: str, side: str, hand: str) -> Propeller:
    size = {
        "diameter": DIAMETER,
        "axial": RAKE,
        "axial_radius": RAKE_RADIUS,
        "blades": len(BLADES),
        "pitch": 880.0,
        "accuracy": "I",
    }
    paper = {"material": "nickel-aluminium bronze", "drawing": DRAWING, "revision": "B"}
    return Propeller.model_validate(
        {"where": here(Propeller), "propeller": key, "side": side, "hand": hand, **size, **paper}
    )


PROPELLERS = (_propeller(PORT, "port", "left"), _propeller(STARBOARD, "starboard", "right"))


def sections() -> tuple[DesignSection, ...]:
    """Pitch, thickness and length as drawn at each radius, the same for both."""
    return tuple(
        DesignSection(
            where=here(DesignSection),
            propeller=row.propeller,
            radius=drawn.radius,
            pitch=drawn.pitch,
            thickness=drawn.thickness,
            length=drawn.length,
        )
        for row in PROPELLERS
        for drawn in DESIGN
    )


def pitch(rng: np.random.Generator) -> tuple[PitchReading, ...]:
    """Angles and heights of every blade as received, and of the corrected one once more."""
    rows = []
    for number, row in enumerate(PROPELLERS):
        for at, blade in enumerate(BLADES):
            when = RECEIVED + timedelta(days=number, minutes=70 * at)
            high = _TOO_HIGH if (row.propeller, blade) == CORRECTED else {}
            rows += _blade(row.propeller, blade, 1, when, rng, high)
    rows += _blade(*CORRECTED, 2, CORRECTED_AT, rng, {})
    return tuple(sorted(rows, key=lambda row: (row.propeller, row.blade, row.attempt, row.number)))


def _blade(
    propeller: str, blade: str, attempt: int, when: datetime, rng: np.random.Generator, high: dict[float, float]
) -> list[PitchReading]:
    """All stations of one blade; `high` is how much too steep some of its radii are [% of the design pitch]."""
    rows: list[PitchReading] = []
    whole = 0.15 * float(rng.standard_normal())
    for drawn in DESIGN:
        off = high.get(drawn.radius, 0.0) + whole + 0.18 * float(rng.standard_normal())
        steep = drawn.pitch * (1.0 + off / 100.0)
        begin = float(rng.uniform(1.0, 3.0))
        for station in range(drawn.stations):
            angle = round(begin + drawn.span * station / (drawn.stations - 1), 2)
            height = steep * angle / 360.0 + 0.02 * float(rng.standard_normal())
            values = {"propeller": propeller, "blade": blade, "attempt": attempt, "number": len(rows) + 1}
            rest = {"radius": drawn.radius, "angle": angle, "height": round(height, 2), "on": "face"}
            who = {"at": when + timedelta(minutes=len(rows)), "by": "PS TW", "instrument": "PB-01"}
            rows.append(PitchReading.model_validate({"where": here(PitchReading), **values, **rest, **who}))
    return rows
