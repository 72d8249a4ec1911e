"""Thickness, strength, samples and hardness against printed tables, worked examples and independent libraries."""

from __future__ import annotations

import math
import statistics

import pytest
import scipy.stats
import tolint
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.laminate.formulas import samples, strength, thickness
from buildbook.chapters.laminate.formulas.hardness import readings_needed
from buildbook.formulas import OutOfRange
from tests.published_values import numbers, rows


@pytest.mark.parametrize("row", rows("laminate_thickness"), ids=lambda row: f"{row['example']} {row['glass [%]']}")
def test_iso_12215_5_thickness(row):
    found = thickness.nominal_thickness(1.0, float(row["glass [%]"]))
    assert found == pytest.approx(float(row["expected [mm per kg/m2]"]), abs=float(row["tolerance"]))


@given(st.floats(0.1, 20), st.floats(20, 80))
def test_the_general_form_is_the_printed_one_with_its_densities(weight, glass):
    general = thickness.skin_thickness(weight, glass, 2.56, 1.20)
    assert general == pytest.approx(thickness.nominal_thickness(weight, glass), rel=1e-9)


@pytest.mark.parametrize("row", rows("laminate_stack"), ids=lambda row: row["example"])
def test_iso_12215_5_example_c_3_2(row):
    plies = list(zip(numbers(row["weights [kg/m2]"]), numbers(row["glass [%]"]), strict=True))
    overall = thickness.overall_glass_content(plies)
    assert overall == pytest.approx(float(row["overall [%]"]), abs=float(row["tolerance overall"]))
    whole = sum(weight for weight, _ in plies)
    assert thickness.nominal_thickness(whole, 39.0) == pytest.approx(float(row["thickness at 39 % [mm]"]), abs=0.005)
    one_by_one = sum(thickness.nominal_thickness(*ply) for ply in plies)
    assert one_by_one == pytest.approx(float(row["ply by ply [mm]"]), abs=0.0005)


@pytest.mark.parametrize("row", rows("laminate_strength"), ids=lambda row: row["example"])
def test_strength_from_force(row):
    force, width, thick = (float(row[head]) for head in ("force [N]", "width [mm]", "thickness [mm]"))
    if row["method"] == "short beam":
        found = strength.short_beam_strength(force, width, thick)
    else:
        found = strength.flexural_strength(force, float(row["span [mm]"]), width, thick)
    assert found == pytest.approx(float(row["expected [MPa]"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("tolerance_factors"), ids=lambda row: row["number"])
def test_tolerance_factors(row):
    number = int(row["number"])
    assert samples.tolerance_factor(number) == pytest.approx(float(row["k_B"]), abs=0.002)
    assert samples.tolerance_factor(number, 0.99) == pytest.approx(float(row["k_A"]), abs=0.002)


@pytest.mark.parametrize("number", [2, 3, 5, 10, 18, 50])
def test_tolerance_factors_of_another_library(number):
    """tolint, an independent library."""
    assert samples.tolerance_factor(number) == pytest.approx(
        float(tolint.norm_k_factor(number, P=0.9, alpha=0.05, side="lower")), rel=1e-6
    )


@pytest.mark.parametrize("row", rows("tolerance_one"), ids=lambda row: row["number"])
def test_tolerance_limit_of_a_public_page(row):
    k = samples.tolerance_factor(int(row["number"]), float(row["share"]), float(row["confidence"]))
    assert k == pytest.approx(float(row["factor"]), abs=0.0001)
    assert float(row["mean"]) - k * float(row["sd"]) == pytest.approx(float(row["limit"]), abs=0.0001)


@pytest.mark.parametrize("row", rows("outlier_critical"), ids=lambda row: row["number"])
def test_critical_residuals(row):
    assert samples.critical_residual(int(row["number"])) == pytest.approx(float(row["critical"]), abs=0.001)


RESULTS = {
    "B-basis": lambda values: samples.tolerance_limit(values),
    "A-basis": lambda values: samples.tolerance_limit(values, 0.99),
    "normality": samples.normality,
    "outlier": lambda values: samples.normed_residual(values)[0],
    "design value": samples.design_value,
}


@pytest.mark.parametrize("row", rows("laminate_samples"), ids=lambda row: f"{row['example']} {row['quantity']}")
def test_samples(row):
    values = numbers(row["values"])
    assert statistics.fmean(values) == pytest.approx(float(row["mean"]), abs=0.005)
    assert statistics.stdev(values) == pytest.approx(float(row["sd"]), abs=0.005)
    found = RESULTS[row["quantity"]](values)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_no_outlier_in_batch_2_of_the_handbook():
    """CMH-17-1G, 8.3.11.1.1, batch 2: 2.008 is below 2.127 (second-hand)."""
    (row,) = [row for row in rows("laminate_samples") if row["quantity"] == "outlier"]
    assert samples.outliers(numbers(row["values"])) == ()


def test_the_statistic_of_anderson_and_darling_is_that_of_scipy():
    (row,) = [row for row in rows("laminate_samples") if row["quantity"] == "normality"]
    values = numbers(row["values"])
    raw = scipy.stats.anderson(values, "norm", method="interpolate").statistic
    n = len(values)
    star = (1 + 4 / n - 25 / n**2) * raw
    level = 1 / (1 + math.exp(-0.48 + 0.78 * math.log(star) + 4.58 * star))
    assert samples.normality(values) == pytest.approx(level, rel=1e-9)


@pytest.mark.parametrize("material", ["reinforced", "homogeneous"])
def test_the_printed_numbers_of_readings_make_means_that_are_equally_sure(material):
    """ASTM D2583, table 1: variance over number is nearly one figure for each kind (calculated)."""
    printed = [row for row in rows("barcol_plan") if row["material"] == material]
    shares = [float(row["variance"]) / int(row["readings"]) for row in printed]
    assert max(shares) - min(shares) < 0.07
    plan = [(float(row["level"]), int(row["readings"])) for row in printed]
    assert [readings_needed(level, plan) for level, _ in plan] == [number for _, number in plan]


def test_between_printed_levels_the_number_is_rounded_up():
    """On the straight line from 22 at 40 to 16 at 50 Barcol, 42 asks for 20.8 readings (calculated)."""
    plan = [
        (float(row["level"]), int(row["readings"])) for row in rows("barcol_plan") if row["material"] == "reinforced"
    ]
    assert readings_needed(42.0, plan) == 21


@pytest.mark.parametrize("call", [lambda: samples.tolerance_factor(1), lambda: samples.normed_residual([1.0, 2.0])])
def test_too_few_specimens_are_refused(call):
    with pytest.raises(OutOfRange):
        call()
