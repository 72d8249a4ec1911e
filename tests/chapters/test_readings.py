"""What an instrument brings to a finding: uncertainty, calibration on the day, range. Inputs are synthetic."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters import CHAPTERS
from buildbook.chapters.readings import (
    by_one_instrument,
    calibration_notes,
    carried,
    instrument_part,
    outside_calibration,
    outside_range,
    standard_of,
)
from buildbook.chapters.shared_records import Instrument
from buildbook.core.finding import CALIBRATION_NOT_SHOWN
from buildbook.core.record import about
from tests.chapters.evidence_builder import evidence, record

THERMOMETER = {
    "instrument": "TH-01",
    "quantity": "air temperature",
    "certificate": "CAL-1",
    "calibrated": "2025-09-12",
    "due": "2026-09-12",
    "unit": "degC",
    "range_low": -10,
    "range_high": 60,
    "resolution": 0.1,
    "uncertainty": 0.3,
    "coverage": 2,
}
ON = [datetime(2026, 3, 18, 8, 0)]


def use(wanted="degC", on=ON, values=(), **changes):
    folder = evidence({Instrument: [{**THERMOMETER, **changes}]})
    return instrument_part(folder, "TH-01", "air temperature", wanted, on, values)


def test_certificate_and_resolution_enter_as_the_gum_says():
    """JCGM 100:2008 4.3.3 (U over k) and F.2.2.1 (step over the root of 12), both from memory: 0.3/2 and 0.1/3.4641."""
    parts = use().parts
    assert [part.name for part in parts] == ["instrument TH-01, certificate CAL-1", "resolution of TH-01"]
    assert [round(part.standard, 5) for part in parts] == [0.15, 0.02887]
    assert use().notes == use().caps == ()


@pytest.mark.parametrize(("coverage", "standard"), [(2, 0.15), (3, 0.1), (1, 0.3)])
def test_the_coverage_factor_of_the_certificate_counts(coverage, standard):
    assert use(coverage=coverage).parts[0].standard == pytest.approx(standard)


def test_an_uncertainty_of_a_temperature_is_converted_as_a_difference():
    """scipy's constants give the size of a degree Fahrenheit."""
    from scipy.constants import convert_temperature

    degree = float(convert_temperature(33.0, "F", "K") - convert_temperature(32.0, "F", "K"))
    parts = use("K", unit="degF", uncertainty=0.9, resolution=0.2).parts
    assert parts[0].standard == pytest.approx(0.9 * degree / 2)
    assert parts[1].standard == pytest.approx(0.2 * degree / math.sqrt(12))


def test_without_a_stated_uncertainty_there_is_no_part_and_a_note():
    found = use(uncertainty=None, coverage=None)
    assert found.parts == ()
    assert found.notes == ("Instrument TH-01 (air temperature): no uncertainty is stated in its row.",)
    assert found.caps == ()


def test_without_a_resolution_only_the_certificate_counts():
    assert len(use(resolution=None).parts) == 1


@pytest.mark.parametrize("name", [None, ""])
def test_readings_that_name_no_instrument_are_capped(name):
    assert instrument_part(evidence({}), name, "air temperature", "degC", ON).caps != ()


def test_an_instrument_that_is_not_in_the_table_caps():
    other = evidence({Instrument: [{**THERMOMETER, "quantity": "relative humidity"}]})
    found = instrument_part(other, "TH-01", "air temperature", "degC", ON)
    assert found.caps == ("Instrument TH-01 (air temperature) is not in the instrument table.",)
    assert found.parts == ()


def test_a_row_that_could_not_be_read_caps():
    lost = evidence({}, unread={Instrument: [{"instrument": "TH-01", "quantity": "air temperature"}]})
    found = instrument_part(lost, "TH-01", "air temperature", "degC", ON)
    assert found.caps == ("Instrument TH-01 (air temperature): its row in the instrument table could not be read.",)


def test_a_unit_that_cannot_be_compared_caps():
    found = use("um")
    assert found.parts == ()
    assert found.caps == (
        "Instrument TH-01 (air temperature): its row is in degC, the readings are in um: not comparable.",
    )


@pytest.mark.parametrize("values", [[60.0], [-10.0], [59.9, -9.9], []])
def test_values_on_the_ends_of_the_range_are_covered(values):
    assert use(values=values).caps == ()


def test_values_outside_the_range_cap():
    caps = use(values=[60.1, 20.0, -11.0]).caps
    assert caps == ("Instrument TH-01 (air temperature): 2 of 3 readings lie outside its range.",)


def test_the_range_is_compared_in_the_unit_of_the_readings():
    """140 °F are 60 °C: the end of the range, by definition of the scales (scipy.constants)."""
    from scipy.constants import convert_temperature

    end = float(convert_temperature(60.0, "C", "F"))
    row = record(Instrument, THERMOMETER)
    assert outside_range(row, "degF", [end, end + 0.1]) == (end + 0.1,)


@pytest.mark.parametrize(
    ("changes", "on"),
    [
        ({}, [date(2026, 9, 13)]),
        ({}, [date(2025, 9, 11)]),
        ({}, []),
        ({"certificate": None}, ON),
        ({"calibrated": None}, ON),
        ({"due": None}, ON),
        ({"calibrated": None, "due": None}, ON),
    ],
)
def test_calibration_that_is_not_shown_is_said(changes, on):
    notes = use(on=on, **changes).notes
    assert len(notes) == 1
    assert notes[0].startswith(f"{CALIBRATION_NOT_SHOWN}: TH-01 (air temperature) ")
    assert use(on=on, **changes).caps == ()


