"""REG-04: what became of each report, and one behind every fail. All inputs are synthetic."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.register.plan import RELEASE
from buildbook.chapters.register.reports import CLOSED, NOT_REPORTED, REPORTED, SUPPLIED
from buildbook.chapters.register.review import review
from buildbook.chapters.shared_records import Nonconformity, Planned
from buildbook.core.decide import conditional_at_best
from buildbook.core.finding import Finding, Key, Role, Verdict
from tests.chapters.evidence_builder import evidence, spoiled
from tests.chapters.register.film_folder import (
    CONCESSION,
    FAILED,
    MENDED,
    REWORK,
    SMALLEST,
    film,
    one,
    reported,
    thin_film,
    whole,
)


def test_rework_that_was_measured_again_and_passes_is_closed():
    found = one(reported(REWORK), CLOSED)
    assert (found.key.place, found.verdict, found.observed) == ("NCR-1", Verdict.PASS, "closed 2026-04-03, reworked")
    assert found.notes == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reinspected_on": None}, "no re-inspection"),
        ({"closed_on": "2026-04-01"}, "closed before the re-inspection"),
        ({"as_left_attempt": None}, "no attempt named that shows the result"),
        ({"as_left_attempt": 1}, "attempt 1 is not a later one"),
        ({"as_left_attempt": 3}, "attempt 3 is not in this folder"),
        ({"closed_on": None}, "open; decided: reworked"),
        ({"disposition": None}, "no disposition"),
    ],
)
def test_rework_that_does_not_show_what_it_demands_fails(changes, said):
    found = one(reported({**REWORK, **changes}), CLOSED)
    assert found.verdict is Verdict.FAIL
    assert said in found.observed


@pytest.mark.parametrize(
    ("values", "verdict", "note"),
    [
        ((100.5, 190), Verdict.PASS, ("Attempt 2 is a conditional pass.",)),  # within U = 1 of the limit
        ((99.5, 190), Verdict.FAIL, ()),
        ((80, 190), Verdict.FAIL, ()),
    ],
)
def test_the_later_attempt_decides(values, verdict, note):
    found = one(reported(REWORK, [*FAILED, *film(attempt=2, values=values)]), CLOSED)
    assert (found.verdict, found.notes) == (verdict, note)


def test_rework_without_a_check_cannot_be_looked_up():
    found = one(reported({**REWORK, "check": None}), CLOSED)
    assert found.verdict is Verdict.INCONCLUSIVE
    assert "names no check" in found.notes[0]


@pytest.mark.parametrize("disposition", ["repair", "use as is", "regrade"])
def test_an_accepted_concession_is_a_conditional_pass_and_says_so(disposition):
    found = one(reported({**CONCESSION, "disposition": disposition}, FAILED), CLOSED)
    assert found.verdict is Verdict.CONDITIONAL_PASS
    assert found.notes == ("It does not meet its original requirement; accepted by MD (designer): TN-112.",)


@pytest.mark.parametrize("lacking", ["approved_by", "approver_role", "justification", "closed_on"])
def test_a_concession_that_lacks_anything_fails(lacking):
    assert one(reported({**CONCESSION, lacking: None}, FAILED), CLOSED).verdict is Verdict.FAIL


def test_an_open_concession_fails_and_says_who_accepted_it():
    found = one(reported({**CONCESSION, "closed_on": None}, FAILED), CLOSED)
    assert (found.verdict, found.observed) == (Verdict.FAIL, "open; decided: accepted as found")
    assert found.notes[0].endswith("accepted by MD (designer): TN-112.")


def test_scrap_is_closed_and_its_first_result_stays():
    report = {**CONCESSION, "disposition": "scrap", "approved_by": None, "justification": None}
    report |= {"work": "panel cut out and thrown away", "reinspected_on": "2026-04-03", "reinspected_by": "QA RT"}
    findings = reported(report, FAILED)
    assert one(findings, CLOSED).verdict is Verdict.PASS
    assert one(findings, CLOSED).notes == ("Taken out of use; its first result stays in this book.",)
    assert one(findings, REPORTED).verdict is Verdict.PASS


@pytest.mark.parametrize("lacking", [{"work": None}, {"reinspected_on": None}])
def test_scrap_that_nobody_shows_is_not_closed(lacking):
    report = {**CONCESSION, "disposition": "scrap", "work": "panel cut out", "reinspected_on": "2026-04-03", **lacking}
    assert one(reported(report, FAILED), CLOSED).verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("changes", "note"),
    [
        ({"found_by": "QA KL", "reinspected_by": "qa kl"}, "Re-inspected by the person who found it (QA KL)."),
        ({"reinspected_by": None}, "Nobody is named who re-inspected."),
        ({"other_hulls": None}, "Whether other hulls are affected is not said."),
    ],
)
def test_habits_a_reader_wants_to_know_of_are_said(changes, note):
    found = one(reported({**REWORK, **changes}), CLOSED)
    assert (found.verdict, found.notes) == (Verdict.PASS, (note,))


def test_a_report_that_could_not_be_read_is_never_closed():
    given = evidence({FilmReading: [*FAILED, *MENDED], Nonconformity: [REWORK]})
    for columns in (["found_on"], ["closed_on"], ["reinspected_on"], ["as_left_attempt"], ["disposition"], ["report"]):
        findings = whole(spoiled(given, Nonconformity, 0, columns))
        found = one(findings, CLOSED)
        assert found.verdict.rank >= Verdict.INCONCLUSIVE.rank, columns
        assert one(findings, REPORTED).verdict is Verdict.INCONCLUSIVE, columns
        assert next(f for f in findings if f.key == Key("COA-08", SMALLEST, "Z1")).verdict is Verdict.FAIL


def test_rework_whose_check_could_not_be_read_is_not_closed():
    given = evidence({FilmReading: FAILED, Nonconformity: [{**REWORK, "as_left_attempt": None}]})
    assert one(whole(given), CLOSED).verdict is Verdict.FAIL
    assert one(whole(spoiled(given, Nonconformity, 0, ["check"])), CLOSED).verdict is Verdict.FAIL


def test_the_same_report_number_twice_gives_two_findings():
    twice = [f.key.place for f in whole(evidence({Nonconformity: [REWORK, CONCESSION]})) if f.key.quantity == CLOSED]
    assert twice == ["NCR-1", "NCR-1 (line 3)"]


def test_a_concession_never_makes_anything_better():
    for verdict in Verdict:
        held = conditional_at_best(Finding(Key("REG-04", CLOSED), verdict), ("accepted",)).verdict
        assert held.rank == max(verdict.rank, Verdict.CONDITIONAL_PASS.rank)


# REG-04: every fail has a report


def test_a_fail_with_its_report():
    found = one(reported(REWORK), REPORTED)
    assert (found.verdict, found.observed, found.key.condition) == (
        Verdict.PASS,
        "reported as NCR-1",
        f"COA-08, {SMALLEST}",
    )


@pytest.mark.parametrize(
    "changes", [{"place": "Z2"}, {"quantity": "mean"}, {"condition": "coat 1"}, {"attempt": 2, "as_left_attempt": 3}]
)
def test_a_report_about_something_else_does_not_count(changes):
    assert any(
        f.verdict is Verdict.FAIL and f.observed == NOT_REPORTED and f.key.place == "Z1"
        for f in reported({**REWORK, **changes})
    )


def test_a_report_without_an_attempt_is_about_the_first():
    assert one(reported({**REWORK, "attempt": None}), REPORTED).verdict is Verdict.PASS


def test_a_conditional_fail_needs_a_report_too_and_a_reference_does_not():
    rows = film(values=(99.5, 190))
    given = evidence({FilmReading: rows, Nonconformity: [{**REWORK, "check": "COA-09"}]})
    findings = tuple(thin_film(given))
    assert findings[0].verdict is Verdict.CONDITIONAL_FAIL
    assert any(f.observed == NOT_REPORTED for f in review(given, findings))
    beside = tuple(replace(f, key=replace(f.key, role=Role.REFERENCE)) for f in findings)
    assert not any(f.observed == NOT_REPORTED for f in review(given, beside))


def test_a_hold_point_released_late_needs_a_report():
    late = {"line": "ITP-1", "point": "hold", "released_on": "2026-03-19 10:00", "went_on": "2026-03-19 09:00"}
    given = evidence({Planned: [late]})
    found = one(review(given, ()), REPORTED)
    assert (found.verdict, found.key.place, found.key.condition) == (Verdict.FAIL, "ITP-1", f"REG-02, {RELEASE}")
    told = {"check": "REG-02", "quantity": RELEASE, "place": "ITP-1", "attempt": None}
    assert one(whole(evidence({Planned: [late], Nonconformity: [told]})), REPORTED).verdict is Verdict.PASS


def test_no_reports_at_all_is_said_and_never_a_pass():
    found = one(review(evidence({FilmReading: film(), Nonconformity: []}), ()), SUPPLIED)
    assert found.verdict is Verdict.NO_RECORD
    assert "not the same as no nonconformities" in found.notes[0]
    assert [f for f in reported(REWORK) if f.key.quantity == SUPPLIED] == []
