"""Dew point, margin and gaps: printed examples, independent programs, and rules that must hold for any readings."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.formulas.climate import (
    Gap,
    dew_point,
    dew_point_from_wet_bulb,
    dew_point_margin,
    gaps,
    relative_humidity_at_surface,
    saturation_vapour_pressure,
    temperature_difference_from_fahrenheit,
)
from buildbook.formulas import OutOfRange
from tests.published_values import rows

SEA_LEVEL = 101325.0  # Pa
psychrolib.SetUnitSystem(psychrolib.SI)


def from_fahrenheit(temperature: float) -> float:
    return (temperature - 32.0) / 1.8


def to_fahrenheit(temperature: float) -> float:
    return temperature * 1.8 + 32.0


@pytest.mark.parametrize("row", rows("dew_point"), ids=lambda row: row["example"])
def test_printed_dew_points(row):
    found = dew_point(float(row["air [degC]"]), float(row["humidity [%]"]))
    shown = to_fahrenheit(found) if row["unit"] == "degF" else found
    assert shown == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_worked_example_2_in_celsius():
    """The same page prints 24 degC and 35 % as 7 degC."""
    assert dew_point(24.0, 35.0) == pytest.approx(7.0, abs=0.7)


@pytest.mark.parametrize("row", rows("dew_point_margin"), ids=lambda row: row["example"])
def test_printed_least_surface_temperature(row):
    margin = dew_point_margin(
        from_fahrenheit(float(row["surface [degF]"])),
        from_fahrenheit(float(row["air [degF]"])),
        float(row["humidity [%]"]),
    )
    expected = temperature_difference_from_fahrenheit(float(row["expected [degF]"]))
    assert margin == pytest.approx(expected, abs=temperature_difference_from_fahrenheit(float(row["tolerance [degF]"])))


@pytest.mark.parametrize("row", rows("temperature_difference"), ids=lambda row: row["example"])
def test_a_difference_converts_by_five_ninths(row):
    found = temperature_difference_from_fahrenheit(float(row["difference [degF]"]))
    assert found == pytest.approx(float(row["expected [K]"]), abs=float(row["tolerance [K]"]))


@pytest.mark.parametrize(
    "row", rows("dew_point_programs"), ids=lambda row: f"{row['air [degC]']} {row['humidity [%]']}"
)
@pytest.mark.parametrize(
    ("program", "tolerance"), [("psychrolib 2.5.0", 0.04), ("CoolProp 8.0.0", 0.04), ("MetPy 1.7.1", 0.10)]
)
def test_dew_point_of_other_programs(row, program, tolerance):
    found = dew_point(float(row["air [degC]"]), float(row["humidity [%]"]))
    assert found == pytest.approx(float(row[f"{program} [degC]"]), abs=tolerance)


@given(st.floats(0.0, 45.0), st.floats(25.0, 100.0))
def test_dew_point_against_psychrolib(air, humidity):
    """Only where the dew point is above freezing: below it that program gives the frost point."""
    expected = psychrolib.GetTDewPointFromRelHum(air, humidity / 100.0)
    if expected >= 0.0:
        assert dew_point(air, humidity) == pytest.approx(expected, abs=0.04)


TABLE = rows("dew_point_table")
HUMIDITIES = [head for head in TABLE[0] if head.isdigit()]


@pytest.mark.parametrize("humidity", HUMIDITIES)
@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["air [degC]"])
def test_dew_point_table_regression(row, humidity):
    assert dew_point(float(row["air [degC]"]), float(humidity)) == pytest.approx(float(row[humidity]), abs=0.05001)


@pytest.mark.parametrize("row", rows("wmo_constants"), ids=lambda row: row["temperature [degC]"])
def test_printed_saturation_vapour_pressures(row):
    found = saturation_vapour_pressure(float(row["temperature [degC]"]))
    assert found == pytest.approx(float(row["expected [hPa]"]), abs=float(row["tolerance [hPa]"]))


@given(st.floats(0.1, 50.0))
def test_saturation_vapour_pressure_against_psychrolib(temperature):
    assert saturation_vapour_pressure(temperature) == pytest.approx(
        psychrolib.GetSatVapPres(temperature) / 100, rel=3.5e-3
    )


@given(st.floats(-20.0, 50.0), st.floats(20.0, 100.0))
def test_dew_point_is_the_inverse_of_vapour_pressure(air, humidity):
    vapour = saturation_vapour_pressure(air) * humidity / 100.0
    assert saturation_vapour_pressure(dew_point(air, humidity)) == pytest.approx(vapour, rel=1e-9)


def test_saturated_air_has_its_own_temperature_as_dew_point():
    assert dew_point(12.3, 100.0) == pytest.approx(12.3, abs=1e-12)
    assert dew_point_from_wet_bulb(12.3, 12.3) == pytest.approx(12.3, abs=1e-9)


@pytest.mark.parametrize(
    "row", rows("wet_bulb_programs"), ids=lambda row: f"{row['air [degC]']} {row['wet bulb [degC]']}"
)
def test_wet_bulb_against_coolprop(row):
    found = dew_point_from_wet_bulb(float(row["air [degC]"]), float(row["wet bulb [degC]"]), 1013.25)
    assert found == pytest.approx(float(row["expected [degC]"]), abs=float(row["tolerance [K]"]))


@given(st.floats(8.0, 40.0), st.floats(0.0, 8.0))
def test_wet_bulb_against_psychrolib(air, depression):
    """That program takes the wet bulb as adiabatic saturation; a ventilated bulb reads nearly the same."""
    wet = max(air - depression, 0.0)
    expected = psychrolib.GetTDewPointFromTWetBulb(air, wet, SEA_LEVEL)
    if expected >= 0.0:
        assert dew_point_from_wet_bulb(air, wet) == pytest.approx(expected, abs=0.03 + 0.03 * (air - wet))


def test_wet_bulb_knows_the_pressure():
    high, low = dew_point_from_wet_bulb(20.0, 15.0, 850.0), dew_point_from_wet_bulb(20.0, 15.0, 1050.0)
    expected = [psychrolib.GetTDewPointFromTWetBulb(20.0, 15.0, pa) for pa in (85_000.0, 105_000.0)]
    assert high - low == pytest.approx(expected[0] - expected[1], abs=0.05)


@pytest.mark.parametrize(
    "row", rows("surface_humidity"), ids=lambda row: f"{row['surface [degC]']} {row['expected [%]']}"
)
def test_humidity_at_the_surface_regression(row):
    surface, margin = float(row["surface [degC]"]), float(row["margin [K]"])
    found = relative_humidity_at_surface(surface, surface - margin)
    assert found == pytest.approx(float(row["expected [%]"]), abs=float(row["tolerance [%]"]))


@given(st.floats(3.0, 40.0), st.floats(0.0, 3.0))
def test_humidity_at_the_surface_against_psychrolib(surface, margin):
    expected = 100.0 * psychrolib.GetRelHumFromTDewPoint(surface, surface - margin)
    assert relative_humidity_at_surface(surface, surface - margin) == pytest.approx(expected, abs=0.3)


def test_humidity_at_a_wet_surface_exceeds_one_hundred():
    assert relative_humidity_at_surface(10.0, 12.0) > 100.0


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: dew_point(20.0, 0.0), "relative humidity"),
        (lambda: dew_point(20.0, 100.1), "relative humidity"),
        (lambda: dew_point(60.1, 50.0), "air temperature"),
        (lambda: dew_point(-45.1, 50.0), "air temperature"),
        (lambda: dew_point(20.0, 0.1), "dew point of this air"),
        (lambda: dew_point(float("nan"), 50.0), "air temperature"),
        (lambda: dew_point_from_wet_bulb(20.0, 20.1), "wet bulb"),
        (lambda: dew_point_from_wet_bulb(20.0, -0.1), "wet bulb"),
        (lambda: dew_point_from_wet_bulb(30.0, 5.0), "wet bulb"),
        (lambda: dew_point_from_wet_bulb(20.0, 15.0, 101325.0), "pressure"),
        (lambda: dew_point_from_wet_bulb(20.0, 15.0, 799.9), "pressure"),
        (lambda: dew_point_from_wet_bulb(20.0, 15.0, 1100.1), "pressure"),
        (lambda: dew_point_from_wet_bulb(-0.1, -0.1), "air temperature"),
        (lambda: dew_point_margin(70.0, 20.0, 50.0), "surface temperature"),
        (lambda: saturation_vapour_pressure(100.0), "temperature"),
    ],
)
def test_outside_the_range(call, argument):
    with pytest.raises(OutOfRange, match=argument):
        call()


def test_ends_of_the_ranges_belong_to_them():
    assert dew_point(-45.0, 100.0) == pytest.approx(-45.0)
    assert dew_point(60.0, 100.0) == pytest.approx(60.0)
    assert dew_point_from_wet_bulb(0.0, 0.0, 800.0) == pytest.approx(0.0, abs=1e-9)
    assert dew_point_from_wet_bulb(60.0, 60.0, 1100.0) == pytest.approx(60.0)


START = datetime(2026, 3, 2, 8)  # synthetic times
HOUR = timedelta(hours=1)


def at(*hours: float) -> list[datetime]:
    return [START + hour * HOUR for hour in hours]


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        ([], [(0, 5)]),
        ([0, 1, 2, 3, 4, 5], []),
        ([0.5, 1.5, 2.5, 3.5, 4.5], []),
        ([1.5, 2.5, 3.5, 4.5], [(0, 1.5)]),
        ([0, 1, 3.5, 4.5], [(1, 3.5)]),
        ([0, 1, 2, 3], [(3, 5)]),
        ([2.5], [(0, 5)]),
        ([-0.5, 0.25, 1, 2, 3, 4, 5.5], []),
        ([-0.5, 0.75, 1, 2, 3, 3.9, 5.5], [(3.9, 5)]),
        ([-1, 6], [(0, 5)]),
        ([0.5, 4.5], [(0.5, 4.5)]),
        ([-3, -2], [(0, 5)]),
    ],
)
def test_gaps_before_between_and_after(hours, expected):
    found = gaps(at(*hours), START, START + 5 * HOUR, HOUR)
    assert found == tuple(Gap(*at(*ends)) for ends in expected)


def test_a_short_coat_between_two_readings_is_covered():
    assert gaps(at(-0.2, 0.5), START, START + 0.3 * HOUR, HOUR) == ()
    assert gaps(at(-0.2, 0.9), START, START + 0.3 * HOUR, HOUR) == (Gap(START, START + 0.3 * HOUR),)


def test_an_instant_is_covered_only_by_a_reading_or_its_neighbours():
    assert gaps([START], START, START, HOUR) == ()
    assert gaps(at(-0.4, 0.4), START, START, HOUR) == ()
    assert gaps([], START, START, HOUR) == (Gap(START, START),)


def test_length_of_a_gap():
    assert Gap(START, START + 1.5 * HOUR).hours == 1.5


@given(st.lists(st.integers(-120, 420), min_size=1, max_size=25), st.integers(5, 120), st.data())
def test_deleting_a_reading_never_shortens_a_gap(minutes, allowed, data):
    times = [START + timedelta(minutes=minute) for minute in sorted(minutes)]
    dropped = data.draw(st.integers(0, len(times) - 1))
    end, interval = START + 5 * HOUR, timedelta(minutes=allowed)
    whole = gaps(times, START, end, interval)
    fewer = gaps(times[:dropped] + times[dropped + 1 :], START, end, interval)
    for gap in whole:
        assert any(wider.start <= gap.start and gap.end <= wider.end for wider in fewer)


@given(st.lists(st.integers(0, 300), max_size=25), st.integers(5, 120))
def test_gaps_against_a_count_minute_by_minute(minutes, allowed):
    """Slow and simple: each half minute is covered or not by its neighbours among readings, start and end."""
    inside = sorted(minutes)
    marks = [0, *inside, 300] if inside else []
    covered = [any(a <= half / 2 <= b and b - a <= allowed for a, b in pairwise(marks)) for half in range(1, 600, 2)]
    found = gaps([START + timedelta(minutes=m) for m in inside], START, START + 5 * HOUR, timedelta(minutes=allowed))
    assert sum(gap.hours for gap in found) * 60 == pytest.approx(covered.count(False))


@pytest.mark.parametrize(
    "call",
    [
        lambda: gaps(at(2, 1), START, START + HOUR, HOUR),
        lambda: gaps([], START + HOUR, START, HOUR),
        lambda: gaps([], START, START + HOUR, timedelta(0)),
    ],
)
def test_gaps_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
