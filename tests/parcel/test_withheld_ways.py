"""What is withheld is shown in no way: under another head, as another kind of thing, as a copy with another name."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import shutil
from pathlib import Path

import pytest

from buildbook.pipeline import make_book, released, write_book
from tests.parcel.held_ways import COPIES, HEADS, MARKER, RAW_AGAIN, SHEET, WITHHOLD, named_twice, opened, shown
from tests.parcel.small_hull import HULL, RAW, built, edit, everything, small_hull


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("twice")
    built(named_twice(folder / "hull"), folder / "out")
    return folder


def test_the_search_finds_what_is_not_withheld(tmp_path: Path) -> None:
    """The same folder with nothing withheld: every way shows."""
    hull = named_twice(tmp_path / "hull")
    edit(hull / "hull.toml", WITHHOLD, "withhold = []")
    built(hull, tmp_path / "out")
    found = shown(hull, opened(everything(tmp_path / "out")))
    for name in ("book.json", "photographs/001.png", "documents/sheet.png", "documents/papers-sheet-again.png"):
        assert name in found
    for end in (
        f"data/raw/{RAW}",
        f"data/raw/{RAW_AGAIN}",
        "received/coating/gloss.csv",
        "received/coating/batches.csv",
    ):
        assert [name for name in found if name.endswith(end)], end


def test_nothing_is_shown_in_another_way(twice: Path) -> None:
    files = opened(everything(twice / "out"))
    assert len(files) > 60
    assert shown(twice / "hull", files) == []


def test_every_copy_is_named_with_its_hash(twice: Path) -> None:
    out = twice / "out"
    told = {(it["file"], it["column"]) for it in json.loads((out / "book.json").read_text("utf-8"))["withheld"]}
    whole = (SHEET, RAW, "laminate/deliveries.csv", *COPIES)
    assert told == {("coating/batches.csv", head) for head in HEADS} | {(file, "") for file in whole}
    sums = (out / "SHA256SUMS").read_text("utf-8")
    assert f"# {hashlib.sha256((twice / 'hull' / SHEET).read_bytes()).hexdigest()}  documents/papers/sheet" in sums
    copy = list(csv.reader(io.StringIO((out / "evidence/in-part/coating/batches.csv").read_text("utf-8"))))
    assert [row[-4:] for row in copy[1:]] == [["withheld"] * 4] * (len(copy) - 1)


def test_a_withheld_picture_that_photographs_name_is_a_fault(twice: Path) -> None:
    faults = [it for it in make_book(twice / "hull").book.unusable if it.where.file == "photographs.csv"]
    assert [(it.where.line, it.where.column, it.found) for it in faults] == [
        (line, "file", f"'{name}', whose bytes are withheld") for line, name in ((2, SHEET), (3, COPIES[0]))
    ]


@pytest.mark.parametrize("head", ["SUPPLIER", "Supplier-", "supplier "])
@pytest.mark.slow
def test_a_head_in_another_spelling_is_the_same_column(tmp_path: Path, head: str) -> None:
    hull = small_hull(tmp_path / "hull")
    edit(hull / "coating/batches.csv", "expires,supplier", f"expires,{head}")
    edit(hull / "coating/batches.csv", "paint agent 1", MARKER)
    built(hull, tmp_path / "out")
    assert shown_words(tmp_path / "out") == []


def shown_words(out: Path) -> list[str]:
    return [name for name, data in opened(everything(out)).items() if MARKER.encode() in data]


@pytest.mark.parametrize(
    ("held", "head"), [("coating/batches.csv:supplier", "Supplier"), ("laminate/deliveries.csv", "supplier")]
)
@pytest.mark.slow
def test_the_next_release_does_not_tell_what_is_withheld_by_now(tmp_path: Path, held: str, head: str) -> None:
    """The release before still showed it; what changed since then is told without it."""
    hull, file = small_hull(tmp_path / "hull", "withhold = []"), held.partition(":")[0]
    given = (hull / file).read_text("utf-8")
    (hull / file).write_text(given.replace("agent 1", MARKER).replace("supplier", head, 1), "utf-8")
    built(hull, tmp_path / "first")
    assert shown_words(tmp_path / "first")
    edit(hull / "hull.toml", "withhold = []", f'withhold = ["{held}"]')
    (hull / file).write_text(given.replace("agent 1", f"{MARKER} again"), "utf-8")
    made = released(make_book(hull), tmp_path / "first")
    assert made.book.release.number == 2
    write_book(made, hull, tmp_path / "second", pdf=False)
    assert shown_words(tmp_path / "second") == []


# What is evidence is not withheld under another name


def test_hull_toml_is_not_withheld_as_a_document(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull", 'withhold = ["hull.toml"]')
    edit(hull / "documents.csv", "documents/DWG-201.png", "hull.toml")
    made = make_book(hull)
    assert made.book.withheld == ()
    assert "hull.toml" in made.received
    assert [it for it in made.book.unusable if it.where.part == "release.withhold"]


@pytest.mark.parametrize("table", ["nonconformities.csv", "hull.toml"])
def test_a_copy_of_evidence_withholds_nothing(tmp_path: Path, table: str) -> None:
    """A document with the bytes of a table that is read: it is told, and the table stays."""
    hull = small_hull(tmp_path / "hull", 'withhold = ["documents/copy.pdf"]')
    if not (hull / table).exists():
        shutil.copy(HULL / table, hull / table)
    shutil.copy(hull / table, hull / "documents/copy.pdf")
    edit(hull / "documents.csv", "documents/DWG-201.png", "documents/copy.pdf")
    made = make_book(hull)
    (fault,) = [it for it in made.book.unusable if it.where.part == "release.withhold"]
    assert table in fault.found
    assert made.book.withheld == ()
    assert table in made.received
