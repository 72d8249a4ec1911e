"""SYS-04 and SYS-05: every verdict, on synthetic rows. 20.7 kPa and 1.5 times the head: 33 CFR 183.542 (read)."""

from __future__ import annotations

import math

import pytest

from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.systems.checks.tanks_and_hose import DROP, HELD, JET, TEST, TIGHT
from buildbook.chapters.systems.checks.tanks_and_hose import hosed as under_the_jet
from buildbook.chapters.systems.checks.tanks_and_hose import pressed as under_pressure
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    REFERENCE,
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)
from tests.chapters.systems.systems_folder import TOOLS, HoseTest, PressureTest, found, hosed, pressed


@pytest.mark.parametrize(
    ("start", "verdict"), [(21.5, PASS), (20.9, CONDITIONAL_PASS), (20.6, CONDITIONAL_FAIL), (20.0, FAIL)]
)
def test_sys_04_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_pressure(start, verdict):
    """1 m of 840 kg/m3 is 8.2 kPa, 1.5 times is 12.4 kPa: 20.7 kPa is more. U 0.3 kPa with a step of 0.1 kPa."""
    at = one(found(under_pressure, {PressureTest: [pressed(start)]}), TEST, "T1")
    assert limit_of(at).low == near(20.7)
    assert expanded(at) == near(2.0 * math.hypot(0.15, 0.1 / math.sqrt(12.0)))
    assert at.verdict is verdict


def test_the_head_governs_where_it_is_high():
    """2 m of 840 kg/m3: 840 x 9.80665 x 2 / 1000 x 1.5 = 24.71 kPa (worked by hand)."""
    at = one(found(under_pressure, {PressureTest: [pressed(22.0, head=2.0)]}), TEST)
    assert limit_of(at).low == near(24.71, abs=0.005)
    assert at.verdict is FAIL


@pytest.mark.parametrize(
    ("lost", "verdict"), [(0.0, PASS), (0.1, CONDITIONAL_PASS), (0.15, CONDITIONAL_FAIL), (0.3, FAIL)]
)
def test_sys_04_pass_or_conditional_pass_or_conditional_fail_or_fail_by_what_was_lost(lost, verdict):
    """Steps of 0.1 kPa and, for 0.1 K at 293.15 K, of 0.0421 kPa: U = 2 sqrt(2/12) hypot = 0.0886 kPa (by hand).

    Of the calibration, U = 0.3 kPa, what an error of gain leaves: lost / 22 of it.
    """
    at = one(found(under_pressure, {PressureTest: [pressed(22.0, 22.0 - lost)]}), DROP)
    assert value(at) == near(lost, abs=1e-9)
    assert expanded(at) == near(math.hypot(0.0886, 0.3 * lost / 22.0), abs=5e-5)
    assert limit_of(at).high == near(0.1)
    assert at.verdict is verdict


def test_of_the_calibration_of_the_gauge_a_great_loss_bears_its_share():
    """Of 22 kPa 11 are lost: half of U = 0.3 kPa beside 0.0886 kPa of the steps (worked by hand)."""
    at = one(found(under_pressure, {PressureTest: [pressed(22.0, 11.0)]}), DROP)
    assert expanded(at) == near(math.hypot(0.15, 0.0886), abs=5e-5)


@pytest.mark.parametrize(("end", "verdict"), [(22.08, PASS), (22.1, INCONCLUSIVE), (22.6, INCONCLUSIVE)])
def test_sys_04_inconclusive_where_the_pressure_rose_by_more_than_its_u(end, verdict):
    """U = 0.0886 kPa, as above. Heads exchanged over a loss of 0.6 kPa look like the last row."""
    at = one(found(under_pressure, {PressureTest: [pressed(22.0, end)]}), DROP)
    assert at.verdict is verdict
    assert said(at, "column 'end [kPa]': above `start`") is (verdict is INCONCLUSIVE)


