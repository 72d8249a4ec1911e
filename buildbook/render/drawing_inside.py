"""Labels inside and beside a plot: at the ends of lines and rules, at confined rules, at readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from buildbook.core.chart import Chart, Rule
from buildbook.render.drawing_labels import LINE_HEIGHT, moved_apart, shortened, text_width, wrapped
from buildbook.render.drawing_marks import Look, looks, reach
from buildbook.render.drawing_places import LINES, places, stretches
from buildbook.render.drawing_plot import WIDTH, Plot, put_stroke, put_words
from buildbook.render.drawing_scales import Scale

if TYPE_CHECKING:
    from matplotlib.figure import Figure

BESIDE = 98.0  # width of the words beside the plot [pt]
LEADER = 16.0
EDGE = 2.0
LONGEST = 150.0  # words at one reading [pt]
LIKELY_WIDTH = 330.0  # of a plot that has words beside it, before it is laid out [pt]


@dataclass(frozen=True, slots=True)
class EndLabel:
    """Words where a line or a rule ends; `x` and `y` are numbers of the scales. A rule has no look."""

    words: str
    x: float
    y: float
    beside: bool
    look: Look | None = None
    marked: bool = False


def end_labels(chart: Chart, x: Scale, y: Scale) -> list[EndLabel]:
    """The labels of rules that run to the right edge, and of lines where there is more than one series.

    A line that ends well before the right edge is labelled inside, next to its last reading; others beside the plot.
    """
    labels = [EndLabel(r.words, x.high, y.number(r.value), beside=True) for r in _level(chart) if not _confined(r)]
    if len({series.name for series in chart.series}) < 2:
        return labels
    named: set[str] = {""}
    for series, own in zip(chart.series, looks(chart.series), strict=True):
        if series.style not in LINES or series.name in named or not series.x:
            continue
        named.add(series.name)
        xs, ys = places(chart, series, x, y)
        at, last = max((number, index) for index, number in enumerate(xs))
        room = (1.0 - x.fraction(at)) * LIKELY_WIDTH
        beside = x.fraction(at) > 0.8 or text_width(series.name) + 8.0 > room
        marked = series.style == "line and dots"
        labels.append(EndLabel(series.name, at, ys[last], beside, own, marked))
    return labels


def beside_height(chart: Chart, x: Scale, y: Scale) -> float:
    """How tall the labels beside the plot are together [pt]."""
    return sum(len(words) * LINE_HEIGHT + 3.0 for words in right_words(chart, x, y))


def right_words(chart: Chart, x: Scale, y: Scale) -> list[tuple[str, ...]]:
    """The words beside the plot, in lines."""
    return [wrapped(label.words, BESIDE, cut=True) for label in end_labels(chart, x, y) if label.beside]


def keyed_rules(chart: Chart) -> list[Rule]:
    """Confined rules that recur with the same words and look: one of each kind, for the line of keys.

    Where two kinds would look the same, none is keyed and each piece bears its own words.
    """
    kinds: dict[str, Rule] = {}
    pieces = [rule for rule in _level(chart) if _confined(rule)]
    for rule in pieces:
        kinds.setdefault(rule.words, rule)
    different = len({rule.forbidden for rule in kinds.values()}) == len(kinds)
    return list(kinds.values()) if different and len(pieces) > len(kinds) else []


def write_inside(figure: Figure, chart: Chart, plot: Plot) -> None:
    """All labels inside and beside the plot."""
    labels = end_labels(chart, plot.x, plot.y)
    _write_beside(figure, plot, [label for label in labels if label.beside])
    if not any(series.x for series in chart.series):
        middle = (plot.left + plot.width / 2.0, plot.bottom + plot.height / 2.0)
        put_words(figure, plot, middle, ["no readings"], ha="center", gid="label-empty")
    inside = [label for label in labels if not label.beside]
    pieces = any(_confined(rule) for rule in _level(chart))
    if not (inside or pieces or any(series.labels for series in chart.series)):
        return
    taken = _taken(chart, plot)
    for label in inside:
        _write_clear(figure, plot, [label.words], _around(plot.at(label.x, label.y), text_width(label.words)), taken)
    _write_confined_rules(figure, chart, plot, taken)
    _write_readings(figure, chart, plot, taken)


def _level(chart: Chart) -> list[Rule]:
    return [rule for rule in chart.rules if rule.axis == "y" and rule.words]


def _confined(rule: Rule) -> bool:
    return rule.start is not None or rule.end is not None


def _write_beside(figure: Figure, plot: Plot, labels: Sequence[EndLabel]) -> None:
    """Labels beside the plot, moved apart, each with a leader from where its line ends."""
    lines = [wrapped(label.words, BESIDE, cut=True) for label in labels]
    ends = [plot.at(label.x, label.y) for label in labels]
    heights = [len(words) * LINE_HEIGHT + 3.0 for words in lines]
    middles = moved_apart([y for _, y in ends], heights, 2.0, plot.figure_height - LINE_HEIGHT - 4.0)
    for number, (label, words, (x, at), y) in enumerate(zip(labels, lines, ends, middles, strict=True), 1):
        leader = [(x, at), (plot.right + 4.0, at), (plot.right + 8.0, y), (plot.right + LEADER - 3.0, y)]
        if label.look is None:
            put_stroke(figure, plot, leader, linewidth=0.8)
        else:
            put_stroke(figure, plot, leader, color=label.look.colour, linewidth=0.7)
            marker = label.look.marker if label.marked else "none"
            sample = {"color": label.look.colour, "linestyle": label.look.dash, "linewidth": 1.4}
            put_stroke(figure, plot, [(plot.right + 7.0, y), (plot.right + LEADER - 2.0, y)], **sample)
            if label.marked:
                put_stroke(
                    figure, plot, [(plot.right + 10.5, y)], marker=marker, markersize=4.2, color=label.look.colour
                )
        put_words(figure, plot, (plot.right + LEADER, y), words, gid=f"label-right-{number}")


def _taken(chart: Chart, plot: Plot) -> list[tuple[float, float]]:
    """Where readings and lines are [pt], so that words keep clear of them."""
    found: list[tuple[float, float]] = []
    for series in chart.series:
        numbers = list(zip(*places(chart, series, plot.x, plot.y), strict=True))
        spots = [plot.at(*pair) if all(map(math.isfinite, pair)) else None for pair in numbers]
        found += [place for place in spots if place is not None]
        for (x, y), error in zip(numbers, series.y_error, strict=False):
            if math.isfinite(x) and math.isfinite(y) and plot.y.axis.kind != "category":
                low, high = plot.at(x, max(y - error, plot.y.low)), plot.at(x, min(y + error, plot.y.high))
                found += [low, high, *_along(low, high)]
        if series.style not in LINES:
            continue
        for start, end in stretches(series):
            for one, other in pairwise(spots[start:end]):
                if one is not None and other is not None:
                    found += _along(one, other)
    return found


def _along(start: tuple[float, float], end: tuple[float, float]) -> list[tuple[float, float]]:
    count = int(math.dist(start, end) // 4.0)
    shares = [(number + 1) / (count + 1) for number in range(count)]
    return [(start[0] + s * (end[0] - start[0]), start[1] + s * (end[1] - start[1])) for s in shares]


def _write_clear(
    figure: Figure,
    plot: Plot,
    lines: Sequence[str],
    places: Sequence[tuple[float, float]],
    taken: list[tuple[float, float]],
    gid: str = "",
) -> None:
    """Write words at the first of some places (left edge, middle) with the least in the way, and take that place."""
    width, height = max(map(text_width, lines)), len(lines) * LINE_HEIGHT

    def in_the_way(place: tuple[float, float]) -> int:
        x, y = place
        if x + width > WIDTH - EDGE or not plot.bottom + height / 2.0 <= y <= plot.figure_height - LINE_HEIGHT:
            return len(taken) + 1
        return sum(x - 2.0 < a < x + width + 2.0 and abs(b - y) < height / 2.0 + 1.5 for a, b in taken)

    x, y = min(places, key=in_the_way)
    taken += [(x + width * number / 8.0, y + apart) for number in range(9) for apart in (-3.0, 3.0)]
    put_words(figure, plot, (x, y), lines, gid=gid)


def _around(place: tuple[float, float], width: float) -> list[tuple[float, float]]:
    """Spots for words about a place: right, above, below, left."""
    x, y = place
    right, centred, left = x + 6.0, x - width / 2.0, x - width - 6.0
    above, below = y + LINE_HEIGHT * 0.85, y - LINE_HEIGHT * 0.85
    beside = [(right, y), (right - 2.0, above), (right - 2.0, below), (centred, above), (centred, below)]
    return [*beside, (left + 2.0, above), (left + 2.0, below), (left, y)]


def _write_confined_rules(figure: Figure, chart: Chart, plot: Plot, taken: list[tuple[float, float]]) -> None:
    """Pieces of rules that no key explains: words above or below each piece, at the end where nothing is in the way."""
    keyed = {rule.words for rule in keyed_rules(chart)}
    for number, rule in enumerate(_level(chart), 1):
        if not _confined(rule) or rule.words in keyed:
            continue
        start, end = reach(rule, plot.x, plot.y)
        left, y = plot.at(start, plot.y.number(rule.value))
        right = plot.at(end, plot.y.number(rule.value))[0]
        lines = wrapped(rule.words, max(right - left + 4.0, 40.0))
        apart = len(lines) * LINE_HEIGHT / 2.0 + 1.5
        last = max(right - max(map(text_width, lines)), left)
        spots = [(x, y + side) for side in (apart, -apart) for x in (left, last, (left + last) / 2.0)]
        _write_clear(figure, plot, lines, spots, taken, f"label-rule-{number}")


def _write_readings(figure: Figure, chart: Chart, plot: Plot, taken: list[tuple[float, float]]) -> None:
    """The words that readings bear: above bars, at the end of spans, about dots where there is room."""
    for number, series in enumerate(chart.series, 1):
        xs, ys = places(chart, series, plot.x, plot.y)
        for index, words in enumerate(series.labels):
            if not words or (series.style == "spans" and index % 2):
                continue
            words = shortened(words, LONGEST)
            width = text_width(words)
            x = max(xs[index : index + 2]) if series.style == "spans" else xs[index]
            at, level = plot.at(min(max(x, plot.x.low), plot.x.high), ys[index])
            spots = _around((at, level), width)
            if series.style == "bars" and not plot.y.categories:
                spots = [(at - width / 2.0, level + LINE_HEIGHT * 0.6)]
            elif series.style in ("bars", "spans"):
                spots = [spots[0], spots[-1]]
            elif series.y_error:
                ends = [plot.at(xs[index], ys[index] + side * series.y_error[index])[1] for side in (1.0, -1.0)]
                spots += [
                    (at - width / 2.0, ends[0] + LINE_HEIGHT * 0.6),
                    (at - width / 2.0, ends[1] - LINE_HEIGHT * 0.6),
                ]
            _write_clear(figure, plot, [words], spots, taken, f"label-series-{number}-{index}")
