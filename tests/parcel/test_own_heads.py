"""A book of a folder with a columns.toml: what is published of it, what is withheld, and what proves the book."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import pytest

from buildbook.exports import differing
from buildbook.pages import differing_pages
from buildbook.pipeline import make_book, write_book
from buildbook.render.place import Refused
from buildbook.seal.verify import Checked, verify
from tests.parcel.small_hull import NO_LINKS, built, edit, everything, small_hull

HELD = 'withhold = ["coating/batches.csv:{}", "documents/DWG-201.png"]'
COLUMNS = """\
# heads of our own
["coating/batches.csv".heads]
"{}" = "supplier"

["coating/coats.csv".heads]
"Nassfilm" = "wet_film"
"Farbe, Anteil A" = "base_batch"

["coating/batches.csv".words]
"Stamm" = "base"
"""


def foreign(folder: Path, supplier: str = "Lieferant", named: str = "supplier") -> Path:
    """A small hull with some heads and words of a yard's own; `named` is the column that is withheld."""
    hull = small_hull(folder, HELD.format(named))
    edit(hull / "coating/batches.csv", "supplier", supplier)
    edit(hull / "coating/batches.csv", ",base,", ",Stamm,")
    edit(hull / "coating/coats.csv", "wet_film", "Nassfilm")
    edit(hull / "coating/coats.csv", "base_batch", '"Farbe, Anteil A"')
    (hull / "columns.toml").write_text(COLUMNS.format(supplier), "utf-8")
    return hull


def verified(path: Path) -> Checked:
    return verify(path, "", None, differing, differing_pages if path.is_dir() else None)


def parcel(out: Path) -> Path:
    return next(out.glob("*-evidence.zip"))


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("own")
    built(foreign(top / "hull"), top / "out")
    return top / "out"


def rows(package: zipfile.ZipFile, name: str) -> list[list[str]]:
    (full,) = [one for one in package.namelist() if one.endswith(f"/data/{name}")]
    return list(csv.reader(io.StringIO(package.read(full).decode("utf-8"), newline="")))


def test_the_file_is_published_as_received_and_listed_with_its_sum(out: Path) -> None:
    received = out / "evidence/received/columns.toml"
    assert received.read_text("utf-8") == COLUMNS.format("Lieferant")
    assert "  evidence/received/columns.toml\n" in (out / "SHA256SUMS").read_text("utf-8")
    page = (out / "evidence/columns-toml.html").read_text("utf-8")
    assert "heads of our own" in page
    assert 'id="L2"' in page
    assert "columns.toml" in (out / "evidence/index.html").read_text("utf-8")
    assert json.loads((out / "book.json").read_bytes())["unused_files"] == []


def test_tables_as_received_have_their_heads_and_readable_ones_ours(out: Path) -> None:
    with zipfile.ZipFile(parcel(out)) as package:
        assert "Nassfilm [um]" in rows(package, "evidence/received/coating/coats.csv")[0]
        readable = rows(package, "tables/coating/coats.csv")
        assert {"base_batch", "wet_film"} <= set(readable[0])
        assert not {"Nassfilm", "Farbe, Anteil A"} & set(readable[0])
        batches = rows(package, "tables/coating/batches.csv")
        assert {row[batches[0].index("component")] for row in batches[1:]} >= {"base", "hardener"}
    page = (out / "evidence/coating-coats.html").read_text("utf-8")
    assert "Nassfilm [um]" in page
    assert "the column &#39;wet_film&#39;" in page or "the column 'wet_film'" in page


def test_folder_and_package_are_made_a_second_time_from_it(out: Path) -> None:
    folder, package = verified(out), verified(parcel(out))
    for checked in (folder, package):
        assert not checked.bad
        assert not checked.not_judged
        assert not checked.extra


def test_another_columns_toml_is_another_book(out: Path, tmp_path: Path) -> None:
    for name, data in everything(out).items():
        (tmp_path / "out" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "out" / name).write_bytes(data)
    edit(tmp_path / "out/evidence/received/columns.toml", "heads of our own", "heads of our owN")
    assert verified(tmp_path / "out").bad
    (tmp_path / "out/evidence/received/columns.toml").unlink()
    assert verified(tmp_path / "out").bad


