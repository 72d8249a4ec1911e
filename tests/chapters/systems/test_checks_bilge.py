"""SYS-06: every verdict, on synthetic rows. Heard and seen at the helm: 46 CFR 182.530 (read), a yardstick here."""

from __future__ import annotations

import pytest

from buildbook.chapters.shared_records import Planned
from buildbook.chapters.systems.checks.bilge import AT_HELM, FLOW, PUMPS, bilges
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
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)
from tests.chapters.systems.systems_folder import BilgeAlarm, BilgePump, Rows, alarm, found, pump


@pytest.mark.parametrize(
    ("heard", "seen", "verdict"),
    [
        (True, True, PASS),
        (True, False, FAIL),
        (None, False, FAIL),
        (True, None, INCONCLUSIVE),
        (None, None, NOT_MEASURED),
    ],
)
def test_sys_06_pass_or_fail_or_inconclusive_or_not_measured_by_the_alarm(heard, seen, verdict):
    at = one(found(bilges, {BilgeAlarm: [alarm(heard, seen)], BilgePump: [pump()]}), AT_HELM, "B-1")
    assert at.verdict is verdict


def test_sys_06_not_measured_where_an_alarm_was_planned():
    line = planned("SYS-06", "B-4", "systems/bilge_alarms.csv")
    both = found(bilges, {BilgeAlarm: [alarm()], BilgePump: [pump()], Planned: [line]})
    assert [(f.key.quantity, f.verdict) for f in both if f.key.place == "B-4"] == [(AT_HELM, NOT_MEASURED)]


def test_sys_06_inconclusive_where_no_plan_says_what_else_was_to_be_tested():
    """A plan of other things asks for nothing more; a plan that is gone may have asked for any space."""
    rows: Rows = {BilgeAlarm: [alarm()], BilgePump: [pump()]}
    gone = found(bilges, rows, missing={Planned: "is not in the folder"})
    open_ones = [f for f in gone if f.key.place == "" and f.key.quantity in (AT_HELM, FLOW)]
    assert [(f.key.quantity, f.verdict) for f in open_ones] == [(AT_HELM, INCONCLUSIVE), (FLOW, INCONCLUSIVE)]
    assert all(any("plan.csv is not in the folder" in note for note in f.notes) for f in open_ones)
    there = found(bilges, {**rows, Planned: [planned("SYS-07", "F1", "systems/bonding.csv")]})
    assert [f for f in there if f.key.place == "" and f.key.quantity in (AT_HELM, FLOW)] == []


@pytest.mark.parametrize(
    ("collected", "verdict"), [(60.0, PASS), (52.0, CONDITIONAL_PASS), (48.0, CONDITIONAL_FAIL), (40.0, FAIL)]
)
def test_sys_06_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_flow(collected, verdict):
    """3 L, and 4 s of 60 s: U = sqrt(3^2 + (Q / 15)^2) L/min (worked by hand); the drawing asks for 50 L/min."""
    at = one(found(bilges, {BilgeAlarm: [alarm()], BilgePump: [pump(collected)]}), FLOW)
    assert value(at) == near(collected)
    assert expanded(at) == near((9.0 + (collected / 15.0) ** 2) ** 0.5, rel=1e-6)
    assert limit_of(at).terms[0].document == "DWG-1"
    assert at.verdict is verdict


def test_sys_06_information_without_a_figure_of_the_drawing():
    both = found(bilges, {BilgeAlarm: [alarm()], BilgePump: [pump(wanted=None)]})
    assert one(both, FLOW).verdict is INFORMATION
    assert one(both, PUMPS).verdict is INFORMATION


@pytest.mark.parametrize("collected", [60.0, 40.0])
def test_sys_06_inconclusive_where_the_figure_of_a_pump_is_missing_and_one_is_asked_for(collected):
    """A drawing that gives a figure for one pump, or a plan that asks for the test, leaves a gap and no information."""
    rows: Rows = {BilgeAlarm: [alarm()], BilgePump: [pump(collected, wanted=None), pump(pump="K1")]}
    beside = one(found(bilges, rows), FLOW, "B-1")
    line = planned("SYS-06", "", BilgePump.table.file, 1)
    alone = one(found(bilges, {**rows, BilgePump: [pump(collected, wanted=None)], Planned: [line]}), FLOW)
    for at in (beside, alone):
        assert at.verdict is INCONCLUSIVE
        assert said(at, "column 'wanted [L/min]': empty. A flow is asked for")
    mine = [specified("SYS-06", FLOW, "L/min", low=20.0)]
    assert one(found(bilges, rows, mine), FLOW, "B-1").verdict is PASS


def test_a_pump_that_delivers_nothing_does_not_count_and_one_that_was_mended_does():
    rows = [pump(), pump(0.0, pump="K1"), pump(55.0, pump="K1", attempt=2), pump(0.0, pump="F1")]
    mine = [specified("SYS-06", PUMPS, "1", low=3)]
    count = one(found(bilges, {BilgeAlarm: [alarm()], BilgePump: rows}, mine), PUMPS)
    assert value(count) == 2.0
    assert count.verdict is FAIL


def test_sys_06_no_record_without_tables():
    assert {f.verdict for f in found(bilges, {BilgeAlarm: [], BilgePump: []})} == {NO_RECORD}


def test_sys_06_inconclusive_where_the_row_of_a_pump_is_lost():
    both = found(bilges, {BilgeAlarm: [alarm()], BilgePump: [pump()]}, unread={BilgePump: [{"pump": "K1"}]})
    assert one(both, FLOW, "K1").verdict is INCONCLUSIVE
    assert one(both, PUMPS).verdict is INCONCLUSIVE
