"""Rounding and naming: two significant digits of U, the value to the same place, units and limits in plain words."""

from __future__ import annotations

import math
import re
from datetime import datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.finding import CALIBRATION_NOT_SHOWN, Finding, Key, Period, Verdict
from buildbook.core.finding_words import result_text, sentence
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.source import Source, Standing
from buildbook.core.wording import (
    counts_text,
    decimals_of,
    fixed,
    limit_text,
    listed,
    moment,
    period_text,
    plain_number,
    source_text,
    subject_text,
    term_text,
    unit_text,
    value_text,
    verdict_text,
)
from buildbook.sources import all_sources

BUILDER = Term("specified", Standing.BUILDER, "builder", "SPEC-07", "C", "6.1")
READ = Term("at least 3 K", Standing.READ, "published reference", clause="page 28", source="UFGS-09971")
SOURCES = {"UFGS-09971": Source("UFGS-09971", "Guide specification 09971", edition="2012")}


def limit(low=None, high=None, unit="%", **more) -> Limit:
    return Limit(unit, (BUILDER,), low, high, **more)


# Values


@pytest.mark.parametrize(
    ("value", "expanded", "unit", "expected"),
    [
        # The weighing of EA-4/02 example S2, recomputed: U = 58.5 mg is printed 59 mg and the value to the milligram.
        (10000.025, 0.0585, "g", "10 000.025 ± 0.059 g"),
        (55.986, 0.088, "%", "55.986 ± 0.088 %"),
        (51.2, 0.8, "%", "51.20 ± 0.80 %"),
        (206.0, 6.0, "um", "206.0 ± 6.0 µm"),
        (297.63, 19.7, "um", "298 ± 20 µm"),
        (23456.0, 1234.0, "N", "23 500 ± 1200 N"),
        (3.482, 0.0996, "K", "3.48 ± 0.10 K"),  # the digits of U grow when it rounds up
        (3.482, 0.0994, "K", "3.482 ± 0.099 K"),
        (3.48, 9.96, "K", "3 ± 10 K"),
        (-0.31, 0.2, "1", "−0.31 ± 0.20"),
        (-0.001, 0.2, "K", "0.00 ± 0.20 K"),  # no minus sign before a zero
        (18.6, 0.6, "degC", "18.60 ± 0.60 °C"),
    ],
)
def test_two_significant_digits_of_u_and_the_value_to_the_same_place(value, expanded, unit, expected):
    """JCGM 100:2008 clause 7.2.6 (from memory): U to at most two significant digits, the value to the same place."""
    assert value_text(Quantity(value, unit, expanded)) == expected


def test_the_uncertainty_is_printed_at_k_2():
    """U = 1.2 at k = 3 is 0.8 at k = 2."""
    assert value_text(Quantity(51.2, "%", 1.2, coverage=3.0)) == "51.20 ± 0.80 %"


@pytest.mark.parametrize(
    ("measured", "expected"),
    [
        (Quantity(323.1619, "um"), "323.2 µm"),
        (Quantity(2.5, "h", 0.0), "2.5 h"),
        (Quantity.count(9, "1/dm2"), "9 per dm²"),
        (Quantity.count(0), "0"),
        (Quantity(12345.6, "N"), "12 346 N"),
        (Quantity(0.00001, "%"), "0.00001 %"),
        (Quantity(-0.0, "K"), "0 K"),
        (Quantity(65.0, "s", 0.5, kind=Kind.AT_LEAST), "at least 65.00 ± 0.50 s"),
        (Quantity(3.0, "%", kind=Kind.AT_MOST), "at most 3 %"),
    ],
)
def test_values_without_a_stated_uncertainty_and_bounds(measured, expected):
    assert value_text(measured) == expected


@given(st.floats(-1e5, 1e5), st.floats(1e-4, 1e4))
def test_no_digit_of_the_value_is_finer_than_those_of_u(value, expanded):
    """Read back with Python's decimal: same place for both, U within half a step of its second digit."""
    text = value_text(Quantity(value, "K", expanded)).replace("−", "-").removesuffix(" K")
    shown, uncertainty = (Decimal(part.replace(" ", "")) for part in text.split(" ± "))
    assert shown.as_tuple().exponent == uncertainty.as_tuple().exponent
    place = 10.0 ** (math.floor(math.log10(expanded)) - 1)
    assert abs(float(uncertainty) - expanded) <= 0.5001 * 10 * place
    assert abs(float(shown) - value) <= 0.5001 * 10 * place
    digits = str(uncertainty).replace(".", "").strip("0")
    assert len(digits) <= 2


