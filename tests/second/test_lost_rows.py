"""Rows of a survey that are lost: each is told, with its file, its line and its column."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from buildbook.second.comparing import compare
from buildbook.second.comparison import Comparison
from buildbook.second.page import page_html
from buildbook.second.reading import Party, read_both, read_survey
from tests.second.parties import GLOSS_HEADS, gloss_rows, lines, small_hull, small_survey, write

DEMO = Path(__file__).parents[2] / "demo_build"
HULL, SURVEY = DEMO / "hull", DEMO / "survey"


@pytest.fixture(scope="module")
def yard() -> Party:
    return read_both(HULL, SURVEY)[0]


def against(yard: Party, survey: Path) -> Comparison:
    return compare(yard, read_survey(HULL, survey)).comparison


def test_a_record_whose_file_is_missing_is_told(yard: Party, tmp_path: Path) -> None:
    survey = Path(shutil.copytree(SURVEY, tmp_path / "survey"))
    (survey / "vibration" / "raw" / "V6_R4_survey.wav").unlink()
    made = compare(yard, read_survey(HULL, survey))
    (told,) = made.comparison.faults
    assert told.startswith("vibration/records.csv:2, column 'file': ")
    assert "vibration/raw/V6_R4_survey.wav" in told
    assert told.endswith("This row is not used.")
    assert not any(it.subject.check == "VIB-01" and it.subject.place == "V6" for it in made.comparison.pairs)
    page = page_html(made, ())
    assert "Everything could be read." not in page
    assert "V6_R4_survey.wav" in page


def test_a_record_without_the_name_of_its_file_is_told(yard: Party, tmp_path: Path) -> None:
    survey = Path(shutil.copytree(SURVEY, tmp_path / "survey"))
    table = survey / "vibration" / "records.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("vibration/raw/V2_R4_survey.wav", ""), encoding="utf-8")
    faults = against(yard, survey).faults
    assert any(words.startswith("vibration/records.csv:3, column 'file': expected a value in file") for words in faults)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Z1,1,4,60,,2026-07-07 11:00,SV-1", True),  # when and with what, and no reading
        ("Z1,1,4,60,,,", False),  # as the sheet gives it
    ],
)
def test_a_row_of_any_table_with_all_but_its_reading_is_told(tmp_path: Path, row: str, told: bool) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    rows = [*gloss_rows((87.5, 88.0, 88.2), "2026-07-07", "SV-1"), row]
    write(survey, {"coating/gloss.csv": lines(GLOSS_HEADS, *rows)})
    comparison = compare(*read_both(hull, survey)).comparison
    found = [words for words in comparison.faults if re.match(r"coating/gloss\.csv:5, column 'gloss'", words)]
    assert bool(found) is told
    assert any(words.startswith("coating/gloss.csv") for words in comparison.faults) is told
