"""Formulas of the tests aboard against printed and worked examples."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.systems.formulas.gas import warming
from buildbook.chapters.systems.formulas.trial import (
    course_weights,
    depth_froude,
    mean_of_courses,
    mean_of_means,
    opposite,
    run_weights,
    scatter_of_mean,
)
from buildbook.chapters.systems.formulas.weighing import centre_of_mass, total_mass
from buildbook.formulas import OutOfRange
from tests.published_values import numbers, rows

SPEEDS, WEIGHINGS = rows("systems_trial_speed"), rows("systems_weighing")


@pytest.mark.parametrize("row", SPEEDS, ids=[row["example"] for row in SPEEDS])
def test_mean_of_means_of_the_worked_examples(row: dict[str, str]) -> None:
    found = mean_of_means(numbers(row["speeds [kn]"]))
    assert found == pytest.approx(float(row["mean of means [kn]"]), abs=float(row["tolerance"]))


@given(
    st.floats(5.0, 40.0),
    st.lists(st.floats(-2.0, 2.0), min_size=3, max_size=3),
    st.integers(2, 4),
)
def test_a_current_that_changes_as_a_power_of_time_cancels(speed: float, bends: list[float], runs: int) -> None:
    """The point of the method: there and back `runs` times, a current that is a polynomial of degree `runs - 2`."""
    times = np.arange(runs, dtype=float)
    current = sum(bend * times**power for power, bend in enumerate(bends[: runs - 1]))
    over_ground = speed + np.where(times % 2 == 0, 1.0, -1.0) * current
    assert mean_of_means(list(over_ground)) == pytest.approx(speed, abs=1e-9)


def test_means_of_means_taken_one_after_the_other_give_the_weights() -> None:
    """Averaging neighbours until one value is left, as the name says."""
    values = [20.0, 24.0, 21.0, 23.0, 25.0]
    left = list(values)
    while len(left) > 1:
        left = [(one + other) / 2.0 for one, other in pairwise(left)]
    assert mean_of_means(values) == pytest.approx(left[0])
    assert sum(run_weights(5)) == 1.0


@given(st.lists(st.floats(5.0, 40.0), min_size=3, max_size=7))
def test_scatter_is_what_a_speed_and_a_steady_current_leave_over(speeds: list[float]) -> None:
    """numpy fits both by least squares; what is left over has runs - 2 degrees, and is weighted as the mean is."""
    signs = np.where(np.arange(len(speeds)) % 2 == 0, 1.0, -1.0)
    model = np.column_stack((np.ones(len(speeds)), signs))
    fitted, *_ = np.linalg.lstsq(model, np.array(speeds), rcond=None)
    left = np.array(speeds) - model @ fitted
    deviation = np.sqrt(left @ left / (len(speeds) - 2))
    for weights in (run_weights(len(speeds)), course_weights(len(speeds))):
        assert scatter_of_mean(speeds, weights) == pytest.approx(deviation * np.linalg.norm(weights), abs=1e-9)


@given(st.floats(5.0, 40.0), st.floats(-3.0, 3.0), st.integers(2, 7))
def test_with_half_of_each_course_a_steady_current_cancels(speed: float, current: float, runs: int) -> None:
    over_ground = [speed + (current if number % 2 == 0 else -current) for number in range(runs)]
    assert mean_of_courses(over_ground) == pytest.approx(speed, abs=1e-9)
    pairs = [30.0, 28.0, 31.0, 28.5]
    assert mean_of_courses(pairs) == pytest.approx(np.mean([np.mean(pairs[:2]), np.mean(pairs[2:])]))


def test_the_depth_froude_number_is_one_at_the_speed_of_a_long_wave() -> None:
    """A long wave in shallow water runs at sqrt(g h): scipy gives g and the knot."""
    from scipy.constants import g, knot

    assert depth_froude(math.sqrt(g * 24.0) / knot, 24.0) == pytest.approx(1.0)
    with pytest.raises(OutOfRange):
        depth_froude(20.0, 0.0)


def test_two_runs_have_no_scatter_to_tell() -> None:
    with pytest.raises(OutOfRange):
        scatter_of_mean([28.0, 30.0], [0.5, 0.5])
    with pytest.raises(OutOfRange):
        mean_of_courses([28.0])


@pytest.mark.parametrize(
    ("one", "other", "off"), [(62, 242, 0), (350, 165, 5), (10, 10, 180), (0, 185, 5), (270, 90, 0)]
)
def test_opposite_courses(one: float, other: float, off: float) -> None:
    assert opposite(one, other) == pytest.approx(off)


@pytest.mark.parametrize("row", WEIGHINGS, ids=[row["example"] for row in WEIGHINGS])
def test_mass_and_centre_of_the_worked_examples(row: dict[str, str]) -> None:
    masses, places = numbers(row["masses [kg]"]), numbers(row["places [m]"])
    assert total_mass(masses) == pytest.approx(float(row["mass [kg]"]))
    assert centre_of_mass(masses, places) == pytest.approx(float(row["centre [m]"]), abs=float(row["tolerance"]))


@given(st.lists(st.tuples(st.floats(1.0, 1e4), st.floats(-50.0, 50.0)), min_size=1, max_size=8))
def test_a_centre_as_numpy_averages(pairs: list[tuple[float, float]]) -> None:
    masses, places = [list(column) for column in zip(*pairs, strict=True)]
    assert centre_of_mass(masses, places) == pytest.approx(float(np.average(places, weights=masses)), abs=1e-6)


def test_what_cannot_be_weighed_is_refused() -> None:
    with pytest.raises(ValueError, match="no masses"):
        total_mass([])
    with pytest.raises(ValueError, match="add up"):
        centre_of_mass([1.0, -1.0], [0.0, 1.0])
    with pytest.raises(ValueError, match="no runs"):
        run_weights(0)


def test_warming_as_the_law_of_gases_has_it() -> None:
    """p / T is constant in a shut volume: 1043.25 mbar at 290.15 K become 1046.8456 mbar at 291.15 K (by hand)."""
    assert warming(30.0, 17.0, 18.0) == pytest.approx(1043.25 * 291.15 / 290.15 - 1043.25)
    assert warming(30.0, 17.0, 17.0) == 0.0
    assert warming(30.0, 17.0, 16.0) < 0.0
