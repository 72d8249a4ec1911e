"""Whether an outline can be the outline of anything: a line that does not cross itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np


def crossing(points: Sequence[tuple[float, float]]) -> tuple[int, int] | None:
    """The first two sides of a closed outline that cross each other, by the number of the point each starts from (1…).

    Args:
        points: corners in order [m]; the last is joined to the first. Sides that only touch do not cross.

    >>> crossing([(0, 0), (4, 0), (4, 2), (0, 2)])
    >>> crossing([(0, 0), (4, 2), (4, 0), (0, 2)])
    (1, 3)
    """
    import numpy as np

    start = np.asarray(points, dtype=float).reshape(-1, 2)
    end = np.roll(start, -1, axis=0)
    for number in range(len(start) - 2):
        one, two = start[number], end[number]
        others, ends = start[number + 2 :], end[number + 2 :]
        across = _side(one, two, others) * _side(one, two, ends) < 0.0
        across &= _side(others, ends, one) * _side(others, ends, two) < 0.0
        if across.any():
            return number + 1, number + 3 + int(across.argmax())
    return None


def _side(start: np.ndarray, end: np.ndarray, point: np.ndarray) -> np.ndarray:
    """On which side of the lines from start to end the points lie: the sign of the cross product."""
    import numpy as np

    along, off = end - start, point - start
    side: np.ndarray = np.sign(along[..., 0] * off[..., 1] - along[..., 1] * off[..., 0])
    return side
