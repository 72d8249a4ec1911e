"""VIB-08 and VIB-09: every verdict, on tones of 20 Hz; and rows of the survey that contradict each other."""

from __future__ import annotations

import math

import numpy as np
import pytest

from buildbook.chapters.shared_records import Instrument, Nonconformity, Place
from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.checks.pairs import CHANGE, SIDES, before_and_after, port_against_starboard
from buildbook.chapters.vibration.cross import later_attempts_are_later, mirrors_name_each_other
from buildbook.chapters.vibration.records import Position, VibrationRecord
from tests.chapters.small_folder import (
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_APPLICABLE,
    NOT_MEASURED,
    expanded,
    instrument,
    near,
    one,
    said,
    value,
)
from tests.chapters.vibration.shaking import RUN, judged, position, row, sine, survey

MIRRORED = [position("V1", mirror="V2"), position("V2", mirror="V1")]
RUNS = [RUN, {**RUN, "run": "R2"}, {**RUN, "run": "R3", "setting": "full"}]


def sides(port, starboard, tables=None, unread=None, **more):
    records = [(row("A-01"), port), (row("A-02", "V2", **more), starboard)]
    return judged(port_against_starboard, survey(records, tables={Position: MIRRORED, **(tables or {})}, unread=unread))


def again(first, last, tables=None, unread=None, run="R2"):
    records = [(row("A-01"), first), (row("A-02", attempt=2, run=run), last)]
    return judged(before_and_after, survey(records, tables={TrialRun: RUNS, **(tables or {})}, unread=unread))


# --- VIB-08 -------------------------------------------------------------------------------------------------------


def test_vib_08_information_of_the_ratio_of_both_sides():
    """1.2 over 1.0 is 1.2; each level is known to 3 % (k = 2), so the ratio to 4.24 %: 0.0509 (by hand)."""
    found = one(sides(sine(1.2), sine(1.0)), SIDES, place="V1")
    assert found.verdict is INFORMATION
    assert value(found) == near(1.2, rel=0.002)
    assert expanded(found) == near(1.2 * 0.03 * math.sqrt(2.0), rel=0.005)
    assert said(found, "alike within a factor of 1.3")


@pytest.mark.parametrize(("port", "starboard"), [(1.5, 1.0), (1.0, 1.5)])
def test_a_difference_that_is_worth_a_look_is_said_for_either_side(port, starboard):
    """Common practice, no source: more than 1.3 times."""
    found = one(sides(sine(port), sine(starboard)), SIDES)
    assert value(found) == near(port / starboard, rel=0.002)
    assert said(found, "Worth a look")


def test_port_stands_above_whatever_the_order_of_the_table():
    """V1 lies to starboard here (y = 1.2 m), V2 to port: 0.5 over 1.0."""
    places = [
        {"place": n, "name": n, "kind": "position", "painted": "no", "y": y} for n, y in (("V1", 1.2), ("V2", -1.2))
    ]
    found = one(sides(sine(1.0), sine(0.5), tables={Place: places}), SIDES, place="V2")
    assert value(found) == near(0.5, rel=0.002)


def test_the_last_attempt_of_each_side_counts():
    records = [(row("A-01"), sine(1.0)), (row("A-02", "V2"), sine(3.0)), (row("A-03", "V2", attempt=2), sine(2.0))]
    found = judged(port_against_starboard, survey(records, tables={Position: MIRRORED}))
    assert value(one(found, SIDES)) == near(0.5, rel=0.002)


def test_vib_08_not_measured_where_no_direction_was_measured_on_both_sides():
    found = one(sides(sine(1.0), sine(1.0), axis="transverse"), SIDES)
    assert found.verdict is NOT_MEASURED


def test_vib_08_no_record_without_a_mirror_or_a_record():
    alone = judged(port_against_starboard, survey([(row(), sine(1.0))]))
    assert one(alone, SIDES).verdict is NO_RECORD
    empty = judged(port_against_starboard, survey([], tables={Position: MIRRORED}))
    assert one(empty, SIDES).verdict is NO_RECORD


def test_vib_08_inconclusive_of_a_record_that_is_lost_or_not_good_or_holds_nothing():
    good = sine(1.0)
    assert one(sides(good, None), SIDES).verdict is INCONCLUSIVE
    assert one(sides(good, good[:30_000]), SIDES).verdict is INCONCLUSIVE
    assert one(sides(good, np.zeros(len(good))), SIDES).verdict is INCONCLUSIVE
    lost = {VibrationRecord: [{"record": "A-09", "position": "V2"}]}
    found = sides(good, good, unread=lost)
    assert one(found, SIDES, place="V1").verdict is INCONCLUSIVE
    assert one(found, SIDES, condition="A-09").verdict is INCONCLUSIVE
    found = one(sides(good, good, tables={Position: [MIRRORED[0], position("V2")]}), SIDES)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "do not name each other")


