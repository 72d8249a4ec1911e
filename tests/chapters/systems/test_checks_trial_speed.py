"""SYS-13: every verdict, on synthetic runs. The mean of means is the customary method, from memory."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.systems.checks.trial_fuel import FUEL
from buildbook.chapters.systems.checks.trial_speed import SPEED, trial_speed
from buildbook.chapters.systems.records.engine import EngineReading
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.finding import Finding
from buildbook.core.quantity import Kind
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    Tables,
    expanded,
    near,
    one,
    planned,
    said,
    specified,
    value,
)
from tests.chapters.systems.boat_folder import TOOLS, aboard


def run(number: int, speed: float, course: float | None = None, setting: str = "full") -> dict[str, Any]:
    """Runs there and back by their number; the receiver has U = 0.2 kn."""
    heading = course if course is not None else (60.0, 240.0)[number % 2]
    of = {"run": f"R{number}", "setting": setting, "course": heading, "speed": speed, "instrument": "GP-01"}
    return {**of, "at": datetime(2026, 5, 20, 9, 10 * number)}


def flow(number: int, place: str, supply: float, back: float = 0.0) -> dict[str, Any]:
    """One engine in one run; the meter has U = 1 L/h."""
    return {"run": f"R{number}", "place": place, "supply": supply, "back": back, "instrument": "FF-01"}


FOUR = [run(1, 28.4), run(2, 30.2), run(3, 28.4), run(4, 30.2)]
TWO: Tables = {EngineReading: [{"place": place, "attempt": 1, "model": "EM 1"} for place in ("Y3", "Y4")]}
THREE = [run(1, 28.4), run(2, 30.2), run(3, 28.8)]


def found(tables: Tables, mine: Any = (), unread: Any = None) -> list[Finding]:
    return list(trial_speed(aboard(tables, mine, unread)))


def test_three_runs_give_the_mean_of_means() -> None:
    """28.4, 30.2 and 28.8 kn give 29.4 kn (worked example of the customary method, from memory).

    28.4 and 28.8 on one course: s = 0.2828 with one degree, times sqrt(6)/4 is u = 0.1732 kn; beside the receiver's
    0.1 kn it is 0.2 kn with one degree. t = 13.97 (JCGM 100:2008, table G.2), so U = 2.794 kn (worked by hand).
    """
    at = one(found({TrialRun: THREE}), SPEED)
    assert value(at) == near(29.4, abs=0.05)
    assert expanded(at) == near(2.794, abs=0.001)
    assert any("(28.4 + 2 × 30.2 + 28.8) / 4" in line for line in at.working)


@pytest.mark.parametrize(
    ("contract", "verdict"), [(29.0, PASS), (29.2, CONDITIONAL_PASS), (29.4, CONDITIONAL_FAIL), (30.0, FAIL)]
)
def test_sys_13_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_contract(
    contract: float, verdict: Any
) -> None:
    """There and back twice, alike: 29.3 kn, and no scatter beside the receiver's U of 0.2 kn."""
    mine = [specified("SYS-13", SPEED, "kn", low=contract, condition="full")]
    assert one(found({TrialRun: FOUR}, mine), SPEED).verdict is verdict


def test_sys_13_conditional_pass_at_best_where_no_run_was_repeated() -> None:
    """Two runs show no scatter; else a run deleted would make the speed look surer."""
    mine = [specified("SYS-13", SPEED, "kn", low=20.0)]
    pair = one(found({TrialRun: FOUR[:2]}, mine), SPEED)
    assert (pair.verdict, expanded(pair)) == (CONDITIONAL_PASS, near(0.2))
    assert said(pair, "how far runs scatter is not part of U")
    assert one(found({TrialRun: FOUR}, mine), SPEED).verdict is PASS
    above = [specified("SYS-13", SPEED, "kn", low=35.0)]
    assert one(found({TrialRun: FOUR[:2]}, above), SPEED).verdict is FAIL


def test_a_steady_current_is_no_scatter() -> None:
    """28 and 30 kn there and back, twice, each 0.1 kn off the mean of its course.

    s = sqrt(4 × 0.01 / 2) = 0.1414, times sqrt(20)/8 is u = 0.0791 kn with 2 degrees; with 0.1 kn it is 0.1275 kn with
    13 degrees, t = 2.21 (JCGM 100:2008, table G.2), U = 0.282 kn (worked by hand).
    """
    rows = [run(1, 27.9), run(2, 30.1), run(3, 28.1), run(4, 29.9)]
    assert expanded(one(found({TrialRun: rows}), SPEED)) == near(0.282, abs=0.001)


SCATTERED = [run(1, 27.9), run(2, 30.1), run(3, 28.1), run(4, 29.9)]


