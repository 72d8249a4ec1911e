"""REG-02: the plan against the records. All inputs are synthetic."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.register.plan import (
    NOTICE,
    RECORD,
    RELEASE,
    UNPLANNED,
    lost_to_the_plan,
    plan_lines,
    short_of_plan,
    shortages,
)
from buildbook.chapters.register.points import release_of_a_hold, released_before_it_went_on
from buildbook.chapters.register.review import review, stand_by_reports
from buildbook.chapters.shared_records import Nonconformity, PhotographRecord, Planned
from buildbook.core.fault import Severity
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.source import Standing
from tests.chapters.evidence_builder import evidence
from tests.chapters.register.film_folder import (
    FILM,
    SMALLEST,
    film,
    one,
    thin_film,
    whole,
)


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


def test_a_counting_line_without_a_place_does_not_count_what_another_line_counts():
    lines: list[dict[str, Any]] = [
        {**MONITOR, "check": "COA-08", "record": FILM, "readings": 2},
        {**MONITOR, "check": "COA-08", "record": FILM, "readings": 2, "line": "ITP-2", "place": None},
    ]
    given = evidence({FilmReading: film(), Planned: lines})
    found = {
        item.key.place: item.verdict for item in review(given, tuple(thin_film(given))) if item.key.quantity == RECORD
    }
    assert found == {"ITP-1": Verdict.PASS, "ITP-2": Verdict.NOT_MEASURED}


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


@pytest.mark.parametrize("point", ["monitor", "review", "witness"])
def test_a_release_beside_a_point_that_is_no_hold_is_a_fault_and_judged_as_a_hold(point):
    """A hold typed as another point must not take a late release out of the book."""
    line = {**MONITOR, "point": point, "released_on": "2026-03-19 09:00", "went_on": "2026-03-18 15:30"}
    given = evidence({Planned: [{"record": FILM, "check": "COA-08", **line, "released_by": "QA KL"}]})
    (fault,) = release_of_a_hold(given)
    assert (fault.where.line, fault.where.column, fault.row_kept) == (2, "point", True)
    assert (fault.expected, fault.found) == ("hold, since `released_on` is filled in", point)
    assert one(planned(film(), {**line, "released_by": "QA KL"}), RELEASE).verdict is Verdict.FAIL


def test_a_next_stage_beside_a_monitor_is_a_notice_and_beside_a_hold_or_witness_none():
    def told(point):
        line = {**MONITOR, "point": point, "went_on": "2026-03-18 15:30", "record": FILM, "check": "COA-08"}
        return list(release_of_a_hold(evidence({Planned: [line]})))

    (fault,) = told("monitor")
    assert (fault.where.column, fault.severity) == ("went_on", Severity.NOTICE)
    assert told("hold") == told("witness") == []


@pytest.mark.parametrize(("back", "right", "notices"), [(3, 2, 1), (2, 0, 0), (3, 3, 0)])
def test_heads_of_release_and_next_stage_exchanged_are_asked_about(back, right, notices):
    days = [("2026-03-19 09:00", "2026-03-18 15:30")] * back + [("2026-03-18 15:30", "2026-03-19 09:00")] * right
    lines = [
        {"line": f"ITP-{n}", "record": FILM, "check": "COA-08", "point": "hold", "released_on": one, "went_on": two}
        for n, (one, two) in enumerate(days, 1)
    ]
    told = list(released_before_it_went_on(evidence({Planned: lines})))
    assert len(told) == notices
    assert all("are the heads `released_on` and `went_on` exchanged?" in str(fault) for fault in told)


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
    [(None, ()), (1, ()), (2, ()), (3, (f"The plan asks for 3 rows at Z1, {FILM} has 2.",))],
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


@pytest.mark.parametrize("point", ["monitor", "witness"])
def test_of_a_line_that_is_lost_nothing_is_said_that_it_does_not_say(point):
    cells = {"line": "ITP-1", "point": point, "notified_on": date(2026, 3, 16), "attended": "attended"}
    given = evidence({FilmReading: film()}, unread={Planned: [cells]})
    told = [text for it in review(given, ()) for text in (it.observed, *it.notes, it.limit.words if it.limit else "")]
    assert told
    assert [text for text in told if "None" in text] == []
    asked = one(review(given, ()), RECORD).limit
    assert asked is not None
    assert asked.words == "a record in the file that this line names"


def test_the_rows_that_a_line_may_count_are_known_where_they_are_lost():
    lines = [{**MONITOR, "check": "COA-08", "record": FILM, "readings": 3}]
    given = evidence({FilmReading: film(), Planned: lines}, unread={FilmReading: [{"zone": "Z1"}, {"zone": "Z2"}, {}]})
    (line,) = plan_lines(given)
    named = [row.where for row in given.lost(FilmReading) if row.get("zone") != "Z2"]
    assert list(lost_to_the_plan(given, line)) == named


@pytest.mark.parametrize("cells", [{"check": "COA-11"}, {"check": "COA-08", "place": "Z2"}])
def test_a_line_about_something_else_that_could_not_be_read_does_not_matter(cells):
    given = evidence({FilmReading: film()}, unread={Planned: [cells]})
    assert short_of_plan(given, Finding(Key("COA-08", SMALLEST, "Z1"), Verdict.PASS)) == ()
