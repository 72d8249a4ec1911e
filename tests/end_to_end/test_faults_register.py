"""What the register alone notices, in a copy of the demonstration folder: told with file and line, nothing better."""

from __future__ import annotations

import pytest

from buildbook.core.book import Book
from buildbook.core.fault import Severity
from tests.end_to_end.spoiling import HULL, Sheet, Spoil, a_fifth, cell, told

SHEETS = {file: Sheet.read(HULL / file) for file in ("plan.csv", "nonconformities.csv", "photographs.csv")}


@pytest.mark.parametrize("wrong", a_fifth(["COA-1O", "COA-8", "COA-99", "tape"]))
@pytest.mark.parametrize("file", ["plan.csv", "nonconformities.csv"])
@pytest.mark.slow
def test_an_id_that_no_check_has(spoil: Spoil, file: str, wrong: str) -> None:
    sheet = SHEETS[file]
    for row in range(3, len(sheet.body), 45):
        assert told(spoil(file, cell(row, "check", wrong)), file, sheet.line(row), "column 'check'", wrong)


def test_a_picture_beside_no_check(spoil: Spoil) -> None:
    made = spoil("photographs.csv", cell(0, "check", "COA-1"))
    line = SHEETS["photographs.csv"].line(0)
    (notice,) = [fault for fault in made.book.faults if fault.where.file == "photographs.csv"]
    assert (notice.where.line, notice.where.column, notice.severity) == (line, "check", Severity.NOTICE)
    assert len(made.book.photographs) == len(SHEETS["photographs.csv"].body)


def test_a_picture_without_its_alternative_text_is_a_fault(spoil: Spoil) -> None:
    made = spoil("photographs.csv", cell(0, "alternative", ""))
    line = SHEETS["photographs.csv"].line(0)
    assert told(made, "photographs.csv", line, "column 'alternative'")
    assert len(made.book.photographs) == len(SHEETS["photographs.csv"].body) - 1


def test_what_shows_the_size_stands_with_the_picture(sound: Book) -> None:
    scales = [row for row in SHEETS["photographs.csv"].values("scale") if row]
    assert scales
    assert [picture.scale for picture in sound.photographs if picture.scale] == scales


def test_an_id_of_work_that_no_check_has(spoil: Spoil) -> None:
    made = spoil("effort.csv", cell(1, "shown_by", "LAM-01; LAM-1O"))
    (notice,) = [fault for fault in made.book.faults if fault.where.file == "effort.csv"]
    assert (notice.where.column, notice.severity) == ("shown_by", Severity.NOTICE)
    assert "'LAM-1O'" in notice.found