def test_sys_04_inconclusive_where_the_step_of_the_gauge_is_not_known():
    without = [{**row, "resolution": None} for row in TOOLS]
    at = one(found(under_pressure, {PressureTest: [pressed()], Instrument: without}), DROP)
    assert at.verdict is INCONCLUSIVE


@pytest.mark.parametrize(("lost", "verdict"), [(3.0, FAIL), (0.1, INCONCLUSIVE)])
def test_sys_04_fail_by_the_builders_limit_though_the_row_of_the_gauge_is_lost(lost, verdict):
    """The builder allows 0.5 kPa: a loss of 3 kPa stays a fail, and a small one is no better than inconclusive."""
    mine = [specified("SYS-04", DROP, "kPa", high=0.5)]
    gone = [row for row in TOOLS if row["instrument"] != "PM-01"]
    at = one(found(under_pressure, {PressureTest: [pressed(22.0, 22.0 - lost)], Instrument: gone}, mine), DROP)
    assert at.verdict is verdict
    assert said(at, "step of the gauge")


def test_a_gauge_that_was_used_outside_its_range_still_shows_a_loss():
    at = one(found(under_pressure, {PressureTest: [pressed(101.0, 90.0)]}), DROP)
    assert at.verdict is FAIL
    assert said(at, "outside its range")
    assert not said(at, "not in the instrument table")


def test_sys_04_inconclusive_without_temperatures_and_corrected_with_them():
    """(101.325 + 22) / 293.15 = 0.4207 kPa for one kelvin (law of Gay-Lussac, worked by hand)."""
    at = one(found(under_pressure, {PressureTest: [pressed(22.0, air_end=None)]}), DROP)
    assert at.verdict is INCONCLUSIVE
    assert said(at, "temperature was not recorded")
    cooled = one(found(under_pressure, {PressureTest: [pressed(22.0, 21.6, air_end=19.0)]}), DROP)
    assert value(cooled) == near(0.4 - 0.4207, abs=1e-4)
    warmed = one(found(under_pressure, {PressureTest: [pressed(22.0, 22.0, air_end=21.0)]}), DROP)
    assert warmed.verdict is FAIL


def test_sys_04_words_name_the_term_that_governs():
    low, high = (
        limit_of(one(found(under_pressure, {PressureTest: [pressed(22.0, head=head)]}), TEST)) for head in (1.0, 2.0)
    )
    assert "in any case" in low.words
    assert "1.5 times the pressure of the head" in high.words


def test_under_a_jet_that_is_met_only_conditionally_a_dry_inside_is_a_conditional_pass():
    at = one(found(under_the_jet, {HoseTest: [hosed(pressure=0.205)]}), TIGHT)
    assert at.verdict is CONDITIONAL_PASS
    assert said(at, "only conditionally")
    assert one(found(under_the_jet, {HoseTest: [hosed(True, pressure=0.205)]}), TIGHT).verdict is FAIL


@pytest.mark.parametrize(
    ("minutes", "verdict"), [(46.0, PASS), (45.5, CONDITIONAL_PASS), (44.5, CONDITIONAL_FAIL), (44.0, FAIL)]
)
def test_the_time_under_pressure_is_that_of_a_clock_read_to_the_minute(minutes, verdict):
    """A step of one minute at start and end: U = 2 sqrt(2/12) = 0.816 min (JCGM 100:2008, 4.3.7, from memory)."""
    mine = [specified("SYS-04", HELD, "min", low=45.0)]
    at = one(found(under_pressure, {PressureTest: [pressed(minutes=minutes)]}, mine), HELD)
    assert (at.verdict, expanded(at)) == (verdict, near(2.0 * math.sqrt(2.0 / 12.0)))
    assert at.instruments == ()  # the gauge is no clock


def test_the_multiple_of_the_head_is_shown():
    """1 m of 840 kg/m3 is 8.24 kPa, and 22 kPa are 2.7 times that (worked by hand)."""
    at = one(found(under_pressure, {PressureTest: [pressed(22.0)]}), TEST)
    assert any("2.7 times that" in line for line in at.working)


