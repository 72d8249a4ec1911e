"""Statistics of a real list of film readings against scipy and numpy."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats

from buildbook.formulas import OutOfRange
from buildbook.formulas.statistics import count_above, count_below, share_below, summary, t_interval
from tests.published_values import numbers, rows

READINGS = numbers(rows("film_readings")[0]["readings [um]"])


def test_summary_of_forty_panels_against_numpy():
    found = summary(READINGS)
    assert found.n == 40
    assert found.mean == pytest.approx(np.mean(READINGS))
    assert found.sd == pytest.approx(np.std(READINGS, ddof=1))
    assert (found.minimum, found.maximum) == (58.2, 71.3)


@pytest.mark.parametrize("confidence", [0.90, 0.95, 0.99])
def test_t_interval_of_forty_panels_against_scipy(confidence):
    expected = scipy.stats.ttest_1samp(READINGS, 65.0).confidence_interval(confidence)
    assert t_interval(READINGS, confidence) == pytest.approx((expected.low, expected.high))


def test_counts_of_forty_panels_against_numpy():
    array = np.array(READINGS)
    assert count_below(READINGS, 65.0) == int((array < 65.0).sum())
    assert count_above(READINGS, 65.0) == int((array > 65.0).sum())
    assert share_below(READINGS, 65.0) == float((array < 65.0).mean())


def test_a_reading_on_the_limit_is_neither_below_nor_above():
    limit = 0.7 * 3  # 2.0999999999999996 in binary
    assert count_below([2.1], limit) == count_above([2.1], limit) == 0
    assert count_below([limit], 2.1) == count_above([limit], 2.1) == 0


def test_one_reading_has_no_standard_deviation():
    assert summary([5.0]).sd is None
    with pytest.raises(OutOfRange, match="2 or more"):
        t_interval([5.0])


def test_two_readings_are_enough_and_95_percent_unless_stated():
    """For two readings t is 12.706, so the half width is 12.706 times half their difference."""
    assert summary([1.0, 3.0]).sd == pytest.approx(2**0.5)
    assert t_interval([1.0, 3.0]) == pytest.approx((2 - 12.706, 2 + 12.706), abs=5e-4)


@pytest.mark.parametrize("readings", [[], [1.0, math.nan], [math.inf]])
def test_no_reading_or_no_number(readings):
    with pytest.raises(OutOfRange):
        summary(readings)


def test_no_share_of_nothing():
    with pytest.raises(OutOfRange):
        share_below([], 1.0)
