"""The listing sheet of folders with nothing in them, or with everything wrong: still there, still honest."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from buildbook.core.book import Book
from buildbook.core.face import PLAIN
from buildbook.core.finding import Verdict
from buildbook.core.matter import State
from buildbook.newfolder import lay_out
from buildbook.pipeline import Made, make_book
from buildbook.render.html import Facts
from buildbook.render.listing import listing_html
from buildbook.render.listing_pdf import listing_pdf
from buildbook.render.package import assets
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import theme_files
from buildbook.sheet import listing
from buildbook.sheet.summary import count_words
from buildbook.sheet.words import words
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import copied
from tests.render.site_reader import read_page, squeezed

MARKUP = "Deck <b onclick=x()>&</script>"


def printed_pages(book: Book) -> int:
    with pikepdf.open(io.BytesIO(listing_pdf(book, Facts("0" * 64, {}, ""), {}))) as opened:
        return len(opened.pages)


def web_file(made: Made) -> str:
    styles = {**assets(templates_dir()), **theme_files(PLAIN)}
    return listing_html(made.book, Facts("0" * 64, made.received, ""), {}, styles)


@pytest.fixture(scope="module")
def demo() -> Book:
    return demonstration().book


@pytest.mark.slow
def test_a_fresh_folder_has_a_short_sheet_without_facts(tmp_path: Path):
    lay_out(tmp_path / "hull")
    made = make_book(tmp_path / "hull")
    sheet = made.book.listing
    assert (sheet.facts, sheet.sayings) == ((), ())
    assert count_words(" ".join(sheet.summary)) < 120
    assert sheet.exceptions.startswith(made.book.in_short)
    assert {one.check for one in sheet.withheld} == {c.id for chapter in made.book.chapters for c in chapter.checks}
    text = squeezed(read_page(web_file(made)).text)
    assert "There are none." in text
    assert squeezed(sheet.exceptions) in text
    assert printed_pages(made.book) == 2


def test_where_everything_fails_nothing_is_said(demo: Book):
    def failed(item):
        finding = item.finding
        return replace(item, finding=replace(finding, verdict=Verdict.FAIL), verdict="fail")

    chapters = tuple(
        replace(
            chapter,
            checks=tuple(replace(check, governing=tuple(map(failed, check.governing))) for check in chapter.checks),
        )
        for chapter in demo.chapters
    )
    matters = tuple(replace(matter, state=State.OPEN) for matter in demo.matters)
    book = replace(demo, chapters=chapters, matters=matters)
    book = replace(book, listing=listing(book, words(templates_dir())))
    assert demo.listing.sayings != ()
    assert book.listing.sayings == ()
    assert {one.reasons[0].partition(" missed")[2][:10] for one in book.listing.withheld} == {" the limit"}
    assert book.listing.opened[0].matters == len(book.listing.opened[0].told) == len(matters)
    assert printed_pages(book) == 2


@pytest.mark.slow
def test_without_a_day_of_the_book_nothing_is_said(tmp_path: Path):
    folder = copied(tmp_path / "hull")
    hull = folder / "hull.toml"
    hull.write_text(hull.read_text("utf-8").replace("as_of = 2026-06-15", ""), "utf-8")
    sheet = make_book(folder).book.listing
    assert sheet.sayings == ()
    assert sheet.validity == (
        "The folder does not say of what day its data are.",
        "No reading stands on this sheet.",
    )


@pytest.mark.slow
def test_markup_in_the_name_of_a_place_is_shown_as_text(tmp_path: Path):
    folder = copied(tmp_path / "hull")
    places = folder / "places.csv"
    before = places.read_text("utf-8")
    assert ",Deck," in before
    places.write_text(before.replace(",Deck,", f",{MARKUP},", 1), "utf-8")
    made = make_book(folder)
    assert any(MARKUP in one.text for one in made.book.listing.facts)
    page = web_file(made)
    read = read_page(page)
    assert read.faults == []
    assert MARKUP in read.text
    assert "onclick" not in {name for _, attributes in read.tags for name in attributes}
    assert read.all("script") == [{"type": "application/ld+json"}]
    assert printed_pages(made.book) == 2
