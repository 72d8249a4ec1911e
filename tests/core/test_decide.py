"""The one place that judges, against worked examples of decision rules with measurement uncertainty."""

from __future__ import annotations

import math

import pytest

from buildbook.core.decide import (
    NO_UNCERTAINTY,
    ONLY_A_BOUND,
    TOO_COARSE,
    decide,
    decide_fact,
    nearest,
)
from buildbook.core.finding import Verdict
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.source import Standing
from buildbook.formulas.conformance import conformance_probability, uncertainty_ratio
from tests.published_values import rows

BUILDER = (Term("specified", Standing.BUILDER, set_by="builder"),)
PASS, CONDITIONAL_PASS = Verdict.PASS, Verdict.CONDITIONAL_PASS
CONDITIONAL_FAIL, FAIL, INCONCLUSIVE = Verdict.CONDITIONAL_FAIL, Verdict.FAIL, Verdict.INCONCLUSIVE


def limit(low=None, high=None, unit="%", **more) -> Limit:
    return Limit(unit, BUILDER, low, high, **more)


def verdict(value, expanded, *, kind=Kind.MEASURED, **ends) -> Verdict:
    return decide(Quantity(value, "%", expanded, kind=kind), limit(**ends)).verdict


def number(text: str) -> float | None:
    return float(text) if text else None


# Worked examples


@pytest.mark.parametrize("row", rows("four_outcomes"), ids=lambda row: row["example"])
def test_ilac_g8_four_outcomes(row):
    ends = limit(number(row["low"]), number(row["high"]), row["unit"])
    decision = decide(Quantity(float(row["value"]), row["unit"], float(row["expanded uncertainty"])), ends)
    assert decision.verdict.value == row["expected verdict"]
    assert decision.margin == pytest.approx(float(row["expected margin"]), abs=1e-9)
    assert decision.guard == float(row["expanded uncertainty"])  # w = U
    assert decision.notes == ()


@pytest.mark.parametrize("row", rows("conformance"), ids=lambda row: row["value"])
def test_a_verdict_and_its_conformance_probability_agree(row):
    """JCGM 106:2012, clause 7 (from memory): w = U leaves at most 2.3 % of a wrong pass, and half at the limit.

    ILAC-G8:09/2019 table 1: with w = U = 2 u the risk at the acceptance limit is below 2.5 %.
    """
    low, high, standard = number(row["low"]), number(row["high"]), float(row["standard uncertainty"])
    probability = conformance_probability(float(row["value"]), standard, low, high)
    found = decide(Quantity(float(row["value"]), "1", 2.0 * standard), limit(low, high, "1")).verdict
    expected = {PASS: (0.975, 1.0), CONDITIONAL_PASS: (0.5, 0.9773), CONDITIONAL_FAIL: (0.0227, 0.5), FAIL: (0, 0.025)}
    lowest, highest = expected[found]
    assert lowest <= probability <= highest
    assert probability == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


# On the line (house rule, the printed brackets meet): AL is a pass, TL a conditional pass, TL + w a conditional fail


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (50.8, PASS),
        (math.nextafter(50.8, 0), PASS),  # 50.8 - 50 is 0.7999999999999972 in binary; still on the line
        (50.8 - 1e-6, CONDITIONAL_PASS),
        (50.0, CONDITIONAL_PASS),
        (50.0 - 1e-6, CONDITIONAL_FAIL),
        (49.2, CONDITIONAL_FAIL),
        (49.2 - 1e-6, FAIL),
    ],
)
def test_a_value_on_a_line_of_a_lower_limit(value, expected):
    assert verdict(value, 0.8, low=50.0) is expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.2, PASS), (0.2 + 1e-6, CONDITIONAL_PASS), (0.3, CONDITIONAL_PASS), (0.4, CONDITIONAL_FAIL), (0.4 + 1e-6, FAIL)],
)
def test_a_value_on_a_line_of_an_upper_limit(value, expected):
    """0.3 - 0.1 and 0.1 + 0.2 are not 0.2 and 0.3 in binary arithmetic."""
    assert verdict(value, 0.1, high=0.1 + 0.2) is expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [(3.5, CONDITIONAL_FAIL), (3.5 + 1e-6, CONDITIONAL_PASS), (3.6, PASS), (3.4, CONDITIONAL_FAIL)],
)
def test_a_strict_end_counts_the_limit_itself_as_missed(value, expected):
    """IMO PSPC annex 1 asks for more than 3.5 MPa: 3.5 itself misses it. U = 0.1."""
    assert verdict(value, 0.1, low=3.5, low_strict=True) is expected


