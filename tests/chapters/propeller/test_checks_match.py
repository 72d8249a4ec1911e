"""PRO-13 and PRO-14: every verdict, on synthetic rows. Half a per cent between sides is common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.propeller.blade_records import BladeReading
from buildbook.chapters.propeller.checks.match import DIAMETER, SIDES, SPREAD, sides, spread
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.core.finding import Finding
from tests.chapters.propeller.blade_folder import RADII, Rows, blade, ordered, standing, whole
from tests.chapters.propeller.drive_folder import BOTH, afloat, of, pitches, tips
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
    expanded,
    limit_of,
    near,
    one,
    said,
    specified,
    value,
)

MINE = [specified("PRO-13", SPREAD, "mm", high=10.0)]


def spreads(first: list[dict[str, Any]] | None = None, mine: Any = (), **more: Any) -> list[Finding]:
    tables: Rows = {PitchReading: [*whole(first), *of("P2", whole())]}
    return list(spread(afloat({**tables, **more.pop("tables", {})}, mine, **more)))


def matched(port: float = 1000.0, tables: Rows | None = None, unread: Rows | None = None) -> list[Finding]:
    given: Rows = {PitchReading: pitches(port)}
    return list(sides(afloat({**given, **(tables or {})}, (), unread)))


# --- PRO-13 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pitch", "verdict"), [(1004.0, PASS), (1008.0, CONDITIONAL_PASS), (1012.0, CONDITIONAL_FAIL), (1020.0, FAIL)]
)
def test_pro_13_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_builders_limit(pitch, verdict):
    """At most 10 mm; each mean has U = 2 sqrt(2) mm, their difference 4 mm (worked by hand)."""
    found = one(spreads(blade("B1", pitch), MINE), place="P1")
    assert value(found) == near(pitch - 1000.0)
    assert expanded(found) == near(4.0)
    assert found.verdict is verdict


def test_pro_13_information_beside_the_window_of_the_class():
    """Class I leaves a blade 1 % to either side: 20 mm from end to end of 1000 mm (second-hand)."""
    found = one(spreads(blade("B1", 1008.0)), place="P1")
    assert found.verdict is INFORMATION
    assert said(found, "Class I sets no limit on it; two blades at the two ends of its window are 20 mm apart")
    bare = one(spreads(tables={Propeller: [ordered(accuracy="none"), BOTH[1]]}), place="P1")
    assert not said(bare, "window")


def test_as_left_counts_and_as_received_is_told():
    rows = [*whole(blade("B1", 1030.0)), *blade("B1", 1002.0, attempt=2), *of("P2", whole())]
    found = one(list(spread(afloat({PitchReading: rows}))), place="P1", attempt=2)
    assert value(found) == near(2.0)
    assert "as received 30.0 mm" in found.working


def test_pro_13_inconclusive_where_blades_rows_or_the_order_are_missing():
    two: Rows = {PitchReading: [*blade("B1", 1001.0), *blade("B2"), *of("P2", whole())]}
    found = one(spreads(mine=MINE, tables=two), place="P1")
    assert found.verdict is INCONCLUSIVE
    assert said(found, "2 of 3 blades")
    single: Rows = {PitchReading: [*blade("B1"), *of("P2", whole())]}
    assert one(spreads(tables=single), place="P1").verdict is INCONCLUSIVE
    assert one(spreads(tables={Propeller: [BOTH[1]]}), place="P1").verdict is INCONCLUSIVE
    lost: Rows = {PitchReading: [{"propeller": "P1", "blade": "B1", "attempt": 1}]}
    assert one(spreads(mine=MINE, unread=lost), place="P1").verdict is INCONCLUSIVE


def test_a_miss_among_missing_rows_is_plain():
    two: Rows = {PitchReading: [*blade("B1", 1012.0), *blade("B2"), *of("P2", whole())]}
    assert one(spreads(mine=MINE, tables=two), place="P1").verdict is FAIL


def test_pro_13_not_measured_or_no_record():
    one_only: Rows = {PitchReading: whole()}
    assert one(spreads(tables=one_only), place="P2").verdict is NOT_MEASURED
    assert {f.verdict for f in spreads(tables={PitchReading: []})} == {NO_RECORD}


# --- PRO-14 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("port", "verdict"), [(1000.5, PASS), (1003.0, CONDITIONAL_PASS), (1007.0, CONDITIONAL_FAIL), (1012.0, FAIL)]
)
def test_pro_14_pass_or_conditional_pass_or_conditional_fail_or_fail_by_half_a_per_cent(port, verdict):
    """Port less starboard, of their mean; U = 0.4 % (worked by hand)."""
    found = one(matched(port), SIDES)
    assert value(found) == near(100.0 * (port - 1000.0) / ((port + 1000.0) / 2.0))
    assert expanded(found) == near(0.4, abs=0.003)
    assert (limit_of(found).low, limit_of(found).high) == (-0.5, 0.5)
    assert found.verdict is verdict
    assert said(found, "common practice is used")


def test_the_other_side_may_be_the_steeper_one():
    assert value(one(matched(990.0), SIDES)) == near(-100.0 * 10.0 / 995.0)
    assert one(matched(980.0), SIDES).verdict is FAIL


@pytest.mark.parametrize(
    ("port", "verdict"), [(501.0, PASS), (502.2, CONDITIONAL_PASS), (502.9, CONDITIONAL_FAIL), (504.0, FAIL)]
)
def test_diameters_are_compared_as_measured(port, verdict):
    """U of a tip radius is 0.4 mm, of a diameter 0.8 mm, of two 0.8 sqrt(2) = 1.13 mm: 0.113 % (worked by hand)."""
    found = one(matched(tables={BladeReading: tips(port)}), DIAMETER)
    assert value(found) == near(100.0 * (port - 500.0) / ((port + 500.0) / 2.0))
    assert expanded(found) == near(0.113, abs=0.001)
    assert found.verdict is verdict
    assert any("1000 mm, P2 1000 mm" in line for line in found.working)


def test_the_diameter_as_left_counts():
    rows = [*tips(), standing("B1", 2, tip_radius=515.0)]
    again = [*matched(tables={BladeReading: rows, PitchReading: [*pitches(), *blade("B1", attempt=2)]})]
    found = one(again, DIAMETER, attempt=2)
    assert value(found) == near(100.0 * 10.0 / 1005.0)  # one of three tips 15 mm out: 10 mm of diameter
    assert found.verdict is FAIL


def test_equal_orders_do_not_show_that_the_diameters_are_equal():
    """What is on paper can miss; it never passes."""
    bare: Rows = {BladeReading: tips(None, None)}
    found = one(matched(tables=bare), DIAMETER)
    assert found.verdict is NOT_MEASURED
    assert said(found, "were not measured")
    assert limit_of(found).high == 0.5
    assert one(matched(tables={BladeReading: []}), DIAMETER).verdict is NO_RECORD
    one_side: Rows = {BladeReading: [row for row in tips() if row["propeller"] == "P1"]}
    assert one(matched(tables=one_side), DIAMETER).verdict is NOT_MEASURED
    wide: Rows = {Propeller: [ordered(diameter=1010.0), BOTH[1]], BladeReading: []}
    found = one(matched(tables=wide), DIAMETER)
    assert value(found) == near(100.0 * 10.0 / 1005.0)
    assert found.verdict is FAIL


@pytest.mark.parametrize(
    ("rows", "unread", "words"),
    [
        (tips()[:5], {}, "2 of 3 blades"),
        (tips(), {BladeReading: [{"propeller": "P2", "blade": "B1", "attempt": 1}]}, "cannot be used"),
        ([*tips()[1:], standing("B1", instrument="PB-09")], {}, "PB-09"),
    ],
    ids=["a blade gone", "a row lost", "an unknown bench"],
)
def test_pro_14_inconclusive_where_a_tip_is_missing_or_its_bench_unknown(rows, unread, words):
    found = one(matched(tables={BladeReading: rows}, unread=unread), DIAMETER)
    assert found.verdict is INCONCLUSIVE
    assert said(found, words)


def test_a_blade_that_was_pressed_and_whose_tip_was_not_read_again_holds_the_diameter():
    found = one(matched(tables={PitchReading: [*pitches(), *blade("B1", attempt=2)]}), DIAMETER)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "was worked on after its readings")


SINGLE: Rows = {
    Propeller: [ordered(side="centre")],
    PitchReading: whole(),
    BladeReading: tips()[:3],
    DesignSection: [{"propeller": "P1", "radius": radius, "pitch": 1000.0} for radius in RADII],
    **{kind: [] for kind in (Balance, Clearance, Drive, ShaftSpeed)},
}


def test_pro_14_not_applicable_with_one_propeller():
    assert {f.verdict for f in matched(tables=SINGLE)} == {NOT_APPLICABLE}


def test_pro_14_inconclusive_where_the_other_side_is_lost():
    """A second propeller that any table names, or a row that cannot be read: then she may have another side."""
    gone: Rows = {Propeller: [BOTH[0]]}
    assert {f.verdict for f in matched(tables=gone)} == {INCONCLUSIVE}
    assert {f.verdict for f in matched(tables=SINGLE, unread={Propeller: [{}]})} == {INCONCLUSIVE}
    twice: Rows = {Propeller: [BOTH[0], {**BOTH[1], "side": "port"}]}
    assert {f.verdict for f in matched(tables=twice)} == {INCONCLUSIVE}
    half: Rows = {PitchReading: [*blade("B1"), *blade("B2"), *of("P2", whole())]}
    assert one(matched(tables=half), SIDES).verdict is INCONCLUSIVE
    assert one(matched(tables={PitchReading: whole()}), SIDES).verdict is INCONCLUSIVE


def test_pro_14_not_measured_or_no_record():
    """Without a pitch on either side: the table is absent, or it speaks of a third propeller alone."""
    assert one(matched(tables={PitchReading: []}), SIDES).verdict is NO_RECORD
    assert {f.verdict for f in matched(tables={Propeller: []})} == {NO_RECORD}
    third: Rows = {
        Propeller: [*BOTH, ordered(propeller="P3", side="centre")],
        PitchReading: of("P3", whole()),
    }
    assert one(matched(tables=third), SIDES).verdict is NOT_MEASURED
