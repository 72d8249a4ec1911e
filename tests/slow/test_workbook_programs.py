"""Workbooks as a spreadsheet program writes them: those of `buildbook new --xlsx`, opened, filled and saved by another.

The program saves our workbook in its own format, and that anew as a workbook: nothing of our bytes is left.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.core.fault import Severity
from buildbook.newbooks import books
from buildbook.pipeline import make_book
from buildbook.readers.folder import Folder
from buildbook.readers.standing import books_of, canonical
from tests.as_workbooks import fill, saved
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import HULL, verdicts
from tests.slow.browsing import not_run

pytestmark = pytest.mark.slow
FILES = [kind.table.file for kind in TABLES]


@pytest.fixture(scope="module")
def soffice() -> str:
    path = shutil.which("soffice")
    if path is None:
        not_run("workbooks in another program", "soffice is not installed; Debian package libreoffice-calc-nogui")
    return path


def converted(soffice: str, paths: list[Path], form: str, out: Path) -> list[Path]:
    """The files in another format, by the spreadsheet program, with a profile of its own."""
    profile = f"-env:UserInstallation=file://{out}/profile"
    command = [soffice, profile, "--headless", "--convert-to", form, "--outdir", str(out), *map(str, paths)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, env={**os.environ, "HOME": str(out)})
    made = [out / f"{path.stem}.{form}" for path in paths]
    assert all(path.exists() for path in made), done.stdout + done.stderr
    return made


def through(soffice: str, paths: list[Path], folder: Path) -> list[Path]:
    """The same workbooks once through the program's own format."""
    for name in ("own", "again"):
        (folder / name).mkdir(parents=True)
    return converted(soffice, converted(soffice, paths, "ods", folder / "own"), "xlsx", folder / "again")


@pytest.fixture(scope="module")
def filled(soffice: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration in the workbooks of a fresh folder, opened and saved by the program."""
    top = tmp_path_factory.mktemp("filled")
    shutil.copytree(HULL, top / "hull")
    kinds = {canonical(kind.table.file): kind for kind in TABLES}
    for name, data in books(CHAPTERS).items():
        (top / name).write_bytes(data)
        book = openpyxl.load_workbook(top / name)
        for sheet in book.worksheets:
            kind = kinds.get(sheet.title)
            path = HULL / kind.table.file if kind is not None else None
            if kind is not None and path is not None and path.exists():
                sheet.delete_rows(1, 2)  # heads and example: the demonstration's own stand in their place
                fill(sheet, kind, path.read_bytes())
                (top / "hull" / kind.table.file).unlink()
        (top / name).write_bytes(saved(book))
    for path in through(soffice, sorted(top.glob("*.xlsx")), top):
        shutil.copy(path, top / "hull" / path.name)
    return top / "hull"


def test_a_filled_workbook_reads_as_the_files_of_text_do(filled: Path) -> None:
    book = make_book(filled).book
    assert [str(fault) for fault in book.faults if fault.severity is Severity.FAULT] == []
    assert verdicts(book) == verdicts(demonstration().book)
    assert {view.workbook for view in book.tables if view.rows} == {f"{chapter.key}.xlsx" for chapter in CHAPTERS}
    before = {view.file: view for view in demonstration().book.tables}
    for view in book.tables:
        assert [row.line for row in view.rows] == [row.line for row in before[view.file].rows], view.file


def test_an_empty_workbook_comes_back_with_its_lists_and_its_example(soffice: str, tmp_path: Path) -> None:
    for name, data in books(CHAPTERS).items():
        (tmp_path / name).write_bytes(data)
    hull = tmp_path / "hull"
    hull.mkdir()
    for path in through(soffice, sorted(tmp_path.glob("*.xlsx")), tmp_path / "work"):
        before, after = openpyxl.load_workbook(tmp_path / path.name), openpyxl.load_workbook(path)
        assert after.sheetnames == before.sheetnames
        for sheet in before.worksheets:
            rules = after[sheet.title].data_validations.dataValidation
            assert len(rules) == len(sheet.data_validations.dataValidation), (path.name, sheet.title)
        shutil.copy(path, hull / path.name)
    found = books_of(Folder(hull), FILES)
    assert sorted(found.stands) == sorted(FILES)
    assert (found.strange, found.locked) == ({}, {})
    assert not any(view.rows for view in make_book_of(hull).tables)


def make_book_of(hull: Path):
    (hull / "hull.toml").write_text("")
    return make_book(hull).book


def test_what_the_program_works_out_is_read_as_it_stored_it(soffice: str, tmp_path: Path) -> None:
    """A formula without a value is refused; opened and saved, as the message says, it is read."""
    from tests.readers.books import AT, faults, logs, read, rows

    for name in ("before", "after"):
        (tmp_path / name).mkdir()
    (tmp_path / "logs.xlsx").write_bytes(logs(["S1", 1, 1, AT, "=91*2"], ["S1", 1, 2, AT, "=1/0"]))
    before = read(tmp_path / "before", logs_xlsx=(tmp_path / "logs.xlsx").read_bytes())
    assert [fault.found.partition(";")[0] for fault in faults(before)] == ["a formula without a stored result"] * 2
    (path,) = through(soffice, [tmp_path / "logs.xlsx"], tmp_path / "work")
    after = read(tmp_path / "after", logs_xlsx=path.read_bytes())
    assert [row.film for row in rows(after)] == [182.0]
    (fault,) = faults(after)
    assert "'#DIV/0!', an error left by a spreadsheet" in fault.found
