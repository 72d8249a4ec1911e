"""The words around a plot: names of axes, ticks and categories, keys, labels above; those inside: `drawing_inside`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from buildbook.core.chart import Chart, Rule, Series, Span
from buildbook.render.drawing_inside import keyed_rules, right_words, write_inside
from buildbook.render.drawing_labels import LINE_HEIGHT, TEXT_SIZE, lanes, shortened, text_width, wrapped
from buildbook.render.drawing_marks import INK, SPAN_ALPHA, Look, looks, rule_look
from buildbook.render.drawing_places import LINES
from buildbook.render.drawing_plot import MIDDLE, TICK, WIDTH, Plot, put_stroke, put_words
from buildbook.render.drawing_scales import Scale, ticks

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SAMPLE = 16.0
LANE_GAP = 6.0
MOST_LANES = 3
SIDE_WORDS = 130.0
SLANTED_WORDS = 150.0
LANE_WORDS = 200.0
SLANT = 38.0
EDGE = 2.0
RIGHT = 14.0
SLOT_GAP = 5.0
FEWEST_IN_TWO_ROWS = 6
KEY_GAP = 14.0
KEY_WORDS = 220.0


def side_names(y: Scale) -> list[tuple[str, ...]]:
    """The names of the categories of the upright axis, in lines."""
    return [wrapped(name, SIDE_WORDS, cut=True) for name in y.categories]


def left_width(x: Scale, y: Scale, height: float, room: float) -> float:
    """Room to the left of a plot of this height [pt]; `room` is what left side and plot have together."""
    lines = [line for name in side_names(y) for line in name] if y.categories else ticks(y, height)[1]
    width = max(map(text_width, lines), default=0.0) + TICK + 4.0
    if not x.categories or _foot_names(x, room - width) is not None:
        return width
    half_a_slot = (room - width) / len(x.categories) / 2.0
    slanted = text_width(shortened(x.categories[0], SLANTED_WORDS)) * math.cos(math.radians(SLANT)) - half_a_slot + EDGE
    return max(width, slanted)


def right_width(chart: Chart, x: Scale, y: Scale) -> float:
    """Room to the right of the plot [pt]."""
    widest = max((text_width(line) for words in right_words(chart, x, y) for line in words), default=0.0)
    return widest + SAMPLE + EDGE + 3.0 if widest else RIGHT


def below_height(x: Scale, width: float) -> float:
    """Room below a plot of this width [pt]."""
    title = LINE_HEIGHT + 3.0 if x.title else 0.0
    names = _foot_names(x, width)
    if names is None:
        widest = max(text_width(shortened(name, SLANTED_WORDS)) for name in x.categories)
        return TICK + 6.0 + widest * math.sin(math.radians(SLANT)) + LINE_HEIGHT * 0.8 + title
    return TICK + 4.0 + max(map(len, names), default=1) * LINE_HEIGHT + title


def above_height(chart: Chart, plot: Plot) -> float:
    """Room above the plot [pt]: title of the upright axis, keys, labels of stages, gaps and upright rules."""
    rows = len(_key_rows(chart, plot)) + (1 if plot.y.title else 0)
    high = max((label.row + 1 for label in _lane_labels(chart, plot)), default=0)
    return rows * (LINE_HEIGHT + 3.0) + high * LINE_HEIGHT + 5.0


def _foot_names(x: Scale, width: float) -> list[tuple[str, ...]] | None:
    """What stands at the ticks below the plot, in lines, or None where it only fits aslant.

    Names too wide for their slots stand in two rows, every second one below, where two slots are wide enough.
    """
    if not x.categories:
        return [tuple(label.split("\n")) for label in ticks(x, width)[1]]
    slot = width / len(x.categories)
    names = _wrapped_in(x.categories, slot - SLOT_GAP)
    if names is not None or len(x.categories) < FEWEST_IN_TWO_ROWS:
        return names
    staggered = _wrapped_in(x.categories, min(2.0 * slot - SLOT_GAP, slot + 2.0 * (RIGHT - EDGE)))
    if staggered is None:
        return None
    upper = max(map(len, staggered[::2]))
    return [lines if number % 2 == 0 else (*[""] * upper, *lines) for number, lines in enumerate(staggered)]


def _wrapped_in(names: Sequence[str], room: float) -> list[tuple[str, ...]] | None:
    """Names in lines of so much room [pt], or None where a word is wider or a name takes more than four lines."""
    found = [wrapped(name, room) for name in names]
    fits = all(text_width(line) <= room for lines in found for line in lines) and max(map(len, found)) <= 4
    return found if fits else None


def write_words(figure: Figure, chart: Chart, plot: Plot) -> None:
    """Put all words of a chart into its figure."""
    _write_left(figure, plot)
    _write_below(figure, plot)
    _write_above(figure, chart, plot)
    write_inside(figure, chart, plot)


def _write_left(figure: Figure, plot: Plot) -> None:
    places, labels = ticks(plot.y, plot.height)
    names = side_names(plot.y) if plot.y.categories else [(label,) for label in labels]
    for place, lines in zip(places, names, strict=True):
        y = plot.at(plot.x.low, place)[1]
        put_words(figure, plot, (plot.left - TICK - 3.0, y), lines, ha="right")


def _write_below(figure: Figure, plot: Plot) -> None:
    places = ticks(plot.x, plot.width)[0]
    names = _foot_names(plot.x, plot.width)
    foot = plot.bottom - TICK - 2.0
    for number, place in enumerate(places):
        x = plot.left + plot.x.fraction(place) * plot.width
        if names is not None:
            middle = foot - len(names[number]) * LINE_HEIGHT / 2.0
            put_words(figure, plot, (x, middle), names[number], ha="center")
            continue
        figure.text(
            (x + TEXT_SIZE * MIDDLE) / WIDTH,
            (foot - TEXT_SIZE) / plot.figure_height,
            shortened(plot.x.categories[number], SLANTED_WORDS),
            rotation=SLANT,
            rotation_mode="anchor",
            ha="right",
            color=INK,
            size=TEXT_SIZE,
        )
    if plot.x.title:
        middle_of_foot = (plot.left + plot.width / 2.0, LINE_HEIGHT / 2.0 + 1.0)
        put_words(figure, plot, middle_of_foot, [shortened(plot.x.title, plot.width)], ha="center", gid="label-x")


def _write_above(figure: Figure, chart: Chart, plot: Plot) -> None:
    y = plot.figure_height - LINE_HEIGHT / 2.0
    if plot.y.title:
        put_words(figure, plot, (EDGE, y), [shortened(plot.y.title, WIDTH - 2.0 * EDGE)], gid="label-y")
        y -= LINE_HEIGHT + 3.0
    for row in _key_rows(chart, plot):
        for x, key in row:
            _sample(figure, plot, (x, y), key)
            put_words(figure, plot, (x + SAMPLE, y), [key.words])
        y -= LINE_HEIGHT + 3.0
    for number, label in enumerate(_lane_labels(chart, plot), 1):
        y = plot.top + 4.0 + (label.row + 0.5) * LINE_HEIGHT
        put_words(figure, plot, (label.x, y), [label.words], gid=f"label-lane-{number}")
        put_stroke(figure, plot, [(label.target, plot.top), (label.target, y - LINE_HEIGHT * 0.42)], alpha=0.45)


# --- keys: what a kind of mark or a line in several pieces stands for ------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Key:
    words: str
    series: Series | None = None
    look: Look | None = None
    rule: Rule | None = None


def _keys(chart: Chart) -> list[_Key]:
    keys = [_Key(rule.words, rule=rule) for rule in keyed_rules(chart)]
    if len({series.name for series in chart.series}) < 2 and not keys:
        return []
    done = {series.name for series in chart.series if series.style in LINES} | {""}
    found = []
    for series, own in zip(chart.series, looks(chart.series), strict=True):
        if series.name not in done:
            done.add(series.name)
            found.append(_Key(series.name, series, own))
    return found + keys


def _key_rows(chart: Chart, plot: Plot) -> list[list[tuple[float, _Key]]]:
    """The keys in rows, from the left edge of the plot."""
    rows: list[list[tuple[float, _Key]]] = []
    x = WIDTH
    for key in _keys(chart):
        key = replace(key, words=shortened(key.words, KEY_WORDS))
        width = SAMPLE + text_width(key.words)
        if x + width > WIDTH - EDGE:
            rows.append([])
            x = plot.left
        rows[-1].append((x, key))
        x += width + KEY_GAP
    return rows


def _sample(figure: Figure, plot: Plot, place: tuple[float, float], key: _Key) -> None:
    x, y = place
    middle, ends = x + SAMPLE / 2.0 - 2.0, [(x, y), (x + SAMPLE - 4.0, y)]
    if key.series is None or key.look is None:
        if key.rule is not None:
            put_stroke(figure, plot, ends, **rule_look(key.rule))
        return
    own = key.look
    if key.series.style in ("spans", "bars"):
        pale = {"alpha": SPAN_ALPHA} if key.series.style == "spans" else {}
        put_stroke(figure, plot, ends, color=own.colour, linewidth=6.0, solid_capstyle="butt", **pale)
        return
    face = "none" if key.series.style == "hollow dots" else own.colour
    look = {"marker": own.marker, "markersize": 4.6, "markerfacecolor": face, "markeredgecolor": own.colour}
    put_stroke(figure, plot, [(middle, y)], linestyle="none", **look)


# --- labels above the plot: stages, gaps, upright rules --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _LaneLabel:
    """Words above the plot: their left edge and row, and the place they point to."""

    words: str
    x: float
    target: float
    row: int


def _lane_labels(chart: Chart, plot: Plot) -> list[_LaneLabel]:
    """All spans with their words; where that takes too many rows, words that recur stand only at their widest span."""
    labels = _placed_in_lanes(chart, plot, chart.spans)
    if max((label.row for label in labels), default=0) < MOST_LANES:
        return labels
    widest: dict[str, Span] = {}
    for span in chart.spans:
        known = widest.get(span.words)
        if known is None or _length(span, plot) > _length(known, plot):
            widest[span.words] = span
    return _placed_in_lanes(chart, plot, [span for span in chart.spans if widest[span.words] is span])


def _length(span: Span, plot: Plot) -> float:
    return plot.x.number(span.end) - plot.x.number(span.start)


def _placed_in_lanes(chart: Chart, plot: Plot, spans: Sequence[Span]) -> list[_LaneLabel]:
    wanted = [(span.words, (plot.x.number(span.start) + plot.x.number(span.end)) / 2.0) for span in spans]
    wanted += [(rule.words, plot.x.number(rule.value)) for rule in chart.rules if rule.axis == "x"]
    wanted = [
        (shortened(words, LANE_WORDS), plot.left + plot.x.fraction(number) * plot.width)
        for words, number in wanted
        if words
    ]
    starts = [max(min(to - text_width(words) / 2.0, WIDTH - EDGE - text_width(words)), EDGE) for words, to in wanted]
    rows = lanes([(x, x + text_width(words)) for x, (words, _) in zip(starts, wanted, strict=True)], LANE_GAP)
    return [_LaneLabel(words, x, target, row) for (words, target), x, row in zip(wanted, starts, rows, strict=True)]
