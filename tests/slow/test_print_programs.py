"""Everything printed of the demonstration before programs that others wrote to judge such files: qpdf and poppler."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest

from tests.end_to_end.builds import Build
from tests.pdf_tags import of_kind, structure
from tests.slow.book_pages import plain
from tests.slow.browsing import not_run

pytestmark = pytest.mark.slow
FAMILIES = ("IBM-Plex-Sans", "IBM-Plex-Serif")
PAGE_SIZE = {"a4": "(A4)", "letter": "(letter)"}
POPPLER = ("pdffonts", "pdfinfo", "pdfdetach")


@pytest.fixture(scope="session")
def qpdf() -> None:
    """Asked for before the build: where the program is missing, nothing is built for it."""
    if not shutil.which("qpdf"):
        not_run("structure of the PDFs", "qpdf is not installed; Debian package qpdf")


@pytest.fixture(scope="session")
def poppler() -> None:
    if not all(map(shutil.which, POPPLER)):
        not_run("fonts and files of the PDFs", "pdffonts is not installed; Debian package poppler-utils")


@pytest.fixture
def book(printed: Build) -> Path:
    (path,) = printed.out.glob("*-book.pdf")
    return path


@pytest.fixture
def listing(printed: Build) -> Path:
    (path,) = printed.out.glob("*-listing.pdf")
    return path


def _said(program: str, *words: str) -> str:
    done = subprocess.run([program, *words], capture_output=True, text=True, timeout=300)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout + done.stderr
    return done.stdout


def test_qpdf_finds_no_error_of_syntax_or_structure(qpdf: None, book: Path, listing: Path) -> None:
    for path in (book, listing):
        said = _said("qpdf", "--check", str(path))
        assert "No syntax or stream encoding errors found" in said
        assert "WARNING" not in said


def test_only_shipped_fonts_are_in_them_all_embedded_with_a_map_to_text(
    poppler: None, book: Path, listing: Path
) -> None:
    for path, least in ((book, 4), (listing, 3)):
        lines = _said("pdffonts", str(path)).splitlines()
        assert lines[0].split() == ["name", "type", "encoding", "emb", "sub", "uni", "object", "ID"]
        fonts = lines[2:]
        assert len(fonts) >= least
        for font in fonts:
            name = font.split()[0].partition("+")[2]
            assert re.fullmatch(rf"({'|'.join(FAMILIES)})(-\w+)*", name), font
            embedded, _, mapped = font.split()[-5:-2]
            assert (embedded, mapped) == ("yes", "yes"), font


def test_poppler_reads_title_tags_and_size(poppler: None, book: Path, listing: Path, paper: str) -> None:
    for path, title in (
        (book, "Specimen: quality records of hull "),
        (listing, "Listing sheet: Specimen: quality records of hull "),
    ):
        said = dict(line.split(":", 1) for line in _said("pdfinfo", str(path)).splitlines() if ":" in line)
        told = {name: text.strip() for name, text in said.items()}
        assert told["Title"].startswith(title)
        assert (told["Tagged"], told["Suspects"], told["JavaScript"], told["Encrypted"]) == ("yes", "no", "no", "no")
        assert PAGE_SIZE[paper] in told["Page size"]
        assert not {"PDF subtype", "CreationDate"} & set(told)


def test_the_files_can_be_taken_out_with_a_common_program(
    poppler: None, book: Path, printed: Build, tmp_path: Path
) -> None:
    listed = _said("pdfdetach", "-list", str(book)).splitlines()
    names = [line.partition(": ")[2] for line in listed[1:]]
    assert listed[0] == f"{len(names)} embedded files"
    place = names.index("book.json") + 1
    _said("pdfdetach", "-save", str(place), "-o", str(tmp_path / "book.json"), str(book))
    assert (tmp_path / "book.json").read_bytes() == (printed.out / "book.json").read_bytes()


def number_of(one: dict[str, Any]) -> str:
    """The number of a fact with its uncertainty; the sheet adds the words of scales that the book has in a heading."""
    return " ".join(one["value"].split(" ")[:3])


def test_every_picture_of_the_listing_sheet_has_its_alternative_text(listing: Path, printed: Build) -> None:
    facts = json.loads((printed.out / "book.json").read_bytes())["listing"]["facts"]
    with pikepdf.open(listing) as pdf:
        words = [str(it.get("/Alt", "")).strip() for it in of_kind(structure(pdf), "/Figure")]
    assert all(words)
    strips = [word for word in words for one in facts if number_of(one) in word and one["limit"] in word]
    assert len(facts) >= 5
    assert len(strips) == len(facts)
    assert len(words) >= len(facts) + 2, "her profile and the square with the digest as well"


def test_the_listing_sheet_names_the_pages_of_the_book_where_its_facts_stand(
    listing: Path, document: pypdfium2.PdfDocument, printed: Build
) -> None:
    """Number and value of each fact, on the page that the built sheet names; read by PDFium from both files."""
    facts = json.loads((printed.out / "book.json").read_bytes())["listing"]["facts"]
    sheet = pypdfium2.PdfDocument(listing)
    told = plain("".join(page.get_textpage().get_text_range() for page in sheet))
    sheet.close()
    for one in facts:
        number = plain(one["finding"])
        (page,) = set(re.findall(rf"{number},page(\d+?)(?=\D|$)", told))
        shown = document[int(page) - 1].get_textpage().get_text_range()
        assert number in plain(shown), one["finding"]
        assert plain(number_of(one)) in plain(shown), one["finding"]
    assert len(facts) >= 5
