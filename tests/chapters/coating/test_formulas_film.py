"""Film arithmetic against printed examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.formulas.film import (
    Sampling,
    SamplingRow,
    corrected_for_profile,
    dry_film_from_wet,
    film_statistics,
    implied_dry_film,
    litres_needed,
    required_number,
    required_spots,
    spot_means,
    theoretical_spreading_rate,
    volume_solids_thinned,
    wet_film_for_dry,
    wet_film_from_spreading_rate,
)
from buildbook.formulas import OutOfRange
from tests.published_values import numbers, rows

ARITHMETIC = {
    "wet film for dry": lambda solids, film, _: wet_film_for_dry(film, solids),
    "spreading rate": lambda solids, film, _: theoretical_spreading_rate(solids, film),
    "dry film from wet": lambda solids, film, _: dry_film_from_wet(film, solids),
    "wet film from rate": lambda _, __, rate: wet_film_from_spreading_rate(rate),
}
# The printed plans, as read or remembered: see film_sampling.csv for the sources.
PLANS = {
    "ISO 19840": [
        SamplingRow(0, 1, 5, 1),
        SamplingRow(1, 3, 10, 2),
        SamplingRow(3, 10, 15, 3),
        SamplingRow(10, 30, 20, 4),
        SamplingRow(30, 100, 30, 6),
        SamplingRow(100, 1000, 30, None, 20.0, 100, 10),
    ],
    "SSPC-PA 2": [
        SamplingRow(0, 30, 0, each_further=10, further_number=1),
        SamplingRow(30, 100, 3),
        SamplingRow(100, math.inf, 3, each_further=100, further_number=1),
    ],
    "IMO PSPC": [SamplingRow(0, math.inf, 0, each_further=5, further_number=1)],
}


@pytest.mark.parametrize("row", rows("wet_and_dry_film"), ids=lambda row: f"{row['example']} {row['quantity']}")
def test_printed_film_arithmetic(row):
    given_values = [float(row[head] or "nan") for head in ("volume solids [%]", "film [um]", "rate [m2/L]")]
    found = ARITHMETIC[row["quantity"]](*given_values)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.floats(1, 1000), st.floats(5, 100), st.floats(0, 100))
def test_thinner_adds_wet_film_and_nothing_dry(dry, solids, thinning):
    """WFT = DFT (100 + thinning) / VS, and back."""
    wet = wet_film_for_dry(dry, solids, thinning)
    assert wet == pytest.approx(dry * (100 + thinning) / solids)
    assert dry_film_from_wet(wet, solids, thinning) == pytest.approx(dry)
    assert volume_solids_thinned(solids, thinning) <= solids


@given(st.floats(1, 500), st.floats(5, 100), st.floats(10, 500), st.floats(0, 90))
def test_litres_and_implied_film_undo_each_other(area, solids, film, loss):
    litres = litres_needed(area, solids, film, loss)
    assert implied_dry_film(litres, area, solids, loss) == pytest.approx(film)


def test_a_litre_on_a_square_metre_of_solid_paint_is_a_millimetre():
    assert implied_dry_film(1.0, 1.0, 100.0) == pytest.approx(1000.0)
    assert implied_dry_film(1.0, 1.0, 100.0, 25.0) == pytest.approx(750.0)


@pytest.mark.parametrize(
    "row", rows("film_sampling"), ids=lambda row: f"{row['example']} {row['plan']} {row['area [m2]']}"
)
def test_printed_sampling_numbers(row):
    area, plan = float(row["area [m2]"]), PLANS[row["plan"]]
    found = required_spots(area, plan, 5) if row["plan"] == "SSPC-PA 2" else required_number(area, plan).number
    assert found == int(row["expected"])


def test_repeats_of_iso_19840_from_memory():
    assert required_number(500.0, PLANS["ISO 19840"]) == Sampling(70, 14)
    assert required_number(25.0, PLANS["ISO 19840"]) == Sampling(20, 4)


def test_area_beyond_the_plan_must_be_split():
    with pytest.raises(OutOfRange, match="above 0 and up to 1000 m2"):
        required_number(1000.1, PLANS["ISO 19840"])
    with pytest.raises(OutOfRange):
        required_number(0.0, PLANS["ISO 19840"])
    with pytest.raises(OutOfRange):
        required_number(5.0, [])


@pytest.mark.parametrize("row", rows("film_statistics"), ids=lambda row: row["example"])
def test_film_statistics_of_the_worked_examples(row):
    found = film_statistics(numbers(row["readings [um]"]), float(row["nominal [um]"]), float(row["floor"]))
    assert found.mean == pytest.approx(float(row["mean [um]"]), abs=0.05)
    assert found.below_nominal == int(row["below nominal"])
    assert found.below_floor == int(row["below floor"])
    assert found.floor == pytest.approx(float(row["floor [um]"]))
    assert found.share_below_nominal == pytest.approx(int(row["below nominal"]) / 10)
    assert found.share_below_floor == pytest.approx(int(row["below floor"]) / 10)


def test_exactly_a_fifth_below_nominal_is_exactly_a_fifth():
    readings = numbers(next(row for row in rows("film_statistics") if row["example"] == "W16")["readings [um]"])
    assert film_statistics(readings, 120.0, 0.8).share_below_nominal == 0.2


def test_statistics_of_forty_panels_against_numpy():
    readings = numbers(rows("film_readings")[0]["readings [um]"])
    array, found = np.array(readings), film_statistics(readings, 65.0, 0.9, maximum=70.0)
    assert (found.n, found.minimum, found.maximum) == (40, array.min(), array.max())
    assert found.mean == pytest.approx(array.mean())
    assert found.sd == pytest.approx(array.std(ddof=1))
    assert found.below_nominal == (array < 65.0).sum()
    assert found.below_floor == (array < 58.5).sum() == 1
    assert found.above_maximum == (array > 70.0).sum() == 2


def test_a_reading_on_the_floor_is_not_below_it():
    """0.7 of 3 is 2.0999999999999996 in binary, and 1.1 times 3 is 3.3000000000000003."""
    found = film_statistics([2.1, 3.0], 3.0, 0.7)
    assert (found.below_nominal, found.below_floor, found.above_maximum) == (1, 0, None)
    assert film_statistics([3.3], 1.0, 0.8, maximum=1.1 * 3).above_maximum == 0
    assert film_statistics([3.3], 1.1 * 3, 0.8).below_nominal == 0


@pytest.mark.parametrize("row", rows("pa2_spots"), ids=lambda row: row["example"])
def test_spot_and_area_means(row):
    spots = [numbers(spot) for spot in row["readings [um]"].split(";")]
    found = spot_means(spots)
    assert found.spots == pytest.approx(numbers(row["spots [um]"]), abs=0.1)
    assert found.mean == pytest.approx(float(row["mean [um]"]), abs=0.1)
    assert (found.lowest_spot, found.highest_spot) == (min(found.spots), max(found.spots))
    assert found.lowest_reading == float(row["lowest reading [um]"])
    assert found.highest_reading == 142.0
    assert found.fewest_readings == 3


def test_the_area_mean_is_the_mean_of_spots_not_of_readings():
    assert spot_means([[100.0], [130.0, 130.0, 130.0]]).mean == 115.0


def test_profile_correction_is_taken_from_every_reading():
    assert corrected_for_profile([120.0, 95.0], 25.0) == (95.0, 70.0)
    assert corrected_for_profile([120.0, 95.0], 0.0) == (120.0, 95.0)


def test_the_spot_with_fewest_readings_is_counted():
    assert spot_means([[100.0], [130.0, 130.0, 130.0]]).fewest_readings == 1
    assert spot_means([[100.0]]).mean == 100.0


def test_ends_of_the_ranges_belong_to_them():
    assert volume_solids_thinned(100.0, 100.0) == 50.0
    assert volume_solids_thinned(0.5, 0.0) == 0.5
    assert dry_film_from_wet(0.0, 50.0) == wet_film_for_dry(0.0, 50.0) == 0.0
    assert wet_film_from_spreading_rate(0.5) == 2000.0
    assert theoretical_spreading_rate(100.0, 0.5) == 2000.0
    assert theoretical_spreading_rate(0.5, 1.0) == 5.0
    assert implied_dry_film(0.0, 0.5, 0.5, 100.0) == litres_needed(0.0, 50.0, 100.0) == 0.0
    assert corrected_for_profile([50.0], 0.5) == (49.5,)
    assert film_statistics([0.5], 0.5, 1.0).below_floor == 0
    assert required_spots(0.5, PLANS["SSPC-PA 2"], 1) == 1


@pytest.mark.parametrize(
    "call",
    [
        lambda: volume_solids_thinned(0.0, 0.0),
        lambda: volume_solids_thinned(50.0, 100.1),
        lambda: theoretical_spreading_rate(100.1, 50.0),
        lambda: theoretical_spreading_rate(0.0, 50.0),
        lambda: implied_dry_film(1.0, 1.0, 100.1),
        lambda: implied_dry_film(-0.1, 1.0, 50.0),
        lambda: implied_dry_film(1.0, 1.0, 50.0, -0.1),
        lambda: litres_needed(-0.1, 50.0, 100.0),
        lambda: litres_needed(1.0, 50.0, 100.0, 100.1),
        lambda: wet_film_for_dry(-0.1, 50.0),
        lambda: film_statistics([100.0], 120.0, 1.01),
        lambda: volume_solids_thinned(101.0, 0.0),
        lambda: volume_solids_thinned(50.0, -1.0),
        lambda: dry_film_from_wet(-1.0, 50.0),
        lambda: wet_film_from_spreading_rate(0.0),
        lambda: theoretical_spreading_rate(50.0, 0.0),
        lambda: implied_dry_film(1.0, 0.0, 50.0),
        lambda: implied_dry_film(1.0, 1.0, 50.0, 101.0),
        lambda: litres_needed(1.0, 50.0, 100.0, 100.0),
        lambda: corrected_for_profile([1.0], -1.0),
        lambda: film_statistics([], 120.0, 0.8),
        lambda: film_statistics([math.nan], 120.0, 0.8),
        lambda: film_statistics([100.0], 0.0, 0.8),
        lambda: film_statistics([100.0], 120.0, 80.0),
        lambda: spot_means([]),
        lambda: spot_means([[100.0], []]),
        lambda: required_spots(10.0, PLANS["SSPC-PA 2"], 0),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
