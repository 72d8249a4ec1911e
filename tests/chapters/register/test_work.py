"""REG-07: people and days of each stage, what was rejected and done again. All inputs are synthetic."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from buildbook.chapters.register.charts import charts
from buildbook.chapters.register.check_ids import known_checks
from buildbook.chapters.register.records import Work
from buildbook.chapters.register.spans import person_days
from buildbook.chapters.register.work import NO_RESULT, work_findings
from buildbook.chapters.shared_records import Effort, Nonconformity, Planned
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence, record, spoiled

LAID = {"stage": "laminate", "kind": "first pass", "begun": "2025-08-18", "ended": "2025-08-29", "days": 10}
LAID |= {"people": 4, "hours": 6.0, "shown_by": "LAM-01; LAM-05", "purpose": "few voids"}
AGAIN = {"stage": "laminate", "kind": "rework", "begun": "2025-09-02", "days": 1, "people": 2, "hours": 8.0}
AGAIN |= {"by": "shop GF"}


def found(*rows, sheets=(), plan=(), reports=(), findings=()):
    tables: dict[type[Record], Any] = {Work: rows, Effort: sheets, Planned: plan, Nonconformity: reports}
    return list(work_findings(evidence(tables), findings))


def test_reg_07_information_of_people_days_and_rework():
    (stage,) = found(LAID, AGAIN)
    assert (stage.verdict, stage.key.condition) == (Verdict.INFORMATION, "laminate")
    assert stage.measured is not None
    assert (stage.measured.value, stage.measured.unit) == (32.0, "d")  # 4 × 10 × 6 / 8 + 2 × 1 × 8 / 8
    assert stage.observed == "2 to 4 people within 16 days"
    assert stage.working == ("first pass: 30 person-days in 1 row", "rework: 2 person-days in 1 row")
    assert stage.notes[:4] == (
        "From 2025-08-18 to 2025-09-02: 0 inspections planned; 0 findings failed in the checks named below; "
        "0 reports about this stage or these checks; 2 person-days of rework.",
        "What it is for, in the yard's words: few voids.",
        "Its result is shown by the findings of LAM-01 and LAM-05.",
        NO_RESULT,
    )


def test_reg_07_no_record_without_a_sheet():
    (none,) = found()
    assert none.verdict is Verdict.NO_RECORD
    assert none.notes[0].startswith("effort.csv")


def test_reg_07_inconclusive_where_a_day_sheet_cannot_be_used():
    given = evidence({Work: [LAID], Effort: [{}, {"day": "2026-03-03"}]})
    laid, painted = work_findings(spoiled(given, Effort, 0, ["people"]), ())
    assert (laid.verdict, painted.verdict) == (Verdict.INFORMATION, Verdict.INCONCLUSIVE)
    assert "1 row of coating/effort.csv could not be used." in painted.notes


def test_inspections_and_rejects_are_those_of_the_stage_and_of_its_checks():
    plan = [
        {"line": "1", "stage": "Laminate", "check": "LAM-09", "record": "laminate/burn_off.csv"},
        {"line": "2", "stage": "other", "check": "LAM-05", "record": "hardness.csv"},
        {"line": "3", "stage": "other", "check": "COA-08", "record": "coating/film_thickness.csv"},
    ]
    reports = [
        {"report": "A", "stage": "laminate", "check": "LAM-11"},
        {"report": "B", "stage": "x", "check": "LAM-01"},
        {"report": "C", "stage": "x", "check": "COA-08"},
    ]
    findings = [
        Finding(Key("LAM-01", "q"), Verdict.FAIL),
        Finding(Key("LAM-05", "q"), Verdict.CONDITIONAL_FAIL),
        Finding(Key("LAM-05", "q", role=Role.REFERENCE), Verdict.FAIL),
        Finding(Key("LAM-01", "r"), Verdict.PASS),
        Finding(Key("COA-08", "q"), Verdict.FAIL),
    ]
    (stage,) = found(LAID, plan=plan, reports=reports, findings=findings)
    assert stage.notes[0].endswith(
        "2 inspections planned; 2 findings failed in the checks named below; "
        "2 reports about this stage or these checks; no rework."
    )


def test_day_sheets_alone_do_not_make_the_table_of_work_needless():
    none, stage = found(sheets=[{}])
    assert (none.verdict, none.key.condition) == (Verdict.NO_RECORD, "")
    assert stage.key.condition == "coating"


def test_day_sheets_of_a_chapter_are_a_stage_of_their_own_and_join_what_bears_its_name():
    sheet = {"day": "2026-03-02", "stage": "sand", "people": 6, "hours": 4.0}
    painted = {**LAID, "stage": "coating", "begun": "2026-03-10", "ended": "2026-03-21"}
    _, alone = found(sheets=[sheet])
    assert alone.measured is not None
    assert (alone.key.condition, alone.measured.value) == ("coating", 3.0)
    assert alone.notes[0].endswith(
        "; no check is named, so no failed finding is counted; 0 reports about this stage; no rework."
    )
    assert alone.working == ("kind not said: 3 person-days in 1 row",)
    (both,) = found(painted, sheets=[sheet], plan=[{"line": "1", "stage": "s", "check": "COA-03",
                                                     "record": "coating/preparation.csv"}])  # fmt: skip
    assert both.measured is not None
    assert both.measured.value == 33.0
    assert ": 1 inspection planned; " in both.notes[0]


def test_stages_stand_in_the_order_in_which_they_began():
    later = {**LAID, "stage": "a later one", "begun": "2026-01-10", "ended": "2026-01-30"}
    assert [finding.key.condition for finding in found(later, LAID)] == ["laminate", "a later one"]


def test_the_chart_sets_rework_apart():
    given = evidence({Work: [LAID, AGAIN, {**LAID, "stage": "trial", "begun": "2026-05-01", "ended": "2026-05-20"}]})
    (chart,) = charts(given, ())
    assert [(one.name, one.x, one.y) for one in chart.series] == [
        ("work", (30.0, 30.0), ("laminate", "trial")),
        ("rework", (2.0,), ("laminate",)),
    ]
    assert chart.title == "Person-days of each stage: 62 in all, 2 of them rework"
    assert list(charts(evidence({Work: []}), ())) == []


def test_a_span_holds_the_days_worked_in_it():
    assert record(Work, LAID).last.isoformat() == "2025-08-29"
    for wrong in ({"ended": "2025-08-17"}, {"days": 13}):
        with pytest.raises(ValidationError):
            record(Work, {**LAID, **wrong})


def test_an_id_that_no_check_has_is_told():
    given = evidence({Work: [{**LAID, "shown_by": "LAM-01; LAM-99"}]})
    (fault,) = known_checks(("LAM-01", "LAM-09"))(given)
    assert fault.where.column == "shown_by"
    assert "'LAM-99'" in fault.found


@pytest.mark.parametrize(("people", "days", "hours", "expected"), [(4, 10, 6.0, 30.0), (11, 1, 2.75, 3.78125)])
def test_person_days_are_people_times_days_times_hours_over_eight(people, days, hours, expected):
    """Worked by hand: 4 × 10 × 6 / 8, and 11 × 2.75 / 8."""
    assert person_days(people, days, hours, 8.0) == expected
