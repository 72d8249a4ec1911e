"""VIB-03: what the rows of a survey say against each other; every record is synthetic."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.checks.comfort import where_people_are
from buildbook.chapters.vibration.checks.quality import records_good
from buildbook.chapters.vibration.cross import levels_of_one_size, records_of_their_own
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.subjects import analysed, overall
from buildbook.core.fault import Severity
from tests.chapters.small_folder import FAIL, INCONCLUSIVE, PASS, one, said
from tests.chapters.vibration.shaking import RUN, judged, row, signal, sine, survey


def level(weighted):
    """A tone of 20 Hz of about so much [mm/s]."""
    return sine(weighted / 0.961)


@pytest.mark.parametrize(("seconds", "verdict"), [(64.0, PASS), (63.5, PASS), (80.0, FAIL), (62.5, FAIL)])
def test_vib_03_fail_of_a_record_that_is_not_as_long_as_most_that_were_started_with_it(seconds, verdict):
    """1 % of 64 s is 0.64 s: a house rule. A file that gives a wrong rate has another length in seconds."""
    axes = ((2, "vertical"), (3, "transverse"))
    others = [(row(f"A-0{n}", where="V2", axis=axis), sine(1.0 + 0.1 * n)) for n, axis in axes]
    given = survey([(row(), sine(1.5, 20.0, seconds)), *others])
    found = one(judged(records_good, given), place="V1")
    assert found.verdict is verdict
    assert said(found, f"It lasts {seconds:g} s, and the records") == (verdict is FAIL)
    assert {other.verdict for other in judged(records_good, given) if other.key.place == "V2"} == {PASS}
    faults = list(records_of_their_own(given))
    assert [str(fault.where.column) for fault in faults] == ["file"] * (verdict is FAIL)


def test_of_two_records_of_unlike_length_neither_is_good():
    given = survey([(row(), level(1.5)), (row("A-02", where="V2"), sine(1.5, 20.0, 90.0))])
    assert {found.verdict for found in judged(records_good, given)} == {FAIL}
    later = survey([(row(), level(1.5)), (row("A-02", where="V2", at="2026-05-20 11:00"), sine(1.5, 20.0, 90.0))])
    assert {found.verdict for found in judged(records_good, later)} == {PASS}


def test_vib_03_fail_of_two_records_with_the_same_samples():
    """A row that names the file of another position would give that one's level to both."""
    given = survey([(row(), level(1.5)), (row("A-02", where="V2"), level(1.5))])
    first, second = given.records[VibrationRecord]
    given = replace(given, signals={**given.signals, second.where: given.signals[first.where]})
    assert {found.verdict for found in judged(records_good, given)} == {FAIL}
    assert {fault.where.column for fault in records_of_their_own(given)} == {"file"}
    assert one(judged(where_people_are, given), place="V1").verdict is INCONCLUSIVE


def test_records_of_one_place_have_each_its_own_spectrum():
    """As two channels of one file; and as a file that another is put in place of. A tone's level is its own r.m.s."""
    given = survey([(row(), sine(1.5)), (row("A-02", where="V2"), sine(3.0))])
    first, second = given.of(VibrationRecord)
    place = given.signals[first.where].where
    given = replace(given, signals={at: replace(one, where=place) for at, one in given.signals.items()})
    other = replace(given, signals={**given.signals, first.where: replace(signal(sine(0.7)), where=place)})

    def levels(rows):
        return [overall(found) for one in (first, second) if (found := analysed(rows, one))]

    assert [levels(given), levels(other), levels(given)] == [
        pytest.approx(wanted, rel=0.01) for wanted in ([1.5, 3.0], [0.7, 3.0], [1.5, 3.0])
    ]


def columns(given):
    """The columns of the rows that contradict others."""
    return [fault.where.column for fault in records_of_their_own(given)]


def test_a_copy_of_a_file_under_another_name_is_found_by_its_samples():
    given = survey([(row(), level(1.5)), (row("A-02", where="V2"), level(1.5))])
    assert columns(given) == ["file", "file"]
    assert columns(survey([(row(), level(1.5)), (row("A-02", where="V2"), level(1.51))])) == []


def test_one_chain_has_one_value_at_full_scale():
    """A tenth of it makes a tenth of the level. Of two that differ neither can be told to be right."""
    three = [(row(f"A-0{n}", where=f"V{n}", calibration=20.0), level(1.0 + 0.1 * n)) for n in (1, 2, 3)]
    assert columns(survey(three)) == []
    odd = [(row("A-04", where="V4", calibration=2.0), level(0.15)), *three]
    given = survey(odd)
    assert columns(given) == ["calibration"]
    assert one(judged(records_good, given), place="V4").verdict is FAIL
    assert said(one(judged(records_good, given), place="V4"), "that of the other records of VM-01 20.")
    assert columns(survey(odd[:2])) == ["calibration", "calibration"]
    other = (row("A-04", where="V4", calibration=2.0, instrument="VM-02"), level(0.15))
    assert columns(survey([other, *three])) == []


