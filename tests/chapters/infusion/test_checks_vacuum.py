"""INF-01 and INF-02: every verdict, on synthetic rows. The vacuum gauge has U = 1 mbar (k = 2), no resolution."""

from __future__ import annotations

import math
from typing import Any

import pytest

from buildbook.chapters.infusion.checks.vacuum import (
    AFTER_GEL,
    COOLED,
    LARGEST,
    RISE,
    drop_tests,
    vacuum_held,
)
from buildbook.chapters.infusion.records import DropReading, Infusion, LogReading
from buildbook.chapters.infusion.subjects import INTERVAL
from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.core.finding import Finding
from buildbook.core.quantity import Kind
from tests.chapters.infusion.infusion_folder import TOOLS, at, drop, folder, infusion, log
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
    instrument,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)


def dropped(tables: Any = None, mine: Any = (), **more: Any) -> list[Finding]:
    return list(drop_tests(folder(tables, mine, **more)))


def held(tables: Any = None, mine: Any = (), **more: Any) -> list[Finding]:
    return list(vacuum_held(folder(tables, mine, **more)))


# --- INF-01 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rise", "verdict"), [(8.0, PASS), (9.5, CONDITIONAL_PASS), (10.5, CONDITIONAL_FAIL), (13.0, FAIL)]
)
def test_inf_01_pass_or_conditional_pass_or_conditional_fail_or_fail_by_practice(rise, verdict):
    """Practice: at most 1 mbar/min. Over 10 minutes; U = sqrt(2) * 1 mbar / 10 min = 0.141 (worked by hand)."""
    found = one(dropped({DropReading: drop((20, 24, 25, 26, 25 + rise))}), RISE, "P")
    assert value(found) == near(rise / 10.0)
    assert expanded(found) == near(math.sqrt(2.0) / 10.0)
    assert limit_of(found).high == 1.0
    assert found.verdict is verdict
    assert said(found, "common practice is used")
    assert found.observed == "over 10 min"


def test_a_log_that_differs_from_the_test_by_more_than_both_are_unsure_of_is_told():
    """U of each is 1 mbar, of the difference 1.41 mbar; the first reading of the test is 20 mbar (worked by hand)."""

    def beside(first: float) -> Finding:
        as_tested = {at(7): first, at(7, 10): 25.0, at(7, 20): 26.0}
        return one(dropped({LogReading: log(pressure=lambda moment: as_tested.get(moment, 30.0))}), RISE, "P")

    assert not said(beside(21.4), "They differ")
    assert said(beside(21.5), "At 2025-10-01 07:00 the log has 21.5 mbar and the test 20.0 mbar. They differ")
    assert beside(21.5).verdict is beside(21.4).verdict
    late = [row for row in log(pressure=60.0) if row["at"] > at(8)]
    assert not said(one(dropped({LogReading: late}), RISE, "P"), "They differ")


def test_the_published_criterion_stands_beside_and_practice_is_told():
    """The distributor's 6.77 mbar/min pass what the builder turns down."""
    found = dropped({DropReading: drop((20, 24, 25, 26, 45))}, [specified("INF-01", RISE, "mbar/min", high=0.5)])
    governing, beside = one(found, RISE), one(found, RISE, role=REFERENCE)
    assert (governing.verdict, beside.verdict) == (FAIL, PASS)
    assert limit_of(beside).high == 6.77
    assert limit_of(governing).high == 0.5
    assert said(governing, "Common practice with large hulls, no source: at most 1 mbar/min")


def test_the_first_minutes_do_not_count():
    """40 mbar in the first half and 1 mbar in the last 10 minutes: gas that leaves the glass."""
    assert value(one(dropped({DropReading: drop((20, 50, 60, 60.5, 61))}), RISE)) == near(0.1)


def test_a_rise_below_two_digits_of_the_gauge_is_a_bound_and_said():
    """Two digits of 1 mbar in 10 minutes: at most 0.2 mbar/min, whatever the gauge showed."""
    coarse = [instrument("VG", "bag pressure", "mbar", 1.0, resolution=1.0), *TOOLS[1:]]
    found = one(dropped({Instrument: coarse, DropReading: drop((20, 24, 25, 25, 26))}), RISE)
    assert found.measured is not None
    assert found.measured.kind is Kind.AT_MOST
    assert value(found) == near(0.2)
    assert found.observed == "below resolution, over 10 min"
    assert said(found, "less than two digits of the gauge, 2 mbar")
    assert found.verdict is PASS
    shown = one(dropped({Instrument: coarse, DropReading: drop((20, 24, 25, 25, 27))}), RISE)
    assert shown.measured is not None
    assert shown.measured.kind is Kind.MEASURED