@pytest.mark.parametrize(("strict", "expected"), [(True, FAIL), (False, PASS)])
def test_a_strict_end_without_a_guard_band(strict, expected):
    """Exactly 20 % of the readings below nominal: ISO 19840 fails it, a paint maker's sheet does not."""
    counted = Quantity.count(20.0, "%")
    assert decide(counted, limit(high=20.0, high_strict=strict)).verdict is expected


def test_a_strict_end_of_a_two_sided_limit_does_not_touch_the_other_end():
    assert verdict(10.0, None, low=10.0, high=20.0, high_strict=True) is CONDITIONAL_PASS
    assert verdict(20.0, None, low=10.0, high=20.0, high_strict=True) is FAIL


def test_a_limit_that_binary_arithmetic_puts_a_little_too_high_is_still_met():
    """0.1 + 0.2 is 0.30000000000000004."""
    assert verdict(0.3, 0.0, low=0.1 + 0.2) is PASS
    assert verdict(0.3, 0.1, low=0.1 + 0.2) is CONDITIONAL_PASS


def test_a_tolerance_without_width_is_met_by_one_value():
    """Eight plies, no more and no less."""
    assert decide(Quantity.count(8, "%"), limit(8.0, 8.0)).verdict is PASS
    assert decide(Quantity.count(9, "%"), limit(8.0, 8.0)).verdict is FAIL


def test_a_limit_of_zero_has_a_line_too():
    assert verdict(0.0, 0.0, low=0.0) is PASS
    assert verdict(-1e-12, 0.0, low=0.0) is FAIL


# Guard factors


@pytest.mark.parametrize(
    ("factor", "value", "expected"),
    [
        (0.0, 50.1, PASS),  # simple acceptance, ILAC-G8 4.2.1
        (0.0, 50.0, PASS),
        (0.0, 49.9, FAIL),
        (0.83, 50.83, PASS),  # ISO 14253-1:2017, factor 1.65 u = 0.83 U
        (0.83, 50.82, CONDITIONAL_PASS),
        (0.83, 49.17, CONDITIONAL_FAIL),
        (0.83, 49.16, FAIL),
        (1.0, 51.0, PASS),  # guarded acceptance w = U, ILAC-G8 4.2.2
        (1.0, 50.99, CONDITIONAL_PASS),
        (1.0, 49.0, CONDITIONAL_FAIL),
        (1.0, 48.99, FAIL),
    ],
)
def test_guard_factors(factor, value, expected):
    """U = 1: the guard band is as wide as the factor."""
    decision = decide(Quantity(value, "%", 1.0), limit(low=50.0, guard=factor))
    assert decision.verdict is expected
    assert decision.guard == pytest.approx(factor)


def test_the_guard_band_is_taken_at_k_2_whatever_the_certificate_says():
    """U = 1.2 at k = 3 is u = 0.4, so 0.8 at k = 2; 50.8 is then on the acceptance limit."""
    decision = decide(Quantity(50.8, "%", 1.2, coverage=3.0), limit(low=50.0))
    assert decision.verdict is PASS
    assert decision.guard == pytest.approx(0.8)


# Too coarse


@pytest.mark.parametrize(("value", "expected"), [(711.0, INCONCLUSIVE), (714.0, INCONCLUSIVE), (717.5, FAIL)])
def test_a_test_uncertainty_ratio_of_one_leaves_only_a_clear_fail(value, expected):
    """711 +/- 3 mm with U = 3 mm: TUR = 6 / 6 = 1, so no room for a pass."""
    assert uncertainty_ratio(708.0, 714.0, 3.0) == pytest.approx(1.0)
    decision = decide(Quantity(value, "mm", 3.0), limit(708.0, 714.0, "mm"))
    assert decision.verdict is expected
    assert (TOO_COARSE in decision.notes) == (expected is INCONCLUSIVE)


def test_a_ratio_of_one_is_one_in_binary_arithmetic_too():
    """0.9 - 0.7 is a little more than 2 x 0.1 in binary."""
    assert verdict(0.8, 0.1, low=0.7, high=0.9) is INCONCLUSIVE


def test_just_enough_room_for_a_pass():
    assert verdict(711.0, 2.99, low=708.0, high=714.0) is PASS


@pytest.mark.parametrize(("value", "expected"), [(0.6, INCONCLUSIVE), (1.2, INCONCLUSIVE), (2.9, FAIL)])
def test_void_content_against_one_per_cent_cannot_be_decided(value, expected):
    """0.6 +/- 1.8 % against at most 1 %: no void content is below zero, so no reading could have shown a pass."""
    found = verdict(value, 1.8, high=1.0, natural_low=0.0)
    assert found is expected


