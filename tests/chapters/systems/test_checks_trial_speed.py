"""SYS-13: every verdict, on synthetic runs. The mean of means is the customary method, from memory."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.systems.checks.trial_speed import FUEL, SPEED, trial_speed
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.finding import Finding
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


THREE = [run(1, 28.4), run(2, 30.2), run(3, 28.8)]


def found(tables: Tables, mine: Any = (), unread: Any = None) -> list[Finding]:
    return list(trial_speed(aboard(tables, mine, unread)))


def test_three_runs_give_the_mean_of_means() -> None:
    """28.4, 30.2 and 28.8 kn give 29.4 kn (worked example of the customary method, from memory)."""
    at = one(found({TrialRun: THREE}), SPEED)
    assert value(at) == near(29.4, abs=0.05)
    assert expanded(at) == near(0.2)
    assert any("(28.4 + 2 × 30.2 + 28.8) / 4" in line for line in at.working)


@pytest.mark.parametrize(
    ("contract", "verdict"), [(29.0, PASS), (29.3, CONDITIONAL_PASS), (29.5, CONDITIONAL_FAIL), (30.0, FAIL)]
)
def test_sys_13_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_contract(
    contract: float, verdict: Any
) -> None:
    mine = [specified("SYS-13", SPEED, "kn", low=contract, condition="full")]
    assert one(found({TrialRun: THREE}, mine), SPEED).verdict is verdict


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
    """(200 - 50) + (210 - 50) = 310 and 150 + 150 = 300: mean 305 L/h. Four readings of 0.5 L/h: U = 4 L/h."""
    rows = [flow(1, "Y3", 200.0, 50.0), flow(1, "Y4", 210.0, 50.0), flow(2, "Y3", 200.0, 50.0)]
    rows.append(flow(2, "Y4", 200.0, 50.0))
    at = one(found({TrialRun: THREE[:2], FuelFlow: rows}), FUEL)
    assert value(at) == near(305.0)
    assert expanded(at) == near(4.0)
    assert at.verdict is INFORMATION
    mine = [specified("SYS-13", FUEL, "L/h", high=290.0)]
    assert one(found({TrialRun: THREE[:2], FuelFlow: rows}, mine), FUEL).verdict is FAIL
    only = one(found({TrialRun: THREE[:2], FuelFlow: rows[:3]}), FUEL)
    assert only.verdict is INCONCLUSIVE
    assert value(only) == near(310.0)
    assert said(only, "in R2")
    neither = found({TrialRun: THREE[:2], FuelFlow: [rows[0], rows[3]]})
    assert one(neither, FUEL).verdict is INCONCLUSIVE


def test_sys_13_not_measured_or_no_record_only_where_it_was_asked_for() -> None:
    mine = [specified("SYS-13", FUEL, "L/h", high=290.0), specified("SYS-13", SPEED, "kn", low=20.0)]
    assert one(found({TrialRun: THREE}, mine), FUEL).verdict is NOT_MEASURED
    assert one(found({TrialRun: THREE, FuelFlow: []}, mine), FUEL).verdict is NO_RECORD
    assert {f.verdict for f in found({TrialRun: []}, mine)} == {NO_RECORD}
    assert not found({TrialRun: []})
    assert not [f for f in found({TrialRun: THREE}) if f.key.quantity == FUEL]