def test_a_gauge_below_the_barometer_needs_the_barometer():
    """1008 mbar less 28.9 inHg are 29.33 mbar (W20): a gauge that falls by 1 mbar is a bag that rises by 1 mbar."""
    below: dict[str, Any] = {"reads": "below the barometer", "barometer": 1008.0, "barometer_gauge": "BG"}
    readings = (983.0, 981.0, 28.9 * 33.8639, 978.0, 28.9 * 33.8639 - 1.0)
    found = one(dropped({DropReading: drop(readings, **below)}), RISE)
    assert value(found) == near(0.1)
    assert any("= 29.3 mbar" in line for line in found.working)
    assert "BG" in found.instruments
    # Gauge U = 1 mbar and barometer U = 0.5 mbar at both ends: sqrt(2 (1 + 0.25)) / 10 min (worked by hand).
    assert expanded(found) == near(math.sqrt(2.5) / 10.0)


def test_inf_01_inconclusive_where_the_pressure_fell_with_the_pump_shut_off():
    """U of the fall is sqrt(2) mbar: 1 mbar may be the gauge, 5 mbar are not (worked by hand)."""
    assert one(dropped({DropReading: drop((20, 24, 25, 24.5, 24))}), RISE).verdict is PASS
    found = one(dropped({DropReading: drop((20, 24, 25, 22, 20))}), RISE)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "fell by 5.0 mbar")


def test_inf_01_inconclusive_with_too_few_readings_or_after_resin():
    assert one(dropped({DropReading: drop((20, 21))}), RISE).verdict is INCONCLUSIVE
    late = [{**row, "at": row["at"].replace(hour=9)} for row in drop()]
    found = one(dropped({DropReading: late}), RISE)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "after resin was let in")
    assert one(dropped({Infusion: []}), RISE).verdict is INCONCLUSIVE


def test_inf_01_not_measured_or_no_record_where_nothing_was_read():
    other = [{**row, "part": "Q"} for row in drop()]
    assert one(dropped({DropReading: other}), RISE, "P").verdict is NOT_MEASURED
    line = [planned("INF-01", "Z", "infusion/drop_tests.csv", 5)]
    assert one(dropped({Planned: line}), RISE, "Z").verdict is NOT_MEASURED
    assert one(dropped({DropReading: []}), RISE, "P").verdict is NO_RECORD


def test_both_attempts_are_shown():
    again = [{**row, "attempt": 2, "at": row["at"].replace(minute=row["at"].minute + 25)} for row in drop()]
    found = dropped({DropReading: [*drop((20, 30, 40, 50, 60)), *again]})
    assert one(found, RISE, attempt=1).verdict is FAIL
    assert one(found, RISE, attempt=2).verdict is PASS


# --- INF-02 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pressure", "verdict"), [(98.0, PASS), (99.5, CONDITIONAL_PASS), (100.5, CONDITIONAL_FAIL), (102.0, FAIL)]
)
def test_inf_02_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_largest(pressure, verdict):
    """U = 1 mbar: one reading after fill stands out."""
    peaked = log(pressure=lambda moment: pressure if moment == at(12) else 30.0)
    found = held({LogReading: peaked}, [specified("INF-02", LARGEST, "mbar", high=100.0)])
    largest = one(found, LARGEST)
    assert value(largest) == pressure
    assert expanded(largest) == near(1.0)
    assert largest.verdict is verdict


def test_what_was_before_fill_or_after_release_does_not_count():
    before = log(pressure=lambda moment: 900.0 if moment < at(9) else 30.0)
    assert value(one(held({LogReading: before}), LARGEST)) == 30.0


def test_inf_02_information_where_nobody_set_a_limit():
    assert one(held(), LARGEST).verdict is INFORMATION
    assert one(held(), COOLED).verdict is INFORMATION


