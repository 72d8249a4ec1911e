"""What the charts of balance, room and slip say and hold, on synthetic rows."""

from __future__ import annotations

from typing import Any, cast

from buildbook.chapters.propeller.checks.balance import balanced
from buildbook.chapters.propeller.checks.clearance import cleared
from buildbook.chapters.propeller.checks.slip import SLIP, slipped
from buildbook.chapters.propeller.drive_charts import drive_charts
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.chart import Chart
from tests.chapters.propeller.blade_folder import Rows
from tests.chapters.propeller.drive_folder import afloat, balance, gap, run, trial
from tests.chapters.propeller.test_checks_clearance import DRIVES
from tests.chapters.small_folder import near, specified


def drawn(tables: Rows | None = None, mine: Any = ()) -> dict[str, Chart]:
    evidence = afloat(tables, mine)
    findings = tuple(finding for judge in (balanced, cleared, slipped) for finding in judge(evidence))
    return {chart.check: chart for chart in drive_charts(evidence, findings)}


def test_balance_before_and_after():
    rows = [balance(50.0, speed=930.0), balance(5.0, speed=930.0, attempt=2), balance(8.0, speed=930.0, propeller="P2")]
    chart = drawn({Balance: rows})["PRO-12"]
    left, before = chart.series
    assert (left.name, before.name, before.style) == ("as left", "before correction", "hollow dots")
    assert left.x == ("P1 static", "P2 static")
    assert before.x == ("P1 static",)
    assert before.y[0] == near(10.0 * cast(float, left.y[0]))
    assert chart.title.startswith("Balance as left: the coarsest is P2 static")
    assert [rule.words for rule in chart.rules] == ["at most 6.3, common practice"]


def test_room_beside_both_references():
    chart = drawn({Drive: DRIVES, Clearance: [gap(180.0), gap(165.0, propeller="P2")]})["PRO-15"]
    assert chart.title == "Room at the blade tips: the least is 16.50 ± 0.25 % of the diameter, Propeller P2"
    assert [(round(rule.value, 1), rule.forbidden) for rule in chart.rules] == [(15.0, "below"), (27.2, "none")]
    assert chart.rules[1].words == "class recommendation, 27.2"


def test_slip_by_setting_with_the_doubtful_ones_hollow():
    runs = [*trial()[TrialRun], run("R3", 60.0, 20.0, "slow")]
    shafts = [*trial()[ShaftSpeed]]
    shafts += [{**row, "run": "R3"} for row in shafts[:2]]
    mine = [specified("PRO-16", SLIP, "%", 10.0, 20.0, condition="full")]
    chart = drawn({TrialRun: runs, ShaftSpeed: shafts}, mine)["PRO-16"]
    assert [(one.name, one.style, one.x) for one in chart.series] == [
        ("Propeller P1", "dots", ("full",)),
        ("Propeller P1", "hollow dots", ("slow (one course only)",)),
        ("Propeller P2", "dots", ("full",)),
        ("Propeller P2", "hollow dots", ("slow (one course only)",)),
    ]
    assert chart.title == "Apparent slip on trial: from 15.0 % to 33.3 %"
    assert {(rule.value, rule.start) for rule in chart.rules} == {(10.0, "full"), (20.0, "full")}


def test_the_axis_of_slip_begins_at_zero_but_where_a_slip_lies_below_it():
    """30 kn without slip: 25.5 kn are 15 %; 31 kn are -3.3 % (worked by hand)."""
    assert drawn()["PRO-16"].y.low == 0.0
    assert drawn(trial(31.0))["PRO-16"].y.low is None


def test_nothing_is_drawn_of_nothing():
    assert drawn({Balance: [], Clearance: [], TrialRun: []}) == {}
