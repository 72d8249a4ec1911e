"""What is to be done in a folder of workbooks: each remedy names the sheet that is there. Invented data."""

from __future__ import annotations

import re
from pathlib import Path

import openpyxl
import pytest

from buildbook.chapters import TABLES
from buildbook.daily import Daily, daily
from buildbook.newfolder import lay_out
from buildbook.pipeline import make_book
from buildbook.proposed import proposed
from tests.as_workbooks import as_workbooks
from tests.growing import growing

FILES = {kind.table.file for kind in TABLES}


def remedies(today: Daily) -> list[str]:
    return [task.remedy for task in today.tasks] + [today.next]


def files_named(texts: list[str]) -> set[str]:
    return {name for text in texts for name in re.findall(r"[\w/]+\.csv", text)}


def sheets_named(texts: list[str]) -> set[tuple[str, str]]:
    return {found for text in texts for found in re.findall(r"([\w/]+\.xlsx)\[([^\]]+)\]", text)}


@pytest.fixture(scope="module")
def moulded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return as_workbooks(growing(tmp_path_factory.mktemp("growing")))


@pytest.fixture(scope="module")
def said(moulded: Path) -> list[str]:
    return remedies(daily(make_book(moulded).book))


def test_no_remedy_names_a_file_of_text_where_the_tables_are_sheets(said: list[str]) -> None:
    assert files_named(said) == set()
    assert len(sheets_named(said)) > 5


def test_a_sheet_that_is_named_is_there_or_belongs_into_a_workbook_that_is(moulded: Path, said: list[str]) -> None:
    own = {file.removesuffix(".csv").replace("/", ".") for file in FILES}
    for book, sheet in sheets_named(said):
        there = openpyxl.load_workbook(moulded / book, read_only=True).sheetnames
        assert sheet in there or sheet in own, (book, sheet)


def test_a_fresh_folder_of_workbooks_names_its_sheets_and_proposes_no_example(tmp_path: Path) -> None:
    lay_out(tmp_path / "her", xlsx=True)
    said = remedies(daily(make_book(tmp_path / "her").book))
    assert files_named(said) == set()
    assert "coating.appearance" in {sheet for _, sheet in sheets_named(said)}
    assert proposed(tmp_path / "her") == ()


def test_an_example_above_rows_of_the_yard_is_not_proposed_and_their_words_are(tmp_path: Path) -> None:
    lay_out(tmp_path / "her", xlsx=True)
    path = tmp_path / "her" / "laminate.xlsx"
    book = openpyxl.load_workbook(path)
    sheet = book["laminate.materials"]
    heads = [cell.value for cell in sheet[1]]
    assert str(sheet.cell(2, heads.index("kind") + 1).value).startswith("example:")
    sheet.cell(3, heads.index("material") + 1, "UD 300")
    sheet.cell(3, heads.index("kind") + 1, "Gelege")
    book.save(path)
    lines = "\n".join(proposed(tmp_path / "her"))
    assert "Gelege" in lines
    assert "example:" not in lines
