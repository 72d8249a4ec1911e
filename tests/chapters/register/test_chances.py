"""What chance alone would show, against scipy, counted pairs and printed values."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from scipy import stats

from buildbook.chapters.register.chances import (
    chance_of_so_many,
    chi_square_of_even,
    likeness,
    run_beyond_chance,
    share_that_agrees,
)
from buildbook.formulas import OutOfRange
from buildbook.sources import table
from tests.published_values import rows

DRAWS = random.Random(20260615)


@pytest.mark.parametrize("digits", [2, 5, 10])
def test_chi_square_is_that_of_scipy(digits):
    counts = [DRAWS.randint(20, 60) for _ in range(digits)]
    assert chi_square_of_even(counts) == pytest.approx(stats.chisquare(counts).statistic, rel=1e-12)


def test_fewer_than_five_expected_are_refused():
    with pytest.raises(OutOfRange, match="expected count"):
        chi_square_of_even([4, 5, 5, 5])


@pytest.mark.parametrize("row", rows("chi_square_critical"), ids=lambda row: row["degrees"])
def test_the_greatest_chi_square_is_the_printed_one_and_that_of_scipy(row):
    (ours,) = (float(own["greatest"]) for own in table("chi_square") if own["degrees"] == row["degrees"])
    assert ours == float(row["expected"])
    exact = stats.chi2.isf(float(row["chance"]), int(row["degrees"]))
    assert ours == pytest.approx(exact, abs=float(row["tolerance"]))


def test_even_digits_pass_the_greatest_chi_square_once_in_a_thousand():
    """200 000 tables of 60 even digits: the share beyond 27.877 is one in a thousand, give or take."""
    draws = np.random.default_rng(1).multinomial(60, [0.1] * 10, size=200_000)
    found = ((draws - 6.0) ** 2 / 6.0).sum(axis=1)
    assert 0.0006 < float(np.mean(found > 27.877)) < 0.0018


def test_pairs_that_agree_are_counted_one_by_one():
    readings = [DRAWS.choice("abcde") for _ in range(40)]
    pairs = list(itertools.combinations(readings, 2))
    assert share_that_agrees(readings) == pytest.approx(sum(a == b for a, b in pairs) / len(pairs), rel=1e-12)


@pytest.mark.parametrize(("number", "agreeing"), [(44, 0.15), (100, 0.1), (500, 0.02), (20, 0.6)])
def test_the_length_is_the_first_that_chance_hardly_shows(number, agreeing):
    length = run_beyond_chance(number, agreeing, 0.001, 1)
    assert length is not None
    pairs = number * (number - 1) / 2
    assert pairs * agreeing**length <= 0.001 < pairs * agreeing ** (length - 1)


def test_the_length_is_never_below_the_shortest_and_says_nothing_where_all_is_alike():
    assert run_beyond_chance(100, 0.0, 0.001, 4) == 4
    assert run_beyond_chance(100, 1e-6, 0.001, 4) == 4
    assert run_beyond_chance(100, 1.0, 0.001, 4) is None


@pytest.mark.parametrize(("hits", "trials", "share"), [(0, 5, 0.2), (4, 4, 1 / 6), (12, 40, 1 / 6), (40, 200, 0.1)])
def test_the_tail_is_that_of_scipy(hits, trials, share):
    assert chance_of_so_many(hits, trials, share) == pytest.approx(stats.binom.sf(hits - 1, trials, share), rel=1e-9)


def test_likeness_is_the_correlation_of_numpy():
    one, other = ([DRAWS.random() for _ in range(50)] for _ in range(2))
    assert likeness(one, other) == pytest.approx(np.corrcoef(one, other)[0, 1], abs=1e-12)
    assert likeness(one, [5 + 3 * tone for tone in one]) == pytest.approx(1.0, abs=1e-12)
    assert likeness(one, [1.0] * 50) is None
