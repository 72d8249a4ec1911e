"""What stands in the way of a book can come down to none: a closed report tells each gap, once. Invented data."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from buildbook.core.book import Book, Numbered
from buildbook.core.finding import Key, Verdict
from buildbook.core.matter import State
from buildbook.daily import Daily, Kind, Task, daily
from buildbook.pipeline import make_book
from buildbook.ready.readiness import readiness
from tests.demonstration import HULL, demonstration
from tests.end_to_end.spoiling import copied

REPORTS, LOG = "nonconformities.csv", "coating/climate.csv"
SINCE = Key("COA-06", "time since the coat below", "Z2", "Z2-4")
MARGIN = Key("COA-04", "dew-point margin", "Z2", "Z2-3")
GLOSS = Key("COA-11", "gloss at 20°", "Z3")
Row = dict[str, str]


@pytest.fixture(scope="module")
def today() -> Daily:
    return daily(demonstration().book)


def rows_of(file: Path) -> list[Row]:
    with file.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def rewritten(hull: Path, file: str, change: Callable[[list[Row]], Iterable[Row]]) -> None:
    rows = rows_of(hull / file)
    with (hull / file).open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]), restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(change(rows))


def changed(folder: Path, file: str, change: Callable[[list[Row]], Iterable[Row]]) -> Book:
    hull = copied(folder / "hull")
    rewritten(hull, file, change)
    return make_book(hull).book


def with_cells(report: str, **cells: str) -> Callable[[list[Row]], Iterable[Row]]:
    return lambda rows: [{**row, **cells} if row["report"] == report else row for row in rows]


def finding(book: Book, key: Key) -> Numbered:
    return next(item for item in book.governing if item.finding.key == key)


def task_of(book: Book, key: Key) -> Task:
    number = finding(book, key).number
    return next(task for task in daily(book).tasks if number in task.numbers)


def hole() -> tuple[int, int]:
    """The lines of the log before and after 2026-03-20 12:00 at Z2, as they stand in the file."""
    at = {line: datetime.fromisoformat(row["at"]) for line, row in lines_of("Z2")}
    noon = datetime(2026, 3, 20, 12)
    return max((t, n) for n, t in at.items() if t < noon)[1], min((t, n) for n, t in at.items() if t > noon)[1]


def lines_of(zone: str) -> list[tuple[int, Row]]:
    return [(line, row) for line, row in enumerate(rows_of(HULL / LOG), start=2) if row["zone"] == zone]


def test_a_coat_after_a_hole_in_the_log_names_the_rows_on_both_sides_of_it() -> None:
    found = finding(demonstration().book, SINCE).finding
    assert {where.line for where in found.at if where.file == LOG} == {*hole()}


def test_what_rests_on_the_same_hole_stays_by_the_same_report(today: Daily) -> None:
    book = demonstration().book
    for key in (MARGIN, SINCE):
        task = task_of(book, key)
        assert task.kind is Kind.STAYS, key
        assert "Report NCR-02 is about the same rows: accepted as found, closed 2026-03-24." in task.why
    assert "NCR-02" not in " ".join(task.why for task in today.tasks if task.kind.in_the_way)


def test_a_second_hole_is_not_told_by_the_report_of_the_first(tmp_path: Path) -> None:
    """Between the coats, and after the first cure of the lower one: three hours of the log are taken out."""
    start, end = datetime(2026, 3, 22, 10), datetime(2026, 3, 22, 14)

    def without(rows: list[Row]) -> Iterable[Row]:
        return (r for r in rows if not (r["zone"] == "Z2" and start < datetime.fromisoformat(r["at"]) < end))

    assert end - start > timedelta(hours=1)
    task = task_of(changed(tmp_path, LOG, without), SINCE)
    assert (task.kind, "NCR-02" in task.why) == (Kind.UNDECIDED, False)
    assert task.remedy.endswith("or say in nonconformities.csv why it cannot be had.")


def test_a_gap_of_calibration_stays_by_the_report_about_that_instrument_on_that_day(tmp_path: Path) -> None:
    task = task_of(demonstration().book, GLOSS)
    assert task.kind is Kind.STAYS
    assert task.why.endswith("Report NCR-05 is about the same rows: accepted as found, closed 2026-04-22.")
    assert finding(demonstration().book, GLOSS).finding.doubted  # and it is told as before in every page
    not_closed = task_of(changed(tmp_path / "open", REPORTS, with_cells("NCR-05", closed_on="")), GLOSS)
    assert (not_closed.kind, not_closed.remedy.startswith("Get a certificate of GL-01")) == (Kind.OVERDUE, True)
    of_another = changed(tmp_path / "other", REPORTS, with_cells("NCR-05", place="TH-02", condition="air temperature"))
    assert task_of(of_another, GLOSS).kind is Kind.OVERDUE


def test_what_is_used_up_or_destroyed_can_be_told_in_a_report(today: Daily) -> None:
    """Resin that is used up (INF-06) and a burned coupon (LAM-03) are not measured again."""
    coarse = [task for task in today.tasks if "too coarse" in task.why]
    assert {task.numbers[0].partition("/")[0] for task in coarse} == {"INF-06", "LAM-03"}
    for task in coarse:
        assert task.remedy.endswith("or say in nonconformities.csv why it cannot be had.")
        assert task.row


def answer_to(task: Task, name: str) -> Row:
    """A closed report in the words that the task prints."""
    told = dict(re.findall(r"(\w+) “([^”]*)”", task.row))
    return {
        "report": name, "found_on": "2026-06-01", "found_by": "QA KL", "stage": "finished film",
        "requirement": "SPEC-07", "as_found": "cannot be had any more", "disposition": "use as is",
        "approved_by": "CL", "approver_role": "client", "justification": f"CL-09 {name}", "cause": "not asked for then",
        "closed_on": "2026-06-02", "other_hulls": "no", **told,
    }  # fmt: skip


@pytest.fixture(scope="module")
def answered(today: Daily, tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The demonstration with every open thing told: its open report closed, and one report for each gap."""
    asked = [task for task in today.tasks if task.kind.in_the_way and task.row]
    more = [answer_to(task, f"NCR-8{number:02}") for number, task in enumerate(asked)]
    closed = with_cells("NCR-04", closed_on="2026-06-01")
    return changed(tmp_path_factory.mktemp("told"), REPORTS, lambda rows: [*closed(rows), *more])


def test_what_stands_in_the_way_can_come_down_to_none(answered: Book, today: Daily) -> None:
    assert sum(task.kind.in_the_way for task in today.tasks) > 10
    told = daily(answered)
    assert [(task.numbers, task.remedy) for task in told.tasks if task.kind.in_the_way] == []
    assert readiness(answered, told).answer == "Nothing that this program can see keeps her book from being shown."
    assert told.next.startswith("Nothing stands in the way.")


def test_a_report_that_nothing_was_measured_is_no_record_and_its_line_of_the_plan_no_second_gap(answered: Book) -> None:
    """The plan asks for a pull-off (Z7), a coupon (O8) and an alarm (B-4) of which the folder has no row."""
    before = {item.number: item.finding for item in demonstration().book.governing}
    planned = [n for n, it in before.items() if n.startswith("REG-02") and it.verdict is Verdict.NOT_MEASURED]
    assert len(planned) == 3
    after = {item.finding.key: item for item in answered.governing}
    for number in planned:
        item = after[before[number].key]
        assert item.finding.verdict is Verdict.NOT_MEASURED
        (matter,) = (matter for matter in answered.matters if item.number in matter.findings)
        assert matter.state is State.ACCEPTED
        assert len(matter.findings) > 1
