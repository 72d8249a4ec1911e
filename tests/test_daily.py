"""What is to be done in a folder: by file, the most pressing first, with a remedy each. Invented data."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.chapters import TABLES
from buildbook.core.fault import Fault, Severity
from buildbook.core.matter import State
from buildbook.core.where import Where
from buildbook.daily import OF_STATE, Daily, Kind, daily
from buildbook.pipeline import make_book, waits
from tests import growing
from tests.demonstration import HULL, demonstration

FILES = {kind.table.file for kind in TABLES}


@pytest.fixture(scope="module")
def today() -> Daily:
    return daily(demonstration().book)


@pytest.fixture(scope="module")
def moulded() -> Daily:
    return daily(growing.moulded().book)


def test_how_many_things_the_demonstration_has_to_do_regression(today: Daily) -> None:
    assert len([task for task in today.tasks if task.numbers]) == 22


def test_every_matter_is_told_once_as_a_thing_to_do_or_as_one_that_needs_nothing_more(today: Daily) -> None:
    matters = demonstration().book.matters
    to_do = {matter.what for matter in matters if matter.state in OF_STATE}
    told = [task.what for task in today.tasks if task.numbers]
    assert len(told) == len(to_do) > 0
    assert all(any(one.startswith(what) for one in told) for what in to_do)
    assert {matter.what for matter in today.behind} == {matter.what for matter in matters} - to_do
    assert not {matter.state for matter in today.behind} & {State.OPEN, State.NOT_SHOWN, State.UNDECIDED, State.OVERDUE}


def test_every_fault_is_told_with_its_place(today: Daily) -> None:
    faults = demonstration().book.faults
    assert [fault for fault in faults if fault.where not in {task.at for task in today.tasks}] == []


def test_every_thing_to_do_names_a_file_of_the_folder_and_a_remedy(today: Daily, moulded: Daily) -> None:
    for task in (*today.tasks, *moulded.tasks):
        assert task.at.file in FILES or (HULL / task.at.file).exists(), task
        assert task.remedy.endswith("."), task
        assert len(task.remedy) < 200, task
        named = re.findall(r"[\w/]+\.csv", task.remedy)
        assert set(named) <= FILES, task


def test_a_row_that_is_named_is_there(today: Daily) -> None:
    for task in today.tasks:
        if task.at.line is not None:
            assert task.at.line <= len((HULL / task.at.file).read_bytes().splitlines()), task


def test_the_most_pressing_file_and_thing_come_first(moulded: Daily) -> None:
    firsts = [file.tasks[0].kind.order for file in moulded.files]
    assert firsts == sorted(firsts)
    for file in moulded.files:
        assert [task.kind.order for task in file.tasks] == sorted(task.kind.order for task in file.tasks)
    assert moulded.next.startswith(str(moulded.tasks[0].at))


def test_ids_differ(today: Daily, moulded: Daily) -> None:
    for one in (today, moulded):
        ids = [task.id for task in one.tasks]
        assert sorted(set(ids)) == sorted(ids)


def test_due_and_not_due_add_up_by_stage(moulded: Daily) -> None:
    assert moulded.findings - moulded.due == sum(later.findings for later in moulded.later) > 400
    assert [later.stage for later in moulded.later] == ["fitting out", "painted", "launched", "on trial", "delivered"]
    assert "COA-08" in moulded.later[1].checks
    assert (daily(demonstration().book).later, moulded.stage) == ((), "moulded")


def test_a_fail_without_a_report_asks_for_one_and_is_told_once(moulded: Daily) -> None:
    fails = [task for task in moulded.tasks if task.kind is Kind.OPEN]
    assert len(fails) > 3
    assert [task for task in fails if task.id.startswith("REG-04")] == []
    assert {any(number.startswith("REG-04") for number in task.numbers) for task in fails} == {True}
    assert {"nonconformities.csv" in task.remedy for task in moulded.tasks if task.kind is Kind.OPEN} == {True}


def fault(found: str, where: Where, severity: Severity = Severity.FAULT) -> Fault:
    return Fault(where, "a number", found, "It is not read.", severity)


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        (fault("'x'", Where("a.csv", 3, "film [um]")), "Correct this cell."),
        (fault("nothing", Where("a.csv", 3, "film [um]")), "Fill in this cell."),
        (fault("two cells too many", Where("a.csv", 3)), "Correct this row."),
        (fault("no such file", Where("a.csv")), "Add the file."),
        (fault("none", Where("hull.toml", None, part="hull.name")), "Add the entry hull.name."),
        (fault("'wide'", Where("hull.toml", 9, part="dimensions.beam")), "Correct the entry dimensions.beam."),
        (fault("'x'", Where("a.csv", 3), Severity.NOTICE), "Look whether this is meant; nothing else has to be done."),
    ],
)
def test_the_remedy_of_a_fault_says_what_to_correct_or_to_add(given: Fault, remedy: str) -> None:
    (task,) = daily(replace(demonstration().book, faults=(given,), matters=())).tasks
    assert task.remedy == remedy
    assert task.kind is (Kind.FAULT if given.severity is Severity.FAULT else Kind.NOTICE)


def told(where: Where, expected: str, found: str) -> str:
    (task,) = daily(replace(demonstration().book, faults=(Fault(where, expected, found, "x"),), matters=())).tasks
    return task.remedy


RECORD = Where("vibration/records.csv", 3, "file")


@pytest.mark.parametrize(
    ("where", "expected", "found", "words"),
    [
        (Where("places.csv", 1, "kind"), "a column 'kind'", "none", ("Add the column 'kind'", "columns.toml")),
        (Where("places.csv", 3, "kind"), "zone, part or opening", "'Bereich'", ("our words", "columns.toml")),
        (
            Where("a.xlsx", sheet="a.xlsx[Burn]"),
            "a sheet 'laminate.burn_off'",
            "'Burn'",
            ("Rename the sheet", "burn_off"),
        ),
        (Where("sound.xlsm"), "a workbook without macros (.xlsx)", "one for macros", ("Save it as sound.xlsx",)),
        (Where("laminate.xls"), "a workbook (.xlsx)", "another kind", ("Save it as laminate.xlsx",)),
        (
            Where("documents.csv", 4, "document"),
            "a row of supports.csv that says",
            "none",
            ("Add a row", "supports.csv"),
        ),
        (
            Where("infusion/areas.csv", 1, "core"),
            "ids from laminate/materials.csv",
            "core ids, but that table has no row that can be read",
            ("Put laminate/materials.csv right first",),
        ),
        (RECORD, "9 bytes of data, as its head says", "5: the file ends early (vibration/a.wav)", ("vibration/a.wav",)),
        (RECORD, "a unit beside the values", "none (vibration/a.tdms, channel x)", ("vibration/a.tdms", "unit")),
        (Where("hull.toml", 8), "TOML", "a bracket too many", ("line 8",)),
    ],
)
def test_the_remedy_fits_what_the_fault_says(where: Where, expected: str, found: str, words: tuple[str, ...]) -> None:
    remedy = told(where, expected, found)
    assert [word for word in words if word not in remedy] == []
    assert "Fill in this cell" not in remedy


def test_what_stops_the_book_comes_first_and_is_told_once() -> None:
    stopping = fault("'x'", Where("hull.toml", 30, part="release.withhold"))
    book = demonstration().book
    today = daily(replace(book, faults=(*book.faults, stopping)), [stopping])
    assert (today.tasks[0].kind, today.tasks[0].at) == (Kind.STOPS, stopping.where)
    assert today.number(Kind.FAULT) == 0
    assert today.stops.startswith("No book")


def test_nothing_to_do_says_so() -> None:
    today = daily(replace(demonstration().book, faults=(), matters=()))
    assert (today.tasks, today.tally) == ((), ())
    assert today.next == "Nothing stands in the way. Build the book: buildbook build"


def test_of_several_faults_the_one_that_hides_the_most_is_next(tmp_path: Path) -> None:
    folder = tmp_path / "hull"
    shutil.copytree(HULL, folder)
    rows = (folder / "laminate/burn_off.csv").read_bytes()
    (folder / "laminate/burn_off.csv").write_bytes(rows.replace(b",23.0012,", b",heavy,", 1))
    links = (folder / "supports.csv").read_bytes().splitlines(keepends=True)
    (folder / "supports.csv").write_bytes(b"".join(links[:-6]))
    made = make_book(folder)
    today = daily(made.book, waits=waits(made))
    assert today.number(Kind.FAULT) > 1
    assert today.next.startswith("laminate/burn_off.csv:2, ")
    assert any("Add a row about it to supports.csv." in task.remedy for task in today.tasks)
    short = [task for task in today.tasks if "The plan asks for 24 readings; 23 can be used" in task.why]
    asked = [task.remedy for task in short if task.at.file == "laminate/burn_off.csv"]
    assert len(asked) > 10
    assert set(asked) == {"Correct laminate/burn_off.csv:2; this waits for it."}