def test_the_same_reading_without_a_natural_bound():
    assert verdict(0.6, 1.8, high=1.0) is CONDITIONAL_PASS


def test_a_natural_bound_above_a_lower_limit():
    """At least 98 % with U = 3 %: nothing is above 100 %."""
    assert verdict(99.5, 3.0, low=98.0, natural_high=100.0) is INCONCLUSIVE
    assert verdict(99.5, 1.0, low=98.0, natural_high=100.0) is PASS
    assert verdict(94.0, 3.0, low=98.0, natural_high=100.0) is FAIL


def test_a_natural_bound_need_not_be_zero():
    """At most 12 with nothing below 10: room for U = 1.9, none for U = 2."""
    assert verdict(10.0, 1.9, high=12.0, natural_low=10.0) is PASS
    assert verdict(10.0, 2.0, high=12.0, natural_low=10.0) is INCONCLUSIVE


# Without an uncertainty, and counts


@pytest.mark.parametrize(
    ("value", "expected"), [(50.0, CONDITIONAL_PASS), (50.1, CONDITIONAL_PASS), (99.0, CONDITIONAL_PASS), (49.9, FAIL)]
)
def test_without_an_uncertainty_a_limit_is_met_conditionally_at_best_and_says_so(value, expected):
    """House rule: whoever leaves U out must not be better off than whoever states a large one."""
    decision = decide(Quantity(value, "%"), limit(low=50.0))
    assert (decision.verdict, decision.guard, decision.notes) == (expected, 0.0, (NO_UNCERTAINTY,))


@pytest.mark.parametrize(("value", "expected"), [(50.0, CONDITIONAL_PASS), (99.0, CONDITIONAL_PASS), (49.9, FAIL)])
def test_a_limit_without_a_guard_band_does_not_make_good_an_uncertainty_that_nobody_stated(value, expected):
    """Whoever sets the guard factor to 0 chooses a risk; he does not know the doubt any better for it."""
    assert verdict(value, None, low=50.0, guard=0.0) is expected
    assert verdict(value, 0.5, low=50.0, guard=0.0) is (FAIL if value < 50.0 else PASS)


@pytest.mark.parametrize("kind", [Kind.AT_LEAST, Kind.MEASURED])
def test_a_bound_without_an_uncertainty_is_no_plain_pass_either(kind):
    assert decide(Quantity(60.0, "%", kind=kind), limit(low=50.0)).verdict is CONDITIONAL_PASS


def test_an_uncertainty_of_zero_is_not_the_same_as_none():
    assert decide(Quantity(50.1, "%", 0.0), limit(low=50.0)).notes == ()


@pytest.mark.parametrize(("value", "expected"), [(8.0, PASS), (7.0, FAIL)])
def test_a_count_is_met_or_missed(value, expected):
    """Eight plies are eight plies: no guard band and nothing to be said about U."""
    decision = decide(Quantity.count(value, "%"), limit(low=8.0))
    assert (decision.verdict, decision.guard, decision.notes) == (expected, 0.0, ())


# Bounds


@pytest.mark.parametrize(
    ("kind", "value", "ends", "expected"),
    [
        # a pull-off that tore in the glue: at least so much
        (Kind.AT_LEAST, 4.0, {"low": 3.5}, PASS),
        (Kind.AT_LEAST, 3.55, {"low": 3.5}, CONDITIONAL_PASS),
        (Kind.AT_LEAST, 3.0, {"low": 3.5}, INCONCLUSIVE),
        (Kind.AT_LEAST, 1.0, {"low": 3.5}, INCONCLUSIVE),
        (Kind.AT_LEAST, 1.0, {"high": 3.5}, INCONCLUSIVE),
        (Kind.AT_LEAST, 4.0, {"high": 3.5}, FAIL),
        (Kind.AT_LEAST, 3.5, {"high": 3.5}, INCONCLUSIVE),  # it may be 3.5 itself
        (Kind.AT_LEAST, 4.0, {"low": 3.5, "high": 5.0}, INCONCLUSIVE),
        (Kind.AT_LEAST, 6.0, {"low": 3.5, "high": 5.0}, FAIL),
        # a reading below what the instrument can show: at most so much
        (Kind.AT_MOST, 3.0, {"high": 3.5}, PASS),
        (Kind.AT_MOST, 4.0, {"high": 3.5}, INCONCLUSIVE),
        (Kind.AT_MOST, 4.0, {"low": 3.5}, INCONCLUSIVE),
        (Kind.AT_MOST, 3.0, {"low": 3.5}, FAIL),
        (Kind.AT_MOST, 3.5, {"low": 3.5}, INCONCLUSIVE),
        (Kind.AT_MOST, 4.0, {"low": 3.5, "high": 5.0}, INCONCLUSIVE),
    ],
)
def test_a_bound_shows_only_one_side(kind, value, ends, expected):
    decision = decide(Quantity(value, "%", 0.1, kind=kind), limit(**ends))
    assert decision.verdict is expected
    assert (ONLY_A_BOUND in decision.notes) == (expected is INCONCLUSIVE)


