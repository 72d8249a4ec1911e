"""A hull and a survey kept in workbooks give the comparison that the same two give in files of text."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from buildbook.second.comparing import compare
from buildbook.second.reading import read_both
from tests.as_workbooks import as_workbooks
from tests.second.parties import demonstration_read, small_hull, small_survey

DEMO = Path(__file__).parents[2] / "demo_build"
SHEET = re.compile(r"sheet='[^']*'")
IN_WORDS = re.compile(r"[\w/]+\.xlsx\[([\w.]+)\]")


def places(text: str) -> str:
    """The words with each place as in files of text."""
    return SHEET.sub("sheet=''", IN_WORDS.sub(lambda match: match[1].replace(".", "/") + ".csv", text))


@pytest.mark.parametrize("which", [("hull",), ("survey",), ("hull", "survey")], ids="-".join)
def test_every_pair_is_the_same(tmp_path: Path, which: tuple[str, ...]) -> None:
    for name in ("hull", "survey"):
        shutil.copytree(DEMO / name, tmp_path / name)
        if name in which:
            as_workbooks(tmp_path / name)
    before = compare(*demonstration_read()).comparison
    after = compare(*read_both(tmp_path / "hull", tmp_path / "survey")).comparison
    assert len(after.pairs) == len(before.pairs) > 0
    for one, other in zip(before.pairs, after.pairs, strict=True):
        assert places(repr(other)) == repr(one)


def test_an_empty_reading_in_a_workbook_is_told_with_its_cell(tmp_path: Path) -> None:
    import openpyxl

    hull, survey = small_hull(tmp_path / "hull"), as_workbooks(small_survey(tmp_path / "survey"))
    book = openpyxl.load_workbook(survey / "coating.xlsx")
    sheet = book["coating.gloss"]
    heads = [str(cell.value).partition(" ")[0] for cell in sheet[1]]
    column = heads.index("gloss") + 1
    sheet.cell(2, column).value = None
    book.save(survey / "coating.xlsx")
    _, his, _ = read_both(hull, survey)
    told = [str(fault) for fault in his.faults if "an empty cell" in fault.found]
    assert told
    assert all(text.startswith("coating.xlsx[coating.gloss] ") for text in told)