@pytest.mark.parametrize(
    ("rows", "contract", "verdict"),
    [
        (THREE, 26.0, PASS),
        (THREE, 28.0, CONDITIONAL_PASS),
        (THREE, 30.0, CONDITIONAL_FAIL),
        (THREE, 33.0, FAIL),
        (SCATTERED, 28.7, PASS),
        (SCATTERED, 28.9, CONDITIONAL_PASS),
        (SCATTERED, 29.2, CONDITIONAL_FAIL),
        (SCATTERED, 29.5, FAIL),
    ],
)
def test_sys_13_every_verdict_with_runs_that_scatter(rows: Any, contract: float, verdict: Any) -> None:
    """Of three 29.4 kn with U = 2.794 kn, of four 29.05 kn with U = 0.282 kn: worked by hand in the tests above."""
    mine = [specified("SYS-13", SPEED, "kn", low=contract, condition="full")]
    assert one(found({TrialRun: rows}, mine), SPEED).verdict is verdict


def at_minutes(*minutes: int, **more: Any) -> list[dict[str, Any]]:
    """The runs that scatter, at these minutes after nine."""
    times = (datetime(2026, 5, 20, 9, minute) for minute in minutes)
    return [{**row, "at": time, **more} for row, time in zip(SCATTERED, times, strict=True)]


@pytest.mark.parametrize(("minutes", "mean", "U"), [((10, 20, 35, 45), 29.05, 0.282), ((10, 20, 36, 46), 29.0, 0.263)])
def test_at_uneven_times_each_course_counts_half(minutes: Any, mean: float, U: float) -> None:
    """Even up to one and a half times the shortest time between runs: a rule of this book, no source.

    28 and 30 kn give 29 kn. s = 0.1414, times a half is u = 0.0707 kn with 2 degrees; with 0.1 kn it is 0.1225 kn with
    18 degrees, t = 2.15 (JCGM 100:2008, table G.2), U = 0.263 kn (worked by hand).
    """
    at = one(found({TrialRun: at_minutes(*minutes)}), SPEED)
    assert (value(at), expanded(at)) == (near(mean), near(U, abs=0.001))
    assert said(at, "not at about even times") is (mean == 29.0)
    assert ("mean of means" in at.method) is (mean != 29.0)


def test_the_load_and_the_depth_are_told() -> None:
    """28 kn are 14.4 m/s; a long wave runs at 15.3 m/s in 24 m and at 44 m/s in 200 m (worked by hand)."""
    mine = [specified("SYS-13", SPEED, "kn", low=20.0)]
    shallow = one(found({TrialRun: at_minutes(10, 20, 30, 40, depth=24.0, load="half tanks")}, mine), SPEED)
    assert said(shallow, "The limit names no load. On record is: half tanks.")
    assert said(shallow, "depth of water itself changes her speed")
    assert "depth Froude number 0.94" in shallow.working[0]
    deep = one(found({TrialRun: at_minutes(10, 20, 30, 40, depth=200.0)}, mine), SPEED)
    assert not said(deep, "depth of water itself")
    assert not said(deep, "names no load")


def test_sys_13_information_without_a_contract_speed() -> None:
    assert one(found({TrialRun: THREE[:2]}), SPEED).verdict is INFORMATION
    assert value(one(found({TrialRun: THREE[:2]}), SPEED)) == near(29.3)


def test_sys_13_inconclusive_on_one_course_or_out_of_turn() -> None:
    lone = one(found({TrialRun: THREE[:1]}), SPEED)
    assert lone.verdict is INCONCLUSIVE
    assert said(lone, "No run on the opposite course")
    same = one(found({TrialRun: [run(1, 28.0, 60.0), run(2, 29.0, 66.0)]}), SPEED)
    assert same.verdict is INCONCLUSIVE
    assert said(same, "do not follow one another")
    lost = {TrialRun: [{"run": "R9", "setting": "full"}]}
    assert one(found({TrialRun: THREE}, unread=lost), SPEED).verdict is INCONCLUSIVE
    unknown: Tables = {TrialRun: THREE, Instrument: [tool for tool in TOOLS if tool["instrument"] != "GP-01"]}
    assert one(found(unknown), SPEED).verdict is INCONCLUSIVE


def test_a_miss_on_one_course_only_stays_a_fail() -> None:
    mine = [specified("SYS-13", SPEED, "kn", low=35.0)]
    assert one(found({TrialRun: THREE[:1]}, mine), SPEED).verdict is FAIL


def test_fuel_of_all_engines_less_what_came_back() -> None:
    """(200 - 50) + (210 - 50) = 310 and 150 + 150 = 300: mean 305 L/h. Four readings of 0.5 L/h: u = 2 L/h.

    The runs scatter by 10/sqrt(2), so their mean by 5 L/h with one degree: sqrt(29) L/h with one degree, and
    t = 13.97 (JCGM 100:2008, table G.2), so U = 75.2 L/h (worked by hand).
    """
    rows = [flow(1, "Y3", 200.0, 50.0), flow(1, "Y4", 210.0, 50.0), flow(2, "Y3", 200.0, 50.0)]
    rows.append(flow(2, "Y4", 200.0, 50.0))
    at = one(found({**TWO, TrialRun: THREE[:2], FuelFlow: rows}), FUEL)
    assert value(at) == near(305.0)
    assert expanded(at) == near(75.2, abs=0.1)
    assert at.verdict is INFORMATION
    mine = [specified("SYS-13", FUEL, "L/h", high=200.0)]
    assert one(found({**TWO, TrialRun: THREE[:2], FuelFlow: rows}, mine), FUEL).verdict is FAIL
    only = one(found({**TWO, TrialRun: THREE[:2], FuelFlow: rows[:3]}), FUEL)
    assert expanded(only) == near(4.0)
    assert said(only, "how far runs scatter is not part of U")
    assert only.verdict is INCONCLUSIVE
    assert value(only) == near(310.0)
    assert said(only, "in R2")
    neither = found({**TWO, TrialRun: THREE[:2], FuelFlow: [rows[0], rows[3]]})
    assert one(neither, FUEL).verdict is INCONCLUSIVE


