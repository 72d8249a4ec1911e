"""Drawings of her as pages show them. The pictures here are synthetic."""

from __future__ import annotations

import pytest
from markupsafe import Markup

from buildbook.core.book import Book
from buildbook.render.figures import Figure
from buildbook.render.on_her import Drawn


@pytest.mark.parametrize(("height", "low"), [(200, True), (249, True), (300, False)])
def test_views_keep_together_in_print_unless_they_are_tall(sample_book: Book, height: int, low: bool) -> None:
    """Two views of 500 by 249 are just less high than they are wide: half a page of print. House rule, no source."""
    view = Figure("view", Markup(f'<svg viewBox="-20 0 500 {height}"></svg>'), "a view")
    assert Drawn(sample_book.drawings[0], (view, view), whole=False, judged=False).low is low