@pytest.mark.parametrize("day", [date(2025, 9, 12), date(2026, 9, 12), datetime(2026, 9, 12, 23, 59)])
def test_the_days_of_calibration_and_of_the_next_one_are_inside(day):
    assert calibration_notes(record(Instrument, THERMOMETER), [day]) == ()


days = st.dates(date(2025, 1, 1), date(2025, 3, 1))


@given(days, st.integers(0, 40), st.lists(days, max_size=6))
def test_days_outside_calibration_are_those_the_calendar_leaves_out(calibrated, length, used):
    """Oracle: the days from calibration to the next one, counted out one by one with datetime."""
    due = calibrated + timedelta(days=length)
    covered = {calibrated + timedelta(days=n) for n in range(length + 1)}
    row = record(Instrument, {**THERMOMETER, "calibrated": calibrated, "due": due})
    assert set(outside_calibration(row, used)) == set(used) - covered


def test_every_column_that_names_an_instrument_says_what_it_measured():
    kinds = {kind for chapter in CHAPTERS for kind in chapter.tables}
    for kind in kinds:
        for name, info in kind.columns().items():
            if about(info, "refers") is Instrument:
                measured = about(info, "measures")
                assert measured, f"{kind.table.file}, {name}"
                assert set(measured) <= set(kind.columns()), f"{kind.table.file}, {name}"


@pytest.mark.parametrize("other", [0.0, 25.59])
def test_what_an_error_of_gain_leaves_of_a_difference_goes_from_nothing_to_all(other):
    """A gain that is off by 0.15 at 25.6 moves a difference by 0.15 x difference / 25.6 (worked by hand)."""
    both = {"first": (25.6, "first reading"), "second": (other, "second reading")}
    parts = by_one_instrument(lambda first, second: first - second, both, use().parts)
    common = next(part for part in parts if part.name.endswith("alike in all readings"))
    assert common.standard == pytest.approx(0.15 * (25.6 - other) / 25.6)


BOTH = {"first": (25.6, "first reading"), "second": (24.5, "second reading")}


def test_in_a_difference_of_one_instrument_only_an_error_of_gain_is_left_and_the_step_counts_twice():
    """JCGM 100:2008, 5.2.2 note 1, from memory: wholly correlated errors are added with their signs."""
    parts = by_one_instrument(lambda first, second: first - second, BOTH, use().parts)
    gain = 0.15 * (25.6 - 24.5) / 25.6
    assert standard_of(parts) == pytest.approx(math.hypot(gain, math.sqrt(2.0) * 0.1 / math.sqrt(12.0)))
    alike = {"first": (25.6, "first reading"), "second": (25.6, "second reading")}
    equal = by_one_instrument(lambda first, second: first - second, alike, use().parts)
    assert {part.name for part in equal} == {"first reading", "second reading"}


def test_in_a_sum_of_one_instrument_the_calibration_adds_up():
    """0.15 in both is 0.3 in the sum; the step of 0.1 is unsure of each by itself (worked by hand)."""
    parts = by_one_instrument(lambda first, second: first + second, BOTH, use().parts)
    assert standard_of(parts) == pytest.approx(math.sqrt(0.3**2 + 2.0 * 0.1**2 / 12.0))


def test_in_a_ratio_of_one_instrument_what_is_common_is_what_an_offset_does():
    """An offset of 0.15 in both moves 24.5/25.6 to 24.65/25.75: worked out with the moved numbers, to first order."""
    parts = by_one_instrument(lambda first, second: second / first, BOTH, use().parts)
    common = next(part for part in parts if part.name.endswith("alike in all readings"))
    assert common.standard == pytest.approx(24.65 / 25.75 - 24.5 / 25.6, rel=0.01)


def test_without_its_step_nothing_of_an_instrument_cancels():
    """Else nothing at all would be unsure of a difference."""
    parts = by_one_instrument(lambda first, second: first - second, BOTH, use(resolution=None).parts)
    assert standard_of(parts) == pytest.approx(0.15 * math.sqrt(2.0))
    assert by_one_instrument(lambda first, second: first - second, BOTH, ()) == ()


def test_readings_by_two_instruments_are_unsure_apart():
    apart = {name: (value, use().parts, label) for name, (value, label) in BOTH.items()}
    both = carried(lambda first, second: first - second, apart)
    assert standard_of(both) == pytest.approx(math.sqrt(2.0) * standard_of(use().parts))


@pytest.mark.parametrize(("values", "told"), [([0.02, -0.03, 0.0], True), ([0.02, 0.1], False), ([0.0], False)])
def test_readings_that_all_stay_below_the_step_stop_the_verdict(values, told):
    """A step of 0.1 degC shows no reading of 0.03 degC: a head in a smaller unit over the same numbers (house rule)."""
    caps = use(values=values).caps
    assert [cap for cap in caps if "stays below its smallest step, 0.1 degC" in cap] == list(caps)
    assert bool(caps) is told
    assert use(values=values, resolution=None).caps == ()
