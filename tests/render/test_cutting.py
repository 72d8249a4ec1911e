"""Forms cut to a window, checked by their areas, with the shoelace formula. SYNTHETIC forms."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from buildbook.render.cutting import cut, held

Point = tuple[float, float]


def area(form: list[Point]) -> float:
    """Shoelace formula."""
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairwise([*form, form[0]]))) / 2.0 if form else 0.0


@given(st.floats(0.5, 9.0), st.floats(0.5, 9.0), st.floats(0.1, 0.9))
def test_the_parts_of_a_form_have_together_the_area_of_the_whole(width: float, height: float, share: float) -> None:
    form = [(0.0, 0.0), (width, height / 3.0), (width, height), (width / 2.0, height * 1.5)]
    line = share * width
    parts = held(form, (-1.0, line)), held(form, (line, width + 1.0))
    assert abs(sum(map(area, parts)) - area(form)) < 1e-9 * max(1.0, area(form))
    assert all(x <= line + 1e-12 for x, _ in parts[0])
    assert all(x >= line - 1e-12 for x, _ in parts[1])


def test_a_form_inside_is_kept_and_one_outside_is_gone() -> None:
    form = [(1.0, 0.0), (2.0, 0.0), (2.0, 1.0)]
    assert held(form, (0.0, 3.0)) == form
    assert held(form, (5.0, 6.0)) == []
    assert cut((1.0, 0.0), (2.0, 0.0), (5.0, 6.0)) is None


def test_a_side_across_the_window_has_no_corner_and_one_at_its_edge_is_kept() -> None:
    assert cut((0.0, 0.0), (8.0, 4.0), (2.0, 6.0)) == ((2.0, 1.0), (6.0, 3.0))
    assert cut((2.0, 0.0), (2.0, 4.0), (2.0, 6.0)) == ((2.0, 0.0), (2.0, 4.0))
