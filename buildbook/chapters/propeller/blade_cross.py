"""Rows about the blades beside their pitch that contradict each other, or the readings of the pitch."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import Stations, in_radii, rule, same_radius, sections
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import fixed


def blades_in_turn(evidence: Evidence) -> Iterable[Fault]:
    """The angle from the first blade grows from mark to mark; where it falls, one of the two was mistyped."""
    for propeller, attempt in dict.fromkeys((row.propeller, row.attempt) for row in evidence.of(BladeReading)):
        rows = evidence.of(BladeReading, propeller=propeller, attempt=attempt)
        turned = sorted((row for row in rows if row.angle is not None), key=lambda row: row.blade)
        for one, other in pairwise(turned):
            if (other.angle or 0.0) <= (one.angle or 0.0):
                for row, side, twin in ((one, "less", other), (other, "more", one)):
                    expected = f"{side} than the {twin.angle:g}° of {twin.blade}"
                    yield Fault(row.cell("angle"), expected, f"{row.angle:g}° of {row.blade}", EFFECT)


def sections_hold_their_stations(evidence: Evidence) -> Iterable[Fault]:
    """A section is no shorter than the stretch of its face on which the pitch was read."""
    for row in evidence.of(SectionReading):
        ordered = evidence.one(Propeller, propeller=row.propeller)
        if row.length is None or ordered is None:
            continue
        for section in sections(evidence, row.propeller, row.blade, row.attempt):
            span = _stretch(ordered, section.radius, section.stations)
            if same_radius(section.radius, row.radius) and row.length < span - rule("stretch read"):
                expected = f"at least the {fixed(span, 0)} mm on which the pitch was read at {in_radii(row.radius)}"
                yield Fault(row.cell("length"), expected, f"{row.length:g} mm", EFFECT)


def _stretch(ordered: Propeller, radius: float, stations: Stations) -> float:
    """The way along the face from the first station of a section to the last [mm]: round the axis and along it."""
    if len(stations) < 2:
        return 0.0
    turn = (stations[-1].angle or 0.0) - (stations[0].angle or 0.0)
    rise = (stations[-1].height or 0.0) - (stations[0].height or 0.0)
    return math.hypot(math.radians(turn) * ordered.diameter / 2.0 * radius / 100.0, rise)


BLADE_CROSS_CHECKS = (
    blades_in_turn,
    sections_hold_their_stations,
)