@given(st.floats(1e-9, 1e9))
def test_two_significant_digits_are_left(expanded):
    decimals = decimals_of(expanded)
    rounded = round(expanded, decimals)
    assert 10 <= round(rounded * 10.0**decimals) <= 99 or expanded < 1e-9


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    [
        (120.0, 10, "120"),
        (-0.25, 10, "−0.25"),
        (-0.0, 10, "0"),
        (96.00000000000001, 10, "96"),
        (1e16, 10, "10000000000000000"),
        (0.00002, 10, "0.00002"),
        (0.0000123456, 4, "0.00001235"),
        (1e-12, 10, "0.000000000001"),
        (-0.00002, 10, "−0.00002"),
    ],
)
def test_plain_numbers(value, digits, expected):
    assert plain_number(value, digits) == expected


@given(st.floats(-1e9, 1e9))
def test_a_plain_number_reads_back_as_itself(value):
    """To ten digits; never a form a layman cannot read."""
    text = plain_number(value)
    assert re.fullmatch(r"−?\d+(\.\d*[1-9])?", text)
    assert float(text.replace("−", "-")) == pytest.approx(value, rel=1e-9, abs=1e-300)


def test_decimals_may_be_negative_and_a_zero_has_no_sign():
    assert (fixed(1234.0, -2), fixed(-0.04, 1), fixed(-1.25, 1)) == ("1200", "0.0", "−1.3")


@pytest.mark.parametrize(
    ("unit", "expected"), [("1", ""), ("degC", "°C"), ("um", "µm"), ("mg/m2", "mg/m²"), ("K", "K")]
)
def test_units_as_they_are_printed(unit, expected):
    assert unit_text(unit) == expected


# Limits


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        ({"low": 50.0}, "at least 50 %"),
        ({"high": 85.0}, "at most 85 %"),
        ({"low": 3.5, "low_strict": True}, "more than 3.5 %"),
        ({"high": 20.0, "high_strict": True}, "less than 20 %"),
        ({"low": 10.0, "high": 35.0}, "10 to 35 %"),
        ({"low": -5.0, "high": 35.0}, "−5 to 35 %"),
        ({"low": 10.0, "high": 35.0, "high_strict": True}, "10 to 35 %, ends excluded"),
        ({"low": 0.8 * 120.0}, "at least 96 %"),
        ({"low": 703.9125, "high": 718.1}, "703.9125 to 718.1 %"),  # as the builder wrote it
        ({"high": 3.0 * 2.0**-0.09}, "at most 2.819 %"),  # computed: nobody wrote its digits
        ({"words": "Washed first"}, "Washed first"),
        ({"words": "Washed before sanding. Read in a magazine."}, "Washed before sanding"),
        ({}, "specified"),
    ],
)
def test_limits_in_words(ends, expected):
    assert limit_text(limit(**ends)) == expected


def test_no_limit_is_said():
    assert limit_text(None) == "no limit set"


def test_a_limit_without_a_unit():
    assert limit_text(limit(high=1.0, unit="1")) == "at most 1"


def test_who_set_a_limit_and_how_well_that_is_known():
    assert term_text(BUILDER, SOURCES) == "set by builder: SPEC-07, revision C, 6.1"
    expected = "Guide specification 09971 (2012), page 28; read in the source"
    assert term_text(READ, SOURCES) == expected
    both = Limit("K", (BUILDER, READ, READ), low=3.0)
    assert source_text(both, SOURCES) == f"set by builder: SPEC-07, revision C, 6.1; and {expected}"
    assert source_text(None, SOURCES) == "nobody set a limit"


def test_what_is_customary_or_from_memory_is_never_a_standards_word():
    customary = Term("x", Standing.PRACTICE, source="common-practice")
    remembered = Term("x", Standing.MEMORY, source="UFGS-09971")
    known = all_sources()
    assert term_text(customary, known) == "common practice in the trade, no source"
    assert term_text(Term("x", Standing.PRACTICE), known) == ""
    assert term_text(remembered, SOURCES).endswith("; quoted from memory")


# Findings


def finding(verdict=Verdict.PASS, **more) -> Finding:
    key = Key("COA-04", "dew-point margin", "Z1", "Z1-4")
    return Finding(key, verdict, **{"measured": Quantity(7.4, "K", 0.9), "limit": limit(3.0, unit="K"), **more})


