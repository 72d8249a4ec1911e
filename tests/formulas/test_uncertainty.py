"""Uncertainty against printed examples of JCGM 100 and EA-4/02, and against scipy."""

from __future__ import annotations

import math
from statistics import correlation

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.formulas.climate import dew_point, dew_point_margin
from buildbook.formulas import OutOfRange
from buildbook.formulas import uncertainty as u
from buildbook.formulas.statistics import summary
from tests.published_values import numbers, rows

KINDS = {
    "certificate": lambda row: u.from_certificate(float(row["given [mg]"]), float(row["divisor"])),
    "rectangular": lambda row: u.rectangular(float(row["given [mg]"])),
    "known scatter": lambda row: u.from_known_scatter(float(row["given [mg]"]), int(row["divisor"])),
}


@pytest.mark.parametrize("row", rows("weighing"), ids=lambda row: row["part"])
def test_ea_4_02_example_s2_parts(row):
    assert KINDS[row["kind"]](row) == pytest.approx(float(row["expected [mg]"]), abs=float(row["tolerance [mg]"]))


@pytest.mark.parametrize("row", rows("weighing_result"), ids=lambda row: f"{row['quantity']} {row['known']}")
def test_ea_4_02_example_s2_result(row):
    combined = u.combine([KINDS[part["kind"]](part) for part in rows("weighing")])
    value = combined if row["quantity"] == "standard uncertainty" else u.expanded(combined, 2.0)
    assert value == pytest.approx(float(row["expected [mg]"]), abs=float(row["tolerance [mg]"]))


def glass_content(crucible: float, crucible_and_specimen: float, crucible_and_residue: float) -> float:
    return (crucible_and_residue - crucible) / (crucible_and_specimen - crucible)


@pytest.mark.parametrize("row", rows("burn_off"))
def test_burn_off_example_with_the_crucible_in_both_differences(row):
    names = ("crucible", "crucible and specimen", "crucible and residue")
    inputs = {name.replace(" ", "_"): (float(row[f"{name} [g]"]), float(row["u [g]"]), name) for name in names}
    result = u.propagate(glass_content, inputs)
    assert result.value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
    assert result.standard_uncertainty == pytest.approx(float(row["u expected"]), abs=float(row["u tolerance"]))
    w, d = result.value, inputs["crucible_and_specimen"][0] - inputs["crucible"][0]
    slopes = {"crucible_and_residue": 1 / d, "crucible_and_specimen": -w / d, "crucible": (w - 1) / d}
    assert {part.name: part.sensitivity for part in result.contributions} == pytest.approx(slopes, rel=1e-7)
    sizes = [abs(part.in_result) for part in result.contributions]
    assert sizes == sorted(sizes, reverse=True)
    assert math.fsum(part.share for part in result.contributions) == pytest.approx(1.0)


@pytest.mark.parametrize("row", rows("gum_end_gauge"))
def test_jcgm_100_h1_end_gauge(row):
    parts, degrees = numbers(row["contributions [nm]"]), numbers(row["degrees"])
    combined = u.combine(parts)
    effective = u.effective_degrees_of_freedom(parts, degrees)
    assert round(combined) == int(row["combined [nm]"])
    assert effective == int(row["effective degrees"])
    factor = u.coverage_factor(effective, 0.99)
    assert u.expanded(float(row["combined [nm]"]), factor) == pytest.approx(float(row["expanded 99 [nm]"]), abs=0.5)


@pytest.mark.parametrize("row", rows("gum_impedance"))
def test_jcgm_100_h2_correlated_inputs(row):
    readings = [numbers(row["V [V]"]), [i / 1000 for i in numbers(row["I [mA]"])], numbers(row["phi [rad]"])]
    volts, amps, phase = (summary(values).mean for values in readings)
    resistance = volts / amps * math.cos(phase)
    slopes = (resistance / volts, -resistance / amps, -volts / amps * math.sin(phase))
    parts = [slope * u.from_repeats(values) for slope, values in zip(slopes, readings, strict=True)]
    pairs = {pair: correlation(readings[pair[0]], readings[pair[1]]) for pair in ((0, 1), (0, 2), (1, 2))}
    assert round(resistance, 3) == float(row["R [ohm]"])
    assert round(u.combine(parts, pairs), 3) == float(row["u R [ohm]"])
    assert u.combine(parts) > 2 * u.combine(parts, pairs)  # without the correlations it would be far too large


