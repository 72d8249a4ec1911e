"""What to do about a fault: the cell, the row or the file that has to be changed. Invented data."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.daily import Daily, Kind, Task, daily
from buildbook.fault_remedies import of_fault
from buildbook.pipeline import make_book
from tests.demonstration import HULL
from tests.readers.tdms_bytes import OVER_TIME, channel, written

RECORDS = "vibration/records.csv"
OUR_WORDS = "Write one of our words"


def copied(folder: Path) -> Path:
    """The demonstration in a folder of its own."""
    shutil.copytree(HULL, folder / "hull")
    return folder / "hull"


def cells_changed(path: Path, line: int, **cells: str) -> None:
    """Other words in some cells of a line, by the names of their columns; no cell of that line holds a comma."""
    lines = path.read_text("utf-8").split("\n")
    names = [head.partition(" [")[0] for head in lines[0].split(",")]
    row = lines[line - 1].split(",")
    for name, word in cells.items():
        row[names.index(name)] = word
    lines[line - 1] = ",".join(row)
    path.write_text("\n".join(lines), "utf-8")


def faults_of(today: Daily, file: str) -> list[Task]:
    return [task for task in today.tasks if task.at.file == file and task.kind is Kind.FAULT]


def test_a_folder_that_holds_the_hull_folder_is_told_which_one_was_meant(tmp_path: Path) -> None:
    (tmp_path / "hull").mkdir()
    shutil.copy(HULL / "hull.toml", tmp_path / "hull")
    today = daily(make_book(tmp_path).book)
    (fault,) = faults_of(today, "hull.toml")
    assert "did you mean the folder 'hull' in this one?" in fault.what
    assert fault.remedy.startswith("Give the command the folder 'hull'")
    assert today.next.endswith(fault.remedy)
    assert not [task for task in today.tasks if "line None" in task.remedy]
    assert any(task.remedy.startswith("Fill in number in hull.toml") for task in today.tasks)


def test_a_folder_without_any_hull_file_is_to_get_one(tmp_path: Path) -> None:
    (tmp_path / "deeper" / "hull").mkdir(parents=True)
    shutil.copy(HULL / "hull.toml", tmp_path / "deeper" / "hull")
    (fault,) = faults_of(daily(make_book(tmp_path).book), "hull.toml")
    assert (fault.remedy, "did you mean" in fault.what) == ("Add the file.", False)


@pytest.mark.parametrize(
    ("found", "ours"),
    [("'upright'", False), ("'upwards' (did you mean 'transverse'?)", False), ("'vertical'", True), ("vertical", True)],
)
def test_our_own_words_are_asked_for_only_where_the_word_is_none(found: str, ours: bool) -> None:
    remedy = of_fault(Fault(Where(RECORDS, 3, "axis"), "vertical, longitudinal or transverse", found, "It is lost."))
    assert remedy.startswith(OUR_WORDS) is not ours


def test_two_dates_that_contradict_each_other_are_no_wrong_word(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    couplings = folder / "shafting" / "couplings.csv"
    lines = couplings.read_text("utf-8").replace("2026-05-14 15:33", "2026-05-04 15:33", 1)
    couplings.write_text(lines, "utf-8")
    cells_changed(folder / RECORDS, 2, position="V2")
    today = daily(make_book(folder).book)
    (fault,) = faults_of(today, "shafting/couplings.csv")
    assert fault.remedy.startswith("Correct this cell, or the time in this row")
    assert not any("-168" in task.what for task in today.tasks)
    of_position = faults_of(today, RECORDS)
    assert [task.at.column for task in of_position] == ["", ""]
    assert {task.remedy for task in of_position} == {"Correct the one of the four that is wrong, here or there."}


def tdms(path: Path, *without: str) -> None:
    """A record of one channel that lacks some properties."""
    said = {name: value for name, value in OVER_TIME.items() if name not in without}
    path.write_bytes(written([channel(np.sin(np.arange(4000) / 7.0), properties=said)]))


def test_what_has_to_be_changed_about_a_record_is_named_cell_by_cell(tmp_path: Path) -> None:
    """The properties are those of the TDMS file format for a waveform: unit_string and wf_increment."""
    folder = copied(tmp_path)
    tdms(folder / "vibration/raw/whole.tdms")
    tdms(folder / "vibration/raw/no_unit.tdms", "unit_string")
    tdms(folder / "vibration/raw/no_step.tdms", "wf_increment")
    named = {2: "whole", 3: "no_unit", 4: "no_step", 5: "whole"}
    more = {2: {"calibration": "2"}, 3: {"channel": "1"}, 4: {"channel": "1"}, 5: {"channel": "7"}}
    for line, name in named.items():
        cells_changed(folder / RECORDS, line, file=f"vibration/raw/{name}.tdms", **more[line])
    told = {task.at.line: task for task in faults_of(daily(make_book(folder).book), RECORDS)}
    assert [told[line].at.column for line in named] == ["calibration", "file", "rate [Hz]", "channel"]
    assert told[2].remedy == "Empty this cell."
    assert told[3].remedy.startswith("Save vibration/raw/no_unit.tdms again with the unit")
    assert told[4].remedy.startswith("Fill in this cell, or save vibration/raw/no_step.tdms again")
    assert told[5].remedy == "Correct this cell; see which channels vibration/raw/whole.tdms has."


@pytest.mark.parametrize(
    ("column", "expected", "found", "remedy"),
    [
        ("calibration", "a calibration in the cell `calibration` of its row: the value", "none", "Fill in this cell."),
        ("variable", "the name of one variable in the cell `variable` of its row", "'a', which is not there", "holds"),
        ("variable", "an empty cell `variable` in its row, since only a .mat file has", "'a'", "Empty this cell."),
        ("rate [Hz]", "512 Hz in the cell `rate` of its row, as this file says, or an empty one", "5 Hz", "or empty"),
        ("file", "a unit for m/s2 (m/s2, g)", "'degC'", "correct the quantity"),
    ],
)
def test_the_cells_of_a_record(column: str, expected: str, found: str, remedy: str) -> None:
    fault = Fault(Where(RECORDS, 3, column), expected, f"{found} (vibration/raw/a.wav, channel 1)", "It is lost.")
    assert remedy in of_fault(fault)


def test_an_instrument_in_small_letters_is_counted_once_for_each_row(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    film = folder / "coating" / "film_thickness.csv"
    film.write_text(film.read_text("utf-8").replace("UT-01", "ut-01"), "utf-8")
    named = film.read_text("utf-8").count(",ut-01")
    (task,) = (task for task in daily(make_book(folder).book).tasks if "readings name ut-01" in task.why)
    assert task.why.startswith(f"{named} readings name ut-01")


@pytest.mark.parametrize(
    ("expected", "found", "remedy"),
    [
        ("a document that is shown", "'D-1', whose file 'a.png' is not shown: see documents.csv:17, column 'file'",
         "Put documents.csv:17 right; this waits for it."),
        ("the heads in the first line (part, gap)", "'part;attempt;gap [mm]' and nothing that is a head of it",
         "Split each row at each ';' into cells; now a whole row stands in one cell."),
        ("the heads in the first line (part, gap)", "'Teil' and nothing that is a head of it", "Correct this row."),
        ("10 cells", "1 cells",
         "Give this row as many cells as there are heads, or take it out if it is no reading."),
    ],
)  # fmt: skip
def test_a_row_that_is_none_or_waits_for_another(expected: str, found: str, remedy: str) -> None:
    assert of_fault(Fault(Where("supports.csv", 4), expected, found, "It is lost.")) == remedy
