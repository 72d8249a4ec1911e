"""The printed demonstration book, page by page as pictures: full, inside its margins, headings with their text."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pypdfium2
import pypdfium2.raw
import pytest

from buildbook.render.stamp import UNSIGNED
from tests.end_to_end.builds import Build
from tests.slow.book_pages import BODY, DOTS, EDGE, LEAST, POINT, SIDE, Box, Page, body_lines, places, plain

pytestmark = pytest.mark.slow
PIXEL = 0.75  # points: of the sizes that the library writes (CSS: 96 pixels to the inch)
THIRD = 1.0 / 3.0
LAST = 0.2  # how far down the last page of a part goes at least: a few lines alone look forgotten
SHEET = {"a4": (297.0, 210.0), "letter": (11 * 25.4, 8.5 * 25.4)}  # mm: ISO 216; ANSI/ASME Y14.1 (from memory)


def test_there_are_pages_of_both_shapes_and_of_the_paper_s_size(pages: list[Page], paper: str) -> None:
    assert len(pages) > 50
    long, short = SHEET[paper]
    sizes = [tuple(side / DOTS for side in page.ink.shape) for page in pages]
    upright = [size for size in sizes if size == pytest.approx((long, short), abs=0.3)]
    broad = [size for size in sizes if size == pytest.approx((short, long), abs=0.3)]
    assert upright
    assert broad
    assert len(upright) + len(broad) == len(pages)


def test_no_page_is_under_one_third_full_but_where_a_part_ends(pages: list[Page]) -> None:
    """A part that begins in the middle of a page ends nothing: only before a page that starts with a part's title."""
    ends = {page.number - 1 for page in pages if page.begins} | {len(pages)}
    turns = {one.number for one, other in pairwise(pages) if one.shape != other.shape}
    inside = [page for page in pages if page.number not in ends | turns]
    assert len(inside) > 100
    assert [page.number for page in inside if page.reach < THIRD] == []
    assert [page.number for page in inside if page.filled < THIRD] == []
    assert [page.number for page in inside if page.covered < LEAST] == []
    assert [page.number for page in pages if page.reach < LAST] == []  # not even there
    assert sum(page.reach > 0.75 for page in pages) > 0.85 * len(pages)


def test_nothing_is_printed_beyond_the_margins(pages: list[Page]) -> None:
    edge = round(EDGE * DOTS)
    beyond = []
    for page in pages:
        side = round(SIDE[page.shape] * DOTS)
        borders = (page.ink[:edge], page.ink[-edge:], page.ink[:, :side], page.ink[:, -side:])
        if any(border.any() for border in borders):
            beyond.append(page.number)
    assert beyond == []


def test_running_heads_and_feet_say_hull_section_digest_and_page(
    pages: list[Page], outline: list[tuple[int, int, str]], printed: Build
) -> None:
    digest = hashlib.sha256((printed.out / "SHA256SUMS").read_bytes()).hexdigest()
    hull = json.loads((printed.out / "book.json").read_bytes())["hull"]["number"]
    parts = [(number, title) for level, number, title in outline if level == 0]
    firsts, lasts = dict(reversed(parts)), dict(parts)
    section = ""
    for page in pages[1:]:
        section = firsts.get(page.number, section)
        assert page.head == f"Hull {hull} {section} {UNSIGNED}", page.number
        assert f"Digest {digest[:12]}" in page.foot, page.number
        assert f"page {page.number} of {len(pages)}" in page.foot
        assert "Demonstration: the yacht, her builder and every number in this book are invented." in page.foot
        section = lasts.get(page.number, section)


def test_no_heading_is_the_last_line_of_a_page(pages: list[Page], outline: list[tuple[int, int, str]]) -> None:
    titles: dict[int, set[str]] = {}
    for _, number, title in outline:
        titles.setdefault(number, set()).add(plain(title))
    assert sum(map(len, titles.values())) > 100
    alone = []
    for page in pages:
        body = body_lines(page)
        last = [plain("".join(body[-count:])) for count in (1, 2, 3)]  # a heading may take three lines
        alone += [(page.number, title) for title in titles.get(page.number, ()) if title in last]
    assert alone == []


def test_headings_are_found_where_the_bookmarks_say(pages: list[Page], outline: list[tuple[int, int, str]]) -> None:
    """What the test above looks for is there to be found."""
    missing = [(page, title) for _, page, title in outline if plain(title) not in plain("".join(pages[page - 1].lines))]
    assert missing == []


BESIDE = (
    "Why it matters",
    "How it was measured",
    "If it is missed",
    "What this does not show",
    "The limit and who set it",
)
ABOVE = ("Findings",)
BESIDE_WIDTH = 42.0  # mm from the margin to the text beside a short heading
ROW = 9.0  # mm: the head of a table and a row
TABLE_HEAD = re.compile(r"No\. *What, where *Margin")
NUMBER = re.compile(r"[A-Z]{3}-\d\d/\d+")
CHECK = re.compile(r"[A-Z]{3}-\d\d")  # stands above the heading of the next check


def test_a_short_heading_has_its_text_beside_it(pages: list[Page], document: pypdfium2.PdfDocument) -> None:
    """The first line of the text stands at the height of the heading, to the right of it, on the same page."""
    left = round((SIDE["portrait"] + BESIDE_WIDTH) * DOTS)
    seen, alone = 0, []
    for page, words, (_, bottom, _, top) in _found(pages, document, BESIDE):
        seen += 1
        if not page.ink[page.row(top) : page.row(bottom), left:].any():
            alone.append((page.number, words))
    assert seen > 5 * 50
    assert alone == []


