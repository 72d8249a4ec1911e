"""SYS-01 to SYS-03: every verdict, on synthetic rows; U worked by hand. The window of 93 to 97 % is a builder's."""

from __future__ import annotations

import math

import pytest

from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.systems.checks.fuel import (
    ALARM,
    DISPLAY,
    DRY,
    NO_ALARM,
    NO_TRIM,
    NOT_EMPTY,
    SENDER,
    STEPS,
    filled,
    shown,
    vents,
)
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    expanded,
    instrument,
    near,
    one,
    planned,
    said,
    specified,
    value,
)
from tests.chapters.systems.systems_folder import FuelFill, Rows, SenderReading, fill, found, sender_rows

WINDOW = specified("SYS-01", ALARM, "%", 93.0, 97.0)
OFF = [specified("SYS-03", name, "%", high=4.0) for name in (SENDER, DISPLAY)]


@pytest.mark.parametrize(
    ("alarm", "verdict"), [(950.0, PASS), (965.0, CONDITIONAL_PASS), (975.0, CONDITIONAL_FAIL), (990.0, FAIL)]
)
def test_sys_01_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_window(alarm, verdict):
    """U of both readings is 10 L of 1000 L: U = sqrt(1 + (alarm/1000)^2) % (worked by hand)."""
    at = one(found(filled, {FuelFill: [fill(alarm)]}, [WINDOW]), ALARM, "T1")
    assert value(at) == near(alarm / 10.0)
    assert expanded(at) == near(math.hypot(1.0, alarm / 1000.0), rel=1e-6)
    assert at.verdict is verdict
    assert at.observed == f"{alarm:g} L of 1000 L"


def test_sys_01_information_without_a_window_of_the_builder():
    at = one(found(filled, {FuelFill: [fill()]}), ALARM)
    assert at.verdict is INFORMATION


def test_sys_01_fail_where_no_alarm_came():
    at = one(found(filled, {FuelFill: [fill(None)]}, [WINDOW]), ALARM)
    assert at.verdict is FAIL
    assert said(at, NO_ALARM)


def test_the_side_of_heel_and_trim_is_said_in_words():
    at = one(found(filled, {FuelFill: [fill(heel=-2.1, trim=-0.4)]}), ALARM)
    assert "heel to port 2.1° and trim by the stern 0.4°" in at.working
    upright = one(found(filled, {FuelFill: [fill(heel=0.3, trim=0.0)]}), ALARM)
    assert "heel to starboard 0.3° and trim by the bow 0°" in upright.working


@pytest.mark.parametrize(
    ("cells", "words"), [({"emptied": False}, NOT_EMPTY), ({"heel": None}, NO_TRIM), ({"trim": None}, NO_TRIM)]
)
def test_sys_01_inconclusive_where_the_capacity_or_her_lie_is_not_known(cells, words):
    at = one(found(filled, {FuelFill: [fill(**cells)]}, [WINDOW]), ALARM)
    assert at.verdict is INCONCLUSIVE
    assert said(at, words)


@pytest.mark.parametrize(
    ("cells", "verdict", "words"),
    [
        ({}, PASS, "all three done"),
        ({"slowed": False}, FAIL, "not flow slowed"),
        ({"shut": None}, INCONCLUSIVE, "not written down: shut off at full"),
        ({"shut": None, "silenced": False}, FAIL, "not silenced"),
    ],
)
def test_sys_01_pass_or_fail_or_inconclusive_by_the_three_steps(cells, verdict, words):
    steps = one(found(filled, {FuelFill: [fill(**cells)]}), STEPS)
    assert steps.verdict is verdict
    assert words in steps.observed


def test_sys_01_not_measured_where_a_tank_was_planned_and_never_filled():
    line = planned("SYS-01", "T2", "systems/fuel_fills.csv")
    both = found(filled, {FuelFill: [fill()], Planned: [line]}, [WINDOW])
    assert {f.verdict for f in both if f.key.place == "T2"} == {NOT_MEASURED}
    assert {f.key.quantity for f in both if f.key.place == "T2"} == {ALARM, STEPS}


def test_sys_01_no_record_without_a_table():
    assert {f.verdict for f in found(filled, {FuelFill: []})} == {NO_RECORD}


def test_a_second_trial_whose_first_row_is_lost_is_still_the_second():
    lost = {FuelFill: [{"tank": "T1", "attempt": 1}]}
    both = found(filled, {FuelFill: [fill(attempt=2)]}, [WINDOW], unread=lost)
    assert one(both, ALARM, attempt=1).verdict is INCONCLUSIVE
    assert one(both, ALARM, attempt=2).verdict is PASS


@pytest.mark.parametrize(
    ("vent", "verdict"),
    [("dry the whole time", PASS), ("fuel came out", FAIL), ("not watched the whole time", INCONCLUSIVE)],
)
def test_sys_02_pass_or_fail_or_inconclusive_by_what_came_out(vent, verdict):
    at = one(found(vents, {FuelFill: [fill(vents=vent)]}), DRY, "T1")
    assert at.verdict is verdict
    assert at.observed == vent


def test_sys_02_not_measured_where_nobody_wrote_it_down():
    assert one(found(vents, {FuelFill: [fill(vents=None)]}), DRY).verdict is NOT_MEASURED


def test_sys_02_no_record_without_a_table():
    assert one(found(vents, {FuelFill: []}), DRY).verdict is NO_RECORD


