"""The letters of the printed demonstration book: large enough, inside the margins, never one over another."""

from __future__ import annotations

import pypdfium2
import pytest

from tests.slow.book_pages import EDGE, POINT, SIDE

pytestmark = pytest.mark.slow


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
