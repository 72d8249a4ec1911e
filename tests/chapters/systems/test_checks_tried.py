"""SYS-14, SYS-15, SYS-17, SYS-18: every verdict, on synthetic rows. Their limits are common practice, no source."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.systems.checks.lights import WORKS as LIT
from buildbook.chapters.systems.checks.lights import lights
from buildbook.chapters.systems.checks.safety import IN_DATE, WORKS, safety
from buildbook.chapters.systems.checks.seacocks import CLAMPS, OPERATED, seacocks
from buildbook.chapters.systems.checks.sockets import TRIP, TRIPS, WIRES, sockets
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.records.seacocks import Seacock
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.core.finding import Finding
from buildbook.core.hull import Hull
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_APPLICABLE,
    NOT_MEASURED,
    PASS,
    Tables,
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
from tests.chapters.systems.boat_folder import HULL, TOOLS, aboard

GONE = {"place": "Y2", "attempt": 1}


def at(**more: Any) -> dict[str, Any]:
    return {"place": "Y1", "attempt": 1, **more}


# Detectors and extinguishers


def devices(
    *rows: Any, hull: Hull = HULL, mine: Any = (), unread: Any = None, more: Tables | None = None
) -> list[Finding]:
    return list(safety(aboard({SafetyDevice: list(rows), **(more or {})}, mine, unread, hull)))


def test_sys_14_pass_or_fail_by_trial() -> None:
    assert one(devices(at(kind="smoke detector", works=True)), WORKS).verdict is PASS
    assert one(devices(at(kind="smoke detector", works=False)), WORKS).verdict is FAIL


@pytest.mark.parametrize(
    ("until", "left", "verdict"),
    [(date(2026, 6, 5), 0, PASS), (date(2027, 6, 5), 365, PASS), (date(2026, 6, 4), -1, FAIL)],
)
def test_sys_14_pass_or_fail_by_the_day_of_delivery(until: date, left: int, verdict: Any) -> None:
    """Delivered 2026-06-05 (days counted by hand)."""
    found = one(devices(at(kind="extinguisher", good_until=until)), IN_DATE)
    assert value(found) == left
    assert found.verdict is verdict
    assert found.observed == f"until {until}"
    assert "2026-06-05, when she was delivered" in found.working[0]


def test_the_day_of_the_book_counts_where_delivery_is_not_known() -> None:
    undelivered = Hull(as_of=date(2026, 6, 15))
    assert value(one(devices(at(kind="extinguisher", good_until=date(2026, 6, 16)), hull=undelivered))) == 1


def test_a_builder_may_ask_for_more_days() -> None:
    mine = [specified("SYS-14", IN_DATE, "d", low=180.0)]
    short = at(kind="extinguisher", good_until=date(2026, 8, 1))
    assert one(devices(short, mine=mine), IN_DATE).verdict is FAIL


def test_sys_14_not_measured_or_no_record_or_inconclusive() -> None:
    untried = devices(at(kind="gas detector", works=None, good_until=None))
    assert one(untried, WORKS).verdict is NOT_MEASURED
    assert one(untried, IN_DATE).verdict is NO_RECORD
    assert not [f for f in devices(at(kind="extinguisher", works=None)) if f.key.quantity == WORKS]
    nowhen = devices(at(kind="extinguisher", good_until=date(2026, 7, 1)), hull=Hull())
    assert one(nowhen, IN_DATE).verdict is INCONCLUSIVE
    lost = devices(at(kind="extinguisher"), unread={SafetyDevice: [GONE]})
    assert {f.verdict for f in lost if f.key.place == "Y2"} == {INCONCLUSIVE}
    plan: Tables = {Planned: [planned("SYS-14", "Y3", SafetyDevice.table.file, 1)]}
    assert {f.verdict for f in devices(at(kind="extinguisher"), more=plan) if f.key.place == "Y3"} == {NOT_MEASURED}


def test_sys_14_inconclusive_where_no_plan_says_what_else_was_to_be_tried() -> None:
    gone = devices(at(kind="extinguisher"), more={Planned: []})
    (left_open,) = [f for f in gone if not f.key.place]
    assert left_open.verdict is INCONCLUSIVE
    assert said(left_open, "nobody can tell what else was to be tested")
    assert not [f for f in devices(more={Planned: []}) if said(f, "nobody can tell")]


# Seacocks


def cocks(*rows: Any, mine: Any = (), unread: Any = None, more: Tables | None = None) -> list[Finding]:
    return list(seacocks(aboard({Seacock: list(rows), **(more or {})}, mine, unread)))


def cock(**more: Any) -> dict[str, Any]:
    of = {"below": True, "operated": "opens and shuts", "clamps": 2, "hose": "water hose"}
    return at(**{**of, **more})


@pytest.mark.parametrize(("did", "verdict"), [("opens and shuts", PASS), ("stuck", FAIL), ("leaks when shut", FAIL)])
def test_sys_15_pass_or_fail_by_hand(did: str, verdict: Any) -> None:
    assert one(cocks(cock(operated=did)), OPERATED).verdict is verdict


@pytest.mark.parametrize(("clamps", "verdict"), [(2, PASS), (1, FAIL), (0, FAIL)])
def test_sys_15_pass_or_fail_by_clamps_below_the_waterline(clamps: int, verdict: Any) -> None:
    found = one(cocks(cock(clamps=clamps)), CLAMPS)
    assert found.verdict is verdict
    assert limit_of(found).low == 2.0
    assert limit_of(found).standing.value == "practice"


def test_sys_15_information_above_the_waterline() -> None:
    above = one(cocks(cock(below=False, clamps=1)), CLAMPS)
    assert above.verdict is INFORMATION
    assert said(above, "above the waterline")
    mine = [specified("SYS-15", CLAMPS, "1", low=2.0)]
    assert one(cocks(cock(below=False, clamps=1), mine=mine), CLAMPS).verdict is FAIL


def test_sys_15_not_measured_or_inconclusive_or_no_record() -> None:
    assert one(cocks(cock(operated=None)), OPERATED).verdict is NOT_MEASURED
    assert one(cocks(cock(clamps=None)), CLAMPS).verdict is NOT_MEASURED
    nothing = one(cocks(cock(hose=None, clamps=None)), CLAMPS)
    assert nothing.verdict is NOT_MEASURED
    assert said(nothing, "Neither a hose nor a number of clamps")
    assert {f.verdict for f in cocks(cock(), unread={Seacock: [GONE]}) if f.key.place == "Y2"} == {INCONCLUSIVE}
    plan: Tables = {Planned: [planned("SYS-15", "Y3", Seacock.table.file, 1)]}
    assert {f.verdict for f in cocks(more=plan)} == {NO_RECORD}


def test_sys_15_not_applicable_only_where_the_row_says_that_no_hose_is_fitted() -> None:
    bare = one(cocks(cock(hose="none", clamps=None)), CLAMPS)
    assert bare.verdict is NOT_APPLICABLE
    with pytest.raises(ValueError, match="empty where `hose` is `none`"):
        cocks(cock(hose="none", clamps=2))


# Residual-current devices and sockets


def mains(
    rcd: Any = (), wired: Any = (), unread: Any = None, more: Tables | None = None, mine: Any = ()
) -> list[Finding]:
    tables: Tables = {ResidualCurrentDevice: list(rcd), Socket: list(wired), **(more or {})}
    return list(sockets(aboard(tables, mine, unread)))


FAST = [specified("SYS-17", TRIP, "s", high=0.3)]  # a builder's figure, invented


def device(time: float | None, **more: Any) -> dict[str, Any]:
    """30 mA; the tester has U = 20 ms."""
    return {**at(rated=30.0, current=30.0, tripped=True, instrument="RC-01"), "time": time, **more}


@pytest.mark.parametrize(
    ("time", "verdict"), [(0.1, PASS), (0.29, CONDITIONAL_PASS), (0.31, CONDITIONAL_FAIL), (0.5, FAIL)]
)
def test_sys_17_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_builders_figure(
    time: float, verdict: Any
) -> None:
    found = one(mains([device(time)], mine=FAST), TRIP)
    assert found.verdict is verdict
    assert expanded(found) == near(0.02)


def test_sys_17_information_about_the_time_where_the_builder_sets_none() -> None:
    """No figure for small craft was read, so none of a house is used."""
    found = mains([device(0.5)])
    assert (one(found, TRIP).limit, one(found, TRIP).verdict) == (None, INFORMATION)
    assert one(found, TRIPS).verdict is PASS
    assert limit_of(one(found, TRIPS)).standing.value == "practice"


@pytest.mark.parametrize(
    ("wiring", "verdict"), [("right", PASS), ("reversed", FAIL), ("no protective earth", FAIL), ("dead", FAIL)]
)
def test_sys_17_pass_or_fail_by_the_wires(wiring: str, verdict: Any) -> None:
    assert one(mains(wired=[at(wiring=wiring)]), WIRES).verdict is verdict


def test_sys_17_fail_where_it_did_not_trip() -> None:
    found = one(mains([device(None, tripped=False)]), TRIPS)
    assert found.verdict is FAIL
    assert found.observed == "It did not trip."
    assert one(mains([device(None, tripped=False, current=150.0)]), TRIPS).verdict is FAIL


def test_sys_17_not_applicable_is_the_time_of_what_did_not_trip() -> None:
    """One fault is one fail."""
    time = one(mains([device(None, tripped=False)], mine=FAST), TRIP)
    assert time.verdict is NOT_APPLICABLE
    assert said(time, "It did not trip. So there is no time.")


def test_a_time_beside_a_device_that_did_not_trip_is_a_fault_in_words() -> None:
    with pytest.raises(ValueError, match="what did not trip has no time"):
        mains([device(0.02, tripped=False)])


def test_sys_17_inconclusive_where_a_time_is_on_record_and_not_whether_it_tripped() -> None:
    for quantity in (TRIPS, TRIP):
        at_hand = one(mains([device(0.02, tripped=None)], mine=FAST), quantity)
        assert at_hand.verdict is INCONCLUSIVE
        assert said(at_hand, "whether it tripped is not")


def test_the_current_of_the_test_is_the_testers_claim_unless_it_is_calibrated_for_it() -> None:
    calibrated = instrument("RC-01", "residual current", "mA", 0.5, range_low=0, range_high=500)
    known: Tables = {Instrument: [*TOOLS, calibrated]}
    assert said(one(mains([device(0.02)]), TRIPS), "is what RC-01 itself says")
    assert not said(one(mains([device(0.02)], more=known), TRIPS), "itself says")


def test_sys_17_inconclusive_where_it_did_not_trip_at_half_its_rated_current() -> None:
    """At half of it a device has to stay closed (IEC 61008-1, rated residual non-operating current; from memory)."""
    for quantity in (TRIPS, TRIP):
        half = one(mains([device(None, tripped=False, current=15.0)]), quantity)
        assert half.verdict is INCONCLUSIVE
        assert said(half, "another current")


def test_sys_17_inconclusive_or_not_measured_or_no_record() -> None:
    assert one(mains([device(None)]), TRIP).verdict is INCONCLUSIVE
    assert one(mains([device(None)]), TRIPS).verdict is PASS
    for quantity in (TRIPS, TRIP):
        other = one(mains([device(0.02, current=150.0)]), quantity)
        assert other.verdict is INCONCLUSIVE
        assert said(other, "another current")
        assert one(mains([device(None, tripped=None)]), quantity).verdict is NOT_MEASURED
    assert one(mains(wired=[at(wiring=None)]), WIRES).verdict is NOT_MEASURED
    assert one(mains(wired=[at(wiring="right")], unread={Socket: [GONE]}), WIRES, "Y2").verdict is INCONCLUSIVE
    plan: Tables = {Planned: [planned("SYS-17", "Y3", Socket.table.file, 1)]}
    assert one(mains(more=plan), WIRES, "Y3").verdict is NO_RECORD


# Lights, horn, stops


def shown(*rows: Any, unread: Any = None, more: Tables | None = None) -> list[Finding]:
    return list(lights(aboard({Tried: list(rows), **(more or {})}, (), unread)))


DAY = date(2026, 5, 29)


def test_sys_18_pass_or_fail_by_trial() -> None:
    assert one(shown(at(kind="horn", on=DAY, works=True, found="heard")), LIT).verdict is PASS
    failed = one(shown(at(kind="horn", on=DAY, works=False)), LIT)
    assert failed.verdict is FAIL
    assert failed.observed == "does not work"
    assert one(shown(at(kind="horn", on=None, works=False)), LIT).verdict is FAIL


def test_sys_18_no_record_without_a_day() -> None:
    undated = one(shown(at(kind="navigation light", on=None, works=True)), LIT)
    assert undated.verdict is NO_RECORD
    assert said(undated, "No date")


def test_sys_18_not_measured_or_inconclusive() -> None:
    assert one(shown(at(kind="emergency stop", on=DAY, works=None)), LIT).verdict is NOT_MEASURED
    row = at(kind="horn", on=DAY, works=True)
    assert one(shown(row, unread={Tried: [GONE]}), LIT, "Y2").verdict is INCONCLUSIVE
    plan: Tables = {Planned: [planned("SYS-18", "Y3", Tried.table.file, 1)]}
    assert one(shown(row, more=plan), LIT, "Y3").verdict is NOT_MEASURED
    assert one(shown(more=plan), LIT, "Y3").verdict is NO_RECORD


# What every one of these checks asks


def test_an_attempt_without_a_row_is_named() -> None:
    """There was a second try, so there was a first."""
    second = shown(at(kind="horn", on=DAY, works=True, attempt=2))
    assert one(second, LIT, attempt=2).verdict is PASS
    first = one(second, LIT, attempt=1)
    assert first.verdict is NOT_MEASURED
    assert said(first, "No row of this attempt")


def test_a_plan_without_a_place_is_asked_after_where_no_row_is_left() -> None:
    plan: Tables = {Planned: [planned("SYS-18", None, Tried.table.file, 7)]}
    assert one(shown(more=plan), LIT).verdict is NO_RECORD
    assert one(shown(), LIT).verdict is NO_RECORD  # nobody planned it, and nothing is there
