"""What the curves of a chart say at each reading, in words, with the place of the reading in the drawing.

The site's script shows these words; it computes no number. Curves are lines over a measured axis that run from left to
right: spectra, levels over speed, readings over time. An outline drawn by a line is none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from buildbook.core.chart import Axis, Chart, Coordinate, Series
from buildbook.core.wording import decimals_below, decimals_of, fixed, moment, unit_text
from buildbook.render.drawing import plot_of
from buildbook.render.drawing_places import LINES
from buildbook.render.drawing_plot import Plot
from buildbook.render.drawing_scales import drawable
from buildbook.render.svg import number


@dataclass(frozen=True, slots=True)
class _Stop:
    """One place along the axis of a chart where at least one curve has a reading: the readings by their curve."""

    at: Coordinate
    readings: tuple[tuple[int, int], ...]  # curve, index of the reading in it


def readout(chart: Chart) -> str:
    """The readings of all curves of a chart from left to right, for the script of the site.

    Args:
        chart: any chart.

    Returns:
        Empty for a chart without curves. Else the upper and lower end of the plot, then a line for each place along
        the axis: its x, the y of each reading there [all as in the viewBox of the drawing], a stroke, and the words,
        as `212.5 80.4|23.5 Hz: 1.83 mm/s; line at 23.4 Hz: shaft rate`. A value with an uncertainty has two significant
        digits of it, a value without one the decimals that give the largest of its curve three.
    """
    chart = drawable(chart)
    curves = [series for series in chart.series if _is_curve(series, chart)]
    if not curves:
        return ""
    plot = plot_of(chart)
    stops = _stops(curves)
    marked = _marked(chart, plot, stops)
    decimals = _decimals_along(chart.x, stops)
    lines = [f"{_down(plot, plot.top)} {_down(plot, plot.bottom)}"]
    for stop in stops:
        words = f"{_along(chart.x, stop.at, decimals)}: {'; '.join(_values(chart, curves, stop))}"
        told = "".join(
            f"; line at {_along(chart.x, value, decimals)}: {name}" for value, name in marked.get(stop.at, ())
        )
        lines.append(f"{_place(plot, curves, stop)}|{words}{told}")
    return "\n".join(lines)


def _is_curve(series: Series, chart: Chart) -> bool:
    """Whether a series is a line of numbers with a name that only goes on to the right."""
    if series.style not in LINES or not series.name or len(series.x) < 2 or "category" in (chart.x.kind, chart.y.kind):
        return False
    alike = all(isinstance(value, datetime) for value in series.x) or not any(
        isinstance(value, (str, datetime)) for value in series.x
    )
    return alike and all(one < other for one, other in pairwise(series.x))  # type: ignore[operator]


def _stops(curves: Sequence[Series]) -> list[_Stop]:
    found: dict[Coordinate, list[tuple[int, int]]] = {}
    for curve, series in enumerate(curves):
        for index, at in enumerate(series.x):
            found.setdefault(at, []).append((curve, index))
    return [_Stop(at, tuple(found[at])) for at in sorted(found)]


def _marked(chart: Chart, plot: Plot, stops: Sequence[_Stop]) -> dict[Coordinate, list[tuple[float, str]]]:
    """The upright lines of a chart by the stop they are nearest to."""
    found: dict[Coordinate, list[tuple[float, str]]] = {}
    for rule in chart.rules:
        if rule.axis == "x" and rule.words:
            nearest = min(stops, key=lambda stop: abs(plot.x.number(stop.at) - rule.value))
            found.setdefault(nearest.at, []).append((rule.value, rule.words))
    return found


def _decimals_along(axis: Axis, stops: Sequence[_Stop]) -> int:
    """So many decimals that neighbours along the axis are told apart."""
    numbers = [float(stop.at) for stop in stops if isinstance(stop.at, (int, float))]
    if all(one.is_integer() for one in numbers):
        return 0
    return max(0, decimals_of(min(other - one for one, other in pairwise(numbers))))


def _along(axis: Axis, at: Coordinate, decimals: int) -> str:
    if isinstance(at, datetime):
        return moment(at)
    text = fixed(float(at), decimals)
    unit = unit_text(axis.unit)
    return f"{text} {unit}" if unit else f"{axis.title} {text}"


def _values(chart: Chart, curves: Sequence[Series], stop: _Stop) -> Iterable[str]:
    """Each reading at a stop, with its uncertainty if it has one, and with the name of its curve if there are more."""
    for curve, index in stop.readings:
        series = curves[curve]
        value = float(series.y[index])  # type: ignore[arg-type]
        if series.y_error and series.y_error[index] > 0:
            decimals = decimals_of(series.y_error[index])
            text = f"{fixed(value, decimals)} ± {fixed(series.y_error[index], decimals)}"
        else:
            largest = max(abs(float(one)) for one in series.y)  # type: ignore[arg-type]
            text = fixed(value, decimals_below(largest))
        named = f"{series.name} " if len(curves) > 1 else ""
        yield f"{named}{text} {unit_text(chart.y.unit)}".rstrip()


def _place(plot: Plot, curves: Sequence[Series], stop: _Stop) -> str:
    """Where a stop and its readings stand in the drawing, whose y runs downwards."""
    across = plot.x.number(stop.at)
    spots = [plot.at(across, plot.y.number(curves[curve].y[index])) for curve, index in stop.readings]
    return " ".join([number(spots[0][0]), *(_down(plot, y) for _, y in spots)])


def _down(plot: Plot, y: float) -> str:
    return number(plot.figure_height - y)
