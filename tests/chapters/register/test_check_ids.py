"""Ids of checks in the plan, the reports and the photographs. All rows are synthetic."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.register.check_ids import known_checks
from buildbook.chapters.register.plan import RECORD
from buildbook.chapters.register.reports import CLOSED, REPORTED
from buildbook.chapters.shared_records import Nonconformity, PhotographRecord, Planned
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Severity
from buildbook.core.finding import Verdict
from tests.chapters.evidence_builder import evidence
from tests.chapters.register.film_folder import FAILED, FILM, MENDED, REWORK, SMALLEST, film, one, whole

KNOWN = ("COA-08", "COA-10", "COA-11", "COA-18", "REG-02")
CHECK = known_checks(KNOWN)


def used(given: Evidence) -> Evidence:
    """The evidence as the book judges it: rows with a fault are not used as they stand."""
    return given.without(fault for fault in CHECK(given) if fault.severity is Severity.FAULT)


@pytest.mark.parametrize(
    ("written", "meant"), [("COA-1O", "COA-10"), ("COA-8", "COA-08"), ("coa-11", "COA-11"), ("tape test", "")]
)
@pytest.mark.parametrize(
    ("kind", "severity"),
    [(Planned, Severity.FAULT), (Nonconformity, Severity.FAULT), (PhotographRecord, Severity.NOTICE)],
)
def test_an_unknown_id_is_told_with_line_and_column(kind, severity, written, meant):
    sound = "COA-08"
    (fault,) = CHECK(evidence({kind: [{"check": sound}, {"check": written}]}))
    assert (fault.where.file, fault.where.line, fault.where.column) == (kind.table.file, 3, "check")
    assert fault.severity is severity
    assert fault.found == f"'{written}'" + (f" (did you mean '{meant}'?)" if meant else "")


def test_a_report_or_picture_about_no_check_is_no_fault():
    assert list(CHECK(evidence({Nonconformity: [{"check": None}], PhotographRecord: [{"check": None}]}))) == []


def test_a_line_of_the_plan_under_a_wrong_id_still_asks_for_its_readings():
    """Three readings were planned and two are there: under no id may that be forgotten."""
    line = {"line": "ITP-1", "place": "Z1", "check": "COA-08", "record": FILM, "readings": 3, "point": "monitor"}
    rows = film(values=(180, 190))
    for check in ("COA-08", "COA-1O"):
        found = whole(used(evidence({FilmReading: rows, Planned: [{**line, "check": check}]})))
        assert one(found, SMALLEST).verdict is Verdict.INCONCLUSIVE
        assert one(found, RECORD).verdict is Verdict.INCONCLUSIVE
    told = " ".join(one(found, SMALLEST).notes)
    assert "asks for 3 rows at Z1" in told


def test_a_report_under_a_wrong_id_holds_what_it_may_be_about():
    """The row in the folder passes, the report says it failed: with its id mistyped it cannot be called a pass."""
    rows = film(values=(190, 200))
    other = film(zone="Z2", values=(190, 200))
    found = whole(used(evidence({FilmReading: [*rows, *other], Nonconformity: [REWORK]})))
    assert one(found, SMALLEST, "Z1").verdict is Verdict.FAIL
    found = whole(used(evidence({FilmReading: [*rows, *other], Nonconformity: [{**REWORK, "check": "COA-8"}]})))
    assert one(found, SMALLEST, "Z1").verdict is Verdict.INCONCLUSIVE
    assert "Report NCR-1, which may be about this" in " ".join(one(found, SMALLEST, "Z1").notes)
    assert one(found, SMALLEST, "Z2").verdict is Verdict.PASS  # the report names another place
    assert one(found, CLOSED).verdict.rank >= Verdict.INCONCLUSIVE.rank


def test_a_fail_whose_report_has_a_wrong_id_counts_as_not_reported():
    given = evidence({FilmReading: [*FAILED, *MENDED], Nonconformity: [{**REWORK, "check": "COA-8"}]})
    found = whole(used(given))
    assert one(found, REPORTED).verdict is Verdict.FAIL
