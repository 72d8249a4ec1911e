"""What to do about a matter: whom it concerns, which cells are empty, and the words of the report. Invented data."""

from __future__ import annotations

import csv
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.core.fault import Severity
from buildbook.core.finding import Key, Verdict
from buildbook.core.matter import State
from buildbook.daily import Daily, Kind, Task, daily
from buildbook.pipeline import Made, make_book
from buildbook.ready.readiness import QUALITY, readiness
from buildbook.report_cells import words_to_copy
from tests.demonstration import HULL, demonstration
from tests.growing import moulded

REPORTS = "nonconformities.csv"
Z3 = Key("COA-10", "pull-off strength", "Z3")


@pytest.fixture(scope="module")
def today() -> Daily:
    return daily(demonstration().book)


def task_of(today: Daily, number: str) -> Task:
    return next(task for task in today.tasks if number in task.numbers)


def number_of(made: Made, key: Key) -> str:
    return next(item.number for item in made.book.governing if item.finding.key == key)


def with_reports(folder: Path, changed: dict[str, dict[str, str]], more: tuple[dict[str, str], ...] = ()) -> Made:
    """The demonstration with cells of her reports changed, by report, and with more of them."""
    shutil.copytree(HULL, folder / "hull")
    path = folder / "hull" / REPORTS
    with path.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    for row in rows:
        row.update(changed.get(row["report"], {}))
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]), restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows([*rows, *more])
    return make_book(folder / "hull")


def test_only_the_empty_cells_of_an_open_report_are_named(today: Daily) -> None:
    (task,) = (task for task in today.tasks if task.reports == ("NCR-04",))
    assert task.remedy == "NCR-04 is decided. Fill in closed_on in nonconformities.csv."
    rows = (HULL / REPORTS).read_text("utf-8").splitlines()
    assert str(task.at) == f"{REPORTS}:{next(at for at, row in enumerate(rows, 1) if row.startswith('NCR-04,'))}"


def test_every_row_to_copy_has_the_words_of_a_finding(today: Daily) -> None:
    for made, told in ((demonstration(), today), (moulded(), daily(moulded().book))):
        known = {words_to_copy(item.finding.key) for item in made.book.governing}
        asked = [task for task in told.tasks if task.row]
        assert len(asked) > 8
        assert [task.row for task in asked if task.row not in known] == []


def test_what_looks_odd_is_for_the_quality_office_and_never_first_to_be_corrected(today: Daily) -> None:
    (task,) = (task for task in today.tasks if task.numbers[:1] == ("REG-05/1",))
    assert task.remedy.startswith("Find out how it came, and answer it in a report")
    assert "Correct only what was mistyped" in task.remedy
    gaps = next(part for part in readiness(demonstration().book, today).parts if part.key == "gaps")
    assert {item.who for item in gaps.items if item.todo == task.remedy} == {QUALITY}


def test_a_gap_that_a_closed_report_tells_stays_and_keeps_nothing_from_being_shown(today: Daily) -> None:
    book = demonstration().book
    staying = [task for task in today.tasks if task.kind is Kind.STAYS]
    assert {task.numbers[0].partition("/")[0] for task in staying} == {"COA-04", "COA-06", "COA-11", "INF-02", "VIB-09"}
    kept = {number for task in staying for number in task.numbers}
    quiet = replace(book, faults=(), matters=tuple(it for it in book.matters if kept & {*it.findings}))
    ready = readiness(quiet, daily(quiet))
    assert ready.answer == "Nothing that this program can see keeps her book from being shown."
    told = next(part for part in ready.parts if part.key == "stays")
    assert (len(told.items), told.bars) == (5, False)
    assert not any(chapter.whole for chapter in ready.chapters if chapter.title == "Preparation and paint")


def test_a_gap_whose_report_is_open_stands_in_the_way(tmp_path: Path) -> None:
    made = with_reports(tmp_path, {"NCR-02": {"closed_on": ""}})
    told = [task for task in daily(made.book).tasks if "NCR-02" in f"{task.why} {task.remedy}"]
    assert told
    assert {task.kind.in_the_way for task in told} == {True}


def test_a_destructive_test_on_a_finished_boat_has_another_way_out(today: Daily) -> None:
    task = task_of(today, number_of(demonstration(), Z3))
    assert task.remedy.endswith("or say in nonconformities.csv why it cannot be had.")
    assert task.row == words_to_copy(Z3)
    growing_up = daily(moulded().book)
    told = [task.remedy for task in growing_up.tasks if task.remedy.startswith("Measure it and add")]
    assert told
    assert not any("cannot be had" in remedy for remedy in told)


