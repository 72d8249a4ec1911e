"""A small hull kept in workbooks: what is published, what is withheld, and that the book can be verified."""

from __future__ import annotations

import csv
import hashlib
import io
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.core.published import IN_PART, RECEIVED
from buildbook.pipeline import make_book
from buildbook.render.place import Refused
from tests.as_workbooks import as_workbooks
from tests.parcel.small_hull import WITHHOLD, built, everything, small_hull

NOTHING = "withhold = []"
SUPPLIERS = "withhold = [{}]"


def hull(folder: Path, withhold: str = NOTHING) -> Path:
    return as_workbooks(small_hull(folder, withhold))


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("whole")
    built(hull(top / "hull"), top / "out")
    return top


@pytest.fixture(scope="module")
def without(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("without")
    built(hull(top / "hull", WITHHOLD), top / "out")
    return top


def suppliers(top: Path) -> set[str]:
    """What stands in the withheld column, from the folder of text that the workbooks were made from."""
    path = small_hull(top / "text", NOTHING) / "coating/batches.csv"
    with path.open(encoding="utf-8", newline="") as handle:
        return {row["supplier"] for row in csv.DictReader(handle)} - {""}


def verified(*words: str | Path) -> None:
    done = CliRunner().invoke(app, ["verify", *map(str, words)])
    assert done.exit_code == 0, done.output
    assert "0 changed, 0 missing, 0 extra" in done.output


@pytest.mark.parametrize("which", ["whole", "without"])
@pytest.mark.slow
def test_the_book_is_verified_with_its_pages_and_its_package(which, request):
    out = request.getfixturevalue(which) / "out"
    verified(out)
    verified(out, "--pages")
    (package,) = out.glob("*.zip")
    verified(package)


def test_a_change_of_a_readable_table_in_the_package_is_found(whole, tmp_path):
    """What the tables of the package are held against is read from the workbook a second time."""
    import zipfile

    (given,) = (whole / "out").glob("*.zip")
    package = tmp_path / given.name
    with zipfile.ZipFile(given) as old, zipfile.ZipFile(package, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name.endswith("data/tables/coating/batches.csv"):
                assert b"2026" in data
                data = data.replace(b"2026", b"2027", 1)
            new.writestr(old.getinfo(name), data)
    done = CliRunner().invoke(app, ["verify", str(package)])
    assert done.exit_code == 1
    assert "tables/coating/batches.csv" in done.output


def test_each_workbook_is_published_once_as_received(whole):
    files = everything(whole / "out")
    given = {name for name in files if name.startswith(RECEIVED)}
    books = {path.name: path.read_bytes() for path in (whole / "hull").glob("*.xlsx")}
    assert given == {f"{RECEIVED}{name}" for name in (*books, "hull.toml")}
    assert all(files[RECEIVED + name] == data for name, data in books.items())
    page = files["evidence/coating-batches.html"].decode("utf-8")
    assert "coating.xlsx[coating.batches]" in page
    assert 'href="../evidence/received/coating.xlsx"' in page
    assert hashlib.sha256(books["coating.xlsx"]).hexdigest() in page


def test_findings_lead_to_the_rows_of_their_tables(whole):
    files = everything(whole / "out")
    text = files["coating.html"].decode("utf-8")
    assert re.search(
        r'coating\.xlsx\[coating\.\w+\](?:</span>)?\s*:\s*<a href="evidence/coating-\w+\.html#L\d+">', text
    )
    for page, line in set(re.findall(r'href="(evidence/[\w-]+\.html)#(L\d+)"', text)):
        assert f'id="{line}"' in files[page].decode("utf-8"), (page, line)


def test_a_withheld_column_keeps_its_workbook_back_and_copies_stand_for_all_its_tables(without, tmp_path):
    files = everything(without / "out")
    assert f"{RECEIVED}coating.xlsx" not in files
    copies = {name for name in files if name.startswith(IN_PART)}
    assert copies == {f"{IN_PART}coating/{name}.csv" for name in ("batches", "coats", "products")}
    rows = list(csv.reader(io.StringIO(files[f"{IN_PART}coating/batches.csv"].decode("utf-8"))))
    at = rows[0].index("supplier")
    assert {row[at] for row in rows[1:]} == {"withheld"}
    names = suppliers(tmp_path)
    assert names
    unpacked = b"".join(data for name, data in files.items() if not name.endswith(".zip"))
    assert [name for name in names if name.encode("utf-8") in unpacked] == []
    assert b"coating.xlsx" in files["SHA256SUMS"]
    digest = hashlib.sha256((without / "hull" / "coating.xlsx").read_bytes()).hexdigest()
    assert digest.encode() in files["SHA256SUMS"]


def test_the_copies_read_as_the_workbook_does(without):
    made, text = make_book(without / "hull"), make_book(small_hull(without / "text", WITHHOLD))
    verdicts = [{finding.key: finding.verdict for finding in it.findings} for it in (made, text)]
    assert verdicts[0] == verdicts[1]


@pytest.mark.parametrize("name", ["coating.xlsx[coating.batches]:supplier", "coating/batches.csv:supplier"])
def test_a_column_may_be_named_by_its_sheet(tmp_path, name):
    made = make_book(hull(tmp_path / "hull", SUPPLIERS.format(f'"{name}"')))
    (held,) = made.book.withheld
    assert (held.file, held.column, held.name) == ("coating/batches.csv", "supplier", f"{RECEIVED}coating.xlsx")
    assert made.not_withheld == ()


def test_a_workbook_whose_tables_judge_her_is_never_withheld(tmp_path):
    folder = hull(tmp_path / "hull", SUPPLIERS.format('"coating.xlsx"'))
    (fault,) = make_book(folder).not_withheld
    assert "'coating.xlsx', with coating/products.csv, coating/batches.csv and coating/coats.csv" in fault.found
    with pytest.raises(Refused):
        built(folder, tmp_path / "out")


def test_a_second_place_of_a_withheld_column_is_not_published_either(tmp_path):
    """Rows in two places: neither is read, and neither is shown."""
    folder = hull(tmp_path / "hull", WITHHOLD)
    small_hull(tmp_path / "text", NOTHING)
    (folder / "coating").mkdir(exist_ok=True)
    (folder / "coating" / "batches.csv").write_bytes((tmp_path / "text" / "coating/batches.csv").read_bytes())
    made = make_book(folder)
    assert {it.name for it in made.book.withheld if it.file == "coating/batches.csv"} == {
        f"{RECEIVED}coating.xlsx",
        f"{RECEIVED}coating/batches.csv",
    }
    assert "coating.xlsx" not in made.received
    assert "coating/batches.csv" not in made.received
