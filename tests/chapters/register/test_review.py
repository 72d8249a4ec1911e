"""REG-02, REG-04 and what the register does to the findings of others. All inputs are synthetic."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.register import CHAPTER
from buildbook.chapters.register.checks import CHECKS
from buildbook.chapters.register.plan import NOTICE, RECORD, RELEASE, UNPLANNED, short_of_plan, shortages
from buildbook.chapters.register.reports import BAD, CLOSED, NOT_REPORTED, REPORTED, SUPPLIED
from buildbook.chapters.register.review import review, stand_by_reports
from buildbook.chapters.shared_records import Instrument, Nonconformity, PhotographRecord, Planned
from buildbook.core.chapter import Chapter
from buildbook.core.check import Check
from buildbook.core.decide import by_concession
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.judging import About, Limits, judge
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.record import Record
from buildbook.core.source import Standing
from buildbook.pipeline import judge as judge_all
from tests.chapters.evidence_builder import deleted, evidence, spoiled

FILM, SMALLEST = "coating/film_thickness.csv", "smallest reading"


def one(findings, quantity, place=None) -> Finding:
    found = [f for f in findings if f.key.quantity == quantity and place in (None, f.key.place)]
    assert len(found) == 1, [f.key for f in found]
    return found[0]


def film(zone="Z1", attempt=1, values=(180, 190)):
    return [
        {"zone": zone, "attempt": attempt, "number": n, "thickness": value, "at": f"2026-03-30 09:{n:02d}"}
        for n, value in enumerate(values, start=1)
    ]


def thin_film(given: Evidence) -> Iterable[Finding]:
    """A stand-in for the film check: the smallest reading of each zone and attempt is at least 100 µm."""
    limits = Limits(Limit("um", (Term("at least 100", Standing.BUILDER),), low=100.0))
    rows = given.of(FilmReading)
    for zone, attempt in sorted({(row.zone, row.attempt) for row in rows}):
        its = [row for row in rows if (row.zone, row.attempt) == (zone, attempt)]
        key = Key("COA-08", SMALLEST, zone, attempt=attempt)
        about = About(at=tuple(row.where for row in its))
        yield from judge(key, Quantity(min(row.thickness for row in its), "um", 1.0), limits, about)


FILM_CHECK = Check("COA-08", "Is the film thick enough?", thin_film, (FilmReading,), frozenset(Verdict))
CHAPTERS = (Chapter("film", "Film", (FilmReading,), (FILM_CHECK,)), CHAPTER)
whole = partial(judge_all, chapters=CHAPTERS)


# REG-02: every planned inspection has its record


def planned(rows, plan, **more):
    given = evidence({FilmReading: rows, Planned: [{"record": FILM, "check": "COA-08", **plan}]}, **more)
    return list(review(given, tuple(thin_film(given))))


MONITOR = {"line": "ITP-1", "place": "Z1", "point": "monitor"}


def test_a_line_with_rows_in_its_file_is_recorded():
    found = one(planned(film(), MONITOR), RECORD)
    assert (found.key.place, found.verdict, found.observed) == ("ITP-1", Verdict.PASS, f"2 readable rows in {FILM}")
    assert found.limit is not None
    assert [(t.standing, t.clause) for t in found.limit.terms] == [(Standing.BUILDER, "line ITP-1, SPEC-07 C 5.3")]


def test_a_line_without_a_place_is_about_all_of_them():
    assert one(planned(film("Z7"), {**MONITOR, "place": None}), RECORD).verdict is Verdict.PASS


def test_a_line_is_recorded_where_its_check_has_a_result():
    given = evidence({FilmReading: film(), Planned: [{**MONITOR, "check": "COA-08", "record": "papers/scan.pdf"}]})
    found = one(review(given, tuple(thin_film(given))), RECORD)
    assert (found.verdict, found.observed) == (Verdict.PASS, "1 finding of COA-08")


def test_a_photograph_can_be_the_record():
    line = {**MONITOR, "record": "photographs/water-film.png", "check": "COA-02"}
    given = evidence({Planned: [line], PhotographRecord: [{}]})
    assert one(review(given, ()), RECORD).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("said", "verdict"),
    [
        ({}, Verdict.NOT_MEASURED),
        ({"point": "hold", "released_on": "2026-03-18 15:30"}, Verdict.NO_RECORD),
        ({"point": "witness", "attended": "attended"}, Verdict.NO_RECORD),
        ({"point": "witness", "attended": "waived"}, Verdict.NOT_MEASURED),
    ],
)
def test_a_line_without_a_record_is_never_a_pass(said, verdict):
    assert one(planned(film("Z2"), {**MONITOR, **said}), RECORD).verdict is verdict


def test_rows_that_could_not_be_read_leave_it_open():
    found = one(planned([], MONITOR, unread={FilmReading: [{"zone": "Z1"}]}), RECORD)
    assert found.verdict is Verdict.INCONCLUSIVE


def test_a_report_alone_is_no_record_of_the_inspection():
    report = {"check": "COA-08", "quantity": SMALLEST, "place": "Z1", "attempt": 1}
    given = evidence({FilmReading: [], Planned: [{**MONITOR, "record": FILM}], Nonconformity: [report]})
    held = stand_by_reports(given, ())
    assert [f.verdict for f in held] == [Verdict.FAIL]
    assert one(review(given, held), RECORD).verdict is Verdict.NOT_MEASURED


def test_no_plan_is_no_record():
    found = one(review(evidence({Planned: []}), ()), RECORD)
    assert (found.key.place, found.verdict) == ("", Verdict.NO_RECORD)
    assert found.notes[0].startswith("plan.csv")


def test_records_that_no_line_asked_for_are_told_for_information():
    findings = planned([*film("Z1"), *film("Z2"), *film("Z3")], MONITOR)
    found = one(findings, UNPLANNED)
    assert (found.verdict, found.key.condition) == (Verdict.INFORMATION, "COA-08")
    assert found.notes == ("Recorded without a line in the plan: Z2 and Z3.",)
    assert [f for f in planned(film("Z1"), MONITOR) if f.key.quantity == UNPLANNED] == []


# REG-02: hold points


@pytest.mark.parametrize(
    ("released", "went_on", "verdict"),
    [
        ("2026-03-18 15:30", "2026-03-19 07:30", Verdict.PASS),
        ("2026-03-18 15:30", "2026-03-18 15:30", Verdict.PASS),
        ("2026-03-18 15:31", "2026-03-18 15:30", Verdict.FAIL),
        (None, "2026-03-18 15:30", Verdict.FAIL),
        ("2026-03-18 15:30", None, Verdict.INCONCLUSIVE),
        (None, None, Verdict.NOT_MEASURED),
    ],
)
def test_a_hold_point_is_released_before_work_goes_on(released, went_on, verdict):
    line = {**MONITOR, "point": "hold", "released_on": released, "released_by": "QA KL", "went_on": went_on}
    found = one(planned(film(), line), RELEASE)
    assert found.verdict is verdict
    assert found.limit is not None
    assert found.limit.standing is Standing.READ  # the meaning of a hold point was read; the line is the builder's
    assert {t.standing for t in found.limit.terms} == {Standing.BUILDER, Standing.READ}


def test_a_release_by_nobody_is_not_a_pass():
    line = {**MONITOR, "point": "hold", "released_on": "2026-03-18 15:30", "went_on": "2026-03-19 07:30"}
    found = one(planned(film(), line), RELEASE)
    assert (found.verdict, found.notes) == (Verdict.INCONCLUSIVE, ("Nobody is named who released it.",))


minutes = st.datetimes(datetime(2026, 3, 18, 15), datetime(2026, 3, 18, 17))


@given(minutes, minutes)
def test_released_in_time_is_the_order_datetime_gives(released, went_on):
    line = {**MONITOR, "point": "hold", "released_on": released, "released_by": "QA KL", "went_on": went_on}
    expected = Verdict.PASS if (went_on - released).total_seconds() >= 0 else Verdict.FAIL
    assert one(planned(film(), line), RELEASE).verdict is expected


# REG-02: witness points


@pytest.mark.parametrize(
    ("told", "attended", "went_on", "verdict"),
    [
        ("2026-03-10", "attended", "2026-03-12 08:00", Verdict.PASS),
        ("2026-03-10", "waived", None, Verdict.PASS),
        ("2026-03-12", "attended", "2026-03-12 08:00", Verdict.PASS),
        ("2026-03-13", "attended", "2026-03-12 08:00", Verdict.FAIL),  # told after the event
        (None, None, "2026-03-12 08:00", Verdict.FAIL),
        (None, "attended", "2026-03-12 08:00", Verdict.NO_RECORD),
        ("2026-03-10", None, "2026-03-12 08:00", Verdict.NO_RECORD),
        ("2026-03-10", None, None, Verdict.NOT_MEASURED),
        (None, None, None, Verdict.NOT_MEASURED),
    ],
)
def test_a_witness_is_told_beforehand_and_comes_or_waives_it(told, attended, went_on, verdict):
    line = {**MONITOR, "point": "witness", "notified_on": told, "attended": attended, "went_on": went_on}
    assert one(planned(film(), line), NOTICE).verdict is verdict


# Fewer readings than planned


@pytest.mark.parametrize(
    ("readings", "reasons"),
    [(None, ()), (1, ()), (2, ()), (3, ("2 of 3 planned readings are readable.",))],
)
def test_fewer_readings_than_planned_hold_the_first_attempt(readings, reasons):
    lines = [{**MONITOR, "check": "COA-08", "record": FILM, "readings": readings}]
    given = evidence({FilmReading: [*film(), *film(attempt=2), *film("Z2")], Planned: lines})
    first = Finding(Key("COA-08", SMALLEST, "Z1"), Verdict.PASS)
    assert short_of_plan(given, first) == reasons
    assert short_of_plan(given, first, shortages(given)) == reasons
    for other in (
        replace(first, key=replace(first.key, attempt=2)),
        replace(first, key=replace(first.key, place="Z2")),
        replace(first, key=replace(first.key, check="COA-11")),
    ):
        assert short_of_plan(given, other) == short_of_plan(given, other, shortages(given)) == ()
    found = next(f for f in whole(given) if f.key == first.key)
    assert found.verdict is (Verdict.INCONCLUSIVE if reasons else Verdict.PASS)


def test_a_planned_number_in_a_file_that_is_no_table_cannot_be_counted():
    lines = [{**MONITOR, "check": "COA-08", "record": "coating/film.csv", "readings": 2}]
    given = evidence({FilmReading: film(), Planned: lines})
    reasons = short_of_plan(given, Finding(Key("COA-08", SMALLEST, "Z1"), Verdict.PASS))
    assert reasons == ("coating/film.csv is no table of this folder, so 2 planned readings cannot be counted.",)


@pytest.mark.parametrize("cells", [{}, {"check": "COA-08"}, {"check": "COA-08", "place": "Z1", "line": "ITP-1"}])
def test_a_line_that_could_not_be_read_may_have_planned_more(cells):
    given = evidence({FilmReading: film()}, unread={Planned: [cells]})
    assert len(short_of_plan(given, Finding(Key("COA-08", SMALLEST, "Z1"), Verdict.PASS))) == 1


@pytest.mark.parametrize("cells", [{"check": "COA-11"}, {"check": "COA-08", "place": "Z2"}])
def test_a_line_about_something_else_that_could_not_be_read_does_not_matter(cells):
    given = evidence({FilmReading: film()}, unread={Planned: [cells]})
    assert short_of_plan(given, Finding(Key("COA-08", SMALLEST, "Z1"), Verdict.PASS)) == ()


# REG-04: what became of each report

REWORK = {
    "report": "NCR-1",
    "found_on": "2026-03-30",
    "check": "COA-08",
    "quantity": SMALLEST,
    "place": "Z1",
    "attempt": 1,
    "disposition": "rework",
    "reinspected_on": "2026-04-02",
    "reinspected_by": "QA RT",
    "as_left_attempt": 2,
    "closed_on": "2026-04-03",
    "other_hulls": "no",
}
CONCESSION = {
    **{name: REWORK[name] for name in ("report", "found_on", "check", "quantity", "place", "attempt", "other_hulls")},
    "disposition": "use as is",
    "approved_by": "MD",
    "approver_role": "designer",
    "justification": "TN-112",
    "closed_on": "2026-04-03",
}
FAILED, MENDED = film(values=(60, 190)), film(attempt=2, values=(150, 190))


def reported(report, rows=(*FAILED, *MENDED)):
    given = evidence({FilmReading: rows, Nonconformity: [report]})
    return list(review(given, stand_by_reports(given, tuple(thin_film(given)))))


def test_rework_that_was_measured_again_and_passes_is_closed():
    found = one(reported(REWORK), CLOSED)
    assert (found.key.place, found.verdict, found.observed) == ("NCR-1", Verdict.PASS, "closed 2026-04-03, rework")
    assert found.notes == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reinspected_on": None}, "no re-inspection"),
        ({"closed_on": "2026-04-01"}, "closed before the re-inspection"),
        ({"as_left_attempt": None}, "no attempt named that shows the result"),
        ({"as_left_attempt": 1}, "attempt 1 is not a later one"),
        ({"as_left_attempt": 3}, "attempt 3 is not in this folder"),
        ({"closed_on": None}, "open, rework"),
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
    assert (found.verdict, found.observed) == (Verdict.FAIL, "open, use as is")
    assert found.notes[0].endswith("accepted by MD (designer): TN-112.")


def test_scrap_is_closed_and_its_first_result_stays():
    report = {**CONCESSION, "disposition": "scrap", "approved_by": None, "justification": None}
    findings = reported(report, FAILED)
    assert one(findings, CLOSED).verdict is Verdict.PASS
    assert one(findings, CLOSED).notes == ("Taken out of use; its first result stays in this book.",)
    assert one(findings, REPORTED).verdict is Verdict.PASS


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
        held = by_concession(Finding(Key("REG-04", CLOSED), verdict), ("accepted",)).verdict
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


# A report stands until its reading is shown


def test_a_fail_whose_rows_are_gone_stands_on_its_report():
    given = evidence({FilmReading: MENDED, Nonconformity: [REWORK]})
    held = stand_by_reports(given, tuple(thin_film(given)))
    found = next(f for f in held if f.key == Key("COA-08", SMALLEST, "Z1"))
    assert found.verdict is Verdict.FAIL
    assert found.observed == "88 ± 6 µm, at least 120 µm"
    assert [str(where) for where in found.at] == ["nonconformities.csv:2"]
    assert "Report NCR-1 records that this did not meet its limit" in found.notes[0]


def test_a_report_that_no_row_bears_out_says_so_and_does_not_count_as_its_own_report():
    findings = reported({**CONCESSION, "quantity": "smalest reading"}, FAILED)
    assert one(findings, CLOSED).notes[-1].startswith("No row of this folder shows the failure under these words")
    found = one(findings, REPORTED)
    assert (found.verdict, found.key.condition) == (Verdict.FAIL, f"COA-08, {SMALLEST}")


def test_a_finding_that_no_longer_shows_the_failure_is_held_at_fail():
    given = evidence({FilmReading: film(values=(190,)), Nonconformity: [REWORK]})
    found = stand_by_reports(given, tuple(thin_film(given)))[0]
    assert found.verdict is Verdict.FAIL
    assert found.measured is not None
    assert found.measured.value == 190


def test_a_finding_that_shows_the_failure_stays_as_it_is():
    given = evidence({FilmReading: FAILED, Nonconformity: [REWORK]})
    findings = tuple(thin_film(given))
    assert stand_by_reports(given, findings) == findings


def test_standing_by_reports_twice_changes_nothing_more():
    late = {"line": "ITP-1", "point": "hold", "released_on": "2026-03-19 10:00", "went_on": "2026-03-19 09:00"}
    told = {"report": "NCR-2", "check": "REG-02", "quantity": RELEASE, "place": "ITP-1"}
    gone = {**told, "report": "NCR-3", "place": "ITP-9"}
    given = evidence({FilmReading: MENDED, Planned: [late], Nonconformity: [REWORK, told, gone]})
    once = stand_by_reports(given, tuple(thin_film(given)))
    assert stand_by_reports(given, once) == once
    assert not any(f.key.check == "REG-02" for f in once)  # those findings are not made yet
    everything = stand_by_reports(given, (*once, *review(given, once)))
    assert stand_by_reports(given, everything) == everything
    keys = [f.key for f in everything]
    assert len(set(keys)) == len(keys)
    assert next(f for f in everything if f.key == Key("REG-02", RELEASE, "ITP-9")).verdict is Verdict.FAIL


def test_a_report_without_a_place_adds_nothing_of_its_own():
    given = evidence({Nonconformity: [{**REWORK, "place": None}]})
    assert stand_by_reports(given, ()) == ()


# Nothing gets better when a row of the plan, of the reports or of the instruments is lost

hours = st.sampled_from([None, "2026-03-29 09:00", "2026-03-30 09:00", "2026-03-31 09:00"])
dates = st.sampled_from([None, "2026-03-01", "2026-03-29", "2026-03-30", "2026-04-20"])
lines = st.fixed_dictionaries(
    {
        "place": st.sampled_from([None, "Z1", "Z2"]),
        "check": st.sampled_from(["COA-08", "COA-11"]),
        "record": st.sampled_from([FILM, "gloss.csv"]),
        "readings": st.sampled_from([None, 1, 2, 3]),
        "point": st.sampled_from(["hold", "witness", "monitor", "review"]),
        "notified_on": dates,
        "attended": st.sampled_from([None, "attended", "waived"]),
        "released_on": hours,
        "released_by": st.sampled_from([None, "QA KL"]),
        "went_on": hours,
    }
)
gauges = st.fixed_dictionaries(
    {
        "instrument": st.sampled_from(["UT-01", "UT-02"]),
        "certificate": st.sampled_from([None, "CAL-7"]),
        "calibrated": st.sampled_from([None, "2026-03-01"]),
        "due": st.sampled_from([None, "2026-03-15", "2026-04-20"]),
        "range_high": st.sampled_from([None, 100, 1000]),
        "resolution": st.sampled_from([None, 1, 5]),
        "uncertainty": st.sampled_from([6]),
        "coverage": st.sampled_from([2]),
    }
)
readings = st.fixed_dictionaries(
    {
        "zone": st.sampled_from(["Z1", "Z2"]),
        "attempt": st.sampled_from([1, 2]),
        "thickness": st.sampled_from([80, 99.5, 100.5, 150]),
        "instrument": st.sampled_from(["UT-01", "UT-02"]),
    }
)
endings = st.fixed_dictionaries(
    {
        "disposition": st.sampled_from([None, "rework", "repair", "use as is", "scrap"]),
        "approved_by": st.sampled_from([None, "MD"]),
        "approver_role": st.sampled_from([None, "designer"]),
        "justification": st.sampled_from([None, "TN-1"]),
        "reinspected_on": st.sampled_from([None, "2026-04-02"]),
        "as_left_attempt": st.sampled_from([None, 2]),
        "closed_on": st.sampled_from([None, "2026-04-01", "2026-04-03"]),
    }
)


@st.composite
def folders(draw):
    """A folder in which every fail has its report, as the register asks."""
    rows = [
        {**row, "number": n, "at": "2026-03-30 09:00"} for n, row in enumerate(draw(st.lists(readings, max_size=5)))
    ]
    rows = [{**row, "number": row["number"] + 1} for row in rows]
    plan = [{**line, "line": f"ITP-{n}"} for n, line in enumerate(draw(st.lists(lines, max_size=3)))]
    gauge = {row["instrument"]: {**row, "quantity": "film thickness", "unit": "um"} for row in draw(st.lists(gauges))}
    tables: dict[type[Record], list[dict[str, Any]]] = {
        FilmReading: rows,
        Planned: plan,
        Instrument: list(gauge.values()),
        Nonconformity: [],
    }
    reports = []
    for n, finding in enumerate(f for f in whole(evidence(tables)) if f.verdict.rank >= 3 and f.key.check != "REG-04"):
        key = finding.key
        about = {"check": key.check, "quantity": key.quantity, "place": key.place, "condition": key.condition or None}
        reports.append(
            {**draw(endings), **about, "attempt": key.attempt, "report": f"NCR-{n}", "found_on": "2026-03-30"}
        )
    return evidence({**tables, Nonconformity: reports})


def none_better(before: Evidence, after: Evidence) -> list[tuple[Key, str, str]]:
    was = {finding.key: finding.verdict for finding in whole(before)}
    now = {finding.key: finding.verdict for finding in whole(after)}
    return [(key, was[key], now[key]) for key in was if key in now and now[key].rank < was[key].rank]


TABLES = st.sampled_from([Planned, Instrument, Nonconformity])


@settings(max_examples=300, deadline=None)
@given(folders(), TABLES, st.data())
def test_spoiling_a_row_never_makes_a_verdict_better(folder, kind, data):
    rows = folder.records[kind]
    assume(rows)
    index = data.draw(st.integers(0, len(rows) - 1))
    columns = data.draw(st.lists(st.sampled_from(list(kind.columns())), min_size=1))
    assert none_better(folder, spoiled(folder, kind, index, columns)) == []


@settings(max_examples=300, deadline=None)
@given(folders(), TABLES, st.data())
def test_deleting_a_row_never_makes_a_verdict_better(folder, kind, data):
    """A plan line that holds findings back because readings are missing is the one that is left out: see decision 2."""
    rows = folder.records[kind]
    assume(rows)
    index = data.draw(st.integers(0, len(rows) - 1))
    assume(kind is not Planned or all(short.line.row != rows[index] for short in shortages(folder)))
    assert none_better(folder, deleted(folder, kind, index)) == []


@settings(max_examples=200, deadline=None)
@given(folders(), st.data())
def test_losing_a_reading_that_was_reported_never_makes_a_verdict_better(folder, data):
    """A report says that it failed, not by how much: a fail may turn into a conditional fail, and into no other."""
    rows = folder.records[FilmReading]
    assume(rows)
    index = data.draw(st.integers(0, len(rows) - 1))
    changed = deleted(folder, FilmReading, index)
    if data.draw(st.booleans()):
        changed = spoiled(folder, FilmReading, index, ["thickness", "at"])
    better = [found for found in none_better(folder, changed) if found[0].check == "COA-08"]
    assert [
        found for found in better if found[1:] != (Verdict.FAIL, Verdict.CONDITIONAL_FAIL) and found[1] in BAD
    ] == []


@settings(max_examples=100, deadline=None)
@given(folders())
def test_every_verdict_is_one_that_its_check_declares(folder):
    declared = {check.id: check.verdicts for chapter in CHAPTERS for check in chapter.checks}
    for finding in review(folder, stand_by_reports(folder, tuple(thin_film(folder)))):
        assert finding.verdict in declared[finding.key.check]


def test_the_review_only_adds():
    given = evidence({FilmReading: FAILED, Nonconformity: [REWORK], Planned: [MONITOR]})
    findings = tuple(thin_film(given))
    assert {f.key.check for f in review(given, findings)} <= {check.id for check in CHECKS} - {"REG-01"}
    assert {f.key for f in findings}.isdisjoint({f.key for f in review(given, findings)})
