"""A fail without a report is one matter, wherever it is counted: its reading, and that no report of it is there.

Invented data: a folder cut from the demonstration. One thin place is in it, by hand: the smallest reading of the
transom is 206 µm, and SPEC-07 C 6.2 asks for 224 µm.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest

from buildbook.core.book import Book
from buildbook.core.finding import Key, Verdict
from buildbook.core.matter import Matter, State
from buildbook.daily import Kind, daily
from buildbook.daily_text import lines
from buildbook.pipeline import Made, make_book
from buildbook.ready.readiness import readiness
from buildbook.render.package import contents
from tests.demonstration import HULL
from tests.end_to_end.spoiling import Sheet, copied
from tests.render.site_reader import squeezed

FILES = ("hull.toml", "places.csv", "instruments.csv", "coating/film_thickness.csv")
REPORTS = "nonconformities.csv"
THIN = Key("COA-08", "smallest film thickness", "Z3")
ONE = "1 matter went wrong and is open today."


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    folder = tmp_path_factory.mktemp("thin") / "hull"
    for name in FILES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(HULL / name, folder / name)
    return make_book(folder)


@pytest.fixture(scope="module")
def site(made: Made) -> Mapping[str, str]:
    written, *_ = contents(made.book, {**made.received, **made.pictures}, pdf=False)
    return {name: data.decode() for name, data in written.items() if name.endswith((".html", ".json"))}


def of_open(book: Book) -> list[Matter]:
    return [matter for matter in book.matters if matter.state is State.OPEN]


def words(page: str) -> str:
    return squeezed(re.sub(r"<[^>]*>", "", re.sub(r"</?(p|li|h[1-6]|td|tr)\b[^>]*>", " ", page)))


def test_the_fail_and_the_word_that_no_report_is_there_are_one_matter_in_two_findings(made: Made) -> None:
    missed = [item for item in made.book.governing if item.finding.verdict.missed]
    assert [item.finding.key for item in missed if item.finding.key.check != "REG-04"] == [THIN]
    (matter,) = of_open(made.book)
    assert {*matter.findings} == {item.number for item in missed}
    assert matter.findings[0].startswith("COA-08/")
    assert len(matter.findings) == 2
    assert matter.became.startswith("The folder holds no report of it.")


def test_every_page_counts_it_once(made: Made, site: Mapping[str, str]) -> None:
    assert made.book.in_short.startswith(ONE)
    (sheet,) = (page for name, page in site.items() if name.endswith("-listing.html"))
    for page in (site["index.html"], sheet):
        assert ONE in words(page)
    for page in (site["exceptions.html"], sheet):
        assert "Open today: 1 matter, in 2 findings" in words(page)
    data = json.loads(site["book.json"])
    assert [len(it["findings"]) for it in data["matters"] if it["state"] == "open today"] == [2]


def test_what_is_to_be_done_counts_it_once(made: Made) -> None:
    today = daily(made.book)
    (task,) = (task for task in today.tasks if task.kind is Kind.OPEN)
    assert task.row.startswith("check “COA-08”, quantity “smallest film thickness”, place “Z3”")
    told = " ".join(line.text for line in lines(today))
    assert " 1 open, " in told.partition("In the way: ")[2]
    unreported = next(part for part in readiness(made.book, today).parts if part.key == "unreported")
    assert len(unreported.items) == 1


def reports_changed(folder: Path, report: str, column: str = "", cell: str = "") -> Book:
    """The demonstration with one cell of a report changed; without a column, without that report."""
    hull = copied(folder / "hull")
    sheet = Sheet.read(hull / REPORTS)
    row = next(at for at, cells in enumerate(sheet.body) if cells[0] == report)
    if column:
        sheet.set(row, column, cell)
    else:
        del sheet.rows[row + 1]
    sheet.write()
    return make_book(hull).book


def state_of(book: Book, key: Key) -> State:
    number = next(item.number for item in book.governing if item.finding.key == key)
    return next(matter.state for matter in book.matters if number in matter.findings)


def test_a_fail_whose_report_cannot_be_read_is_one_matter_too(tmp_path: Path) -> None:
    book = reports_changed(tmp_path, "NCR-03", "found_on", "2026-0x-25")
    about_it = [
        item.number
        for item in book.exceptions
        if item.finding.key.check == "REG-04" and "NCR-03" in (item.finding.key.place, *item.finding.observed.split())
    ]
    assert len(about_it) == 2
    (matter,) = (matter for matter in of_open(book) if "film thickness" in matter.what)
    assert {*about_it} < {*matter.findings}


def test_a_repair_without_its_report_is_no_better_than_with_one_that_is_open(tmp_path: Path) -> None:
    """No loss makes anything better (docs/decisions/0002): a lost report is not better than one nobody closed."""
    key = Key("LAM-11", "place found open", "L4", "B-03")
    not_closed = reports_changed(tmp_path / "not closed", "NCR-L4", "closed_on", "")
    lost = reports_changed(tmp_path / "lost", "NCR-L4")
    assert state_of(not_closed, key) is state_of(lost, key) is State.OPEN
    told = [matter for matter in of_open(lost) if "B-03" in matter.what]
    assert [len(matter.findings) for matter in told] == [2]
    missing = [item for item in lost.governing if item.finding.observed == "fail without nonconformity report"]
    assert [item.finding.verdict for item in missing] == [Verdict.FAIL]
    assert missing[0].number in told[0].findings
