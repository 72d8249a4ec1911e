"""The workbooks of a fresh hull folder: opened with another program than the one that reads them here."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Literal, get_args, get_origin
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from typer.testing import CliRunner

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.cli import app
from buildbook.core.record import about, head
from buildbook.newbooks import books
from buildbook.newfolder import NotOurs, lay_out
from buildbook.pipeline import make_book
from buildbook.readers.choices import base_type
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather
from buildbook.readers.standing import books_of, canonical
from tests.as_workbooks import saved, workbook

Opened = dict[str, openpyxl.Workbook]
FILES = [kind.table.file for kind in TABLES]


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("new") / "her"
    lay_out(folder, xlsx=True)
    return folder


@pytest.fixture(scope="module")
def opened(fresh: Path) -> dict[str, openpyxl.Workbook]:
    return {path.stem: openpyxl.load_workbook(path) for path in sorted(fresh.glob("*.xlsx"))}


def test_each_table_stands_in_one_sheet_and_there_is_no_file_of_text(fresh: Path) -> None:
    assert sorted(path.name for path in fresh.iterdir()) == sorted(
        ["hull.toml", "columns.toml", "columns.md", *(f"{chapter.key}.xlsx" for chapter in CHAPTERS)]
    )
    found = books_of(Folder(fresh), FILES)
    assert sorted(found.stands) == sorted(FILES)
    assert {len(stands) for stands in found.stands.values()} == {1}
    assert (found.strange, found.locked) == ({}, {})
    top = {found.stands[file][0].workbook for file in FILES if "/" not in file}
    assert top == {"register.xlsx"}


def test_heads_are_bold_frozen_and_carry_their_units(opened: Opened) -> None:
    sheets = {name: book[name] for book in opened.values() for name in book.sheetnames}
    for kind in TABLES:
        sheet = sheets[canonical(kind.table.file)]
        assert [cell.value for cell in sheet[1]] == [head(kind, name) for name in kind.columns()]
        assert all(cell.font.bold for cell in sheet[1])
        assert sheet.freeze_panes == "A2"
        assert len(sheet.title) <= 31  # letters that a sheet's name may have: ECMA-376-1, 18.2.19


def test_the_example_row_is_marked_in_every_cell_and_is_not_read(fresh: Path, opened: Opened) -> None:
    sheets = {name: book[name] for book in opened.values() for name in book.sheetnames}
    for kind in TABLES:
        shown = [cell.value for cell in sheets[canonical(kind.table.file)][2]]
        assert any(shown), kind.table.file
        examples = (about(info, "example") for info in kind.columns().values())
        assert shown == [f"example: {text}" if text else None for text in examples]
    found = gather(Folder(fresh), TABLES)
    assert found.faults == ()
    assert set(found.evidence.missing.values()) == {"has heads and no rows"}


def test_coded_columns_have_a_list_and_days_a_warning(opened: Opened) -> None:
    for book in opened.values():
        told = book["about"]
        for kind in (kind for kind in TABLES if canonical(kind.table.file) in book.sheetnames):
            sheet = book[canonical(kind.table.file)]
            rules = {str(rule.sqref).partition(":")[0]: rule for rule in sheet.data_validations.dataValidation}
            for number, (name, info) in enumerate(kind.columns().items(), start=1):
                wanted, rule = base_type(info), rules.get(f"{get_column_letter(number)}2")
                if get_origin(wanted) is Literal or wanted is bool:
                    assert rule is not None, (kind, name)
                    cells = told[rule.formula1.removeprefix("about!")]
                    choices = [cell.value for cell in (cells[0] if isinstance(cells, tuple) else [cells])]
                    assert choices == (["yes", "no"] if wanted is bool else list(get_args(wanted)))
                elif wanted.__name__ in ("date", "datetime"):
                    assert rule is not None
                    assert (rule.type, rule.errorStyle) == ("date", "warning")
                else:
                    assert rule is None


def test_the_sheet_about_tells_of_each_column(opened: Opened) -> None:
    told = {}
    for book in opened.values():
        for row in book["about"].iter_rows(min_row=8, max_col=7, values_only=True):
            told[row[0], row[1]] = row[2:]
    for kind in TABLES:
        for name, info in kind.columns().items():
            unit, meaning, required, example, _ = told[canonical(kind.table.file), head(kind, name)]
            assert unit == (about(info, "unit") or None)
            assert str(meaning).startswith(info.description or "")
            assert (required == "yes") is info.is_required()
            assert example == (about(info, "example") or None)


def test_text_stays_as_it_is_typed_and_days_show_as_days(opened: Opened) -> None:
    sheet = opened["register"]["instruments"]
    forms = {
        sheet.cell(1, at).value: sheet.column_dimensions[get_column_letter(at)].number_format for at in range(1, 12)
    }
    assert forms["instrument"] == "@"
    assert "yyyy-mm-dd" in forms.values()


@pytest.mark.slow
def test_the_same_bytes_on_any_day_and_without_the_library_that_writes_faster(fresh: Path) -> None:
    made = books(CHAPTERS)
    assert made == {path.name: path.read_bytes() for path in sorted(fresh.glob("*.xlsx"))}
    code = "import hashlib; from buildbook.chapters import CHAPTERS; from buildbook.newbooks import books; "
    code += "print(hashlib.sha256(b''.join(books(CHAPTERS).values())).hexdigest())"
    sums = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "OPENPYXL_LXML": lxml, "TZ": zone, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for lxml, zone, seed in (("True", "UTC", "1"), ("False", "Asia/Tokyo", "2"))
    }
    assert len(sums) == 1
    with zipfile.ZipFile(io.BytesIO(made["parts.xlsx"])) as parts:
        assert {part.date_time for part in parts.infolist()} == {(2000, 1, 1, 0, 0, 0)}
        assert b"2000-01-01T00:00:00Z" in parts.read("docProps/core.xml")


def test_no_second_place_for_a_table_that_is_there(tmp_path: Path) -> None:
    folder = tmp_path / "her"
    lay_out(folder)
    assert lay_out(folder, xlsx=True) == ()
    (folder / "coating" / "gloss.csv").unlink()
    assert lay_out(folder, xlsx=True) == ("coating.xlsx",)
    assert openpyxl.load_workbook(folder / "coating.xlsx").sheetnames == ["about", "coating.gloss"]
    assert lay_out(folder) == ()


def test_tables_in_workbooks_get_no_file(tmp_path: Path) -> None:
    (tmp_path / "hull.toml").write_text("")
    (tmp_path / "mine.xlsx").write_bytes(saved(workbook({"coating gloss": [["x"]], "coating.gloss": [["zone"]]})))
    written = lay_out(tmp_path)
    assert "coating/gloss.csv" not in written
    assert "coating/coats.csv" in written


def test_the_command_says_where_to_read_on(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["new", str(tmp_path / "her"), "--xlsx"])
    assert done.exit_code == 0
    assert "12 files laid out" in done.output
    assert "see the sheet about in each workbook" in done.output
    assert make_book(tmp_path / "her").book.exceptions


def test_a_link_in_the_way_of_a_workbook_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "her"
    folder.mkdir()
    (folder / "coating.xlsx").symlink_to(tmp_path / "other.xlsx")
    with pytest.raises(NotOurs, match="is a link"):
        lay_out(folder, xlsx=True)
    assert not (tmp_path / "other.xlsx").exists()


def test_a_library_that_names_the_empty_namespace_for_the_whole_process_changes_nothing(fresh: Path) -> None:
    """The library that prints books does so; a sheet then declared its default namespace twice (XML Names, 6.3)."""
    ElementTree.register_namespace("", "")
    assert books(CHAPTERS) == {path.name: path.read_bytes() for path in fresh.glob("*.xlsx")}
