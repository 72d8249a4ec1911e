"""Rows that contradict each other, and the charts, on synthetic rows."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from buildbook.chapters.systems.charts_whole_boat import whole_boat_charts
from buildbook.chapters.systems.checks.engine import engine
from buildbook.chapters.systems.checks.trial_speed import trial_speed
from buildbook.chapters.systems.cross import (
    coolant_gets_warmer,
    fuel_on_the_day_of_its_run,
    later_attempts_are_later,
)
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.sockets import Socket
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.trial_records import TrialRun
from tests.chapters.small_folder import Tables
from tests.chapters.systems.boat_folder import aboard
from tests.chapters.systems.test_checks_engine import SHEET, row
from tests.chapters.systems.test_checks_trial_speed import THREE, flow, run


def test_a_second_attempt_is_not_before_the_first() -> None:
    def tried(attempt: int, hour: int) -> dict[str, Any]:
        return {"place": "Y1", "attempt": attempt, "at": datetime(2026, 5, 22, hour)}

    assert not list(later_attempts_are_later(aboard({Socket: [tried(1, 9), tried(2, 10)]})))
    faults = list(later_attempts_are_later(aboard({Socket: [tried(1, 9), tried(2, 8)]})))
    assert {(fault.where.line, fault.where.column) for fault in faults} == {(2, "at"), (3, "at")}
    days = [
        {"place": "Y1", "attempt": 1, "kind": "horn", "on": date(2026, 5, 29)},
        {"place": "Y1", "attempt": 2, "kind": "horn", "on": date(2026, 5, 28)},
        {"place": "Y1", "attempt": 3, "kind": "horn", "on": None},
    ]
    assert len(list(later_attempts_are_later(aboard({Tried: days})))) == 2


def test_fuel_is_read_on_the_day_of_its_run() -> None:
    late = {**flow(1, "Y3", 100.0), "at": datetime(2026, 5, 21, 9)}
    same = {**flow(1, "Y4", 100.0), "at": datetime(2026, 5, 20, 9)}
    (fault,) = fuel_on_the_day_of_its_run(aboard({TrialRun: THREE, FuelFlow: [late, same]}))
    assert (fault.where.line, fault.where.column) == (2, "at")


def test_coolant_leaves_warmer_than_it_enters() -> None:
    tables: Tables = {EngineSheet: [SHEET], EngineReading: [row(), row(place="Y4", coolant_out=70.0)]}
    (fault,) = coolant_gets_warmer(aboard(tables))
    assert (fault.where.line, fault.where.column) == (3, "coolant_out [degC]")


def test_charts_show_speed_by_setting_and_engines_beside_their_limits() -> None:
    given = aboard({
        TrialRun: [*THREE[:2], run(4, 14.0, setting="slow")],
        EngineSheet: [SHEET],
        EngineReading: [row(), row(place="Y4", exhaust=11.8)],
    })  # fmt: skip
    drawn = {chart.check: chart for chart in whole_boat_charts(given, (*trial_speed(given), *engine(given)))}
    speed, engines = drawn["SYS-13"], drawn["SYS-16"]
    assert [series.style for series in speed.series] == ["dots", "hollow dots"]
    assert "29.30 ± 0.20 kn" in speed.title
    assert speed.series[0].labels == ("29.30 kn",)
    assert [series.name for series in engines.series] == ["Thing 3", "Thing 4"]
    assert "98 %" in engines.title  # 11.8 of 12 kPa, worked by hand
    assert not list(whole_boat_charts(aboard(), ()))
