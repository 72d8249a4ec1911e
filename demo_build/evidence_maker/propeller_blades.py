"""The blades of the two propellers beside their pitch: where each stands, how thick and long its sections are."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from demo_build.evidence_maker.propeller_work import (
    BLADES,
    CORRECTED,
    CORRECTED_AT,
    DESIGN,
    DIAMETER,
    PORT,
    PROPELLERS,
    RAKE,
    RAKE_RADIUS,
    RECEIVED,
    STARBOARD,
)
from demo_build.evidence_maker.tables import here

DRESSED_THIN = (PORT, "B4")
ROUGHEST = (STARBOARD, "B5")
_TOO_THIN = {90.0: -0.06, 95.0: -0.13}  # mm beside what is drawn: dressed a little too far near the tip
DRESSED_FROM = 80.0  # where the corrected blade was pressed and dressed [% of the tip radius]
_CUPPED = (60.0, 70.0, 80.0, 90.0)


def blades(rng: np.random.Generator) -> tuple[BladeReading, ...]:
    """Where every blade stands, as received, and the corrected one once more."""
    rows = []
    for day, ordered in enumerate(PROPELLERS):
        for at, blade in enumerate(BLADES):
            when = RECEIVED + timedelta(days=day, hours=5, minutes=12 * at)
            rough = 5.8 if (ordered.propeller, blade) == ROUGHEST else round(float(rng.uniform(2.2, 3.6)), 1)
            rows.append(_blade(ordered.propeller, blade, when, rng, rough))
    before = next(row for row in rows if (row.propeller, row.blade) == CORRECTED)
    moved = {"attempt": 2, "axial": round((before.axial or 0.0) + 0.6, 1), "roughness": 2.9}
    rows.append(before.model_copy(update={**moved, "at": CORRECTED_AT + timedelta(hours=1)}))
    return tuple(sorted(rows, key=lambda row: (row.propeller, row.blade, row.attempt)))


def _blade(propeller: str, blade: str, when: datetime, rng: np.random.Generator, rough: float) -> BladeReading:
    at = BLADES.index(blade)
    turned = 360.0 / len(BLADES) * at + (0.12 * float(rng.standard_normal()) if at else 0.0)
    key = {"propeller": propeller, "blade": blade, "attempt": 1}
    placed = {"angle": round(turned, 2), "axial": round(RAKE + 0.9 * float(rng.standard_normal()), 1)}
    reach = {"axial_radius": RAKE_RADIUS, "tip_radius": round(DIAMETER / 2 + 0.25 * float(rng.standard_normal()), 1)}
    who = {"roughness": rough, "at": when, "by": "PS TW", "instrument": "PB-01", "roughness_tester": "RT-01"}
    return BladeReading.model_validate({"where": here(BladeReading), **key, **placed, **reach, **who})


def sections(rng: np.random.Generator) -> tuple[SectionReading, ...]:
    """Thickness, length and cup of every section, as received, and of the corrected blade once more."""
    rows: list[SectionReading] = []
    for day, ordered in enumerate(PROPELLERS):
        for at, blade in enumerate(BLADES):
            when = RECEIVED + timedelta(days=day, hours=6, minutes=15 * at)
            rows += _sections(ordered.propeller, blade, when, rng)
    for row in [row for row in rows if (row.propeller, row.blade) == CORRECTED]:
        dressed = 0.02 if row.radius >= DRESSED_FROM else 0.0
        thick = round((row.thickness or 0.0) - dressed + 0.01 * float(rng.integers(-1, 2)), 2)
        when = CORRECTED_AT + timedelta(hours=1, minutes=15 + row.number)
        rows.append(row.model_copy(update={"attempt": 2, "thickness": thick, "at": when}))
    return tuple(sorted(rows, key=lambda row: (row.propeller, row.blade, row.attempt, row.number)))


def _sections(propeller: str, blade: str, when: datetime, rng: np.random.Generator) -> list[SectionReading]:
    rows = []
    thin = _TOO_THIN if (propeller, blade) == DRESSED_THIN else {}
    for number, section in enumerate(DESIGN, 1):
        milled = section.thickness * (1.0 + (0.4 + 0.3 * float(rng.standard_normal())) / 100.0)
        thick = section.thickness + thin[section.radius] if section.radius in thin else milled
        cup = round(1.0 + 0.1 * float(rng.standard_normal()), 1) if section.radius in _CUPPED else None
        key = {"propeller": propeller, "blade": blade, "attempt": 1, "number": number}
        size = {
            "thickness": round(thick, 2),
            "length": round(2.0 * (section.length + 0.4 * float(rng.standard_normal()))) / 2.0,
        }
        tools = {"instrument": "MC-01", "tape": "FR-01", "cup_gauge": "DG-01" if cup is not None else None}
        who = {"at": when + timedelta(minutes=number), "by": "PS TW", **tools}
        rest = {"radius": section.radius, "cup": cup}
        rows.append(SectionReading.model_validate({"where": here(SectionReading), **key, **size, **rest, **who}))
    return rows
