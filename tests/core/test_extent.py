"""How far she reaches: by hand from outline and dimensions. SYNTHETIC hulls."""

from __future__ import annotations

import pytest

from buildbook.core.extent import Reach, beyond, reach
from buildbook.core.hull import Hull

OUTLINE = ((-1.2, 0.4), (0.0, 1.6), (19.0, 2.8), (17.0, 0.0), (10.0, -1.2))
PLAN = ((0.0, 2.3), (10.0, 2.5), (19.0, 0.0))


def test_the_wider_of_outline_and_dimensions_counts():
    hull = Hull(length_hull=19.4, beam=5.2, draught=1.5, outline=OUTLINE, plan_outline=PLAN)
    found = reach(hull)
    assert found["x"] == Reach(-1.7, 19.9)
    assert found["y"] == Reach(-3.1, 3.1)
    assert found["z"].low == pytest.approx(-2.0)
    assert found["z"].high == pytest.approx(2.8 + 0.5 + 0.25 * 20.6), "masts stand above the outline"


@pytest.mark.parametrize(
    ("position", "outside"),
    [
        ({"x": 42.0, "y": 0.0, "z": 1.0}, ["x"]),
        ({"x": 19.4, "y": -2.9, "z": None}, []),
        ({"x": -3.0, "y": 3.2, "z": -2.5}, ["x", "y", "z"]),
        ({"x": None, "y": None, "z": None}, []),
    ],
)
def test_what_lies_outside_is_named(position, outside):
    hull = Hull(length_hull=19.0, beam=5.0, draught=1.3)
    assert list(beyond(hull, **position)) == outside


def test_nothing_on_record_bounds_nothing():
    assert beyond(Hull(), x=100.0, y=-15.0, z=30.0) == {}
    assert beyond(Hull(outline=((0.0, 0.0),), plan_outline=((1.0, 1.0),)), x=100.0, y=-15.0, z=30.0) == {}
    assert list(beyond(Hull(length_hull=19.0), x=100.0, y=-15.0, z=30.0)) == ["x"]
