"""The words of the printed book, read from the PDF by another program than the one that wrote it."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pypdfium2 as pdfium
import pytest

from buildbook.render.banned_words import banned


@pytest.fixture(scope="module")
def text(made: Mapping[str, bytes]) -> str:
    """Every page of the book as one line of text, with words joined that were parted at a line's end."""
    (data,) = (data for name, data in made.items() if name.endswith("-book.pdf"))
    document = pdfium.PdfDocument(data)
    pages = [page.get_textpage().get_text_bounded() for page in document]
    return re.sub(r"\s+", " ", " ".join(pages).replace("\ufffe", "").replace("\xad", ""))


def test_no_page_of_the_printed_book_claims_what_no_reading_shows(text: str) -> None:
    assert len(text) > 20_000
    assert banned(text) == ()


def test_the_words_of_a_chapter_stand_at_its_opening(text: str) -> None:
    """Of both chapters of the synthetic book; that on paint explains its dew points."""
    assert text.count("Words of this chapter") == 2
    opening = text[text.index("Words of this chapter") :]
    assert opening.index("dew point The temperature at which water from the air begins to settle") < 4000