def test_the_heading_of_a_table_has_a_row_below_it(pages: list[Page], document: pypdfium2.PdfDocument) -> None:
    seen, alone = 0, []
    for page, words, (_, bottom, _, _) in _found(pages, document, ABOVE):
        seen += 1
        below = page.ink[page.row(bottom) + 4 : page.ink.shape[0] - round(BODY["portrait"][1] * DOTS)]
        rows = np.flatnonzero(below.any(axis=1))
        if not rows.size or rows[-1] < ROW * DOTS:
            alone.append((page.number, words))
    assert seen > 50
    assert alone == []


def _found(
    pages: list[Page], document: pypdfium2.PdfDocument, headings: tuple[str, ...]
) -> Iterator[tuple[Page, str, Box]]:
    """Every place on upright pages where these words begin at the margin, so that they are no part of a sentence."""
    for page in pages:
        text = " ".join(page.lines)
        wanted = [words for words in headings if words in text]
        if page.shape == "portrait" and wanted:
            shown = document[page.number - 1]
            boxes = [(words, box) for words in wanted for box in places(shown, words)]
            yield from ((page, words, box) for words, box in boxes if box[0] * POINT < SIDE["portrait"] + 3.0)
            shown.close()


def _before_the_next_check(lines: list[str]) -> list[str]:
    """Up to the id over the heading of a check, which is a question; an id in a cell has no question below it."""
    for at, line in enumerate(lines):
        if CHECK.fullmatch(line) and any(below.endswith("?") for below in lines[at + 1 : at + 3]):
            return lines[:at]
    return lines


def test_a_table_of_findings_does_not_go_on_with_a_single_row(pages: list[Page]) -> None:
    goes_on, single = 0, []
    for page in pages:
        body = body_lines(page)
        if not body or not TABLE_HEAD.match(body[0]):
            continue
        goes_on += 1
        here = _before_the_next_check(body[1:])
        if sum(bool(NUMBER.match(line)) for line in here) < 2:
            single.append(page.number)
    assert goes_on > 20
    assert single == []


def test_a_table_that_goes_on_repeats_its_head(pages: list[Page], outline: list[tuple[int, int, str]]) -> None:
    """In the annex: the words of the head, as they stand where the table begins, begin every page it goes on to.

    Tables too broad for a page are told cell by cell and have no head.
    """
    (begin,) = [page for level, page, title in outline if level == 0 and title.startswith("The evidence")]
    titles: dict[int, list[str]] = {}
    for _, number, title in outline:
        titles.setdefault(number, []).append(plain(title))
    head, goes_on, without = "", 0, []
    for page in pages[begin - 1 :]:
        lines = body_lines(page)
        here = titles.get(page.number, [])
        if head and plain(lines[0]) not in here:
            goes_on += 1
            if not plain("".join(lines)).startswith(head):
                without.append((page.number, lines[0]))
        if here:
            last = max(at for at, line in enumerate(lines) if plain(line) == here[-1])
            head = _head(lines[last + 1 :])
    assert goes_on > 5
    assert without == []


def _head(lines: list[str]) -> str:
    """The head of the table that begins here, up to the number of its first row; empty where it has none."""
    start = next((at for at, line in enumerate(lines) if re.match(r"Line\b", line)), None)
    if start is None:
        return ""
    end = next(at for at, line in enumerate(lines[start:], start) if re.match(r"\d+ ", line))
    return plain("".join(lines[start:end]))


STANDS = {"open today", "accepted as found", "settled otherwise"}
NO_MISS = {"inside the limit without a clear margin", "not decided at first, decided when measured again"}


def test_what_stands_is_on_one_page_and_what_was_put_right_or_is_missing_on_the_spread(
    pages: list[Page], printed: Build
) -> None:
    """The buyer's first spread: what is on her today, and what became of it, on its left; on the spread what was put
    right, not measured or not decided. What is no miss, a near one or what a later reading decided, may go over."""
    book = json.loads((printed.out / "book.json").read_bytes())
    (listed,) = [page for page in pages if page.lines[:2] == ("In short", "What went wrong, and what is missing")]
    assert listed.number % 2 == 0, "a left-hand page: the next one lies open beside it"
    told = plain(" ".join(listed.lines))
    beside = told + plain(" ".join(pages[listed.number].lines))
    assert len(book["matters"]) > 10
    stands = [matter["what"] for matter in book["matters"] if matter["state"] in STANDS]
    assert len(stands) > 8
    assert [what for what in stands if plain(what) not in told] == []
    rest = [matter["what"] for matter in book["matters"] if matter["state"] not in STANDS | NO_MISS]
    assert len(rest) > 20
    assert [what for what in rest if plain(what) not in beside] == []
    overleaf = beside + plain(" ".join(pages[listed.number + 1].lines))
    assert [matter["what"] for matter in book["matters"] if plain(matter["what"]) not in overleaf] == []


def test_the_first_spread_is_set_in_nine_points(pages: list[Page], printed: Build) -> None:
    """Small letters would make it no reading of two minutes; the numbers of findings and the feet are smaller."""
    (listed,) = [page for page in pages if page.lines[:2] == ("In short", "What went wrong, and what is missing")]
    (path,) = printed.out.glob("*-book.pdf")
    with pypdfium2.PdfDocument(path) as document:
        for number in (listed.number, listed.number + 1):
            text = document[number - 1].get_textpage()
            sizes = [pypdfium2.raw.FPDFText_GetFontSize(text, at) * PIXEL for at in range(text.count_chars())]
            assert len(sizes) > 2000
            assert sum(size > 8.99 for size in sizes) > 0.75 * len(sizes), number