@pytest.mark.parametrize(
    ("off", "verdict"),
    [(2.0, PASS), (-2.0, PASS), (3.5, CONDITIONAL_PASS), (-4.5, CONDITIONAL_FAIL), (6.0, FAIL)],
)
def test_sys_03_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_largest_difference(off, verdict):
    """At a quarter: U = sqrt(1 + 0.25^2) % of the meter, and next to nothing of the step (worked by hand)."""
    rows: Rows = {FuelFill: [fill()], SenderReading: sender_rows(off, 1.0)}
    both = found(shown, rows, OFF)
    at = one(both, SENDER, "T1")
    assert value(at) == near(abs(off))
    assert expanded(at) == near(math.hypot(1.0, 0.25), abs=1e-4)
    assert at.verdict is verdict
    assert value(one(both, DISPLAY, "T1")) == near(1.0)


def test_the_step_of_the_display_is_part_of_its_uncertainty():
    """A step of 2 % has u = 2/sqrt(12) = 0.577 % (JCGM 100:2008, 4.3.7, from memory)."""
    rows: Rows = {FuelFill: [fill()], SenderReading: sender_rows(1.0, 1.0, display_step=2.0)}
    both = found(shown, rows, OFF)
    beside = 2.0 * math.hypot(math.hypot(1.0, 0.25) / 2.0, 2.0 / math.sqrt(12.0))
    assert expanded(one(both, DISPLAY)) == near(beside, abs=1e-4)
    assert expanded(one(both, SENDER)) == near(math.hypot(1.0, 0.25), abs=1e-4)


def test_sys_03_information_without_a_limit_of_the_builder():
    rows: Rows = {FuelFill: [fill()], SenderReading: sender_rows()}
    assert {f.verdict for f in found(shown, rows)} == {INFORMATION}


@pytest.mark.parametrize("kept", [slice(1, None), slice(0, 4), slice(0, 5, 2)])
def test_sys_03_inconclusive_where_the_readings_do_not_span_the_tank(kept):
    """Near empty, near full and five in all: a rule of this book, no source."""
    rows: Rows = {FuelFill: [fill()], SenderReading: sender_rows()[kept]}
    found_here = found(shown, rows, OFF)
    assert {f.verdict for f in found_here} == {INCONCLUSIVE}
    assert all(said(f, "do not span the whole tank") for f in found_here)


def test_sys_03_inconclusive_where_the_filling_is_lost():
    rows: Rows = {FuelFill: [], SenderReading: sender_rows()}
    assert {f.verdict for f in found(shown, rows, OFF)} == {INCONCLUSIVE}


def test_sys_03_not_measured_where_planned_and_no_record_without_a_table():
    line = planned("SYS-03", "T2", "systems/sender_readings.csv")
    rows: Rows = {FuelFill: [fill()], SenderReading: sender_rows(), Planned: [line]}
    assert {f.verdict for f in found(shown, rows, OFF) if f.key.place == "T2"} == {NOT_MEASURED}


def test_sys_03_no_record_without_a_table():
    assert {f.verdict for f in found(shown, {SenderReading: []})} == {NO_RECORD}


def meters(step, *more):
    """The meter of these tests with a step, and other tools."""
    return [instrument("FM-01", "volume of fuel", "L", 6.0, range_low=0, range_high=5000, resolution=step), *more]


def test_the_calibration_of_one_meter_nearly_cancels_in_the_level():
    """At 950 of 1000 L: 4 L and a step of 0.1 L at each, by 1 and 0.95; 3 L of calibration by 0.05 (in 0.1 %)."""
    rows: Rows = {FuelFill: [fill(950.0)], Instrument: meters(0.1)}
    each = math.hypot(4.0, 0.1 / math.sqrt(12.0)) * math.hypot(1.0, 0.95)
    by_hand = 2.0 * 0.1 * math.hypot(each, 3.0 * 0.05)
    assert expanded(one(found(filled, rows, [WINDOW]), ALARM)) == near(by_hand, rel=1e-6)


def test_the_calibration_counts_apart_where_another_meter_found_the_capacity():
    """At 250 of 1000 L with one meter: 3 L by 0.75. With two: 3 L by 1, and 5 L by 0.25, apart (in 0.1 %)."""
    other = instrument("FM-02", "volume of fuel", "L", 10.0, range_low=0, range_high=5000, resolution=0.1)
    step, moment = 0.1 / math.sqrt(12.0), 4.0
    each = math.hypot(step, moment) * math.hypot(1.0, 0.25)
    for name, common in (("FM-01", (3.0 * 0.75,)), ("FM-02", (3.0, 5.0 * 0.25))):
        rows: Rows = {FuelFill: [fill(instrument=name)], SenderReading: sender_rows(2.0)}
        at = one(found(shown, {**rows, Instrument: meters(0.1, other)}, OFF), SENDER)
        assert expanded(at) == near(0.2 * math.hypot(each, *common), abs=1e-4)
        assert set(at.instruments) == {"FM-01", name}


@pytest.mark.parametrize(("step", "verdict"), [(0.1, PASS), (None, CONDITIONAL_PASS)])
def test_a_meter_without_its_step_passes_conditionally_at_best(step, verdict):
    rows: Rows = {FuelFill: [fill()], SenderReading: sender_rows(), Instrument: meters(step)}
    both = [one(found(filled, rows, [WINDOW]), ALARM), *found(shown, rows, OFF)]
    assert {at.verdict for at in both} == {verdict}
    assert all(said(at, "smallest step of FM-01") is (step is None) for at in both)


def test_a_meter_without_a_row_holds_the_level_at_inconclusive():
    at = one(found(filled, {FuelFill: [fill()], Instrument: []}, [WINDOW]), ALARM)
    assert at.verdict is INCONCLUSIVE
    assert said(at, "FM-01")
