"""The demonstration's blades, worked out again from the CSV files with plain arithmetic, and their stated trouble.

Windows of ISO 484-2, class I, as two propeller makers restate them; tip radius, track and roughness from memory.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import pytest

HULL = Path(__file__).parent.parent / "demo_build" / "hull"
DIAMETER, BLADES = 760.0, 5


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a table by column name, units left out of the heads."""
    with (HULL / "propeller" / name).open(encoding="utf-8", newline="") as file:
        heads, *body = list(csv.reader(file))
    names = [head.partition(" [")[0] for head in heads]
    return [dict(zip(names, row, strict=True)) for row in body]


STANDING, ACROSS = rows("blades.csv"), rows("blade_sections.csv")
DRAWN = {(row["propeller"], row["radius"]): row for row in rows("sections.csv")}


def off(row: dict[str, str], name: str) -> tuple[float, float]:
    """How far a section is from what is drawn, and what is drawn."""
    design = float(DRAWN[row["propeller"], row["radius"]][name])
    return float(row[name]) - design, design


def test_every_blade_and_section_is_there_and_the_corrected_blade_twice():
    assert len(STANDING) == 2 * BLADES + 1
    assert len(ACROSS) == (2 * BLADES + 1) * 8
    assert {(row["propeller"], row["blade"]) for row in STANDING + ACROSS if row["attempt"] == "2"} == {("P2", "B3")}


def test_one_blade_alone_is_too_thin_and_only_at_0_95_r():
    """1.5 % of the design thickness, without the least tolerance: P1 B4 at 0.95 R, 5.27 for 5.40 mm, is 2.4 % under."""
    thin = []
    for row in ACROSS:
        less, design = off(row, "thickness")
        assert less < 0.025 * design - 0.021, row  # U of the micrometer with its resolution
        if less < -0.015 * design + 0.021:
            thin.append((row["propeller"], row["blade"], row["radius"], round(less, 2)))
    assert thin[-1] == ("P1", "B4", "95", -0.13)
    assert {one[:2] for one in thin} == {("P1", "B4")}
    beyond = [one for one in thin if one[3] < -0.015 * float(DRAWN["P1", one[2]]["thickness"])]
    assert beyond == [("P1", "B4", "95", -0.13)]


def test_sections_are_as_long_as_drawn_and_longer_than_what_was_read_on_them():
    """2 % of the diameter over the blades; a stretch round the axis and along it by the pitch that is drawn."""
    spans = {"30": 62, "40": 58, "50": 54, "60": 49, "70": 43, "80": 36, "90": 26, "95": 18}  # degrees, as read
    for row in ACROSS:
        less, _ = off(row, "length")
        assert abs(less) < 0.02 * DIAMETER / BLADES - 1.05, row
        turn, pitch = spans[row["radius"]], float(DRAWN[row["propeller"], row["radius"]]["pitch"])
        arc = math.radians(turn) * DIAMETER / 2 * float(row["radius"]) / 100
        assert float(row["length"]) > math.hypot(arc, pitch * turn / 360), row


def test_blades_stand_evenly_in_one_track_and_reach_as_far_as_ordered():
    as_left: dict[str, dict[str, dict[str, str]]] = defaultdict(dict)
    for row in STANDING:  # of two attempts at a blade the later one comes last
        as_left[row["propeller"]][row["blade"]] = row
    for blades in as_left.values():
        angles = [float(blades[mark]["angle"]) for mark in sorted(blades)]
        steps = [b - a for a, b in pairwise([*angles, 360.0])]
        assert max(abs(step - 72.0) for step in steps) < 1.0 - 0.142
        along = [float(blades[mark]["axial"]) for mark in sorted(blades)]
        assert max(abs(b - a) for a, b in pairwise([*along, along[0]])) < 0.01 * DIAMETER - 0.43
    for row in STANDING:
        assert abs(float(row["axial"]) - 28.0) < 0.01 * DIAMETER - 0.31
        assert abs(float(row["tip_radius"]) - DIAMETER / 2) < 0.003 * DIAMETER / 2 - 0.21


def test_one_surface_is_near_its_limit():
    near = [(row["propeller"], row["blade"]) for row in STANDING if float(row["roughness"]) > 6.0 - 0.31]
    assert near == [("P2", "B5")]
    assert max(float(row["roughness"]) for row in STANDING) == pytest.approx(5.8)


def test_pressing_one_blade_back_took_little_metal_and_moved_it_a_little():
    before, after = (
        [row for row in ACROSS if (row["propeller"], row["blade"], row["attempt"]) == ("P2", "B3", attempt)]
        for attempt in ("1", "2")
    )
    lost = [float(one["thickness"]) - float(other["thickness"]) for one, other in zip(before, after, strict=True)]
    assert all(-0.015 < value < 0.045 for value in lost)