# --- VIB-09 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("last", "words"),
    [(0.8, "Lower than before, by more"), (1.2, "Higher than before, by more"), (0.98, "No clear"), (1.02, "No clear")],
)
def test_vib_09_information_of_the_ratio_of_the_last_attempt_to_the_first(last, words):
    """U of the ratio is 4.24 % of it: 0.98 and 1.02 do not differ from 1 (by hand)."""
    found = one(again(sine(1.0), sine(last)), CHANGE, attempt=2)
    assert found.verdict is INFORMATION
    assert value(found) == near(last, rel=0.002)
    assert said(found, words)
    assert found.key.condition == "vertical, cruise"


def test_vib_09_says_what_was_done_between_the_two_or_that_nothing_was():
    report = {"report": "N-1", "check": "VIB-01", "place": "V1", "as_left_attempt": 2, "correction": "clamp tightened"}
    found = one(again(sine(1.0), sine(0.8), tables={Nonconformity: [report]}), CHANGE, attempt=2)
    assert said(found, "Between the two, by report N-1: clamp tightened.")
    assert not said(found, "no cure")
    assert said(one(again(sine(1.0), sine(0.8)), CHANGE, attempt=2), "the difference of two runs and no cure")


def test_vib_09_not_applicable_where_nothing_was_measured_again():
    assert one(judged(before_and_after, survey([(row(), sine(1.0))])), CHANGE).verdict is NOT_APPLICABLE
    assert one(again(sine(1.0), sine(0.8), run="R3"), CHANGE).verdict is NOT_APPLICABLE  # another setting


def test_vib_09_no_record_without_records():
    assert one(judged(before_and_after, survey([])), CHANGE).verdict is NO_RECORD


def test_vib_09_no_record_of_an_attempt_that_only_a_report_names():
    report = {
        "report": "N-1",
        "check": "VIB-03",
        "quantity": "quality of the record",
        "place": "V1",
        "as_left_attempt": 2,
    }
    found = judged(before_and_after, survey([(row(), sine(1.0))], tables={Nonconformity: [report]}))
    assert one(found, CHANGE).verdict is NO_RECORD
    assert said(one(found, CHANGE), "Report N-1 names attempt 2")


def test_vib_09_inconclusive_of_a_record_that_is_lost_or_not_good():
    good = sine(1.0)
    assert one(again(None, good), CHANGE, attempt=2).verdict is INCONCLUSIVE
    assert one(again(good[:30_000], good), CHANGE, attempt=2).verdict is INCONCLUSIVE
    lost = {VibrationRecord: [{"record": "A-09", "position": "V1", "attempt": 2}]}
    found = judged(before_and_after, survey([(row(), good)], unread=lost))
    assert {finding.verdict for finding in found} == {INCONCLUSIVE}
    first = {VibrationRecord: [{"record": "A-09", "position": "V1", "attempt": 1}]}
    found = judged(before_and_after, survey([(row(attempt=2), good)], unread=first))
    assert one(found, CHANGE, place="V1").verdict is INCONCLUSIVE
    elsewhere = {VibrationRecord: [{"record": "A-09", "position": "V2", "attempt": 1}]}
    found = judged(before_and_after, survey([(row(attempt=2), good)], unread=elsewhere))
    assert {finding.key.place for finding in found} == {""}  # no word about V2


def test_a_ratio_without_a_stated_uncertainty_has_none():
    silent = {Instrument: [instrument("VM-01", "acceleration", "%", None)]}
    found = one(again(sine(1.0), sine(0.8), tables=silent), CHANGE, attempt=2)
    assert found.measured is not None
    assert found.measured.expanded is None


# --- rows that contradict each other ------------------------------------------------------------------------------


def test_mirrors_name_each_other():
    good = survey([], tables={Position: MIRRORED})
    assert list(mirrors_name_each_other(good)) == []
    (fault,) = mirrors_name_each_other(survey([], tables={Position: [MIRRORED[0], position("V2", mirror="V3")]}))
    assert (fault.found, fault.where.column, fault.row_kept) == ("V3", "mirror", True)
    (fault,) = mirrors_name_each_other(survey([], tables={Position: [MIRRORED[0], position("V2")]}))
    assert fault.found == "an empty cell"
    (fault,) = mirrors_name_each_other(survey([], tables={Position: [position("V1", mirror="V1")]}))
    assert fault.expected == "a position on the other side"


def test_a_later_attempt_is_later():
    def attempts(first, last, run="R1"):
        records = [(row("A-01", at=first), None), (row("A-02", attempt=2, at=last, run=run), None)]
        return list(later_attempts_are_later(survey(records, tables={TrialRun: RUNS})))

    assert attempts("2026-05-20 10:00", "2026-05-20 10:10") == []
    assert {fault.where.line for fault in attempts("2026-05-20 10:10", "2026-05-20 10:00")} == {2, 3}
    assert len(attempts("2026-05-20 10:10", "2026-05-20 10:00", run="R2")) == 2  # the same setting
    assert attempts("2026-05-20 10:10", "2026-05-20 10:00", run="R3") == []  # another one
