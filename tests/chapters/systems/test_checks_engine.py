"""SYS-16: every verdict, on synthetic rows and an invented maker's sheet."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.shared_records import Planned
from buildbook.chapters.systems.checks.engine import (
    AIR,
    COOLANT,
    CRANKCASE,
    EXHAUST,
    FUEL,
    SPEED,
    engine,
)
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
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

MAXIMA = {"exhaust": 12.0, "air": 4.0, "coolant": 10.0, "crankcase": 1.0, "fuel": 60.0}
SHEET: dict[str, Any] = {"model": "EM 1", **MAXIMA, "speed_low": 2300.0, "speed_high": 2360.0, "drawing": "EM-1"}
READ = {"exhaust": 8.0, "air": 2.0, "coolant_out": 85.0, "coolant_in": 79.0, "crankcase": 0.3, "fuel": 40.0}
TOOLS = {"gauge": "PM-01", "thermometer": "TC-01", "tachometer": "TA-01"}
EACH = (EXHAUST, AIR, COOLANT, CRANKCASE, FUEL, SPEED)


def row(**more: Any) -> dict[str, Any]:
    """All in order: gauge U = 0.5 kPa, thermometer 1 K, speed meter 5 r/min."""
    return {"place": "Y3", "attempt": 1, "model": "EM 1", **READ, "speed": 2320.0, **TOOLS, **more}


def found(
    *rows: dict[str, Any], tables: Tables | None = None, mine: Any = (), unread: Any = None, sheet: Any = SHEET
) -> list[Finding]:
    base: Tables = {EngineReading: list(rows), EngineSheet: [sheet]}
    return list(engine(aboard({**base, **(tables or {})}, mine, unread)))


def test_all_in_order_is_six_passes() -> None:
    assert {f.key.quantity: f.verdict for f in found(row())} == dict.fromkeys(EACH, PASS)


@pytest.mark.parametrize(
    ("pressure", "verdict"), [(11.0, PASS), (11.8, CONDITIONAL_PASS), (12.3, CONDITIONAL_FAIL), (13.0, FAIL)]
)
def test_sys_16_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_sheet(
    pressure: float, verdict: Any
) -> None:
    """At most 12 kPa, U = 0.5 kPa."""
    at = one(found(row(exhaust=pressure)), EXHAUST)
    assert at.verdict is verdict
    assert limit_of(at).terms[0].set_by == "engine maker"
    assert limit_of(at).terms[0].document == "EM-1"


@pytest.mark.parametrize(("speed", "verdict"), [(2320.0, PASS), (2280.0, FAIL), (2390.0, FAIL)])
def test_the_rated_speed_is_reached_and_not_passed(speed: float, verdict: Any) -> None:
    assert one(found(row(speed=speed)), SPEED).verdict is verdict


@pytest.mark.parametrize(("suction", "verdict"), [(2.0, PASS), (2.1, INCONCLUSIVE)])
def test_the_range_of_a_gauge_is_looked_up_with_the_sign_of_the_suction(suction: float, verdict: Any) -> None:
    """The gauge reads from -2 kPa on, and 2.1 kPa of suction are -2.1 kPa; a pressure of 2.1 kPa is inside."""
    assert one(found(row(air=suction)), AIR).verdict is verdict
    assert one(found(row(exhaust=suction)), EXHAUST).verdict is PASS


def test_the_difference_of_the_coolant_rests_on_two_readings() -> None:
    """85 - 79 = 6 K; each has U = 1 K, together sqrt(2) K (worked by hand)."""
    at = one(found(row()), COOLANT)
    assert value(at) == near(6.0)
    assert expanded(at) == near(1.41421, abs=1e-5)


def test_sys_16_information_where_the_sheet_is_silent() -> None:
    at = one(found(row(), sheet={**SHEET, "air": None}), AIR)
    assert at.verdict is INFORMATION


def test_sys_16_inconclusive_without_a_sheet_an_instrument_or_a_row() -> None:
    other = found(row(model="EM 9"))
    assert {f.verdict for f in other} == {INCONCLUSIVE}
    assert said(other[0], "nothing says what it allows")
    assert one(found(row(gauge=None)), EXHAUST).verdict is INCONCLUSIVE
    lost = {EngineReading: [{"place": "Y4", "attempt": 1}]}
    assert {f.verdict for f in found(row(), unread=lost) if f.key.place == "Y4"} == {INCONCLUSIVE}


def test_sys_16_not_measured_or_no_record() -> None:
    bare = found(row(**dict.fromkeys(READ), speed=None))
    assert {f.verdict for f in bare} == {NOT_MEASURED}
    plan: Tables = {Planned: [planned("SYS-16", "Y5", EngineReading.table.file, 1)]}
    assert {f.verdict for f in found(row(), tables=plan) if f.key.place == "Y5"} == {NOT_MEASURED}
    assert {f.verdict for f in found(tables=plan)} == {NO_RECORD}


def test_a_stricter_builder_governs_and_the_sheet_stands_beside() -> None:
    both = found(row(exhaust=9.0), mine=[specified("SYS-16", EXHAUST, "kPa", high=8.0)])
    assert one(both, EXHAUST).verdict is FAIL
    assert one(both, EXHAUST, role=REFERENCE).verdict is PASS


def test_the_run_is_named_where_the_row_names_it() -> None:
    assert {at.method for at in found(row(run="R1"))} == {
        "run R1",
        "coolant out of the engine less coolant into it; run R1",
    }
    assert one(found(row()), FUEL).method == ""
