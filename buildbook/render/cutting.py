"""Forms cut by two lines across her: what of a side, and of a closed form, lies between two stations along x."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]


def cut(one: Point, other: Point, window: Point) -> tuple[Point, Point] | None:
    """The part of a straight side whose x lies in the window; None where nothing of it does.

    >>> cut((0.0, 0.0), (10.0, 5.0), (2.0, 4.0))
    ((2.0, 1.0), (4.0, 2.0))
    >>> cut((0.0, 0.0), (1.0, 5.0), (2.0, 4.0)) is None
    True
    """
    low, high = window
    if max(one[0], other[0]) < low or min(one[0], other[0]) > high:
        return None
    return _moved(one, other, window), _moved(other, one, window)


def _moved(point: Point, towards: Point, window: Point) -> Point:
    """A point, moved along its side to the edge of the window where it lies outside."""
    x = min(max(point[0], window[0]), window[1])
    if x == point[0]:
        return point
    share = (x - point[0]) / (towards[0] - point[0])
    return x, point[1] + share * (towards[1] - point[1])


def held(form: Sequence[Point], window: Point) -> list[Point]:
    """A closed form cut to the window, as a closed form: two passes, one for each edge.

    >>> held([(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0)], (1.0, 3.0))
    [(1.0, 0.0), (3.0, 0.0), (3.0, 2.0), (1.0, 2.0)]
    """
    for edge, sign in ((window[0], 1.0), (window[1], -1.0)):
        kept: list[Point] = []
        for one, other in pairwise([*form, form[0]]) if form else ():
            inside, next_inside = sign * (one[0] - edge) >= 0.0, sign * (other[0] - edge) >= 0.0
            if inside:
                kept.append(one)
            if inside != next_inside:
                share = (edge - one[0]) / (other[0] - one[0])
                kept.append((edge, one[1] + share * (other[1] - one[1])))
        form = kept
    return list(form)
