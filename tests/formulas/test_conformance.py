"""Probabilities and comparisons against printed rows and scipy."""

from __future__ import annotations

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from buildbook.formulas import OutOfRange
from buildbook.formulas.conformance import conformance_probability, en_number, uncertainty_ratio
from tests.published_values import rows


def _limit(text: str) -> float | None:
    return float(text) if text else None


@pytest.mark.parametrize("row", rows("conformance"), ids=lambda row: row["value"])
def test_jcgm_106_conformance_probability(row):
    found = conformance_probability(
        float(row["value"]), float(row["standard uncertainty"]), _limit(row["low"]), _limit(row["high"])
    )
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("guard_band_risk"), ids=lambda row: row["guard band over U"])
def test_ilac_g8_table_1_risk_at_the_acceptance_limit(row):
    """A reading on the acceptance limit, U = 2 u = 1: the chance that the true value lies outside."""
    guard = float(row["guard band over U"])
    risk = conformance_probability(guard, 0.5, high=0.0)
    assert risk == pytest.approx(float(row["risk of wrong pass"]), abs=float(row["tolerance"]))


@given(st.floats(-20, 20), st.floats(0.1, 5), st.floats(-10, 10), st.floats(0, 10))
def test_conformance_probability_against_scipy(value, standard, low, width):
    normal = scipy.stats.norm(value, standard)
    two_sided = conformance_probability(value, standard, low, low + width)
    assert two_sided == pytest.approx(normal.cdf(low + width) - normal.cdf(low), rel=1e-9, abs=1e-12)
    assert conformance_probability(value, standard, low=low) == pytest.approx(normal.sf(low), rel=1e-9, abs=1e-300)
    assert conformance_probability(value, standard, high=low) == pytest.approx(normal.cdf(low), rel=1e-9, abs=1e-300)


def test_small_probabilities_keep_their_digits():
    """Eight standard uncertainties outside, on either side."""
    expected = scipy.stats.norm.sf(8.0)
    assert conformance_probability(0.0, 1.0, 8.0, 20.0) == pytest.approx(expected, rel=1e-12)
    assert conformance_probability(0.0, 1.0, -20.0, -8.0) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("row", rows("en_number"), ids=lambda row: row["expected"])
def test_iso_13528_en_number(row):
    found = en_number(float(row["first"]), float(row["second"]), float(row["first U"]), float(row["second U"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_uncertainty_ratio_at_one_leaves_no_room():
    """The tolerance 711 +/- 3 with U = 3: 2 w equals the width."""
    assert uncertainty_ratio(708.0, 714.0, 3.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: conformance_probability(1.0, 0.0, low=0.0),
        lambda: conformance_probability(1.0, 0.1),
        lambda: conformance_probability(1.0, 0.1, 2.0, 1.0),
        lambda: en_number(1.0, 2.0, 0.0, 0.0),
        lambda: uncertainty_ratio(2.0, 1.0, 0.1),
        lambda: uncertainty_ratio(1.0, 2.0, 0.0),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