@pytest.mark.parametrize("row", rows("student_t"), ids=lambda row: f"{row['degrees']} at {row['coverage']}")
def test_jcgm_100_table_g2(row):
    factor = u.coverage_factor(float(row["degrees"]), float(row["coverage"]))
    assert factor == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.integers(1, 10_000), st.floats(0.5, 0.999))
def test_coverage_factor_against_scipy(degrees, coverage):
    assert u.coverage_factor(degrees, coverage) == pytest.approx(scipy.stats.t.ppf(0.5 + coverage / 2, degrees))


def test_repeats_against_scipy():
    readings = [18.2, 18.6, 18.3, 18.9, 18.1]
    assert u.from_repeats(readings) == pytest.approx(scipy.stats.sem(readings), rel=1e-12)


def test_distributions_against_scipy():
    assert u.rectangular(3.0) == pytest.approx(scipy.stats.uniform(-3, 6).std())
    assert u.triangular(3.0) == pytest.approx(scipy.stats.triang(0.5, -3, 6).std())
    assert u.from_resolution(0.1) == pytest.approx(scipy.stats.uniform(-0.05, 0.1).std())


def test_two_repeats_are_enough_and_k_is_two_unless_stated():
    assert u.from_repeats([1.0, 3.0]) == pytest.approx(1.0)  # s = sqrt(2), over sqrt(2)
    assert u.from_certificate(3.0) == 1.5
    assert u.expanded(1.5) == 3.0
    assert u.coverage_factor(math.inf) == pytest.approx(1.95996, abs=1e-5)


def test_small_values_are_within_every_range():
    """No uncertainty is too small, down to none at all."""
    assert u.from_known_scatter(0.25, 1) == 0.25
    assert u.rectangular(0.5) == pytest.approx(0.5 / 3**0.5)
    assert u.triangular(0.5) == pytest.approx(0.5 / 6**0.5)
    assert u.rectangular(0.0) == u.triangular(0.0) == u.from_resolution(0.0) == u.from_certificate(0.0) == 0.0
    assert u.from_certificate(0.5, 0.5) == 1.0
    assert u.expanded(0.0) == 0.0
    assert u.expanded(0.5, 0.5) == 0.25
    assert u.effective_degrees_of_freedom([0.5], [0.5]) == 0.0


@pytest.mark.parametrize("scale", [1e-9, 1e-3, 1.0, 1e6])
def test_slopes_do_not_depend_on_the_unit(scale):
    """The cube of a length in kilometres and in nanometres."""
    result = u.propagate(lambda a: a**3, {"a": (2.0 * scale, 0.01 * scale, "length")})
    assert result.standard_uncertainty == pytest.approx(0.12 * scale**3, rel=1e-6)


def test_slope_at_zero_and_at_the_lower_end():
    def root_free(a: float) -> float:
        if a < 0.0:
            raise OutOfRange("a", a, "0 or more")
        return 3.0 * a + a * a

    assert u.propagate(root_free, {"a": (0.0, 0.1, "a")}).standard_uncertainty == pytest.approx(0.3, rel=1e-6)


def test_parts_taken_as_known_give_infinite_degrees():
    assert u.effective_degrees_of_freedom([1.0, 2.0], [math.inf, math.inf]) == math.inf
    assert u.effective_degrees_of_freedom([0.0, 2.0], [3.0, math.inf]) == math.inf
    assert u.effective_degrees_of_freedom([2.0], [4.0]) == 4.0  # cutting down must not make 3 of it


