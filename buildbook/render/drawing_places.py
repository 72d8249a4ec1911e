"""Where the readings of a chart stand: in their categories, in pieces of lines, thinned where there are too many."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from buildbook.core.chart import Chart, Coordinate, Series
from buildbook.render.drawing_scales import Scale

LINES = ("line", "line and dots")
SLOT = 0.72
LONE_BAR = 0.56
HAIR = 0.05


def places(chart: Chart, series: Series, x: Scale, y: Scale) -> tuple[list[float], list[float]]:
    """The numbers of a series on both scales, moved within their categories so that readings do not hide one another.

    The series that have dots in a category share its width, and their readings stand side by side in their part of it,
    in the order given, so that a later one stands to the right; bars stand side by side; lines are moved by a hair.
    """
    xs, ys = [x.number(value) for value in series.x], [y.number(value) for value in series.y]
    if x.axis.kind == "category":
        moved = _line_shift(chart, series) if series.style in LINES else _shifts(chart, series, "x")
        xs = [number + shift for number, shift in zip(xs, moved, strict=True)]
    elif y.axis.kind == "category" and series.style == "bars":
        ys = [number + shift for number, shift in zip(ys, _shifts(chart, series, "y"), strict=True)]
    return xs, ys


def bar_width(chart: Chart) -> float:
    """How wide a bar is, in widths of a category."""
    number = len({series.name for series in chart.series if series.style == "bars"})
    return LONE_BAR if number < 2 else SLOT / number * 0.9


def _line_shift(chart: Chart, series: Series) -> list[float]:
    names = list(dict.fromkeys(one.name for one in chart.series if one.style in LINES))
    return [HAIR * (names.index(series.name) - (len(names) - 1) / 2.0)] * len(series.x)


def _shifts(chart: Chart, series: Series, which: str) -> list[float]:
    """The shift of each reading of dots or bars within its category."""

    def categories(one: Series) -> tuple[Coordinate, ...]:
        return one.x if which == "x" else one.y

    if series.style == "spans":
        return [0.0] * len(series.x)
    alike = [(one.name, set(categories(one))) for one in chart.series if one.style not in (*LINES, "spans")]
    total = Counter(categories(series))
    seen: Counter[Coordinate] = Counter()
    shifts = []
    for value in categories(series):
        names = list(dict.fromkeys(name for name, has in alike if value in has))
        part = SLOT / len(names)
        middle = (names.index(series.name) - (len(names) - 1) / 2.0) * part
        spread = part * 0.8 if series.style != "bars" and total[value] > 1 else 0.0
        shifts.append(middle + ((seen[value] + 0.5) / total[value] - 0.5) * spread)
        seen[value] += 1
    return shifts


def thinned(x: Sequence[float], y: Sequence[float], column: float) -> list[int]:
    """Indexes of the points to draw: first, last, lowest and highest of each column, so that no peak is lost.

    Args:
        x: positions, rising.
        y: values.
        column: width of a column [unit of x].

    >>> thinned([0, 0.1, 0.2, 0.3, 0.4, 1.5], [1, 9, 2, 0, 3, 5], 1.0)
    [0, 1, 3, 5]
    """
    kept: set[int] = {0, len(x) - 1} if len(x) else set()
    columns: dict[int, list[int]] = {}
    for index, position in enumerate(x):
        columns.setdefault(math.floor((position - x[0]) / column), []).append(index)
    for members in columns.values():
        kept.add(min(members, key=lambda index: (y[index], index)))
        kept.add(max(members, key=lambda index: (y[index], -index)))
    return sorted(kept)


def stretches(series: Series) -> list[tuple[int, int]]:
    """The parts of a line between its breaks, as half-open ranges of indexes.

    >>> stretches(Series("a", (1.0, 2.0, 3.0), (0.0, 0.0, 0.0), "line", breaks=(2,)))
    [(0, 2), (2, 3)]
    """
    cuts = [0, *sorted({cut for cut in series.breaks if 0 < cut < len(series.x)}), len(series.x)]
    return [(start, end) for start, end in pairwise(cuts) if end > start]
