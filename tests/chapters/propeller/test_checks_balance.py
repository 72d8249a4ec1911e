"""PRO-12: every verdict, on synthetic rows; constants of the class as in `published/propeller_balance.csv`."""

from __future__ import annotations

import math
from typing import Any

import pytest

from buildbook.chapters.propeller.checks.balance import AFT, FORWARD, GRADE, STATIC, TIP, balanced
from buildbook.chapters.propeller.drive_records import Balance
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.finding import Finding
from tests.chapters.propeller.blade_folder import Rows, ordered
from tests.chapters.propeller.drive_folder import BOTH, TOOLS, afloat, balance, shaft
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
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)


def found(
    *rows: dict[str, Any], mine: Any = (), tables: Rows | None = None, unread: Rows | None = None
) -> list[Finding]:
    turned = [shaft(run, name, 600.0) for run in ("R1", "R2") for name in ("P1", "P2")]
    given: Rows = {ShaftSpeed: turned, **({Balance: list(rows)} if rows else {})}
    return list(balanced(afloat({**given, **(tables or {})}, mine, unread)))


@pytest.mark.parametrize(
    ("residual", "verdict"), [(20.0, PASS), (27.0, CONDITIONAL_PASS), (28.2, CONDITIONAL_FAIL), (40.0, FAIL)]
)
def test_pro_12_pass_or_conditional_pass_or_conditional_fail_or_fail_at_the_blade_tip(residual, verdict):
    """Class I (from memory): 25 x 100 / (0.5 x 600²) = 0.01389 kg; at half the radius U is 0.5 g (worked by hand)."""
    at = one(found(balance(residual)), TIP, "P1")
    assert value(at) == near(residual / 2.0)
    assert expanded(at) == near(0.5)
    assert limit_of(at).high == near(13.889, abs=0.001)
    assert at.verdict is verdict
    assert said(at, "cannot see a couple")


@pytest.mark.parametrize(
    ("residual", "verdict"), [(20.0, PASS), (39.5, CONDITIONAL_PASS), (40.5, CONDITIONAL_FAIL), (50.0, FAIL)]
)
def test_the_grade_is_judged_by_common_practice_where_nobody_sets_one(residual, verdict):
    """G = 250 r x 2 pi 10 / 100 000: at 20 g it is pi; G 6.3 is common practice, no source."""
    at = one(found(balance(residual)), GRADE, "P1")
    assert value(at) == near(math.pi * residual / 20.0)
    assert expanded(at) == near(math.pi / 20.0)
    assert limit_of(at).high == 6.3
    assert at.observed == "at 600 r/min"
    assert at.verdict is verdict
    assert said(at, "common practice is used")
    assert said(at, "no entry for a ship's propeller")


def test_the_builders_grade_comes_first_and_practice_stands_beside_it():
    mine = [specified("PRO-12", GRADE, "mm/s", high=2.5)]
    both = found(balance(20.0), mine=mine)
    assert one(both, GRADE, "P1").verdict is FAIL
    assert one(both, GRADE, "P1", role=REFERENCE).verdict is PASS
    own = [specified("PRO-12", TIP, "g", high=9.0, condition=STATIC)]
    both = found(balance(20.0), mine=own)
    assert one(both, TIP, "P1").verdict is FAIL
    assert one(both, TIP, "P1", role=REFERENCE).verdict is PASS  # of the class that the order names


def test_each_of_two_planes_counts_as_half():
    """20 g in one of two planes: twice pi. The centre of mass midway between the planes is from memory."""
    both = found(balance(20.0, way=FORWARD), balance(2.0, way=AFT))
    assert value(one(both, GRADE, "P1", FORWARD)) == near(2.0 * math.pi)
    assert one(both, GRADE, "P1", FORWARD).verdict is CONDITIONAL_PASS
    assert one(both, GRADE, "P1", AFT).verdict is PASS
    assert said(one(both, GRADE, "P1", AFT), "half each, from memory")
    alone = found(balance(2.0, way=FORWARD), balance(2.0, way=FORWARD, attempt=2))
    assert one(alone, GRADE, "P1", FORWARD).verdict is INCONCLUSIVE
    assert said(one(alone, GRADE, "P1", FORWARD), "no usable row for the aft plane")
    assert [one(alone, GRADE, "P1", AFT, n).verdict for n in (1, 2)] == [INCONCLUSIVE] * 2  # its fail may be gone