def test_inf_02_inconclusive_over_a_gap_of_the_log():
    holed = [row for row in log() if not at(12) < row["at"] < at(13)]
    found = held({LogReading: holed}, [specified("INF-02", LARGEST, "mbar", high=100.0)])
    assert one(found, LARGEST).verdict is INCONCLUSIVE
    assert said(one(found, LARGEST), "No reading from 2025-10-01 12:00 to 2025-10-01 13:00")
    stretch = one(found, INTERVAL)
    assert value(stretch) == 60.0
    assert stretch.verdict is FAIL
    assert one(held({LogReading: holed}, [specified("INF-02", INTERVAL, "min", high=90.0)]), INTERVAL).verdict is PASS


def holed(*between: tuple[Any, Any]) -> list[dict[str, Any]]:
    """The log with no reading inside some stretches."""
    return [row for row in log() if not any(start < row["at"] < end for start, end in between)]


@pytest.mark.parametrize(
    ("asked", "verdict", "number"),
    [
        (240.0, INCONCLUSIVE, 180.0),  # gelled at 10, let go at 16, nothing read from 12 to 13: 2 h and 3 h
        (170.0, PASS, 180.0),  # three hours without a gap are enough by themselves
        (400.0, FAIL, 360.0),  # too short, whatever was read
    ],
)
def test_inf_02_inconclusive_where_a_gap_after_gel_leaves_too_little(asked, verdict, number):
    mine = [specified("INF-02", AFTER_GEL, "min", low=asked)]
    found = one(held({LogReading: holed((at(12), at(13)))}, mine), AFTER_GEL)
    assert found.verdict is verdict
    assert value(found) == number
    if verdict is INCONCLUSIVE:
        assert said(found, "No reading from 2025-10-01 12:00 to 2025-10-01 13:00")
        assert "without a gap in the log: 120, 180 min; the longest counts" in found.working


def test_nobody_knows_of_the_time_after_gel_that_no_log_tells_of():
    mine = [specified("INF-02", AFTER_GEL, "min", low=240.0)]
    found = one(held({LogReading: holed((at(9, 50), at(16, 10)))}, mine), AFTER_GEL)
    assert (found.verdict, value(found)) == (INCONCLUSIVE, 0.0)
    assert one(held({LogReading: []}, mine), AFTER_GEL).verdict is INCONCLUSIVE
    twice = one(held({LogReading: holed((at(11), at(12)), (at(13), at(14)))}, mine), AFTER_GEL)
    assert value(twice) == 120.0


def test_the_log_has_to_run_from_bag_up_to_the_end():
    late = [row for row in log() if row["at"] >= at(7)]
    assert value(one(held({LogReading: late}), INTERVAL)) == 60.0
    short = [row for row in log() if row["at"] <= at(14)]
    assert value(one(held({LogReading: short}), INTERVAL)) == 120.0
    assert one(held({LogReading: short}), COOLED).verdict is INCONCLUSIVE


def test_time_after_gel_and_temperature_at_the_end():
    """10 to 16 o'clock; 60 degC at 11, 10 K less an hour later, 20 degC from 15 o'clock (worked by hand)."""
    found = held(mine=[specified("INF-02", COOLED, "degC", high=40.0)])
    assert value(one(found, AFTER_GEL)) == 360.0
    assert one(found, AFTER_GEL).verdict is PASS
    assert value(one(found, COOLED)) == 20.0
    assert one(found, COOLED).verdict is PASS
    soon = held({Infusion: [infusion(released=at(12))]}, [specified("INF-02", COOLED, "degC", high=40.0)])
    assert value(one(soon, COOLED)) == 50.0
    assert one(soon, COOLED).verdict is FAIL


@pytest.mark.parametrize("name", ["filled", "gelled", "released"])
def test_inf_02_no_record_of_a_moment_that_was_not_written_down(name):
    found = held({Infusion: [infusion(**{name: None})]})
    gone = {"filled": LARGEST, "gelled": AFTER_GEL, "released": INTERVAL}[name]
    assert one(found, gone).verdict is NO_RECORD
    assert said(one(found, gone), "was not written down")


def test_inf_02_no_record_without_a_log_or_an_infusion():
    for quantity in (INTERVAL, LARGEST, COOLED):
        assert one(held({LogReading: []}), quantity).verdict is NO_RECORD
    assert {finding.verdict for finding in held({Infusion: []})} == {NO_RECORD}
