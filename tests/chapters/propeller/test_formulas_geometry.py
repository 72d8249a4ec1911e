"""Steps round the boss and the tolerances beside the pitch, against the published table and elementary geometry."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.propeller.formulas.geometry import class_tolerance, even_step, steps_round
from buildbook.chapters.propeller.subjects import CLASSES, FROM_ABOVE, FROM_BELOW, Aim, class_limit
from buildbook.formulas import OutOfRange
from tests.published_values import rows

GEOMETRY = rows("propeller_geometry")


@pytest.mark.parametrize("row", GEOMETRY, ids=lambda row: f"{row['quantity']} {row['class']}")
def test_windows_of_the_classes_beside_the_pitch(row):
    """What the class leaves to either side, or to the one side that is limited: with the millimetres and without."""
    aim = Aim(72.0 if row["quantity"].startswith("angle") else 0.0, float(row["base [mm]"] or 1.0))
    for least, column in ((True, "with the least [mm]"), (False, "share alone [mm]")):
        limit = class_limit(row["quantity"], row["class"], aim, least=least)
        assert limit is not None
        far = float(row[column])
        assert limit.low == (None if row["quantity"] in FROM_ABOVE else pytest.approx(aim.design - far))
        assert limit.high == (None if row["quantity"] in FROM_BELOW else pytest.approx(aim.design + far))


@pytest.mark.parametrize("row", GEOMETRY, ids=lambda row: f"{row['quantity']} {row['class']}")
def test_a_window_is_known_no_better_than_its_source(row):
    limit = class_limit(row["quantity"], row["class"], Aim(0.0, float(row["base [mm]"] or 1.0)), least=False)
    assert limit is not None
    assert limit.standing.value == row["known"]


def test_every_class_has_a_window_for_everything_measured():
    printed = {(row["quantity"], row["class"]) for row in GEOMETRY}
    assert printed == {(quantity, name) for quantity in {one for one, _ in printed} for name in CLASSES}
    assert len({quantity for quantity, _ in printed}) == 8


def test_plus_is_wider_than_minus_and_a_higher_class_is_never_wider():
    """A plus thickness is mainly performance, a minus thickness a matter of strength (common practice, no source)."""
    far = {(row["quantity"], row["class"]): float(row["with the least [mm]"]) for row in GEOMETRY}
    for name in CLASSES:
        assert far["thickest place against the design", name] > far["thinnest place against the design", name]
    for (quantity, name), (other, worse) in itertools.product(far, far):
        if quantity == other and CLASSES.index(name) < CLASSES.index(worse):
            assert far[quantity, name] <= far[other, worse]


@given(st.lists(st.floats(0.0, 359.0), min_size=2, max_size=9, unique=True))
def test_steps_make_a_whole_turn_whatever_the_order(angles):
    steps = steps_round(angles)
    assert len(steps) == len(angles)
    assert math.fsum(steps) == pytest.approx(360.0)
    assert all(step > 0.0 for step in steps)
    assert sorted(steps_round(angles[::-1])) == sorted(steps)


@given(st.integers(2, 9), st.floats(0.0, 30.0))
def test_evenly_spaced_blades_have_even_steps_wherever_they_begin(blades, begin):
    angles = [begin + even_step(blades) * number for number in range(blades)]
    assert steps_round(angles) == pytest.approx([even_step(blades)] * blades)


def test_an_arc_of_one_degree():
    """At a radius of 280 mm one degree is 4.89 mm of arc (elementary geometry): what 73 for 72 degrees means there."""
    one, *_ = steps_round([0.0, 73.0, 144.0, 216.0, 288.0])
    assert math.radians(one - even_step(5)) * 280.0 == pytest.approx(4.89, abs=0.005)


@pytest.mark.parametrize("angles", [[], [10.0], [0.0, 361.0], [-1.0, 90.0], [0.0, math.nan]])
def test_angles_that_cannot_be_are_refused(angles):
    with pytest.raises(OutOfRange):
        steps_round(angles)


@pytest.mark.parametrize(("share", "least", "base"), [(-1.0, 0.0, 10.0), (1.0, -1.0, 10.0), (1.0, 0.0, 0.0)])
def test_a_tolerance_of_nothing_is_refused(share, least, base):
    with pytest.raises(OutOfRange):
        class_tolerance(share, least, base)


def test_one_blade_has_no_step():
    with pytest.raises(OutOfRange):
        even_step(1)
