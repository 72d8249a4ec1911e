"""What must be read beside a verdict in the lists: calibration not shown, a guard band of the builder's own choice."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from buildbook.chapters.readings import calibration_notes
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.book import Numbered
from buildbook.core.finding import Key
from buildbook.core.judging import About, Limits, judge, judge_fact
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.listings import plan_lines, reports, run_lines, told
from tests.chapters.evidence_builder import evidence, record
from tests.chapters.small_folder import instrument


def shown(guard, standing, notes=(), unit="GU"):
    limit = Limit(unit, (Term("at least 85", standing, source="ISO-2813"),), low=85.0, guard=guard)
    (finding,) = judge(
        Key("COA-11", "gloss at 60°", "Z3"), Quantity(89.0, unit, 1.0), Limits(limit), About(notes=notes)
    )
    item = Numbered("COA-11/1", "coa-11-1", finding, "", "", "", finding.verdict.value, "", "", (), "")
    return told(evidence({}), item, ())


@pytest.mark.parametrize(
    ("guard", "standing", "words"),
    [
        (1.0, Standing.BUILDER, ()),
        (0.5, Standing.BUILDER, ("The guard band of this limit is 0.5 times the uncertainty, not the whole of it.",)),
        (0.5, Standing.READ, ("The guard band of this limit is 0.5 times the uncertainty, not the whole of it.",)),
        (0.0, Standing.READ, ()),  # the printed tables say why: glossary, coating_limits.csv
    ],
)
def test_a_guard_band_that_somebody_chose_is_told_with_the_verdict(guard, standing, words):
    assert shown(guard, standing, notes=("A note for the working.",)) == words


def test_no_guard_band_by_the_builders_choice_is_told_with_the_verdict():
    (words,) = shown(0.0, Standing.BUILDER)
    assert words.startswith("This limit has no guard band")
    assert shown(0.0, Standing.BUILDER, unit="h") == ()


def test_an_overdue_instrument_is_told_with_the_verdict_and_what_rests_on_it():
    overdue = record(Instrument, instrument("GL-01", "gloss", "GU", 1.0, due="2026-04-01"))
    notes = calibration_notes(overdue, [datetime(2026, 4, 14)])
    assert shown(1.0, Standing.BUILDER, notes) == notes
    assert notes[0].endswith(
        "Its one day of use, 2026-04-14, lies outside. The uncertainty shown rests on its certificate."
    )
    silent = record(Instrument, instrument("GL-01", "gloss", "GU", None, due="2026-04-01"))
    assert "rests" not in calibration_notes(silent, [datetime(2026, 4, 14)])[0]


LATE = {
    "report": "NCR-06",
    "check": "COA-06",
    "place": "Z5",
    "condition": "Z5-6",
    "disposition": "use as is",
    "requirement": "data sheet",
    "as_found": "late",
    "quantity": None,
    "closed_on": None,
}


def numbered(check, quantity, place, condition="", met=True):
    limit = Limit("", (Term("as asked", Standing.BUILDER),), words="as asked")
    (finding,) = judge_fact(Key(check, quantity, place, condition), met, "seen", Limits(limit), About())
    item = Numbered(f"{check}/1", f"{check}-1", finding, "", "", "", finding.verdict.value, "", "", (), "")
    return finding.key, item


def test_a_report_without_a_quantity_is_about_all_findings_of_its_check_there():
    given = dict(numbered("COA-06", "time since the coat below", "Z5", name) for name in ("Z5-6", "Z5-7"))
    folder = evidence({Nonconformity: [LATE]})
    (report,) = reports(folder, given)
    assert report.findings == ("COA-06/1",)
    late, other = given.values()
    assert told(folder, late, ()) == ("Report NCR-06: accepted as found, open.",)
    assert told(folder, other, ()) == ()


@pytest.mark.parametrize(
    ("role", "initials", "said"),
    [("client", "client", "the client"), ("builder", "MD", "the builder (MD)"), (None, "MD", "MD"), (None, None, "")],
)
def test_who_approved_is_told_once(role, initials, said):
    row = LATE | {"quantity": "x", "approver_role": role, "approved_by": initials}
    (report,) = reports(evidence({Nonconformity: [row]}), {})
    assert report.approver == said


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, "no: it was left as found, so there was nothing new to look at"),
        ({"work": "sanded"}, "no: the report names no second look"),
        ({"disposition": "rework"}, "no: the report names no second look"),
        ({"disposition": None}, "not yet: nothing is decided"),
        ({"reinspected_on": date(2026, 4, 14), "reinspected_by": "QA RT"}, "re-inspected 2026-04-14, by QA RT"),
    ],
)
def test_whether_it_was_looked_at_again_says_why_not(changed, said):
    (report,) = reports(evidence({Nonconformity: [LATE | changed]}), {})
    assert report.result == said


def test_a_report_about_the_same_coat_is_told_where_a_question_is_open():
    folder = evidence({Nonconformity: [LATE]})
    _, undecided = numbered("COA-05", "air temperature", "Z5", "Z5-6", met=None)
    assert told(folder, undecided, ()) == (
        "Report NCR-06 is about the same place and condition: accepted as found, open.",
    )


def test_a_run_is_told_with_her_speed_and_that_of_each_shaft():
    speeds = (("R1", "P1", 1133.0), ("R1", "P2", 1130.0), ("R2", "P1", 985.0), ("R2", "P2", 985.0))
    shafts = [{"run": run, "propeller": propeller, "shaft_speed": speed} for run, propeller, speed in speeds]
    runs = [{"run": run, "speed": 28.2} for run in ("R1", "R2", "R3")]
    lines = run_lines(evidence({TrialRun: runs, ShaftSpeed: shafts}))
    assert [(line.run, line.words) for line in lines] == [
        ("R1", "28.2 kn, shafts at 1133 and 1130 r/min"),
        ("R2", "28.2 kn, shafts at 985 r/min"),
        ("R3", "28.2 kn"),
    ]


def test_a_single_planned_reading_is_told_in_the_singular():
    folder = evidence({Planned: [{"line": "ITL-36", "readings": 1}, {"line": "ITL-37", "readings": 2}]})
    assert {line.line: line.planned for line in plan_lines(folder, {})} == {
        "ITL-36": "1 reading",
        "ITL-37": "2 readings",
    }