def test_the_number_1_and_full_scale_are_two_things():
    """A MATLAB file has the value of the number 1, a WAV file that at full scale: one does not contradict the other."""
    heard = [(row(f"A-0{n}", where=f"V{n}", calibration=20.0), level(1.0 + 0.1 * n)) for n in (1, 2, 3)]
    stored = [
        (
            row(f"B-0{n}", where=f"W{n}", file=f"b{n}.mat", variable="a", rate=1024.0, calibration=value),
            level(2 + 0.1 * n),
        )
        for n, value in ((1, 1.0), (2, 1.0), (3, 9.81))
    ]
    assert columns(survey([*heard, stored[0]])) == []
    given = survey([*heard, *stored])
    assert columns(given) == ["calibration"]
    assert said(one(judged(records_good, given), place="W3"), "Its value of the number 1 is 9.81")


def test_one_direction_is_measured_once_in_an_attempt():
    """A second upright record where the longitudinal one was meant: that one would be missed by nobody."""
    given = survey([(row(), level(1.5)), (row("A-02"), level(0.5))])
    assert columns(given) == ["", ""], "nobody can tell which of the four is wrong, so no cell is blamed"
    (told, _) = records_of_their_own(given)
    assert all(word in told.found for word in ("V1", "vertical", "R1", "attempt 1"))
    assert {found.verdict for found in judged(records_good, given)} == {FAIL}
    assert columns(survey([(row(), level(1.5)), (row("A-02", axis="transverse"), level(0.5))])) == []
    assert columns(survey([(row(), level(1.5)), (row("A-02", attempt=2), level(0.5))])) == []


@pytest.mark.parametrize(
    ("at", "wrong"),
    [
        ("2026-05-20 09:35", False),  # five minutes before it began
        ("2026-05-20 09:34", True),
        ("2026-05-20 09:51", False),
        ("2026-05-20 09:52", True),  # when the next one began
        ("2026-05-21 09:41", True),
    ],
)
def test_a_record_is_made_in_its_run(at, wrong):
    """The run began at 09:40, the next one at 09:52; five minutes before are a house rule."""
    runs = [{**RUN, "at": "2026-05-20 09:40"}, {**RUN, "run": "R2", "at": "2026-05-20 09:52"}]
    given = survey([(row(at=at), level(1.5))], tables={TrialRun: runs})
    assert columns(given) == ["at"] * wrong
    assert one(judged(records_good, given)).verdict is (FAIL if wrong else PASS)


@pytest.mark.parametrize(("level_of_it", "told"), [(0.2, False), (0.18, True), (12.5, False), (13.0, True)])
def test_a_record_whose_scale_is_wrong_by_a_nought_is_told_and_still_judged(level_of_it, told):
    """The record beside it has 1.6 mm/s: an eighth is 0.2 mm/s, eight times 12.8 mm/s (worked by hand).

    It is the only MATLAB file, so no other calibration of its kind speaks against it.
    """
    stored = row("B-01", run="R2", file="b.mat", variable="a", rate=1024.0, calibration=1.0)
    slipped = sine(level_of_it * 1.001)  # so that an eighth is not missed by rounding
    given = survey([(row(), sine(1.6)), (stored, slipped)], tables={TrialRun: [RUN, {**RUN, "run": "R2"}]})
    notices = [fault for fault in levels_of_one_size(given) if fault.where.column == "calibration"]
    assert len(notices) == told
    assert {fault.severity for fault in notices} <= {Severity.NOTICE}
    found = [one for one in judged(where_people_are, given) if "R2" in one.key.condition]
    assert found
    assert any(said(one, "its calibration or its unit may be wrong") for one in found) is told
    assert columns(given) == []


def test_where_no_other_record_is_at_its_place_the_rest_of_its_chain_stands_beside_a_record():
    others = [(row(f"A-0{n}", where=f"V{n}"), level(1.0 + 0.1 * n)) for n in (1, 2)]
    slipped = (row("A-03", where="V3"), level(0.01))
    assert [fault.where.column for fault in levels_of_one_size(survey([*others, slipped]))] == ["file"]
    alone = (row("A-03", where="V3", instrument="VM-02"), level(0.01))
    assert not list(levels_of_one_size(survey([*others, alone])))
    assert not list(levels_of_one_size(survey(others)))
