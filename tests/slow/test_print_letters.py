"""The letters of the printed demonstration book: large enough, inside the margins, never one over another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from tests.slow.book_pages import DARK, DOTS, EDGE, POINT, SIDE, Box, Page

pytestmark = pytest.mark.slow


LEAST_POINTS = 6.0
BOX = 1.3  # the box of a letter by the size it is set in, in these fonts


@dataclass(frozen=True, slots=True)
class Letters:
    """What is wrong with the letters of a page, by its number; how many were looked at; the smallest box [pt]."""

    beyond: dict[int, str]
    without_ink: dict[int, str]
    count: int
    smallest: float


@pytest.fixture(scope="session")
def letters(document: pypdfium2.PdfDocument, pages: list[Page]) -> Letters:
    """Every letter that the PDF says it has, against the margins and against the picture of its page."""
    beyond, without, count, smallest = {}, {}, 0, 100.0
    for page in pages:
        shown = document[page.number - 1]
        found = list(_letters(shown))
        count += len(found)
        smallest = min([smallest, *(_height(shown) if page.number % 3 == 1 else ())])
        if out := "".join(letter for letter, box in found if _outside(box, shown)):
            beyond[page.number] = out[:60]
        if pale := "".join(letter for letter, box in found if letter != "-" and not _seen(box, page, shown)):
            without[page.number] = pale[:60]
        shown.close()
    return Letters(beyond, without, count, smallest)


def _letters(page: pypdfium2.PdfPage) -> Iterator[tuple[str, Box]]:
    """Every printed letter with its box; what PDFium reads for a hyphen at the end of a line is none."""
    text = page.get_textpage()
    for index, letter in enumerate(map(chr, _signs(text))):
        if letter.strip("\ufffe\x02\u00ad \r\n\t\u00a0"):
            yield letter, text.get_charbox(index)
    text.close()


def _signs(text: pypdfium2.PdfTextPage) -> list[int]:
    return [pdfium.FPDFText_GetUnicode(text.raw, index) for index in range(text.count_chars())]


def _height(page: pypdfium2.PdfPage) -> list[float]:
    text = page.get_textpage()
    signs = [index for index, sign in enumerate(_signs(text)) if index % 5 == 0 and chr(sign).strip()]
    boxes = [text.get_charbox(index, loose=True) for index in signs]
    text.close()
    return [top - bottom for _, bottom, _, top in boxes]


def _outside(box: Box, page: pypdfium2.PdfPage) -> bool:
    width, height = page.get_size()
    side = SIDE["landscape" if width > height else "portrait"] / POINT
    left, bottom, right, top = box
    return left < side or right > width - side or bottom < EDGE / POINT or top > height - EDGE / POINT


def _seen(box: Box, page: Page, shown: pypdfium2.PdfPage) -> bool:
    """Whether a letter is inked; one that is thinner than a dot, as a minus is, in a finer picture of its place."""
    _, bottom, _, top = box
    thin = (top - bottom) * POINT * DOTS < 1.0
    return _inked(box, page) or (thin and _inked_finer(box, shown))


def _inked_finer(box: Box, page: pypdfium2.PdfPage) -> bool:
    """Whether anything is printed within a quarter of a point of the box, where the dots are a quarter as broad."""
    left, bottom, right, top = box
    width, height = page.get_size()
    cut = tuple(max(side - 0.25, 0.0) for side in (left, bottom, width - right, height - top))
    picture = page.render(scale=4.0 * DOTS * POINT, crop=cut, grayscale=True).to_numpy()
    return bool((picture < DARK).any())


def _inked(box: Box, page: Page) -> bool:
    """Whether anything is printed in the box of a letter, which a dot's breadth around it belongs to.

    A hyphen is thinner than a dot of the picture and may come out pale; of one at the end of a line the library's sign
    is U+0002 or U+FFFE, and none is asked for.
    """
    left, bottom, right, top = box
    rows, across = slice(max(page.row(top) - 1, 0), page.row(bottom) + 2), POINT * DOTS
    return bool(page.ink[rows, max(int(left * across) - 1, 0) : int(right * across) + 2].any())


def test_words_are_large_enough_to_be_read_on_paper(letters: Letters) -> None:
    assert letters.count > 100_000
    assert letters.smallest > BOX * LEAST_POINTS


def test_no_letter_stands_outside_the_margins(letters: Letters) -> None:
    """The boxes that the PDF itself gives, also where nothing would be seen because it lies beyond the sheet."""
    assert letters.beyond == {}


def test_no_letter_is_cut_off_or_covered(letters: Letters) -> None:
    """Where the PDF says that a letter stands, the picture of the page has ink."""
    assert letters.without_ink == {}


def _stretches(page: pypdfium2.PdfPage) -> np.ndarray:
    """One row per stretch of words: left, bottom, right, top [pt]."""
    text = page.get_textpage()
    boxes = [text.get_rect(index) for index in range(text.count_rects())]
    text.close()
    return np.array(boxes).reshape(-1, 4)


def test_no_words_are_printed_over_others(document: pypdfium2.PdfDocument) -> None:
    """A cell that is too narrow for its words would let them run into the next one."""
    over: dict[int, int] = {}
    count = 0
    for number in range(1, len(document) + 1):
        page = document[number - 1]
        boxes = _stretches(page)
        count += len(boxes)
        if hits := _overlaps(boxes):
            over[number] = hits
        page.close()
    assert count > 10_000
    assert over == {}


def _overlaps(boxes: np.ndarray) -> int:
    """How many pairs of boxes share more than a hair's breadth: 1 pt across and 2 pt up."""
    low, high = boxes[:, None, :2], boxes[:, None, 2:]
    shared = np.minimum(high, boxes[:, 2:]) - np.maximum(low, boxes[:, :2])
    return int(np.triu((shared > (1.0, 2.0)).all(axis=2), k=1).sum())


def test_two_boxes_that_overlap_are_counted() -> None:
    boxes = np.array([(0.0, 0.0, 10.0, 8.0), (8.0, 5.0, 20.0, 13.0), (9.5, 0.0, 12.0, 8.0), (30.0, 0.0, 40.0, 8.0)])
    assert _overlaps(boxes) == 2
