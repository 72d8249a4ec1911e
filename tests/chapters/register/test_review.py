"""What the register does to the findings of others: reports stand, and no lost row makes anything better. Synthetic."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.register.checks import CHECKS
from buildbook.chapters.register.plan import RELEASE, shortages
from buildbook.chapters.register.reports import CLOSED, REPORTED
from buildbook.chapters.register.review import review, stand_by_reports
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Verdict
from buildbook.core.record import Record
from tests.chapters.evidence_builder import deleted, evidence, spoiled
from tests.chapters.register.film_folder import (
    CHAPTERS,
    CONCESSION,
    FAILED,
    FILM,
    MENDED,
    REWORK,
    SMALLEST,
    film,
    one,
    reported,
    thin_film,
    whole,
)

# A report stands until its reading is shown


def test_a_fail_whose_rows_are_gone_stands_on_its_report():
    given = evidence({FilmReading: MENDED, Nonconformity: [REWORK]})
    held = stand_by_reports(given, tuple(thin_film(given)))
    found = next(f for f in held if f.key == Key("COA-08", SMALLEST, "Z1"))
    assert found.verdict is Verdict.FAIL
    assert found.observed == "88 ± 6 µm, at least 120 µm"
    assert [str(where) for where in found.at] == ["nonconformities.csv:2"]
    assert "Report NCR-1 records that this did not meet its limit" in found.notes[0]


def test_a_fail_without_a_place_stands_on_its_report_too():
    """A batch or a report has no place aboard; its condition tells it apart."""
    batch = {**REWORK, "check": "PAR-05", "quantity": "days left", "place": "", "condition": "R-1"}
    given = evidence({FilmReading: MENDED, Nonconformity: [batch]})
    held = stand_by_reports(given, tuple(thin_film(given)))
    assert [f.verdict for f in held if f.key.condition == "R-1"] == [Verdict.FAIL]


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


def counts_for_another(line: Any, lines: Sequence[Any]) -> bool:
    """Whether rows that a line counts would be counted by a line without a place if it were gone."""
    return (
        bool(line.place)
        and line.readings is not None
        and any(
            (other.check, other.record) == (line.check, line.record) and not other.place and other.readings is not None
            for other in lines
        )
    )


@settings(max_examples=300, deadline=None)
@given(folders(), TABLES, st.data())
def test_deleting_a_row_never_makes_a_verdict_better(folder, kind, data):
    """A plan line that holds findings back because readings are missing is the one that is left out: see decision 2."""
    rows = folder.records[kind]
    assume(rows)
    index = data.draw(st.integers(0, len(rows) - 1))
    assume(kind is not Planned or all(short.line.row != rows[index] for short in shortages(folder)))
    assume(kind is not Planned or not counts_for_another(rows[index], rows))
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
        found
        for found in better
        if found[1:] != (Verdict.FAIL, Verdict.CONDITIONAL_FAIL)
        and found[1] in (Verdict.CONDITIONAL_FAIL, Verdict.FAIL)
    ] == []


@settings(max_examples=100, deadline=None)
@given(folders())
def test_every_verdict_is_one_that_its_check_declares(folder):
    declared = {check.id: check.verdicts for chapter in CHAPTERS for check in chapter.checks}
    for finding in review(folder, stand_by_reports(folder, tuple(thin_film(folder)))):
        assert finding.verdict in declared[finding.key.check]


def test_the_review_only_adds():
    given = evidence({FilmReading: FAILED, Nonconformity: [REWORK], Planned: [{"line": "ITP-1", "place": "Z1"}]})
    findings = tuple(thin_film(given))
    assert {f.key.check for f in review(given, findings)} <= {check.id for check in CHECKS} - {"REG-01"}
    assert {f.key for f in findings}.isdisjoint({f.key for f in review(given, findings)})