def test_sys_04_information_for_water_without_a_limit_of_the_builder():
    both = found(under_pressure, {PressureTest: [pressed(content="fresh water")]})
    assert one(both, TEST).verdict is INFORMATION
    assert one(both, HELD).verdict is INFORMATION


def test_the_builder_sets_the_pressure_of_a_water_tank_and_its_time():
    mine = [specified("SYS-04", TEST, "kPa", low=15.0), specified("SYS-04", HELD, "min", low=45.0)]
    both = found(under_pressure, {PressureTest: [pressed(content="fresh water")]}, mine)
    assert one(both, TEST).verdict is PASS
    assert one(both, HELD).verdict is FAIL


def test_a_lower_pressure_of_the_builder_leaves_the_published_one_beside_it():
    mine = [specified("SYS-04", TEST, "kPa", low=10.0)]
    both = found(under_pressure, {PressureTest: [pressed(15.0)]}, mine)
    assert one(both, TEST).verdict is PASS
    assert one(both, TEST, role=REFERENCE).verdict is FAIL


def test_sys_04_not_measured_where_planned():
    line = planned("SYS-04", "T2", "systems/pressure_tests.csv")
    both = found(under_pressure, {PressureTest: [pressed()], Planned: [line]})
    assert {f.verdict for f in both if f.key.place == "T2"} == {NOT_MEASURED}


def test_sys_04_no_record_without_a_table():
    assert {f.verdict for f in found(under_pressure, {PressureTest: []})} == {NO_RECORD}


@pytest.mark.parametrize(("inside", "verdict"), [(False, PASS), (True, FAIL), (None, INCONCLUSIVE)])
def test_sys_05_pass_or_fail_or_inconclusive_by_what_was_found_inside(inside, verdict):
    assert one(found(under_the_jet, {HoseTest: [hosed(inside)]}), TIGHT, "K1").verdict is verdict


@pytest.mark.parametrize(
    ("pressure", "verdict"), [(0.22, PASS), (0.205, CONDITIONAL_PASS), (0.195, CONDITIONAL_FAIL), (0.18, FAIL)]
)
def test_sys_05_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_jet(pressure, verdict):
    """At least 0.2 MPa by rules of a class society (read); U is 0.01 MPa."""
    at = one(found(under_the_jet, {HoseTest: [hosed(pressure=pressure)]}), JET)
    assert (limit_of(at).low, expanded(at)) == (near(0.2), near(0.01))
    assert at.verdict is verdict


@pytest.mark.parametrize("cells", [{"distance": 1.6}, {"nozzle": 11.9}, {"pressure": 0.15}])
def test_sys_05_inconclusive_where_the_test_was_milder_than_asked(cells):
    """1.5 m by rules of a class society (read), 12 mm by a test procedure for ships (from memory)."""
    at = one(found(under_the_jet, {HoseTest: [hosed(**cells)]}), TIGHT)
    assert at.verdict is INCONCLUSIVE
    assert one(found(under_the_jet, {HoseTest: [hosed(True, **cells)]}), TIGHT).verdict is FAIL


def test_a_jet_from_just_the_farthest_place_and_the_narrowest_nozzle_counts():
    at = one(found(under_the_jet, {HoseTest: [hosed(distance=1.5, nozzle=12.0)]}), TIGHT)
    assert at.verdict is PASS
    assert not said(at, "milder")


def test_sys_05_not_measured_where_planned():
    line = planned("SYS-05", "K2", "systems/hose_tests.csv")
    both = found(under_the_jet, {HoseTest: [hosed()], Planned: [line]})
    assert {f.verdict for f in both if f.key.place == "K2"} == {NOT_MEASURED}


def test_sys_05_no_record_without_a_table():
    assert {f.verdict for f in found(under_the_jet, {HoseTest: []})} == {NO_RECORD}
