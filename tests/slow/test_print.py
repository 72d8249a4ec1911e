"""The printed demonstration book, page by page as pictures, drawn by another program than the one that set it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pypdfium2
import pytest

from tests.end_to_end.builds import Build

pytestmark = pytest.mark.slow
DOTS = 4.0  # per millimetre of the pictures
POINT = 25.4 / 72.0  # mm
EDGE = 7.0  # mm that nothing is printed in: a home printer reaches no further
SIDE = {"portrait": 19.0, "landscape": 17.0}  # mm of empty paper left and right, one less than the style sheet asks for
BODY = {"portrait": (22.0, 22.0), "landscape": (20.0, 18.0)}  # mm above and below, where heads and feet stand
DARK = 200  # of 255: anything darker is ink


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its number from 1, where it is inked, the lines of its text, whether a part begins on it."""

    number: int
    ink: np.ndarray
    lines: tuple[str, ...]
    begins: bool

    @property
    def shape(self) -> str:
        height, width = self.ink.shape
        return "landscape" if width > height else "portrait"

    @property
    def body(self) -> np.ndarray:
        """The ink between head and foot."""
        above, below = (round(side * DOTS) for side in BODY[self.shape])
        return self.ink[above : self.ink.shape[0] - below]

    @property
    def filled(self) -> float:
        """How far down the page anything is printed, as a share of the room between head and foot."""
        rows = np.flatnonzero(self.body.any(axis=1))
        return float(rows[-1] + 1) / self.body.shape[0] if rows.size else 0.0


@pytest.fixture(scope="module")
def document(build: Build) -> Iterator[pypdfium2.PdfDocument]:
    (path,) = build.out.glob("*-book.pdf")
    document = pypdfium2.PdfDocument(path)
    yield document
    document.close()


@pytest.fixture(scope="module")
def outline(document: pypdfium2.PdfDocument) -> list[tuple[int, int, str]]:
    """Level, page from 1, and words of every bookmark."""
    found = []
    for item in document.get_toc(max_depth=8):
        target = item.get_dest()
        assert target is not None
        found.append((item.level, target.get_index() + 1, item.get_title()))
    return found


@pytest.fixture(scope="module")
def pages(document: pypdfium2.PdfDocument, outline: list[tuple[int, int, str]]) -> list[Page]:
    starts = {page for level, page, _ in outline if level == 0}
    made = []
    for number in range(1, len(document) + 1):
        page = document[number - 1]
        picture = page.render(scale=DOTS * POINT, grayscale=True).to_numpy().squeeze()
        text = page.get_textpage()
        lines = tuple(line.strip() for line in text.get_text_range().splitlines() if line.strip())
        made.append(Page(number, picture < DARK, lines, number in starts))
        text.close()
        page.close()
    return made


def test_there_are_pages_of_both_shapes_and_they_are_a4(pages: list[Page]) -> None:
    assert len(pages) > 50
    sizes = {tuple(round(side / DOTS) for side in page.ink.shape) for page in pages}
    assert sizes == {(297, 210), (210, 297)}


def test_no_page_is_nearly_empty_but_where_a_part_ends(pages: list[Page]) -> None:
    ends = {page.number - 1 for page in pages if page.begins} | {len(pages)}
    turns = {one.number for one, other in pairwise(pages) if one.shape != other.shape}
    empty = [page.number for page in pages if page.filled < 0.3 and page.number not in ends | turns]
    assert empty == []
    assert [page.number for page in pages if page.filled < 0.15] == []  # not even there
    assert sum(page.filled > 0.7 for page in pages) > 0.7 * len(pages)


def test_nothing_is_printed_beyond_the_margins(pages: list[Page]) -> None:
    edge = round(EDGE * DOTS)
    beyond = []
    for page in pages:
        side = round(SIDE[page.shape] * DOTS)
        borders = (page.ink[:edge], page.ink[-edge:], page.ink[:, :side], page.ink[:, -side:])
        if any(border.any() for border in borders):
            beyond.append(page.number)
    assert beyond == []


def test_every_page_but_the_first_has_head_and_foot(pages: list[Page]) -> None:
    for page in pages[1:]:
        above, below = (round(side * DOTS) for side in BODY[page.shape])
        assert page.ink[:above].any(), page.number
        assert page.ink[-below:].any(), page.number
        assert f"page {page.number} of {len(pages)}" in " ".join(page.lines)


def _body_lines(page: Page) -> list[str]:
    """The lines between the running head and the foot."""
    foot = re.compile(r"^(Hull XX-|Digest [0-9a-f]{12}|Demonstration: |page \d+ of )")
    lines = list(page.lines)
    while lines and foot.match(lines[-1]):
        lines.pop()
    return lines


def test_no_heading_is_the_last_line_of_a_page(pages: list[Page], outline: list[tuple[int, int, str]]) -> None:
    titles: dict[int, set[str]] = {}
    for _, number, title in outline:
        titles.setdefault(number, set()).add(_plain(title))
    assert sum(map(len, titles.values())) > 100
    alone = []
    for page in pages:
        body = _body_lines(page)
        last = [_plain("".join(body[-count:])) for count in (1, 2, 3)]  # a heading may take three lines
        alone += [(page.number, title) for title in titles.get(page.number, ()) if title in last]
    assert alone == []


def test_headings_are_found_where_the_bookmarks_say(pages: list[Page], outline: list[tuple[int, int, str]]) -> None:
    """What the test above looks for is there to be found."""
    missing = [
        (page, title) for _, page, title in outline if _plain(title) not in _plain("".join(pages[page - 1].lines))
    ]
    assert missing == []


