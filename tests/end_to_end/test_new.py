"""A folder fresh from `buildbook new` builds a book that says what is missing; so does one that is filled half-way."""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.core.book import Book
from buildbook.core.fault import Severity
from buildbook.core.finding import Verdict
from buildbook.core.record import about
from buildbook.newfolder import HULL_FILE
from buildbook.pipeline import make_book
from buildbook.render.package import contents
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import HULL, faults, findings
from tests.no_pdf import NO_PDF
from tests.render.site_reader import read_page, squeezed

GOOD = (Verdict.PASS, Verdict.CONDITIONAL_PASS)
NAMES = {kind.table.file for kind in TABLES} | {"hull.toml", "columns.toml", "columns.md"}


def run(
    *words: str | Path, cwd: Path, program: tuple[str, str] = ("-m", "buildbook")
) -> subprocess.CompletedProcess[str]:
    """The command in another process, as a yard would call it."""
    command = [sys.executable, *program, *map(str, words)]
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=600)


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("new")
    done = run("new", "her", cwd=top)
    assert (done.returncode, done.stderr) == (0, "")
    assert f"{len(NAMES)} files laid out" in done.stdout
    return top / "her"


@pytest.fixture(scope="module")
def out(fresh: Path) -> Path:
    """The book of the fresh folder, all but its PDF."""
    done = run("build", "her", "-o", "out", cwd=fresh.parent, program=NO_PDF)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Written to out: open out/index.html" in done.stdout
    assert "Digest " in done.stdout
    return fresh.parent / "out"


def test_every_table_is_there_with_its_heads_and_no_rows(fresh: Path) -> None:
    assert set(files_of(fresh)) == NAMES
    for kind in TABLES:
        with (fresh / kind.table.file).open(encoding="utf-8", newline="") as file:
            (heads,) = csv.reader(file)
        assert [head.split(" [")[0] for head in heads] == list(kind.columns())
        assert [bool(about(info, "unit")) for info in kind.columns().values()] == ["[" in head for head in heads]


def test_every_column_is_explained(fresh: Path) -> None:
    text = (fresh / "columns.md").read_text(encoding="utf-8")
    for kind in TABLES:
        assert f"`{kind.table.file}`" in text
        for info in kind.columns().values():
            assert info.description
            assert info.description in text


def test_a_second_time_changes_nothing_and_says_so(fresh: Path) -> None:
    before = files_of(fresh)
    (fresh / "plan.csv").write_bytes(b"mine\n")
    (fresh / "moisture.csv").unlink()
    try:
        done = run("new", fresh, cwd=fresh.parent)
        assert done.returncode == 0
        assert "1 file laid out" in done.stdout
        assert files_of(fresh) == {**before, "plan.csv": b"mine\n"}
    finally:
        (fresh / "plan.csv").write_bytes(before["plan.csv"])


def test_the_book_of_a_fresh_folder_passes_nothing(out: Path) -> None:
    book = json.loads((out / "book.json").read_bytes())
    checks = [check for chapter in book["chapters"] for check in chapter["checks"]]
    items = [item for check in checks for item in (*check["governing"], *check["references"])]
    assert {item["finding"]["verdict"] for item in items} == {"no record"}
    assert {check["id"] for check in checks if check["governing"]} == {c.id for ch in CHAPTERS for c in ch.checks}


def test_the_book_of_a_fresh_folder_names_every_table(out: Path) -> None:
    """On the page of what is planned and missing, and for a table that checks rest on, beside the exceptions too."""
    coverage = squeezed(read_page((out / "coverage.html").read_text(encoding="utf-8")).text)
    evidence = squeezed(read_page((out / "evidence" / "index.html").read_text(encoding="utf-8")).text)
    exceptions = squeezed(read_page((out / "exceptions.html").read_text(encoding="utf-8")).text)
    resting = {kind.table.file for chapter in CHAPTERS for check in chapter.checks for kind in check.tables}
    for kind in TABLES:
        assert kind.table.file in coverage + evidence
        assert kind.table.file in exceptions or kind.table.file not in resting, kind.table.file
    assert evidence.count("has heads and no rows") + coverage.count("has heads and no rows") >= len(TABLES)


