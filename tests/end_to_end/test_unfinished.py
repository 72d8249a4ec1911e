"""A book of a hull that is being built: each page and extract says that she is not finished. Invented data."""

from __future__ import annotations

import html
import json
import re
import zipfile
from pathlib import Path

import jsonschema
import pytest

from buildbook.core.book import FORM
from buildbook.core.finding import Verdict
from buildbook.pipeline import Made, make_book, write_book
from buildbook.render.jsonfile import book_json, read_book, schema
from tests.demonstration import demonstration
from tests.growing import OF_MOULDED, growing

SAID = "She is not finished: this is how she stood on 2025-12-15, out of the mould."
WATER = ("coating/preparation.csv", "coating/water_break.csv", "coating/coats.csv", "coating/products.csv")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return growing(tmp_path_factory.mktemp("growing") / "hull")


@pytest.fixture(scope="module")
def made(folder: Path) -> Made:
    return make_book(folder)


@pytest.fixture(scope="module")
def out(made: Made, folder: Path) -> Path:
    write_book(made, folder, folder.parent / "book", pdf=False)
    return folder.parent / "book"


def words_of(path: Path) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", re.sub(r"</?n-b>", "", path.read_text("utf-8")))))


def test_every_page_says_it(out: Path) -> None:
    pages = sorted(out.rglob("*.html"))
    assert len(pages) > 30
    assert [path.name for path in pages if SAID not in words_of(path)] == []


def test_the_first_page_counts_what_is_not_due_out_of_all(out: Path, made: Made) -> None:
    number, every = len(made.book.not_due), len(made.book.governing)
    assert f"{number} of {every} findings are not due at this stage of her build." in words_of(out / "index.html")
    assert 400 < number < every


def test_the_coverage_page_names_each_check_that_is_not_due(out: Path, made: Made) -> None:
    told = words_of(out / "coverage.html").split("Not due yet:")[1].split("Files that nothing uses")[0]
    assert {it.finding.key.check for it in made.book.not_due} == set(re.findall(r"[A-Z]{3}-\d\d", told))
    assert "Not due before she is on trial." in told


def test_the_listing_sheet_says_it_and_nothing_of_what_is_not_due(out: Path, made: Made) -> None:
    (sheet,) = out.glob("*-listing.html")
    told = words_of(sheet)
    assert SAID in told
    assert "not due" not in told.lower()
    assert made.book.listing.exceptions.startswith(SAID)  # it travels with every extract


def test_what_is_not_due_thins_no_count_of_fails_and_counts_as_no_record(made: Made) -> None:
    book = made.book
    due = len(book.governing) - len(book.not_due)
    failed = sum(it.finding.verdict.missed for it in book.governing)
    assert book.in_short.endswith(f"{failed} of {due} findings failed.")
    told = " ".join(book.listing.summary)
    assert f"Of {due} findings, " in told
    kept = sum(line.verdict in (Verdict.PASS, Verdict.INFORMATION, Verdict.CONDITIONAL_PASS) for line in book.plan)
    assert f"The plan has {len(book.plan)} lines; {kept} of them stand without an exception." in told or kept == 0
    assert kept < len(book.plan) / 2


def test_no_sentence_for_a_listing_rests_on_what_is_not_due(tmp_path: Path) -> None:
    folder = growing(tmp_path, "painted", "2026-05-01", (*OF_MOULDED, *WATER))
    book = make_book(folder).book
    said = {saying.finding for saying in book.listing.sayings}
    later = {it.number for it in book.not_due}
    assert said
    assert later
    assert said & later == set()


def test_the_evidence_package_says_it(out: Path) -> None:
    (package,) = out.glob("*-evidence.zip")
    with zipfile.ZipFile(package) as bag:
        names = bag.namelist()
        worked = [name for name in names if "worked" in name and name.endswith(".txt")]
        assert worked
        assert [name for name in worked if SAID not in bag.read(name).decode("utf-8")] == []
        info = next(name for name in names if name.endswith("bag-info.txt"))
        assert SAID in re.sub(r"\s+", " ", bag.read(info).decode("utf-8"))


def test_the_data_say_the_stage_only_where_there_is_one(made: Made) -> None:
    with_stage, without = (json.loads(book_json(one.book)) for one in (made, demonstration()))
    assert (with_stage["form"], with_stage["hull"]["stage"]) == (FORM, "moulded")
    assert (without["form"], "stage" in without["hull"]) == (FORM, False)
    for data in (with_stage, without):
        jsonschema.validate(data, schema())
    assert read_book(book_json(made.book), "book.json") == made.book


def test_the_demonstration_is_finished_and_says_nothing_of_stages() -> None:
    book = demonstration().book
    assert (book.hull.unfinished, book.not_due, book.hull.label) == ("", (), book.hull.demonstration)
