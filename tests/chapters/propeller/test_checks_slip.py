"""PRO-16: every verdict, on synthetic runs. 30 kn without slip at 926 r/min and 1000 mm, worked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.propeller.blade_records import BladeReading
from buildbook.chapters.propeller.checks.slip import BESIDE, SLIP, slipped
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.records import PitchReading, Propeller
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.finding import Finding
from tests.chapters.propeller.blade_folder import Rows, whole
from tests.chapters.propeller.drive_folder import BOTH, TOOLS, afloat, of, pitches, run, shaft, tips, trial
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
    near,
    one,
    said,
    specified,
    value,
)

MINE = [specified("PRO-16", SLIP, "%", 10.0, 20.0, condition="full")]


def found(tables: Rows | None = None, mine: Any = (), unread: Rows | None = None) -> list[Finding]:
    return list(slipped(afloat(tables, mine, unread)))


@pytest.mark.parametrize(
    ("speed", "slip", "verdict"),
    [(25.5, 15.0, PASS), (26.85, 10.5, CONDITIONAL_PASS), (27.15, 9.5, CONDITIONAL_FAIL), (28.5, 5.0, FAIL)],
)
def test_pro_16_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_builders_window(speed, slip, verdict):
    at = one(found(trial(speed), MINE), SLIP, "P1")
    assert value(at) == near(slip)
    assert at.verdict is verdict


def test_uncertainty_of_the_slip():
    """At 25.5 kn: 0.3 kn are 1.00 % and 2.83 mm of pitch 0.24 % of slip; together 1.03 % (worked by hand)."""
    at = one(found(), SLIP, "P1")
    assert value(at) == near(15.0)
    assert expanded(at) == near(1.028, abs=0.001)
    assert at.method == "mean of both courses"


def test_pro_16_information_where_nobody_sets_a_window():
    """Usual is 10 to 25 %, common practice, no source."""
    at = one(found(), SLIP, "P1")
    assert at.verdict is INFORMATION
    assert said(at, "at speed is usually 10 % to 25 %")
    assert not said(at, "outside of that")
    assert said(one(found(trial(22.0)), SLIP, "P1"), "outside of that")
    for fast in (28.8, 31.0):  # 4 % and below zero
        assert said(one(found(trial(fast)), SLIP, "P1"), "not the real one")


def test_a_day_with_a_current_is_averaged_out():
    """28.5 kn there and 22.5 kn back are 25.5 kn: 15 %. Three runs there count once, as one course."""
    runs = [run("R1", 60.0, 28.5), run("R2", 242.0, 22.5), run("R3", 58.0, 28.5)]
    rows = [shaft(name, side) for name in ("R1", "R2", "R3") for side in ("P1", "P2")]
    assert value(one(found({TrialRun: runs, ShaftSpeed: rows}), SLIP, "P1")) == near(15.0)


@pytest.mark.parametrize(("course", "held"), [(240.0, False), (226.0, False), (224.0, True), (60.0, True)])
def test_pro_16_inconclusive_on_one_course_only(course, held):
    runs: Rows = {TrialRun: [run("R1", 60.0, 25.5), run("R2", course, 25.5)]}
    at = one(found(runs, MINE), SLIP, "P1")
    assert at.verdict is (INCONCLUSIVE if held else PASS)
    assert said(at, "opposite course") == held


def test_courses_about_north():
    runs: Rows = {TrialRun: [run("R1", 355.0, 25.5), run("R2", 170.0, 25.5)]}
    assert one(found(runs, MINE), SLIP, "P1").verdict is PASS


def test_settings_do_not_mix():
    runs = [run("R1", 60.0, 25.5), run("R2", 240.0, 25.5, "cruise")]
    every = found({TrialRun: runs}, MINE)
    assert [f.key.condition for f in every if f.key.place == "P1"] == ["full", "cruise"]
    assert {f.verdict for f in every if f.key.place == "P1"} == {INCONCLUSIVE}


def test_the_pitch_as_left_counts_and_that_of_the_order_holds():
    """1020 mm as left: 30.6 kn without slip, so 25.5 kn are 16.67 % (worked by hand). As ordered: 15 %, and held."""
    steep: Rows = {PitchReading: pitches(1020.0, 1020.0)}
    assert value(one(found(steep), SLIP, "P1")) == near(100.0 * (1.0 - 25.5 / 30.6))
    unmeasured: Rows = {PitchReading: of("P2", whole())}
    at = one(found(unmeasured, MINE), SLIP, "P1")
    assert value(at) == near(15.0)
    assert at.verdict is INCONCLUSIVE
    assert said(at, "The pitch was not measured")


def test_rows_that_are_missing_hold_it():
    lone: Rows = {ShaftSpeed: [shaft("R1"), *(shaft(name, "P2") for name in ("R1", "R2"))]}
    at = one(found(lone, MINE), SLIP, "P1")
    assert at.verdict is INCONCLUSIVE
    assert said(at, "No shaft speed of P1 can be used in R2")
    unknown: Rows = {Instrument: [row for row in TOOLS if row["instrument"] != "GP-01"]}
    assert one(found(unknown, MINE), SLIP, "P1").verdict is INCONCLUSIVE
    assert one(found({Propeller: [BOTH[1]]}, MINE), SLIP, "P1").verdict is INCONCLUSIVE
    geared = one(found({Drive: []}, MINE), SLIP, "P1")
    assert geared.verdict is INCONCLUSIVE
    assert said(geared, "mixed-up speeds would not be noticed")
    bare = [{**row, "engine_speed": None} for row in trial()[ShaftSpeed]]
    assert one(found({Drive: [], ShaftSpeed: bare}, MINE), SLIP, "P1").verdict is PASS


def test_conditions_that_nobody_wrote_down_are_said():
    runs = [run("R1", 60.0, 25.5), run("R2", 240.0, 25.5, depth=None, wind=None)]
    at = one(found({TrialRun: runs}), SLIP, "P1")
    assert said(at, "Not recorded for every run: depth of water and wind.")
    assert any("R1, course 60°" in line and "depth 24 m" in line for line in at.working)


def test_equal_pitch_and_unequal_slip_are_told():
    """Starboard turns 970 r/min for the same speed: 31.43 kn without slip, 18.9 % (worked by hand)."""
    at = one(found(trial(25.5, 926.0, 970.0)), BESIDE)
    assert value(at) == near(15.0 - 100.0 * (1.0 - 25.5 / (970.0 * 60.0 / 1852.0)))
    assert at.verdict is INFORMATION
    assert said(at, "the same pitch and yet their slips differ")
    assert not said(one(found(), BESIDE), "slips differ")
    steep: Rows = {**trial(25.5, 926.0, 970.0), PitchReading: pitches(1050.0, 1000.0)}
    assert not said(one(found(steep), BESIDE), "slips differ")


def test_the_doubt_in_the_speed_over_ground_counts_for_neither_side():
    """2 x 0.12 % from the two pitches alone, as standard uncertainties: U = 0.34 % (worked by hand)."""
    assert expanded(one(found(), BESIDE)) == near(0.34, abs=0.001)
    mine = [specified("PRO-16", BESIDE, "%", -1.0, 1.0)]
    assert one(found(None, mine), BESIDE).verdict is PASS


@pytest.mark.parametrize(
    ("tables", "unread"),
    [
        ({Propeller: [BOTH[0]]}, {Propeller: [{"propeller": "P2"}]}),
        ({Propeller: [BOTH[0]]}, {}),
        ({Propeller: [BOTH[0], {**BOTH[1], "side": "port"}]}, {}),
    ],
    ids=["its row lost", "its row gone", "both port"],
)
def test_pro_16_inconclusive_beside_a_side_that_is_lost(tables, unread):
    mine = [specified("PRO-16", BESIDE, "%", -1.0, 1.0)]
    assert one(found(trial(25.5, 926.0, 970.0), mine), BESIDE).verdict is FAIL
    at = one(found({**trial(25.5, 926.0, 970.0), **tables}, mine, unread), BESIDE)
    assert at.verdict is INCONCLUSIVE
    assert at.limit is not None


def test_one_propeller_has_no_other_side_to_set_beside_it():
    kinds: Rows = {kind: [] for kind in (Balance, Clearance, Drive)}
    alone: Rows = {Propeller: [{**BOTH[0], "side": "centre"}], PitchReading: whole(), BladeReading: tips()[:3], **kinds}
    shafts: Rows = {ShaftSpeed: [shaft(name) for name in ("R1", "R2")]}
    assert not [f for f in found({**alone, **shafts}) if f.key.quantity == BESIDE]


def test_both_sides_are_asked_for_without_a_run_where_the_builder_limits_them():
    mine = [specified("PRO-16", BESIDE, "%", -1.0, 1.0)]
    assert one(found({TrialRun: []}, mine), BESIDE).verdict is NO_RECORD


def test_pro_16_not_measured_or_no_record():
    third: Rows = {Propeller: [*BOTH, {**BOTH[0], "propeller": "P3", "side": "centre"}]}
    assert one(found(third), SLIP, "P3").verdict is NOT_MEASURED
    assert {f.verdict for f in found({TrialRun: []})} == {NO_RECORD}
    assert one(found({ShaftSpeed: []}), SLIP, "P1").verdict is NO_RECORD