@pytest.mark.slow  # half a minute; in each run tests/face prints a small folder by the command, tests/seal the draft
def test_the_book_of_a_fresh_folder_has_its_pdf(out: Path, fresh: Path) -> None:
    done = run("build", "her", "-o", "printed", cwd=fresh.parent)
    assert (done.returncode, done.stderr) == (0, "")
    (pdf,) = (fresh.parent / "printed").glob("*-book.pdf")
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert (fresh.parent / "printed" / "book.json").read_bytes() == (out / "book.json").read_bytes()


def test_check_of_a_fresh_folder(fresh: Path) -> None:
    done = run("check", fresh, cwd=fresh.parent)
    assert (done.returncode, done.stderr) == (0, "")
    assert "hull.toml:" in done.stdout
    assert not re.search(r"\d+ (conditional )?pass", done.stdout)
    assert run("check", fresh, "--strict", cwd=fresh.parent).returncode == 1  # her name and number are missing


def test_the_example_of_a_limit_can_be_used_as_it_stands(tmp_path: Path) -> None:
    """Every line of hull.toml that is put there as an example, with the # taken away, is read without a complaint."""
    text = re.sub(r"(?m)^# (?=\[\[|[a-z_]+ = )", "", HULL_FILE)
    text = text.replace('name = ""', 'name = "Specimen"').replace('number = ""', 'number = "XX-EXY00007H526"')
    sizes = {"length_hull": 14.5, "length_waterline": 13.0, "beam": 4.5, "draught": 1.2, "displacement": 21000}
    for name, size in sizes.items():
        text = re.sub(rf"(?m)^{name} = 0(?:\.0)?$", f"{name} = {size}", text)
    text = re.sub(r"(?m)^profile = \[\]", "profile = [[0.0, -0.6], [14.5, 1.8], [0.0, 1.5]]", text)
    text = re.sub(r"(?m)^plan = \[\]", "plan = [[0.0, -2.2], [14.5, 0.0], [0.0, 2.2]]", text)
    (tmp_path / "hull.toml").write_text(text, encoding="utf-8")
    book = make_book(tmp_path).book
    assert not re.search(r"(?m)^# \[\[", text)
    assert [str(fault) for fault in faults(book)] == []
    assert book.hull.as_of is not None
    assert book.hull.length_hull == 14.5


HALF = ["places.csv", "instruments.csv", "coating/film_thickness.csv", "coating/products.csv", "coating/coats.csv"]


@pytest.fixture(scope="module")
def half(fresh: Path, tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The fresh folder with some tables of the demonstration, and her own file without a specification."""
    folder = tmp_path_factory.mktemp("half") / "hull"
    shutil.copytree(fresh, folder)
    for name in HALF:
        shutil.copy(HULL / name, folder / name)
    text = (HULL / "hull.toml").read_text(encoding="utf-8").partition("[[limits]]")[0]
    text = re.sub(r"withhold = .*", "withhold = []", text)  # what it names is not in this folder
    (folder / "hull.toml").write_text(text, encoding="utf-8")
    made = make_book(folder)
    files, *_ = contents(made.book, {**made.received, **made.pictures}, pdf=False)
    assert "index.html" in files
    return made.book


def test_a_folder_filled_half_way_judges_what_is_there_and_says_what_is_not(half: Book) -> None:
    found = findings(half)
    assert [fault for fault in half.faults if fault.severity is Severity.FAULT] == []
    by_check: dict[str, set[Verdict]] = {}
    for key, one in found.items():
        by_check.setdefault(key.check, set()).add(one.verdict)
    assert by_check["COA-08"] >= {Verdict.INFORMATION}  # measured, and nobody set a limit
    for check in ("COA-04", "COA-05", "COA-10", "COA-13", "COA-16", "REG-02"):
        assert by_check[check] <= {Verdict.NO_RECORD, Verdict.NOT_MEASURED, Verdict.INCONCLUSIVE}, check
    states = {view.file: view.state for view in half.tables}
    assert {file for file, state in states.items() if not state} == set(HALF)


def test_nothing_of_a_half_filled_folder_is_better_than_in_the_whole_one(half: Book) -> None:
    whole = findings(demonstration().book)
    for key, one in findings(half).items():
        if one.verdict in GOOD and key in whole:
            assert whole[key].verdict.rank <= one.verdict.rank, key