NOT_SHOWN = (f"{CALIBRATION_NOT_SHOWN}: TH-01 (air temperature) has no certificate number.",)


@pytest.mark.parametrize("verdict", [Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL, Verdict.FAIL])
def test_a_judged_reading_says_when_calibration_was_not_shown(verdict):
    assert verdict_text(finding(verdict, notes=NOT_SHOWN)) == f"{verdict.value}, instrument calibration not shown"
    assert verdict_text(finding(verdict)) == verdict.value


@pytest.mark.parametrize("verdict", [v for v in Verdict if not v.judged])
def test_what_is_not_judged_has_no_suffix(verdict):
    assert verdict_text(finding(verdict, notes=NOT_SHOWN)) == verdict.value


def test_the_whole_finding_on_one_line():
    names = {"Z1": "Topsides, port"}
    expected = "dew-point margin, Topsides, port (Z1), Z1-4: 7.40 ± 0.90 K, at least 3 K: pass"
    assert sentence(finding(), names) == expected


def test_the_subject_names_the_attempt_from_the_second_on():
    key = Key("COA-08", "smallest film thickness", "Z3", attempt=2)
    assert subject_text(key, {}) == "smallest film thickness, Z3, attempt 2"


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"measured": None, "observed": "film whole"}, "film whole"),
        ({"measured": None}, "no reading"),
        ({"observed": "100 % B"}, "7.40 ± 0.90 K (100 % B)"),
    ],
)
def test_what_was_found_in_any_form(more, expected):
    assert result_text(finding(**more)) == expected


def test_counts_keep_their_denominator():
    counts = [(Verdict.PASS, 23), (Verdict.FAIL, 1), (Verdict.NOT_MEASURED, 1), (Verdict.INCONCLUSIVE, 0)]
    assert counts_text(counts, 25) == "25 findings: 1 fail, 1 not measured, 23 pass"
    assert counts_text([(Verdict.FAIL, 1)], 1) == "1 finding: 1 fail"
    assert counts_text([], 0) == "no findings"


def test_counts_tell_what_went_wrong_first_in_whatever_order_they_come():
    counts = [(verdict, 1) for verdict in Verdict]
    told = (
        "9 findings: 1 fail, 1 conditional fail, 1 inconclusive, 1 not measured, 1 no record. "
        "The others: 1 conditional pass, 1 pass, 1 not applicable, 1 information"
    )
    assert counts_text(counts, 9) == told
    assert counts_text(reversed(counts), 9).startswith(told[:44])


def test_periods():
    start, noon = datetime(2026, 3, 18, 8, 10), datetime(2026, 3, 18, 12, 0)
    later = datetime(2026, 3, 19, 7, 5)
    assert moment(start) == "2026-03-18 08:10"
    assert period_text(Period(start, noon)) == "2026-03-18 08:10 to 12:00"
    assert period_text(Period(start, later)) == "2026-03-18 08:10 to 2026-03-19 07:05"
    assert period_text(Period(start, start)) == "2026-03-18 08:10"
    assert period_text(None) == ""
    day, next_day = datetime(2026, 3, 18), datetime(2026, 3, 19)
    assert period_text(Period(day, day)) == "2026-03-18"
    assert period_text(Period(day, next_day)) == "2026-03-18 to 2026-03-19"
    assert period_text(Period(day, start)) == "2026-03-18 00:00 to 08:10"


def test_lists_in_a_sentence():
    assert (listed([]), listed(["a"]), listed(["a", "b", "c"])) == ("", "a", "a, b and c")
    assert listed(["a", "b"], "or") == "a or b"


@pytest.mark.parametrize(
    ("value", "decimals", "shown"),
    [
        (88.35, 1, "88.4"),
        (2.675, 2, "2.68"),
        (0.125, 2, "0.13"),
        (-88.35, 1, "−88.4"),
        (1250.0, -2, "1300"),
        (88.349, 1, "88.3"),
        (265.05 / 3, 1, "88.4"),
    ],
)
def test_half_way_is_rounded_away_from_zero_by_the_digits_a_reader_sees(value, decimals, shown):
    """As binary numbers most of these lie a little below half-way."""
    assert fixed(value, decimals) == shown


def test_significant_digits_round_the_same_way():
    assert [plain_number(88.35, 3), plain_number(0.00012345, 4), plain_number(123456.0, 4)] == [
        "88.4",
        "0.0001235",
        "123456",
    ]
