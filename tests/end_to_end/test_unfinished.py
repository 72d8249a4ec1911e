"""A book of a hull that is being built: each page and extract says that she is not finished. Invented data."""

from __future__ import annotations

import html
import json
import re
import zipfile
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from buildbook.core.book import FORM
from buildbook.core.finding import Verdict
from buildbook.pipeline import Made, make_book, write_book
from buildbook.render.jsonfile import book_json, read_book, schema
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.summary import slots
from buildbook.sheet.words import words
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


def test_the_summary_that_is_copied_says_how_far_she_is_and_how_much_is_not_due(out: Path, made: Made) -> None:
    (sheet,) = out.glob("*-listing.html")
    number, every = len(made.book.not_due), len(made.book.governing)
    later = f"Not due yet at this stage: {number} of {every} findings."
    told = words_of(sheet)
    assert f"{SAID} {later}".replace(" ,", ",") in told.split("Summary")[1].replace(" ,", ",")
    assert made.book.listing.summary[0] == f"{SAID} {later}"
    assert made.book.listing.exceptions.startswith(f"{SAID} {later}")  # it travels with every extract
    assert "Not filled before a later stage of her build: " in told


def test_of_an_unfinished_boat_it_is_never_said_alone_that_nothing_is_open(made: Made) -> None:
    quiet = replace(made.book, matters=())
    told = " ".join(listing(quiet, words(templates_dir())).summary)
    assert "Still open: no matter on record so far, and her build goes on." in told
    done = " ".join(listing(replace(demonstration().book, matters=()), words(templates_dir())).summary)
    assert "Still open: no matter on record." in done


def test_a_chapter_of_which_nothing_is_due_says_when_it_is_filled_and_tells_no_work(out: Path, made: Made) -> None:
    waiting = [chapter for chapter in made.book.chapters if chapter.waits]
    assert {"propeller", "vibration", "coating", "shafting"} <= {chapter.key for chapter in waiting}
    assert {"laminate", "infusion", "register"} & {chapter.key for chapter in waiting} == set()
    first = words_of(out / "index.html")
    for chapter in waiting:
        assert chapter.waits in first
        assert chapter.in_short.startswith("Nothing of this is due yet: it is filled when she is ")
        page = words_of(out / f"{chapter.key}.html")
        assert "What this means aboard" not in page
        assert "How it was measured" not in page
        assert "Nothing was judged: no record" not in page
    for false in ("every blade was laid on a bench", "A sensor stood on the deck for a minute while she ran"):
        assert false not in first
    assert "What this means aboard" in words_of(out / "laminate.html")


def test_the_word_of_what_is_not_due_never_stands_alone(out: Path, made: Made) -> None:
    """In each row, mark and count of a chapter that waits; the counts of a sentence have their own sentence behind."""
    for chapter in (chapter for chapter in made.book.chapters if chapter.waits):
        page = words_of(out / f"{chapter.key}.html")
        alone = re.findall(r"not applicable(?! \(not due yet\)| \d+ of \d+ \(not due yet\)|\. \d+ of \d+)", page)
        assert alone == [], chapter.key
    for item in made.book.not_due:
        assert item.verdict == "not applicable (not due yet)"
    assert sum(count.became.endswith("not due yet") for count in made.book.counts) == 1
    plan = words_of(out / "coverage.html").split("Files that nothing uses")[0]
    assert "not applicable (not due yet)" in plan


def test_what_is_not_due_thins_no_count_of_fails_and_counts_as_no_record(made: Made) -> None:
    book = made.book
    due = len(book.governing) - len(book.not_due)
    failed = sum(it.finding.verdict.missed for it in book.governing)
    assert book.in_short.endswith(f"{failed} of {due} findings failed.")
    told = " ".join(book.listing.summary)
    assert f"Of {due} findings, " in told
    kept = sum(line.verdict in (Verdict.PASS, Verdict.INFORMATION, Verdict.CONDITIONAL_PASS) for line in book.plan)
    assert slots(book, (), 0)["recorded"] == str(kept)
    assert 0 < kept < len(book.plan) / 2


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


@pytest.mark.slow
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
