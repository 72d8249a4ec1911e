"""Shafts, keyways, couplings, bearings and slots against printed examples and tables, and by another way."""

from __future__ import annotations

import math

import pytest
from scipy import integrate

from buildbook.chapters.shafting.formulas.diameter import (
    class_diameter,
    passenger_diameter,
    torsional_yield,
    yacht_diameter,
)
from buildbook.chapters.shafting.formulas.keyway import (
    keyway_bending_factor,
    keyway_torsion_factor,
    round_groove_factor,
    shaft_torque,
    torsional_stress,
)
from buildbook.chapters.shafting.formulas.line import bearing_spacing, face_mismatch, run_out_per_metre, taper_per_metre
from buildbook.chapters.shafting.formulas.slot import ring_weld_stress, slot_pressure, two_welds_stress
from buildbook.formulas import OutOfRange
from tests.published_values import numbers, rows

LINE = {row["example"]: row for row in rows("shafting_line")}


@pytest.mark.parametrize("row", rows("shafting_diameter"), ids=lambda row: row["example"])
def test_diameters_as_published(row):
    power, speed = float(row["power [kW]"]), float(row["speed [r/min]"])
    if row["rule"] == "yacht":
        found = yacht_diameter(power, float(row["factor"]), float(row["yield [MPa]"]), speed)
    elif row["rule"] == "seagoing ship":
        found = class_diameter(power, speed, float(row["strength [MPa]"]))
    else:
        found = passenger_diameter(power, speed, float(row["strength [MPa]"]), float(row["propeller [mm]"]), 144.0)
    assert found == pytest.approx(float(row["diameter [mm]"]), abs=float(row["tolerance"]))


def test_the_rule_for_yachts_is_the_torque_against_the_yield():
    """At its own diameter the nominal stress is the yield in torsion over the service factor."""
    size = yacht_diameter(706.0, 4.0, 482.0, 1127.0)
    assert torsional_stress(shaft_torque(706.0, 1127.0), size) == pytest.approx(482.0 / 4.0)


def test_yield_in_torsion_is_two_thirds():
    """ABYC P-6, extract of 2002: two thirds of the yield in tension."""
    assert torsional_yield(105.0) == pytest.approx(70.0)


@pytest.mark.parametrize("row", rows("shafting_taper"), ids=lambda row: row["shaft [in]"])
def test_the_small_ends_of_sae_j755_lie_on_a_taper_of_one_in_sixteen(row):
    size, length = float(row["shaft [in]"]), float(row["taper length [in]"])
    steepest, flattest = (
        taper_per_metre(size, float(row[end]), length) for end in ("small end least [in]", "small end most [in]")
    )
    assert flattest <= 1000.0 / 16.0 <= steepest


@pytest.mark.parametrize("row", rows("shafting_keyway"), ids=lambda row: row["radius of diameter"])
def test_stress_raisers_as_worked_by_hand_from_the_curves(row):
    share = float(row["radius of diameter"])
    assert keyway_torsion_factor(share * 100.0, 100.0) == pytest.approx(float(row["torsion"]), abs=0.0051)
    if row["bending"]:
        assert keyway_bending_factor(share * 100.0, 100.0) == pytest.approx(float(row["bending"]), abs=0.0051)
    else:
        with pytest.raises(OutOfRange):
            keyway_bending_factor(share * 100.0, 100.0)


def test_the_smallest_round_groove_doubles_the_stress():
    """Classical elasticity: 2 - b/a, so 2 for a groove that is all but nothing."""
    assert round_groove_factor(0.001, 100.0) == pytest.approx(2.0, abs=1e-4)
    with pytest.raises(OutOfRange):
        round_groove_factor(40.0, 100.0)


def test_spacing_and_mismatch_as_published():
    for name, formula in (("W5", bearing_spacing), ("W12", face_mismatch)):
        row = LINE[name]
        assert formula(*numbers(row["inputs"])) == pytest.approx(float(row["result"]), abs=float(row["tolerance"]))


def test_the_run_out_is_the_highest_reading_less_the_lowest_over_the_length():
    """From -0.04 mm to 0.08 mm on 3 m: 0.12 mm, 0.04 mm for each metre (worked by hand)."""
    assert run_out_per_metre(0.08, -0.04, 3.0) == pytest.approx(0.04)
    for wrong in ((0.0, 0.1, 3.0), (0.1, 0.0, 0.0)):
        with pytest.raises(OutOfRange):
            run_out_per_metre(*wrong)


def test_the_spacing_is_the_length_at_which_the_shaft_whirls():
    """A bar that tilts freely in both bearings whirls at (pi / 2 L^2) sqrt(E I / (rho A)) turns a second.

    Beam theory, any textbook of vibration (from memory); the printed 3.21 is rounded.
    """
    length = bearing_spacing(70.0, 1127.0, 196000.0, 7850.0) / 1000.0
    radius_of_gyration = 0.070 / 4.0
    turns = math.pi / (2.0 * length**2) * math.sqrt(196000.0e6 / 7850.0) * radius_of_gyration
    assert 60.0 * turns == pytest.approx(1127.0, rel=0.005)


def test_slot_and_welds_as_worked():
    for name, formula in (("W20a", slot_pressure), ("W20b", two_welds_stress)):
        row = LINE[name]
        assert formula(*numbers(row["inputs"])) == pytest.approx(float(row["result"]), abs=float(row["tolerance"]))


def test_the_pressure_in_the_slot_adds_up_to_the_torque():
    """p(y) = p 2y / d on each side, over the length, about the middle: the integral of p y L over the width is T."""
    diameter, length = 70.0, 250.0
    peak = slot_pressure(3000.0, diameter, length)
    moment, _ = integrate.quad(lambda y: peak * (2.0 * y / diameter) * y * length, -diameter / 2.0, diameter / 2.0)
    assert moment == pytest.approx(3000.0 * 1000.0)


def test_a_ring_of_weld_is_a_thin_tube_in_torsion():
    """tau x mean circumference x throat x radius = T."""
    stress = ring_weld_stress(3000.0, 70.0, 6.0)
    assert stress * (math.pi * 70.0) * 6.0 * 35.0 == pytest.approx(3000.0 * 1000.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_what_cannot_be_is_refused(bad):
    for call in (
        lambda: yacht_diameter(bad, 3.0, 482.0, 1050.0),
        lambda: torsional_stress(bad, 70.0),
        lambda: taper_per_metre(70.0, 60.0, bad),
        lambda: face_mismatch(0.1, 0.1, bad),
        lambda: bearing_spacing(bad, 1000.0, 2e5, 7850.0),
        lambda: bearing_spacing(70.0, bad, 2e5, 7850.0),
        lambda: slot_pressure(bad, 70.0, 250.0),
    ):
        with pytest.raises(OutOfRange):
            call()