REASON = {
    "report": "NCR-90", "found_on": "2026-06-01", "found_by": "QA KL", "stage": "finished film", "check": "COA-10",
    "quantity": "pull-off strength", "place": "Z3", "attempt": "1", "requirement": "SPEC-07 C 7",
    "as_found": "not tested: the test takes a piece of the paint", "disposition": "use as is", "approved_by": "CL",
    "approver_role": "client", "justification": "CL-09", "closed_on": "2026-06-02", "other_hulls": "no",
}  # fmt: skip


def test_a_report_in_those_words_takes_the_gap_out_of_the_way(tmp_path: Path) -> None:
    made = with_reports(tmp_path, {}, (REASON,))
    number = number_of(made, Z3)
    assert [task for task in daily(made.book).tasks if number in task.numbers] == []
    (matter,) = (matter for matter in made.book.matters if number in matter.findings)
    assert (matter.state, matter.reports) == (State.ACCEPTED, ("NCR-90",))


def test_the_empty_cell_of_a_report_is_named_where_it_cannot_be_used(tmp_path: Path) -> None:
    made = with_reports(tmp_path, {"NCR-03": {"requirement": ""}})
    rows = (HULL / REPORTS).read_text("utf-8").splitlines()
    line = next(at for at, row in enumerate(rows, start=1) if row.startswith("NCR-03,"))
    number = number_of(made, Key("COA-08", "smallest film thickness", "Z3"))
    task = task_of(daily(made.book), number)
    assert task.kind is Kind.OPEN
    assert f"requirement in line {line}" in task.remedy
    assert "Write a report" not in task.remedy


def test_a_report_that_fits_no_finding_is_told_with_the_nearest_one(tmp_path: Path) -> None:
    swapped = {"NCR-03": {"place": "", "condition": "Z3"}, "NCR-T3": {"quantity": "drop of voltage"}}
    made = with_reports(tmp_path, swapped)
    told = {fault.where.column: fault for fault in made.book.faults if "the words of a finding" in fault.expected}
    assert {fault.severity for fault in told.values()} == {Severity.NOTICE}
    assert told["place"].expected == (
        "the words of a finding of COA-08; the nearest has place “Z3” and condition left empty"
    )
    assert told["place"].found == "place left empty and condition “Z3”"
    assert "quantity “voltage drop”" in told["quantity"].expected
    assert not [fault for fault in demonstration().book.faults if "the words of a finding" in fault.expected]


def test_a_gap_is_not_called_better_by_a_report_that_fits_nothing(tmp_path: Path) -> None:
    made = with_reports(tmp_path, {}, ({**REASON, "place": "", "condition": "Z3"},))
    found = next(item.finding for item in made.book.governing if item.finding.key == Z3)
    assert found.verdict is Verdict.NOT_MEASURED
    assert task_of(daily(made.book), number_of(made, Z3)).kind is Kind.MISSING


def test_a_good_reading_that_only_a_report_calls_failed_is_told_as_that(tmp_path: Path) -> None:
    """NCR-03 is about the transom; with the place of the topsides it calls a reading failed that meets its limit."""
    key = Key("COA-08", "smallest film thickness", "Z2")
    (before,) = (item.finding for item in demonstration().book.governing if item.finding.key == key)
    made = with_reports(tmp_path, {"NCR-03": {"place": "Z2"}})
    (held,) = (item.finding for item in made.book.governing if item.finding.key == key)
    assert (before.verdict.met, held.verdict) == (True, Verdict.FAIL)
    assert any("The reading itself meets it; only the report calls it a fail." in note for note in held.notes)
    task = task_of(daily(made.book), number_of(made, key))
    assert "only by its report: the reading itself meets its limit" in task.what
    assert task.remedy.startswith("If NCR-03 names another place")
    assert f"correct it in {REPORTS}" in task.remedy
    other = task_of(daily(made.book), number_of(made, replace(key, place="Z3")))
    assert "only by its report" not in other.what


def test_a_residue_that_cannot_be_asks_for_the_weighings_and_the_densities(tmp_path: Path) -> None:
    """Coupon C-01 left 30.48 g in its crucible; with 30.0 g typed its voids come out below zero."""
    shutil.copytree(HULL, tmp_path / "hull")
    path = tmp_path / "hull" / "laminate/burn_off.csv"
    path.write_text(path.read_text("utf-8").replace("30.4849,30.4846", "30.0,30.0", 1), "utf-8")
    made = make_book(tmp_path / "hull")
    task = task_of(daily(made.book), number_of(made, Key("LAM-03", "void content", "L1", "C-01")))
    assert "a weighing of this coupon, or a density that was put in, is wrong" in task.why
    assert task.remedy.startswith("Look at the weighings in line 2 of laminate/burn_off.csv and at the densities")
    mean = task_of(daily(made.book), number_of(made, Key("LAM-02", "mean glass content", "L1", "single skin")))
    assert mean.remedy.startswith("The readings lie far apart: look whether one of them was mistyped")