BOTH = [flow(n, place, 200.0, 50.0) for n in (1, 2) for place in ("Y3", "Y4")]
ONE = [row for row in BOTH if row["place"] == "Y3"]
# tables that name two engines, each by itself
NAMED: dict[str, Tables] = {
    "readings": TWO,
    "shafts": {ShaftSpeed: [{"run": "R1", "propeller": name, "shaft_speed": 900.0} for name in ("Y1", "Y2")]},
    "machines": {
        Machine: [
            {"machine": name, "kind": "engine", "propeller": "Y1", "cylinders": 6, "strokes": 4, "ratio": 2.0}
            for name in ("E-P", "E-S")
        ]
    },
}  # fmt: skip


@pytest.mark.parametrize("named", NAMED)
def test_the_fuel_of_one_engine_of_two_is_never_that_of_the_boat(named: str) -> None:
    """150 L/h of one engine would meet 200 L/h; both burn 300 L/h. No plan is in the folder."""
    mine = [specified("SYS-13", FUEL, "L/h", high=200.0)]
    rows: Tables = {TrialRun: FOUR[:2], **NAMED[named]}
    assert one(found({**rows, FuelFlow: BOTH}, mine), FUEL).verdict is FAIL
    left = one(found({**rows, FuelFlow: ONE}, mine), FUEL)
    assert left.verdict is INCONCLUSIVE
    assert left.measured is not None
    assert left.measured.kind is Kind.AT_LEAST
    assert said(left, "Y4, of which no fuel" if named == "readings" else "Fuel is on record of 1 engine")
    assert "all" not in left.method
    assert one(found({**rows, FuelFlow: ONE}), FUEL).verdict is INCONCLUSIVE
    less = [specified("SYS-13", FUEL, "L/h", high=100.0)]
    assert one(found({**rows, FuelFlow: ONE}, less), FUEL).verdict is FAIL  # one alone burns more than is allowed


def test_a_row_of_an_engine_that_cannot_be_used_still_names_it() -> None:
    lost = {EngineReading: [{"place": "Y4", "attempt": 1}]}
    one_reading: Tables = {EngineReading: [{"place": "Y3", "attempt": 1, "model": "EM 1"}]}
    at = one(found({TrialRun: FOUR[:2], FuelFlow: ONE, **one_reading}, unread=lost), FUEL)
    assert said(at, "names Y4")


def test_the_fuel_of_a_generator_stands_for_no_engine() -> None:
    """Y3 and the generator Y9 are two of fuel, as the engines Y3 and Y4 are two; Y4 was not read all the same."""
    mine = [specified("SYS-13", FUEL, "L/h", high=400.0)]
    rows = [{**row, "place": "Y9"} if row["place"] == "Y4" else row for row in BOTH]
    at = one(found({**TWO, TrialRun: FOUR[:2], FuelFlow: rows}, mine), FUEL)
    assert at.verdict is INCONCLUSIVE
    assert said(at, "names Y4")
    assert one(found({**TWO, TrialRun: FOUR[:2], FuelFlow: BOTH}, mine), FUEL).verdict is PASS


def test_where_nothing_says_how_many_engines_she_has_nobody_can_tell_whether_all_were_read() -> None:
    mine = [specified("SYS-13", FUEL, "L/h", high=200.0)]
    alone = one(found({TrialRun: FOUR[:2], FuelFlow: ONE}, mine), FUEL)
    assert alone.verdict is INCONCLUSIVE
    assert said(alone, "nobody can tell whether the fuel of all engines")
    plan: Tables = {Planned: [planned("SYS-13", None, FuelFlow.table.file, 2)]}
    assert one(found({TrialRun: FOUR[:2], FuelFlow: ONE, **plan}, mine), FUEL).verdict is PASS


def test_sys_13_not_measured_or_no_record_only_where_it_was_asked_for() -> None:
    mine = [specified("SYS-13", FUEL, "L/h", high=290.0), specified("SYS-13", SPEED, "kn", low=20.0)]
    assert one(found({TrialRun: THREE}, mine), FUEL).verdict is NOT_MEASURED
    assert one(found({TrialRun: THREE, FuelFlow: []}, mine), FUEL).verdict is NO_RECORD
    assert {f.verdict for f in found({TrialRun: []}, mine)} == {NO_RECORD}
    assert not found({TrialRun: []})
    assert not [f for f in found({TrialRun: THREE}) if f.key.quantity == FUEL]