def _plain(text: str) -> str:
    return re.sub(r"[\s\u00a0\u00ad\ufffe-]+", "", text)


def test_words_are_large_enough_to_be_read_on_paper(document: pypdfium2.PdfDocument) -> None:
    """No letter is set smaller than 6 points; the box of a letter is 1.3 times as high in these fonts."""
    heights: list[float] = []
    for number in range(0, len(document), 3):
        page = document[number]
        text = page.get_textpage()
        for index in range(0, text.count_chars(), 5):
            if text.get_text_range(index, 1).strip():
                _, bottom, _, top = text.get_charbox(index, loose=True)
                heights.append(top - bottom)
        text.close()
        page.close()
    assert len(heights) > 5000
    assert min(heights) > 1.3 * 6.0


def _letters(page: pypdfium2.PdfPage) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Every printed letter with its box: left, bottom, right, top [pt]."""
    text = page.get_textpage()
    found = [(text.get_text_range(index, 1), text.get_charbox(index)) for index in range(text.count_chars())]
    text.close()
    return [(letter, box) for letter, box in found if letter.strip()]


def test_no_letter_stands_outside_the_margins(document: pypdfium2.PdfDocument) -> None:
    """The boxes that the PDF itself gives, also where nothing would be seen because it lies beyond the sheet."""
    beyond: dict[int, str] = {}
    for number in range(1, len(document) + 1):
        page = document[number - 1]
        width, height = page.get_size()
        side = SIDE["landscape" if width > height else "portrait"] / POINT
        out = [
            letter
            for letter, (left, bottom, right, top) in _letters(page)
            if left < side or right > width - side or bottom < EDGE / POINT or top > height - EDGE / POINT
        ]
        if out:
            beyond[number] = "".join(out)[:60]
        page.close()
    assert beyond == {}


def _stretches(page: pypdfium2.PdfPage) -> list[tuple[float, float, float, float]]:
    text = page.get_textpage()
    boxes = [text.get_rect(index) for index in range(text.count_rects())]
    text.close()
    return boxes


def test_no_words_are_printed_over_others(document: pypdfium2.PdfDocument) -> None:
    """A cell that is too narrow for its words would let them run into the next one."""
    over: dict[int, int] = {}
    count = 0
    for number in range(1, len(document) + 1):
        page = document[number - 1]
        boxes = _stretches(page)
        count += len(boxes)
        hits = sum(_overlap(one, other) for place, one in enumerate(boxes) for other in boxes[place + 1 :])
        if hits:
            over[number] = hits
        page.close()
    assert count > 10_000
    assert over == {}


def _overlap(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    """Whether two boxes share more than a hair's breadth: 1 pt across and 2 pt up."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    up = min(one[3], other[3]) - max(one[1], other[1])
    return across > 1.0 and up > 2.0


SUBHEADS = ("Why it matters", "How it was measured", "Findings", "If it is missed", "What this does not show")
TABLE_HEAD = re.compile(r"No\. *What, where *Margin")
NUMBER = re.compile(r"[A-Z]{3}-\d\d/\d+")
CHECK = re.compile(r"[A-Z]{3}-\d\d")  # stands above the heading of the next check


def test_a_heading_has_two_lines_below_it_or_a_whole_sentence(pages: list[Page]) -> None:
    seen = 0
    alone = []
    for page in pages:
        body = _body_lines(page)
        seen += sum(line in SUBHEADS for line in body)
        below = body[-1:] if body and body[-1].endswith(".") else body[-2:]
        alone += [(page.number, line) for line in below if line in SUBHEADS]
    assert seen > 60
    assert alone == []


def _before_the_next_check(lines: list[str]) -> list[str]:
    """Up to the id over the heading of a check, which is a question; an id in a cell has no question below it."""
    for at, line in enumerate(lines):
        if CHECK.fullmatch(line) and any(below.endswith("?") for below in lines[at + 1 : at + 3]):
            return lines[:at]
    return lines


def test_a_table_of_findings_does_not_go_on_with_a_single_row(pages: list[Page]) -> None:
    goes_on, single = 0, []
    for page in pages:
        body = _body_lines(page)
        if not body or not TABLE_HEAD.match(body[0]):
            continue
        goes_on += 1
        here = _before_the_next_check(body[1:])
        if sum(bool(NUMBER.match(line)) for line in here) < 2:
            single.append(page.number)
    assert goes_on > 20
    assert single == []


FAILED = {"open today", "accepted as found", "settled otherwise", "put right and measured again"}


def test_what_failed_stands_on_one_page_and_all_the_rest_beside_it(pages: list[Page], build: Build) -> None:
    """The buyer's first spread: what failed, and what became of it, on its left; the whole list ends on its right."""
    book = json.loads((build.out / "book.json").read_bytes())
    (listed,) = [page for page in pages if page.lines[:2] == ("In short", "What went wrong, and what is missing")]
    assert listed.number % 2 == 0, "a left-hand page: the next one lies open beside it"
    told = _plain(" ".join(listed.lines))
    beside = told + _plain(" ".join(pages[listed.number].lines))
    assert len(book["matters"]) > 10
    wrong = [matter["what"] for matter in book["matters"] if matter["state"] in FAILED]
    assert len(wrong) > 8
    assert [what for what in wrong if _plain(what) not in told] == []
    assert [matter["what"] for matter in book["matters"] if _plain(matter["what"]) not in beside] == []
