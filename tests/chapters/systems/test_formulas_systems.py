"""Formulas of the systems against printed conversion factors and worked figures, and against their own sense."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.systems.formulas.bilge import flow_at_outlet
from buildbook.chapters.systems.formulas.electric import voltage_drop, without_leads
from buildbook.chapters.systems.formulas.fuel import off_the_meter, share_of_capacity
from buildbook.chapters.systems.formulas.tanks import head_pressure, least_test_pressure
from buildbook.chapters.systems.subjects import rule
from buildbook.formulas import OutOfRange
from buildbook.readers.units import convert
from buildbook.sources import reference_limit
from tests.published_values import rows

UNITS, DROPS = rows("systems_units"), rows("systems_drop")
PLAIN = st.floats(1.0, 1e4)


@pytest.mark.parametrize("row", [row for row in UNITS if row["unit"] == "m"], ids=lambda row: row["what"])
def test_a_column_of_water_presses_as_printed(row):
    """Conventional water has 1000 kg/m3."""
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    assert head_pressure(float(row["given"]), 1000.0) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", [row for row in UNITS if row["unit"] == "psi"], ids=lambda row: row["what"])
def test_pounds_on_a_square_inch_are_as_printed(row):
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    assert convert(float(row["given"]), "psi", "kPa") == pytest.approx(expected, abs=tolerance)


def test_the_least_pressure_of_the_table_is_three_pounds_on_a_square_inch():
    (row,) = [row for row in UNITS if row["source"].startswith("33 CFR")]
    assert rule("least pressure of a fuel tank") == float(row["expected"])
    assert rule("least pressure of a fuel tank") == pytest.approx(convert(3.0, "psi", "kPa"), abs=0.05)


@pytest.mark.parametrize("row", DROPS, ids=lambda row: row["clause"])
def test_a_drop_in_volts_is_the_share_that_articles_print(row):
    volts, share = float(row["volts"]), float(row["share"])
    assert voltage_drop(volts, volts - float(row["lost"])) == pytest.approx(share, abs=0.05)


def test_the_limits_of_the_drop_are_the_shares_that_articles_print():
    ends = {use: reference_limit("SYS-09", "voltage drop", use) for use in ("critical", "other")}
    assert {float(row["share"]) for row in DROPS} == {limit.high for limit in ends.values() if limit is not None}


@given(head=st.floats(0.1, 20.0), density=st.floats(500.0, 1300.0))
def test_the_test_pressure_is_the_greater_of_both(head, density):
    found = least_test_pressure(20.7, 1.5, head, density)
    assert found >= 20.7
    assert found >= 1.5 * head_pressure(head, density) - 1e-9
    assert found in (20.7, 1.5 * head_pressure(head, density))


@given(volume=PLAIN, more=PLAIN)
def test_a_share_is_a_share_and_a_right_sender_is_not_off(volume, more):
    share = share_of_capacity(volume, volume + more)
    assert 0.0 < share < 100.0
    assert off_the_meter(share, volume, volume + more) == 0.0
    assert off_the_meter(share + 2.0, volume, volume + more) == pytest.approx(2.0)
    assert off_the_meter(share - 2.0, volume, volume + more) == pytest.approx(2.0)


@given(volume=PLAIN, time=PLAIN)
def test_a_flow_times_its_time_is_its_volume(volume, time):
    assert flow_at_outlet(volume, time) * time / 60.0 == pytest.approx(volume)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (share_of_capacity, (10.0, 0.0)),
        (share_of_capacity, (-1.0, 10.0)),
        (head_pressure, (0.0, 1000.0)),
        (least_test_pressure, (20.7, 0.0, 1.0, 840.0)),
        (flow_at_outlet, (1.0, 0.0)),
        (without_leads, (0.1, 0.2)),
        (voltage_drop, (24.0, 25.0)),
        (voltage_drop, (0.0, 0.0)),
    ],
)
def test_outside_its_range_a_formula_refuses(formula, arguments):
    with pytest.raises(OutOfRange):
        formula(*arguments)