@pytest.mark.slow
def test_one_in_a_book_without_it_does_not_belong(tmp_path: Path) -> None:
    out = tmp_path / "out"
    built(small_hull(tmp_path / "hull"), out)
    (out / "evidence/received/columns.toml").write_text(COLUMNS, "utf-8")
    assert any("columns.toml" in name for name in verified(out).extra)


@pytest.mark.parametrize(
    "text", ['["coating/coats.csv".heads]\n"Nassfilm" = "wetfilm"\n', "[heads]\nNassfilm = wet_film\n"]
)
@pytest.mark.slow
def test_a_book_with_a_columns_toml_that_cannot_be_used_holds_too(tmp_path: Path, text: str) -> None:
    hull = foreign(tmp_path / "hull")
    (hull / "columns.toml").write_text(text, "utf-8")
    edit(hull / "coating/batches.csv", "Lieferant", "supplier")
    built(hull, tmp_path / "out")
    assert not verified(tmp_path / "out").bad
    assert not verified(parcel(tmp_path / "out")).bad
    book = json.loads((tmp_path / "out/book.json").read_bytes())
    (coats,) = [table for table in book["tables"] if table["file"] == "coating/coats.csv"]
    assert all(row["fault"] for row in coats["rows"])


@pytest.mark.parametrize("supplier", ["Lieferant", "=Lieferant", "supplier-firm"])
@pytest.mark.parametrize("by_theirs", [True, False])
@pytest.mark.slow
def test_a_column_is_withheld_by_either_name(tmp_path: Path, supplier: str, by_theirs: bool) -> None:
    hull = foreign(tmp_path / "hull", supplier, supplier if by_theirs else "supplier")
    assert "paint agent" in (hull / "coating/batches.csv").read_text("utf-8")
    built(hull, tmp_path / "out")
    files = everything(tmp_path / "out")
    assert not [name for name, data in files.items() if b"paint agent" in data]
    with zipfile.ZipFile(parcel(tmp_path / "out")) as package:
        assert not [name for name in package.namelist() if b"paint agent" in package.read(name)]
        readable = rows(package, "tables/coating/batches.csv")
        assert {row[readable[0].index("supplier")] for row in readable[1:]} == {"withheld"}
    assert not verified(tmp_path / "out").bad
    assert not verified(parcel(tmp_path / "out")).bad


@pytest.mark.parametrize(
    "more",
    [
        '["coating/batches.csv".words.supplier]\n"paint agent 1" = "A"\n',
        '["coating/coats.csv".words]\n"x" = "Paint  Agent 1"\n',
        "# 'paint agent 1' is the one in town\n",
        '["coating/batches.csv".words.component]\n"paint agent 1" = "hardener"\n',
    ],
)
def test_what_is_withheld_may_not_stand_in_it(tmp_path: Path, more: str) -> None:
    hull = foreign(tmp_path / "hull")
    text = (hull / "columns.toml").read_text("utf-8") + "\n" + more
    (hull / "columns.toml").write_text(text, "utf-8")
    with pytest.raises(Refused) as no:
        write_book(make_book(hull), hull, tmp_path / "out", pdf=False)
    assert f"columns.toml:{len(text.splitlines())}: expected no words of what is withheld" in str(no.value)
    assert "paint agent" not in str(no.value).lower()
    assert "take the line out" in str(no.value)


def test_columns_toml_itself_cannot_be_withheld(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull", 'withhold = ["columns.toml"]')
    (hull / "columns.toml").write_text("[heads]\n", "utf-8")
    with pytest.raises(Refused, match="cannot be"):
        write_book(make_book(hull), hull, tmp_path / "out", pdf=False)


def test_a_fault_of_a_document_names_the_head_that_stands_in_the_file(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    heads, *rows = (hull / "documents.csv").read_text("utf-8").splitlines()
    assert heads.startswith("document,")
    (hull / "documents.csv").write_text("\n".join((f"Dokument{heads[len('document') :]}", *rows, "")), "utf-8")
    (hull / "supports.csv").write_text(NO_LINKS, "utf-8")
    (hull / "columns.toml").write_text('["documents.csv".heads]\n"Dokument" = "document"\n', "utf-8")
    told = [fault for fault in make_book(hull).book.faults if fault.where.file == "documents.csv"]
    assert told
    assert {fault.where.column for fault in told} == {"Dokument"}
