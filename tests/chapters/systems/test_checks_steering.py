"""SYS-11: every verdict, on synthetic rows. 28 s is the value of ships, second-hand; it never governs."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.shared_records import Planned
from buildbook.chapters.systems.checks.steering import (
    EMERGENCY,
    PORT,
    SHIP_TIME,
    STARBOARD,
    STOPS,
    TIME,
    steering,
)
from buildbook.chapters.systems.records.steering import Steering
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
    REFERENCE,
    Tables,
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)
from tests.chapters.systems.boat_folder import aboard


def row(**more: Any) -> dict[str, Any]:
    """Drawn 35 +- 2 degrees; the indicator has U = 0.5 degrees, the watch 0.4 s."""
    of: dict[str, Any] = {"place": "Y1", "attempt": 1, "drawn": 35.0, "tolerance": 2.0, "drawing": "DWG-1"}
    times = {"stop_to_stop": 10.0, "ship_time": 9.0, "time_uncertainty": 0.4}
    tried = {"stops": "held", "emergency": "steered her", "instrument": "AI-01"}
    return {**of, **times, **tried, "revision": "A", "port": 35.0, "starboard": 35.0, **more}


def found(*rows: dict[str, Any], tables: Tables | None = None, mine: Any = (), unread: Any = None) -> list[Finding]:
    return list(steering(aboard({Steering: list(rows), **(tables or {})}, mine, unread)))


@pytest.mark.parametrize(
    ("angle", "verdict"), [(35.0, PASS), (36.8, CONDITIONAL_PASS), (32.8, CONDITIONAL_FAIL), (32.0, FAIL)]
)
def test_sys_11_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_drawing(angle: float, verdict: Any) -> None:
    """33 to 37 degrees, U = 0.5 degrees (worked by hand)."""
    for quantity, column in ((PORT, "port"), (STARBOARD, "starboard")):
        at = one(found(row(**{column: angle})), quantity)
        assert at.verdict is verdict
        assert (limit_of(at).low, limit_of(at).high) == (33.0, 37.0)
        assert limit_of(at).terms[0].document == "DWG-1"
        assert expanded(at) == near(0.5)


def test_sys_11_information_and_the_value_of_ships_only_beside() -> None:
    slow = found(row(ship_time=40.0))
    governing, beside = one(slow, SHIP_TIME), one(slow, SHIP_TIME, role=REFERENCE)
    assert governing.verdict is INFORMATION
    assert value(governing) == 40.0
    assert beside.verdict is FAIL
    assert limit_of(beside).high == 28.0
    assert said(beside, "rule for ships")
    assert one(found(row(ship_time=12.0)), SHIP_TIME, role=REFERENCE).verdict is PASS
    assert not [f for f in found(row(ship_time=None)) if f.key.quantity == SHIP_TIME]


def test_the_builders_own_time_governs() -> None:
    assert one(found(row()), TIME).verdict is INFORMATION
    mine = [specified("SYS-11", TIME, "s", high=10.2)]
    at = one(found(row(), mine=mine), TIME)
    assert at.verdict is CONDITIONAL_PASS
    assert expanded(at) == near(0.4)


@pytest.mark.parametrize(
    ("quantity", "given", "verdict"),
    [
        (STOPS, {"stops": "held"}, PASS),
        (STOPS, {"stops": "did not hold"}, FAIL),
        (EMERGENCY, {"emergency": "steered her"}, PASS),
        (EMERGENCY, {"emergency": "did not steer her"}, FAIL),
    ],
)
def test_sys_11_pass_or_fail_by_what_was_tried(quantity: str, given: Any, verdict: Any) -> None:
    assert one(found(row(**given)), quantity).verdict is verdict


def test_sys_11_not_measured_or_no_record_or_inconclusive() -> None:
    blank = {"port": None, "starboard": None, "stop_to_stop": None, "ship_time": None}
    bare = found(row(**blank, stops=None, emergency=None))
    assert {f.verdict for f in bare} == {NOT_MEASURED}
    plan: Tables = {Planned: [planned("SYS-11", "Y3", Steering.table.file, 1)]}
    assert {f.verdict for f in found(tables=plan)} == {NO_RECORD}
    assert one(found(row(instrument="AI-09")), PORT).verdict is INCONCLUSIVE
    lost = {Steering: [{"place": "Y2", "attempt": 1}]}
    assert {f.verdict for f in found(row(), unread=lost) if f.key.place == "Y2"} == {INCONCLUSIVE}