# Not comparable, and requirements in words


def test_another_unit_is_not_comparable():
    """Mass per cent against volume per cent, hours against minutes: never a number, always said."""
    decision = decide(Quantity(3.0, "h"), limit(high=240.0, unit="min"))
    assert (decision.verdict, decision.margin) == (INCONCLUSIVE, None)
    assert decision.notes == ("The value is in h, the limit in min: not comparable.",)


def test_without_a_limit_a_value_is_information():
    assert decide(Quantity(3.0, "h"), None).verdict is Verdict.INFORMATION


def test_a_limit_in_words_has_no_number_to_compare_with():
    assert decide(Quantity(3.0, "%"), limit()).verdict is INCONCLUSIVE


@pytest.mark.parametrize(("met", "expected"), [(True, PASS), (False, FAIL), (None, INCONCLUSIVE)])
def test_a_fact_is_met_missed_or_not_to_be_told(met, expected):
    assert decide_fact(met, limit(unit="1")).verdict is expected
    assert decide_fact(met, None).verdict is Verdict.INFORMATION


def test_a_limit_that_nobody_set_is_refused():
    with pytest.raises(ValueError, match="nobody set"):
        Limit("%", ())


def test_ends_the_wrong_way_round_are_refused():
    with pytest.raises(ValueError, match="above the upper"):
        limit(5.0, 3.0)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_value_that_is_no_number_is_refused(value):
    with pytest.raises(ValueError, match="finite"):
        Quantity(value, "%")


@pytest.mark.parametrize("expanded", [-0.1, math.nan, math.inf])
def test_an_uncertainty_below_zero_is_refused(expanded):
    with pytest.raises(ValueError, match="zero or more"):
        Quantity(1.0, "%", expanded)


def test_parts_combine_as_the_root_of_their_squares():
    """JCGM 100:2008 clause 5.1.2 (from memory): 0.3 and 0.4 make 0.5, U = 1.0."""
    combined = Quantity.combined(9.0, "%", (Part("gauge", 0.3), Part("scatter", 0.4)))
    assert combined.expanded == pytest.approx(1.0)
    assert combined.standard == pytest.approx(0.5)
    assert Quantity.combined(9.0, "%", ()).expanded is None


# The nearest of several readings


@pytest.mark.parametrize(
    ("values", "ends", "expected"),
    [
        ([20.0, 12.5, 25.0], {"low": 12.0, "high": 32.0}, 1),
        ([20.0, 31.0, 14.0], {"low": 12.0, "high": 32.0}, 1),
        ([11.0, 40.0, 20.0], {"low": 12.0, "high": 32.0}, 1),  # 8 outside is farther than 1 outside
        ([20.0, 25.0, 14.0], {"low": 12.0}, 2),
        ([20.0, 25.0, 14.0], {"high": 32.0}, 1),
        ([20.0, 25.0, 14.0], {}, 1),
    ],
)
def test_the_reading_nearest_to_its_limit_counts(values, ends, expected):
    assert nearest(values, limit(**ends)) == expected


def test_without_a_limit_the_largest_reading_is_shown():
    assert nearest([1.0, 3.0, 2.0], None) == 1


@pytest.mark.parametrize(
    ("guard", "words"),
    [(1.0, ""), (0.5, "The guard band of this limit is 0.5 times the uncertainty"), (0.0, "has no guard band")],
)
def test_a_guard_band_that_is_not_the_whole_uncertainty_is_said(guard, words):
    limit = Limit("um", (Term("at least 100 µm", Standing.BUILDER),), low=100.0, guard=guard)
    notes = decide(Quantity(120.0, "um", 6.0), limit).notes
    assert any(words in note for note in notes) if words else notes == ()
    assert not any("guard band of this limit" in note for note in decide(Quantity(120.0, "um"), limit).notes)
