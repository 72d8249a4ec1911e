"""From a chart's plain values to one SVG for page and print.

The figure is as wide as the print column (165 mm) and its words are set at 8.5 pt. Limit lines and lines of readings
are labelled where they end; stages, gaps and upright rules above the chart; dots and bars of more than one kind by a
line of keys. The title is not painted: page and print set it as the caption.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import lru_cache
from io import StringIO
from typing import TYPE_CHECKING

from buildbook.core.chart import Chart
from buildbook.render import drawing_marks as marks
from buildbook.render import drawing_words as words
from buildbook.render.drawing_inside import beside_height
from buildbook.render.drawing_labels import FAMILY, LINE_HEIGHT, TEXT_SIZE
from buildbook.render.drawing_marks import INK
from buildbook.render.drawing_plot import PLOT_HEIGHT, ROW_HEIGHT, TALLEST_PLOT, TICK, WIDTH, Plot
from buildbook.render.drawing_scales import drawable, scales, ticks
from buildbook.render.svg_clean import cleaned
from buildbook.render.templates import fonts_dir

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FIXED = {
    "svg.fonttype": "none",
    "svg.hashsalt": "buildbook",
    "font.family": [FAMILY],
    "font.size": TEXT_SIZE,
    "text.parse_math": False,
    "hatch.linewidth": 0.5,
    "path.simplify": False,
}


def chart_svg(chart: Chart) -> str:
    """One chart as an `<svg>` element, the same bytes whenever it is drawn.

    Args:
        chart: what to draw. All ids are prefixed with its key.

    Returns:
        SVG with a viewBox in points and no size of its own; ink is `currentColor`, text is text in IBM Plex Sans.

    Raises:
        ValueError: a reading's category, number or length does not fit the axes of the chart.
    """
    chart = drawable(chart)
    with _settings():
        figure = _figure(chart)
        out = StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return cleaned(out.getvalue(), key=chart.key, title=chart.title, description=chart.description, kind="chart")


def plot_of(chart: Chart) -> Plot:
    """Where the plot lies in the drawing of a chart, and its scales."""
    with _settings():
        return _laid_out(drawable(chart))


@contextmanager
def _settings() -> Iterator[None]:
    """The library's own defaults and ours, whatever the machine's user has set."""
    import matplotlib.style
    import numpy as np

    _register_fonts()
    # ids are made from printed arrays, and some libraries change how numpy prints
    ours = matplotlib.style.context(["default", FIXED])
    with ours, np.printoptions(legacy=False), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")  # the page's other fonts set it
        yield


@lru_cache(maxsize=1)
def _register_fonts() -> None:
    from matplotlib.font_manager import fontManager

    for path in sorted(fonts_dir().glob("IBMPlexSans-*.ttf")):
        fontManager.addfont(str(path))


def _figure(chart: Chart) -> Figure:
    from matplotlib.figure import Figure

    plot = _laid_out(chart)
    figure = Figure(figsize=(WIDTH / 72.0, plot.figure_height / 72.0), facecolor="none")
    axes = figure.add_axes(
        (
            plot.left / WIDTH,
            plot.bottom / plot.figure_height,
            plot.width / WIDTH,
            plot.height / plot.figure_height,
        )
    )
    _dress(axes, plot)
    marks.draw_spans(axes, chart, plot.x)
    marks.draw_rules(axes, chart, plot.x, plot.y)
    marks.draw_series(axes, chart, plot.x, plot.y, plot.width)
    words.write_words(figure, chart, plot)
    return figure


def _laid_out(chart: Chart) -> Plot:
    """How much room the words need on each side, and where that leaves the plot."""
    x, y = scales(chart)
    right = words.right_width(chart, x, y)
    tallest = max(map(len, words.side_names(y)), default=0)
    row = max(min(ROW_HEIGHT, TALLEST_PLOT / max(len(y.categories), 1)), tallest * LINE_HEIGHT + 4.0)
    height = max(len(y.categories) * row, 60.0) if y.categories else PLOT_HEIGHT
    height = max(height, beside_height(chart, x, y))
    left = words.left_width(x, y, height, WIDTH - right)
    width = WIDTH - left - right
    bottom = words.below_height(x, width)
    draft = Plot(x, y, left, bottom, width, height, 0.0)
    return replace(draft, above=words.above_height(chart, draft))


def _dress(axes: Axes, plot: Plot) -> None:
    """Axes without chart junk: two thin spines, a pale grid across the direction of reading, ticks with short words."""
    from matplotlib.ticker import NullLocator

    axes.patch.set_visible(False)
    for side, spine in axes.spines.items():
        spine.set_visible(side in ("left", "bottom"))
        spine.set(linewidth=0.7, color=INK)
    for scale, axis, length in ((plot.x, axes.xaxis, plot.width), (plot.y, axes.yaxis, plot.height)):
        axis.set_tick_params(length=TICK, width=0.7, color=INK)
        if scale.axis.kind == "log":
            (axes.set_xscale if axis is axes.xaxis else axes.set_yscale)("log")
        axis.set_ticks(ticks(scale, length)[0], labels=[])
        axis.set_minor_locator(NullLocator())
        if scale.categories:
            axis.set_tick_params(length=0.0)
    axes.set_xlim(plot.x.low, plot.x.high)
    axes.set_ylim(*((plot.y.high, plot.y.low) if plot.y.downwards else (plot.y.low, plot.y.high)))
    along = axes.xaxis if plot.y.axis.kind == "category" else axes.yaxis
    along.grid(visible=True, color=INK, alpha=0.13, linewidth=0.5)
    axes.set_axisbelow(True)
