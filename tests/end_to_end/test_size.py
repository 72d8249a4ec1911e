"""How heavy the demonstration's site is: it has to open on a phone in a harbour."""

from __future__ import annotations

import io
import json

import pikepdf
import pytest

from buildbook.core.published import RELEASE, SUMS
from tests.end_to_end.builds import Build
from tests.render.site_reader import read_page

pytestmark = pytest.mark.slow  # one whole build of the demonstration

SITE = 8_000_000  # bytes, without fonts, without the raw evidence: its rows, readable and as received
WITH_ROWS = 12_000_000  # bytes, with the readable rows: there are twice as many tables as when it was 9.5 MB
PAGE = 1_800_000  # bytes of one page, without what it loads: a phone lays it out before it can be read
FIRST_PAGE = 400_000  # bytes, with all that it loads, without fonts
PRINTED = 12_000_000  # bytes of the printed book: it goes through most mail boxes (common practice, no source)
LISTING = 1_500_000  # bytes of the listing sheet as one file for the web, with all that it shows
BESIDE = ("book.json", SUMS, RELEASE)  # beside the site: the book as data, and the lists of digests


def site_of(files: dict[str, bytes]) -> dict[str, bytes]:
    """The files a reader of the site loads page by page, the readable rows among them.

    The printed book and the data are files beside it.
    """
    apart = ("style/fonts/", "evidence/received/")
    return {
        name: data
        for name, data in files.items()
        if not name.startswith(apart) and name not in BESIDE and not name.endswith((".pdf", ".zip"))
    }


def test_the_site_is_under_eight_megabytes(build: Build) -> None:
    files = build.files()
    weights = {name: len(data) for name, data in site_of(files).items()}
    heaviest = sorted(weights.items(), key=lambda item: -item[1])[:5]
    assert len(weights) > 50
    assert sum(weight for name, weight in weights.items() if not name.startswith("evidence/")) < SITE, heaviest
    assert sum(weights.values()) < WITH_ROWS, heaviest


def test_no_page_is_over_one_point_eight_megabytes(build: Build) -> None:
    pages = {name: len(data) for name, data in site_of(build.files()).items() if name.endswith(".html")}
    assert len(pages) > 40
    assert [f"{name}: {weight}" for name, weight in pages.items() if weight > PAGE] == []


def test_the_first_page_is_under_four_hundred_kilobytes_with_all_that_it_loads(build: Build) -> None:
    files = build.files()
    page = read_page(files["index.html"].decode("utf-8"))
    loaded = {
        address
        for tag, address in page.addresses
        if tag in ("link", "script", "img", "image", "source", "iframe", "object")
    }
    assert {"style/site.css", "style/book.js"} <= loaded
    assert loaded <= set(files)
    assert sum(len(files[name]) for name in {"index.html", *loaded}) < FIRST_PAGE


def test_the_script_is_small_enough_to_be_read(build: Build) -> None:
    assert len(build.files()["style/book.js"]) < 16_000


def test_the_data_beside_the_site_is_a_third_lighter_than_with_a_line_for_every_value(build: Build) -> None:
    data = build.files()["book.json"]
    assert len(data) < 0.7 * len(json.dumps(json.loads(data), sort_keys=True, indent=2, ensure_ascii=False).encode())


def test_the_printed_book_and_the_listing_can_be_sent_by_mail(build: Build) -> None:
    """The listing sheet is two pages on paper, read by another program than the one that set it."""
    files = build.files()
    (printed,) = (data for name, data in files.items() if name.endswith("-book.pdf"))
    (page,) = (data for name, data in files.items() if name.endswith("-listing.html"))
    (sheet,) = (data for name, data in files.items() if name.endswith("-listing.pdf"))
    assert 1_000_000 < len(printed) < PRINTED
    assert 50_000 < len(page) < LISTING
    with pikepdf.open(io.BytesIO(sheet)) as pdf:
        assert len(pdf.pages) == 2