def test_slope_at_the_end_of_a_range_is_taken_from_the_inside():
    """At 100 % the dew point is the air temperature; one-sided slopes still see the humidity's uncertainty."""
    inputs = {"air_temperature": (20.0, 0.3, "air"), "relative_humidity": (100.0, 1.5, "humidity")}
    at_edge = u.propagate(dew_point, inputs)
    near = u.propagate(dew_point, {**inputs, "relative_humidity": (99.99, 1.5, "humidity")})
    assert at_edge.value == pytest.approx(20.0)
    assert at_edge.standard_uncertainty == pytest.approx(near.standard_uncertainty, rel=1e-3)


def test_dew_point_error_of_a_humidity_reading():
    """Plus or minus 3 % humidity moves the dew point 0.8 K at 20 degC and 60 %; 0.5 K of air moves it 0.5 K."""
    result = u.propagate(dew_point, {"air_temperature": (20.0, 0.5, "air"), "relative_humidity": (60.0, 3.0, "RH")})
    sizes = {part.name: abs(part.in_result) for part in result.contributions}
    assert sizes == pytest.approx({"relative_humidity": 0.8, "air_temperature": 0.5}, abs=0.05)


def test_margin_parts_are_named_and_sorted():
    inputs = {
        "surface_temperature": (18.0, 0.25, "surface thermometer"),
        "air_temperature": (19.0, 0.15, "air thermometer"),
        "relative_humidity": (60.0, 1.5, "hygrometer"),
    }
    result = u.propagate(dew_point_margin, inputs)
    assert [part.label for part in result.contributions] == ["hygrometer", "surface thermometer", "air thermometer"]
    assert result.contributions[1].in_result == pytest.approx(0.25)


def test_inputs_without_uncertainty_add_nothing():
    result = u.propagate(lambda a, b: a * b, {"a": (2.0, 0.0, "a"), "b": (3.0, 0.0, "b")})
    assert (result.value, result.standard_uncertainty) == (6.0, 0.0)
    assert [part.in_result for part in result.contributions] == [0.0, 0.0]
    mixed = u.propagate(lambda a, b: a * b, {"a": (2.0, 0.0, "a"), "b": (3.0, 0.1, "b")})
    assert mixed.standard_uncertainty == pytest.approx(0.2)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=6))
def test_combine_is_the_root_sum_of_squares(parts):
    assert u.combine(parts) == pytest.approx(math.hypot(*parts))


@pytest.mark.parametrize(
    "call",
    [
        lambda: u.from_repeats([1.0]),
        lambda: u.rectangular(-1.0),
        lambda: u.triangular(-1.0),
        lambda: u.from_resolution(-1.0),
        lambda: u.from_known_scatter(1.0, 0),
        lambda: u.from_known_scatter(-1.0, 2),
        lambda: u.from_certificate(1.0, 0.0),
        lambda: u.from_certificate(-1.0, 2.0),
        lambda: u.expanded(-1.0),
        lambda: u.expanded(1.0, 0.0),
        lambda: u.coverage_factor(0.5),
        lambda: u.coverage_factor(5, 1.0),
        lambda: u.coverage_factor(5, 0.0),
        lambda: u.combine([1.0, 1.0], {(0, 2): 0.5}),
        lambda: u.combine([1.0, 1.0], {(0, 1): 1.5}),
        lambda: u.combine([1.0, 1.0, 1.0], {(0, 1): -1.0, (0, 2): -1.0, (1, 2): -1.0}),
        lambda: u.combine([math.nan]),
        lambda: u.effective_degrees_of_freedom([1.0], [0.0]),
        lambda: u.effective_degrees_of_freedom([1.0], [1.0, 2.0]),
        lambda: u.propagate(lambda a: a, {"a": (1.0, -0.1, "a")}),
        lambda: u.propagate(dew_point, {"air_temperature": (20, 0.1, ""), "relative_humidity": (101, 1, "")}),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
