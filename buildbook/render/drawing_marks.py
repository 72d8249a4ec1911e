"""The readings, rules and spans of a chart, put onto matplotlib axes.

Series colours: four of Paul Tol's `vibrant` scheme (SRON technical note SRON/EPS/TN/09-002, issue 3.2, 2021; quoted
from memory), those with a contrast of at least 3:1 on the light and on the dark page. Each goes with a marker and a
dash of its own, so that colour is never alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from buildbook.core.chart import Chart, Rule, Series
from buildbook.render.drawing_places import LINES, bar_width, places, stretches, thinned
from buildbook.render.drawing_scales import Scale

if TYPE_CHECKING:
    from matplotlib.axes import Axes

COLOURS = ("#0077bb", "#cc3311", "#009988", "#ee3377")
MARKERS = ("o", "s", "D", "^", "v", "P")
DASHES: tuple[Any, ...] = ("-", (0, (5, 1.6)), (0, (1.4, 1.2)), (0, (6, 1.4, 1.4, 1.4)), (0, (9, 2)))
INK = "#000000"
FORBIDDEN, FORBIDDEN_ALPHA = "#b4532a", 0.12
STAGE_ALPHA = 0.08
SPAN_ALPHA = 0.16
COLUMN = 0.75  # one CSS pixel [pt]
MANY = 1500
NEAR, CLEAR = 0.01, 0.02  # of an axis: what is near an upright line, and how far it stays clear of what is there


@dataclass(frozen=True, slots=True)
class Look:
    """How one series is told from the others."""

    colour: str
    marker: str
    dash: Any


def looks(series: Sequence[Series]) -> list[Look]:
    """One look per series; series of the same name share it. Spans of one kind only are in ink and take no colour."""
    spans = {one.name for one in series if one.style == "spans"}
    others = [one.name for one in series if one.style != "spans" or len(spans) > 1]
    names = list(dict.fromkeys(others))
    return [look(names.index(one.name)) if one.name in names else Look(INK, "none", "-") for one in series]


def look(index: int) -> Look:
    """The look of the series with this number, counted from 0."""
    return Look(COLOURS[index % len(COLOURS)], MARKERS[index % len(MARKERS)], DASHES[index % len(DASHES)])


def draw_series(axes: Axes, chart: Chart, x: Scale, y: Scale, length: float) -> None:
    """All series of a chart; `length` is the length of the x axis [pt], which sets how far long series are thinned."""
    for number, (series, own) in enumerate(zip(chart.series, looks(chart.series), strict=True), 1):
        xs, ys = places(chart, series, x, y)
        group = f"series-{number}"
        if series.style == "spans":
            _spans(axes, xs, ys, own, group)
        elif series.style == "bars":
            width = bar_width(chart)
            _bars(axes, (xs, ys), own, group, width=width, level=y.axis.kind == "category")
        elif series.style in LINES:
            column = COLUMN * (x.high - x.low) / length
            _line(axes, series, (xs, ys), own, group, column)
        else:
            column = COLUMN * (x.high - x.low) / length
            kept = range(len(xs)) if x.categories or len(xs) < MANY else thinned(xs, ys, column)
            _dots(axes, series, [(xs[index], ys[index], index) for index in kept], own, group)


def _dots(axes: Axes, series: Series, points: list[tuple[float, float, int]], own: Look, group: str) -> None:
    """Dots at (x, y, index of the reading), with whiskers where U is known."""
    xs, ys = [x for x, _, _ in points], [y for _, y, _ in points]
    many = len(xs) > 80
    if series.y_error:
        errors = [series.y_error[index] for _, _, index in points]
        low = [y - error for y, error in zip(ys, errors, strict=True)]
        high = [y + error for y, error in zip(ys, errors, strict=True)]
        bars = axes.vlines(xs, low, high, colors=own.colour, linewidths=0.9, zorder=4)
        bars.set_gid(f"{group}-whiskers")
    hollow = series.style == "hollow dots"
    axes.plot(
        xs,
        ys,
        linestyle="none",
        marker=own.marker,
        markersize=3.4 if many else 4.6,
        markerfacecolor="none" if hollow else own.colour,
        markeredgecolor=own.colour,
        markeredgewidth=1.0 if hollow else 0.0,
        zorder=5,
        gid=group,
    )


def _line(
    axes: Axes, series: Series, points: tuple[list[float], list[float]], own: Look, group: str, column: float
) -> None:
    """A line in pieces; a piece of one point is a dot, since a line of no length shows nothing."""
    xs, ys = points
    for part, (start, end) in enumerate(stretches(series), 1):
        kept = [start + index for index in thinned(xs[start:end], ys[start:end], column)]
        marked = series.style == "line and dots" or end - start == 1
        axes.plot(
            [xs[index] for index in kept],
            [ys[index] for index in kept],
            color=own.colour,
            linestyle=own.dash,
            linewidth=1.4,
            marker=own.marker if marked else "none",
            markersize=4.4,
            markeredgewidth=0.0,
            zorder=4,
            gid=f"{group}-{part}",
        )


def _bars(
    axes: Axes, points: tuple[list[float], list[float]], own: Look, group: str, *, width: float, level: bool
) -> None:
    from matplotlib.patches import Rectangle

    for part, (x, y) in enumerate(zip(*points, strict=True), 1):
        corner, size = ((0.0, y - width / 2), (x, width)) if level else ((x - width / 2, 0.0), (width, y))
        axes.add_patch(Rectangle(corner, *size, color=own.colour, linewidth=0.0, zorder=3, gid=f"{group}-{part}"))


def _spans(axes: Axes, xs: list[float], ys: list[float], own: Look, group: str) -> None:
    """Horizontal bars, pale with a firm edge; an open end runs to the edge of the chart and gets an arrow there."""
    from matplotlib.patches import Rectangle

    left, right = axes.get_xlim()
    for part in range(len(xs) // 2):
        ends = sorted(xs[2 * part : 2 * part + 2])
        start, end = (min(max(value, left), right) for value in ends)
        middle = ys[2 * part]
        bar = Rectangle((start, middle - 0.2), end - start, 0.4, facecolor=own.colour, alpha=SPAN_ALPHA, linewidth=0.0)
        bar.set_zorder(2)
        bar.set_gid(f"{group}-{part + 1}")
        axes.add_patch(bar)
        for value, marker in ((ends[0], "<"), (ends[1], ">")):
            if math.isinf(value):
                edge = left if value < 0 else right
                axes.plot([edge], [middle], marker=marker, markersize=5.5, color=own.colour, clip_on=False, zorder=4)
            else:
                axes.plot([value] * 2, [middle - 0.2, middle + 0.2], color=own.colour, linewidth=1.5, zorder=3)


def reach(rule: Rule, x: Scale, y: Scale) -> tuple[float, float]:
    """From where to where a rule runs along the other axis [numbers of that axis]."""
    along = x if rule.axis == "y" else y
    half = 0.45 if along.axis.kind == "category" else 0.0
    start = along.low if rule.start is None else along.number(rule.start) - half
    end = along.high if rule.end is None else along.number(rule.end) + half
    return start, end


def draw_rules(axes: Axes, chart: Chart, x: Scale, y: Scale) -> None:
    """The limit lines, with the ground they forbid tinted."""
    from matplotlib.patches import Rectangle

    for number, rule in enumerate(chart.rules, 1):
        across = y if rule.axis == "y" else x
        value = across.number(rule.value)
        start, end = reach(rule, x, y)
        level = rule.axis == "y"
        if not level and rule.forbidden == "none" and rule.start is None:
            start = max(start, min(_above_the_curves(chart, x, y, value), end))
        if rule.forbidden != "none":
            edge = across.low if rule.forbidden == "below" else across.high
            low, high = min(value, edge), max(value, edge)
            corner, size = (
                ((start, low), (end - start, high - low)) if level else ((low, start), (high - low, end - start))
            )
            ground = Rectangle(corner, *size, facecolor=FORBIDDEN, alpha=FORBIDDEN_ALPHA, linewidth=0.0, zorder=1)
            ground.set_gid(f"rule-{number}-forbidden")
            axes.add_patch(ground)
        ends = ([start, end], [value, value]) if level else ([value, value], [start, end])
        axes.plot(*ends, zorder=3.5, gid=f"rule-{number}", **rule_look(rule))


def _above_the_curves(chart: Chart, x: Scale, y: Scale, at: float) -> float:
    """Where an upright line of orientation begins, so that it does not cover the peak it explains [number of y].

    It looks at the readings of curves within 1 % of the axis; where they are farther apart it begins at the foot.
    """
    near = NEAR * (x.high - x.low)
    curves = (places(chart, series, x, y) for series in chart.series if series.style == "line")
    tops = [top for xs, ys in curves for place, top in zip(xs, ys, strict=True) if abs(place - at) <= near]
    if not tops or y.axis.kind == "log":
        return y.low
    return max(tops) + CLEAR * (y.high - y.low)


def rule_look(rule: Rule) -> dict[str, Any]:
    """A limit is a firm line, a value for orientation a dashed one."""
    dash: Any = (0, (5, 2)) if rule.forbidden == "none" else "-"
    return {"color": INK, "linewidth": 1.2, "linestyle": dash, "solid_capstyle": "butt"}


def draw_spans(axes: Axes, chart: Chart, x: Scale) -> None:
    """Stages as pale bands, gaps hatched, over the whole height."""
    from matplotlib.patches import Rectangle
    from matplotlib.transforms import blended_transform_factory

    place = blended_transform_factory(axes.transData, axes.transAxes)
    for number, span in enumerate(chart.spans, 1):
        start, end = x.number(span.start), x.number(span.end)
        band = Rectangle((start, 0.0), end - start, 1.0, transform=place, linewidth=0.0, zorder=0.5)
        if span.style == "gap":
            band.set(facecolor="none", edgecolor=INK, hatch="////", alpha=0.4)
        else:
            band.set(facecolor=INK, alpha=STAGE_ALPHA)
        band.set_gid(f"span-{number}")
        axes.add_patch(band)
        for edge in (start, end):
            axes.plot([edge, edge], [0.0, 1.0], transform=place, color=INK, alpha=0.3, linewidth=0.5, zorder=0.6)
