"""A row that cannot be used for two reasons counts once, and each reason is told, wherever rows are told."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import pytest

from buildbook.exports import differing
from buildbook.parcel.not_used import differs
from buildbook.pipeline import make_book
from buildbook.seal.verify import verify
from tests.parcel.small_hull import built, small_hull

TABLE, LINE = "coating/coats.csv", 3
NO_PLACE, NO_PRODUCT = "Z99", "PX-99"


@pytest.fixture(scope="module")
def doubted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which one coat names a place and a product that their tables do not have, and its book."""
    folder = tmp_path_factory.mktemp("doubted")
    hull = small_hull(folder / "hull")
    rows = list(csv.DictReader(io.StringIO((hull / TABLE).read_text("utf-8"))))
    rows[LINE - 2] |= {"zone": NO_PLACE, "product": NO_PRODUCT}
    with (hull / TABLE).open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    built(hull, folder / "out")
    return folder


def not_used(out: Path) -> list[list[str]]:
    (package,) = out.glob("*-evidence.zip")
    with zipfile.ZipFile(package) as held:
        (name,) = [name for name in held.namelist() if name.endswith("rows-not-used.csv")]
        rows = list(csv.reader(io.StringIO(held.read(name).decode())))
    return [row for row in rows if row[0] == TABLE]


def test_both_reasons_stand_at_the_row_in_book_and_package(doubted: Path) -> None:
    book = json.loads((doubted / "out/book.json").read_text("utf-8"))
    (table,) = [it for it in book["tables"] if it["file"] == TABLE]
    (row,) = [it for it in table["rows"] if it["line"] == LINE]
    assert NO_PLACE in row["fault"]
    assert NO_PRODUCT in row["fault"]
    assert not_used(doubted / "out") == [[TABLE, str(LINE), row["fault"]]]


def test_each_row_counts_once_in_what_it_holds(doubted: Path) -> None:
    made = make_book(doubted / "hull")
    held = [
        note
        for item in made.book.findings
        for note in item.finding.notes
        if f"{TABLE}:{LINE} " in note and "could not be used" in note
    ]
    assert held
    assert all(note.startswith("1 row that may belong to this") for note in held)
    assert all(note.count(f"{TABLE}:{LINE} ") == 1 for note in held)
    assert any(NO_PLACE in note and NO_PRODUCT in note for note in held)


def test_verify_finds_the_package_to_follow_from_its_book(doubted: Path) -> None:
    found = verify(doubted / "out", "", None, differing)
    assert (found.changed, found.missing, found.compared) == ({}, (), True)


def test_a_reason_left_out_of_the_package_is_told(doubted: Path) -> None:
    made = make_book(doubted / "hull")
    ((file, line, why),) = not_used(doubted / "out")
    heads = ["file", "line", "why"]
    assert differs(made.book, [heads, [file, line, why]]) == ""
    told = differs(made.book, [heads, [file, line, why.partition(". Also ")[0]]])
    assert told == f"row 2: book.json does not give this reason for {TABLE}:{LINE}"
