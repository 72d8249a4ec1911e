"""The readiness page: one file, outside the book and the folder of records, the same bytes each time. Invented data."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.pipeline import make_book
from buildbook.ready.page import MARK, page_html, write_page
from buildbook.render.banned_words import banned
from buildbook.render.place import MARKER, MARKER_START, Refused
from tests.demonstration import demonstration, site
from tests.growing import growing


@pytest.fixture(scope="module")
def page() -> str:
    return page_html(demonstration().book)


def test_it_is_one_file_that_asks_for_nothing(page: str) -> None:
    assert re.findall(r"(?:src|href)=\"(?!#)[^\"]*", page) == []
    assert set(re.findall(r"url\(\"?([a-z]+:)", page)) == {"data:"}
    assert "<script" not in page
    assert page == page_html(demonstration().book)


def test_it_has_no_score(page: str) -> None:
    words = re.sub(r"<style>.*?</style>|<[^>]*>", " ", page, flags=re.DOTALL)
    assert re.findall(r"(?i)\b(?:score|stars|rating|readiness level)\b", words) == []
    assert list(banned(words)) == []


def test_words_from_the_folder_are_shown_as_words() -> None:
    from dataclasses import replace

    from buildbook.core.fault import Fault
    from buildbook.core.where import Where

    hostile = Fault(Where("a.csv", 2), "a word", "<script>alert(1)</script>", "It is not read.")
    assert "<script>" not in page_html(replace(demonstration().book, faults=(hostile,)))


def test_no_page_of_a_book_and_no_release_knows_of_it(tmp_path_factory: pytest.TempPathFactory) -> None:
    out = site(tmp_path_factory)
    names = {path.name for path in out.rglob("*")}
    assert not any("readiness" in name for name in names)
    assert [path.name for path in out.rglob("*.html") if "readiness" in path.read_text("utf-8").lower()] == []


def test_it_is_not_written_into_a_book_or_the_records_or_over_another_file(tmp_path: Path) -> None:
    hull = growing(tmp_path / "hull")
    book = tmp_path / "book"
    (book / "style").mkdir(parents=True)
    (book / MARKER).write_text(MARKER_START, "utf-8")
    (tmp_path / "mine.html").write_text("<!doctype html>", "utf-8")
    made = make_book(hull)
    for out, why in (
        (book / "readiness.html", "goes to a buyer"),
        (book / "style" / "readiness.html", "goes to a buyer"),
        (hull / "readiness.html", "the folder of records"),
        (tmp_path / "mine.html", "no readiness page"),
    ):
        with pytest.raises(Refused, match=why):
            write_page(made.book, (), hull, out)
    assert (tmp_path / "mine.html").read_text("utf-8") == "<!doctype html>"
    assert sorted(path.name for path in book.iterdir()) == [MARKER, "style"]


def test_the_command_writes_it_and_replaces_its_own(tmp_path: Path) -> None:
    hull, out = growing(tmp_path / "hull"), tmp_path / "readiness.html"
    for _ in range(2):
        done = CliRunner().invoke(app, ["ready", str(hull), "-o", str(out)])
        assert (done.exit_code, done.stdout) == (0, f"Written to {out}. It is for the yard and no part of the book.\n")
    assert MARK in out.read_text("utf-8")
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize("words", [["nowhere"], []])
def test_what_cannot_be_done_is_said_with_status_2(words: list[str]) -> None:
    assert CliRunner().invoke(app, ["ready", *words]).exit_code == 2