@pytest.mark.parametrize("dynamic", [True, False])
def test_a_class_that_was_agreed_asks_for_the_static_balance_whatever_else_was_done(dynamic):
    rows = [balance(2.0, way=FORWARD), balance(2.0, way=AFT)] if dynamic else [balance(propeller="P2")]
    at = one(found(*rows), TIP, "P1")
    assert at.verdict is NOT_MEASURED
    assert said(at, "no row of that is on record")
    assert limit_of(at).terms[0].words.startswith("class I of ISO 484-2")
    bare: Rows = {Propeller: [ordered(accuracy="none"), BOTH[1]]}
    assert not [f for f in found(*rows, tables=bare) if f.key.quantity == TIP and f.key.place == "P1"]
    mine = [specified("PRO-12", TIP, "g", high=9.0)]
    assert one(found(*rows, tables=bare, mine=mine), TIP, "P1").verdict is NOT_MEASURED


def test_a_grade_that_is_limited_for_one_way_is_asked_for():
    mine = [specified("PRO-12", GRADE, "mm/s", high=2.5, condition=FORWARD)]
    assert one(found(balance(), mine=mine), GRADE, "P1", FORWARD).verdict is NOT_MEASURED


LOST_SHAFT: Rows = {ShaftSpeed: [{"run": "R1", "propeller": "P1"}]}


@pytest.mark.parametrize(
    ("tables", "unread", "words"),
    [
        ({ShaftSpeed: [shaft("R2", "P1", 600.0)]}, {}, "No shaft speed of P1 can be used in R1"),
        ({ShaftSpeed: [shaft("R1", "P1", 600.0), shaft("R2", "P1", 600.0)]}, LOST_SHAFT, "cannot be used"),
        ({ShaftSpeed: []}, {}, "trial/shafts.csv: the table has no rows"),
        ({TrialRun: []}, {}, "trial/runs.csv: the table has no rows"),
    ],
    ids=["a run without its shaft", "a row lost", "no shafts", "no runs"],
)
def test_pro_12_inconclusive_where_the_shaft_may_have_turned_faster_than_is_known(tables, unread, words):
    """Of the speeds on trial the fastest counts, so a lost one may be the one that was too fast."""
    every = found(balance(), balance(50.0, propeller="P2"), tables=tables, unread=unread)
    assert {f.verdict for f in every if f.key.place == "P1"} == {INCONCLUSIVE}
    assert said(one(every, GRADE, "P1"), words)
    assert said(one(every, GRADE, "P1"), "is not known")
    assert one(every, GRADE, "P2").verdict is FAIL


def test_before_and_after_a_correction_are_both_shown():
    both = found(balance(50.0), balance(5.0, attempt=2))
    assert [f.verdict for f in both if f.key.place == "P1" and f.key.quantity == GRADE] == [FAIL, PASS]


def test_pro_12_information_where_no_class_was_agreed():
    """The tip has a limit by the class alone; the grade has one by practice."""
    bare: Rows = {Propeller: [ordered(accuracy="none"), BOTH[1]]}
    assert one(found(balance(), tables=bare), TIP, "P1").verdict is INFORMATION


def test_pro_12_inconclusive_where_rows_instruments_or_speeds_are_in_doubt():
    unknown: Rows = {Instrument: [row for row in TOOLS if row["instrument"] != "BS-01"]}
    assert {f.verdict for f in found(balance(), tables=unknown) if f.key.place == "P1"} == {INCONCLUSIVE}
    lost: Rows = {Balance: [{"propeller": "P1", "way": STATIC, "attempt": 1}]}
    assert one(found(balance(propeller="P2"), unread=lost), GRADE, "P1").verdict is INCONCLUSIVE
    unordered: Rows = {Propeller: [BOTH[1]]}
    assert one(found(balance(), tables=unordered), TIP, "P1").verdict is INCONCLUSIVE
    fast: Rows = {ShaftSpeed: [shaft("R1", "P1", 640.0), shaft("R2", "P1", 600.0)]}
    held = one(found(balance(), tables=fast), GRADE, "P1")
    assert held.verdict is INCONCLUSIVE
    assert said(held, "640 r/min, faster than the 600 r/min")
    close: Rows = {ShaftSpeed: [shaft("R1", "P1", 629.0), shaft("R2", "P1", 600.0)]}
    assert one(found(balance(), tables=close), GRADE, "P1").verdict is PASS


def test_pro_12_not_measured_or_no_record():
    assert one(found(balance()), GRADE, "P2").verdict is NOT_MEASURED
    plan: Rows = {Planned: [planned("PRO-12", "P3", Balance.table.file, 1)]}
    assert one(found(balance(), tables=plan), place="P3").verdict is NOT_MEASURED
    assert {f.verdict for f in found(tables={Balance: []})} == {NO_RECORD}
