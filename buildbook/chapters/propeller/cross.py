"""Rows of the propeller tables that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.propeller.blade_records import SectionReading
from buildbook.chapters.propeller.formulas.pitch import helix_pitch
from buildbook.chapters.propeller.records import PitchReading, Propeller
from buildbook.chapters.propeller.subjects import (
    READINGS,
    Radii,
    Reading,
    Section,
    blades,
    last_attempt,
    not_on_other_blades,
    pitch_radii,
    rule,
    section_radii,
    sections,
)
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import listed

HELD = "Nothing better than inconclusive is said of this blade and this propeller."


def heights_grow(evidence: Evidence) -> Iterable[Fault]:
    """Along a section the height grows with the angle; where it falls, one of the two was read the wrong way."""
    for section in _sections(evidence):
        stations = section.stations
        steps = [(other.height or 0.0) - (one.height or 0.0) for one, other in pairwise(stations)]
        if len(steps) > 1 and all(step <= 0 for step in steps):
            expected = "an angle that grows with the height; the whole section runs the other way"
            if not any(steps):
                expected = "heights that grow with the angle; all of this section are alike"
            for row in stations:
                yield Fault(row.cell("angle"), expected, f"{row.angle:g}°, {row.height:g} mm", EFFECT)
            continue
        for (one, other), step in zip(pairwise(stations), steps, strict=True):
            if step <= 0:
                expected = f"more than the {one.height:g} mm at {one.angle:g}°, or another angle"
                yield Fault(other.cell("height"), expected, f"{other.height:g} mm at {other.angle:g}°", EFFECT)
                yield Fault(one.cell("height"), f"less than the {other.height:g} mm at {other.angle:g}°",
                            f"{one.height:g} mm at {one.angle:g}°", EFFECT)  # fmt: skip


def pitch_beside_the_order(evidence: Evidence) -> Iterable[Fault]:
    """The pitch of a section is near the one ordered; far from it, its readings are of another unit."""
    for propeller, blade, attempt in _attempts(evidence, PitchReading):
        ordered = evidence.one(Propeller, propeller=propeller)
        if ordered is None:
            continue
        times = rule("pitch beside the order")
        low, high = ordered.pitch / times, ordered.pitch * times
        expected = f"a pitch from {low:g} mm to {high:g} mm, since {ordered.pitch:g} mm were ordered"
        for section in sections(evidence, propeller, blade, attempt):
            found = _roughly(section)
            if found is not None and not low <= found <= high:
                for row in section.rows:
                    column = "height" if row.pitch is None else "pitch"
                    yield Fault(row.cell(column), expected, f"{found:.0f} mm at {section.radius:g} %", EFFECT)


def _roughly(section: Section) -> float | None:
    """The pitch of a section from its ends alone [mm]; None where it cannot be told."""
    if section.given is not None:
        return section.given.pitch
    first, last = section.stations[0], section.stations[-1]
    rise, turn = (last.height or 0.0) - (first.height or 0.0), (last.angle or 0.0) - (first.angle or 0.0)
    return helix_pitch(rise, turn) if rise > 0.0 and 0.0 < turn <= TURN else None


def one_angle_once(evidence: Evidence) -> Iterable[Fault]:
    """A station is read once, and a section is either read or worked out by the shop."""
    for section in _sections(evidence):
        for one, other in pairwise(section.stations):
            if one.angle == other.angle:
                for row, twin in ((one, other), (other, one)):
                    found = f"{row.angle:g}° at {row.radius:g} %, as in {twin.where}"
                    yield Fault(row.cell("angle"), "an angle of its own within a section", found, EFFECT)
        given = [row for row in section.rows if row.pitch is not None]
        if given and len(section.rows) > 1:
            for row in section.rows:
                expected = "one pitch of this section, or its angles and heights"
                yield Fault(
                    row.cell("radius"), expected, f"{len(section.rows)} rows, {len(given)} with a pitch", EFFECT
                )


def every_radius_on_every_blade(evidence: Evidence) -> Iterable[Fault]:
    """All blades are read at the same radii; what is left out on one is said where its readings begin."""
    for kind, radii in BY_RADIUS.items():
        for propeller, blade, attempt in _attempts(evidence, kind):
            gone = not_on_other_blades(evidence, propeller, blade, attempt, kind, radii)
            rows = evidence.of(kind, propeller=propeller, blade=blade, attempt=attempt)
            if gone and rows and attempt == last_attempt(evidence, propeller, blade, kind=kind):
                expected = f"readings at {listed(gone)} too, as on the other blades"
                found = f"none on {blade} in attempt {attempt}"
                yield Fault(rows[0].cell("radius"), expected, found, HELD, row_kept=True)


def as_many_blades_as_ordered(evidence: Evidence) -> Iterable[Fault]:
    """As many blades are read as the propeller has, in every table."""
    for ordered in evidence.of(Propeller):
        for kind in READINGS:
            marks = blades(evidence, ordered.propeller, kind)
            if marks and len(marks) != ordered.blades:
                found = f"{len(marks)} in {kind.table.file}: {listed(marks)}"
                yield Fault(ordered.cell("blades"), f"{ordered.blades} blades", found, HELD, row_kept=True)


def a_side_of_their_own(evidence: Evidence) -> Iterable[Fault]:
    """Two propellers of one yacht stand on two sides."""
    for one, other in pairwise(evidence.of(Propeller)):
        if one.side == other.side:
            yield Fault(other.cell("side"), f"another side than {one.propeller}", other.side, EFFECT)


def sections_within_a_turn(evidence: Evidence) -> Iterable[Fault]:
    """A section spans less than a whole turn."""
    for section in _sections(evidence):
        stations = section.stations
        if len(stations) > 1 and (stations[-1].angle or 0.0) - (stations[0].angle or 0.0) > TURN:
            expected = f"angles of one section within {TURN:g}°"
            for row in stations:
                yield Fault(row.cell("angle"), expected, f"{row.angle:g}° at {row.radius:g} %", EFFECT)


TURN = 360.0
BY_RADIUS: Mapping[type[Reading], Radii] = {PitchReading: pitch_radii, SectionReading: section_radii}


def _sections(evidence: Evidence) -> Iterable[Section]:
    """Every section that was read, of every attempt at every blade."""
    for propeller, blade, attempt in _attempts(evidence, PitchReading):
        yield from sections(evidence, propeller, blade, attempt)


def _attempts(evidence: Evidence, kind: type[Reading]) -> Iterable[tuple[str, str, int]]:
    return tuple(dict.fromkeys((row.propeller, row.blade, row.attempt) for row in evidence.of(kind)))


CROSS_CHECKS = (
    heights_grow,
    pitch_beside_the_order,
    one_angle_once,
    sections_within_a_turn,
    every_radius_on_every_blade,
    as_many_blades_as_ordered,
    a_side_of_their_own,
)
