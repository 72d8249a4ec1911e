"""A4 and letter: every page has the size that was asked for, and nothing is printed outside its margins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from buildbook.core.face import Face, Paper
from buildbook.core.table_view import Cell, Row, TableView
from buildbook.render.excerpts import excerpts
from buildbook.render.package import contents
from tests.sample_book import CLIMATE, book, received

DOTS = 3.0  # per millimetre of the pictures
POINT = 25.4 / 72.0  # mm
# ISO 216 for A4; 8.5 by 11 inches for letter, which is exactly 612 by 792 points.
SIZES = {Paper.A4: (595.28, 841.89), Paper.LETTER: (612.0, 792.0)}
SIDE = {False: 19.0, True: 17.0}  # mm of empty paper left and right, one less than the style sheet asks for
EDGE = 7.0  # mm above and below that no head and no foot reaches
DARK = 200


@pytest.fixture(scope="module", params=list(Paper), ids=lambda paper: paper.value)
def printed(request: pytest.FixtureRequest) -> Iterator[tuple[Paper, pypdfium2.PdfDocument]]:
    files, _, name, notices = contents(book(), received(), face=Face(paper=request.param))
    assert notices == ()
    document = pypdfium2.PdfDocument(files[name])
    yield request.param, document
    document.close()


def broad(document: pypdfium2.PdfDocument) -> list[bool]:
    return [page.get_width() > page.get_height() for page in document]


@pytest.mark.slow
def test_every_page_has_the_size_of_the_paper_upright_or_broad(printed: tuple[Paper, pypdfium2.PdfDocument]) -> None:
    paper, document = printed
    short, long = SIZES[paper]
    for page in document:
        assert sorted((page.get_width(), page.get_height())) == pytest.approx([short, long], abs=0.01)
    shapes = broad(document)
    assert shapes.count(False) > 15
    assert shapes.count(True) > 1  # the records
    assert shapes == sorted(shapes)


def test_nothing_is_printed_outside_the_margins(printed: tuple[Paper, pypdfium2.PdfDocument]) -> None:
    _, document = printed
    beyond = []
    for number, (page, lies) in enumerate(zip(document, broad(document), strict=True), 1):
        ink = page.render(scale=DOTS * POINT, grayscale=True).to_numpy().squeeze() < DARK
        side, edge = round(SIDE[lies] * DOTS), round(EDGE * DOTS)
        assert ink.any(), number
        if np.any([border.any() for border in (ink[:, :side], ink[:, -side:], ink[:edge], ink[-edge:])]):
            beyond.append(number)
    assert beyond == []


def test_the_cover_is_one_page(printed: tuple[Paper, pypdfium2.PdfDocument]) -> None:
    _, document = printed
    first, second = (document[number].get_textpage().get_text_range() for number in (0, 1))
    assert "Made with buildbook" in first
    assert "In short" in second


def test_the_heads_of_pages_stand_on_both_papers(printed: tuple[Paper, pypdfium2.PdfDocument]) -> None:
    _, document = printed
    total = len(document)
    for number in range(1, total):
        words = " ".join(document[number].get_textpage().get_text_range().split())
        assert f"page {number + 1} of {total}" in words


def test_a_table_is_told_cell_by_cell_where_the_paper_is_too_narrow_for_it() -> None:
    """261 mm fit between the margins of a broad A4 page, 243.4 mm on letter: 15 columns of 10 signs need 249 mm."""
    columns = tuple(Cell(f"c{n}", f"column {n:02} "[:6], "", "") for n in range(15))
    rows = (Row(2, tuple("tenletters" for _ in columns), ""),)
    table = TableView(CLIMATE, "Climate", "coating", "climate", columns, rows, "", 1, "0" * 64)
    made = replace(book(), tables=(table,))
    width = 9.0 + 15 * (2.0 + 1.4 * 10)
    assert 243.4 < width < 261.0
    assert [excerpts(made, paper)[0].broad for paper in (Paper.A4, Paper.LETTER)] == [False, True]


def test_the_papers_have_the_sizes_of_their_standards() -> None:
    for paper, (short, long) in SIZES.items():
        assert paper.size == pytest.approx((short * POINT, long * POINT), abs=0.01)
