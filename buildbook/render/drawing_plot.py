"""Where the plot lies in a figure, and strokes and words put into the figure by points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from buildbook.render.drawing_labels import LINE_HEIGHT, TEXT_SIZE
from buildbook.render.drawing_marks import INK
from buildbook.render.drawing_scales import Scale

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH = 467.7  # 165 mm [pt]
PLOT_HEIGHT = 190.0
ROW_HEIGHT = 28.0
TALLEST_PLOT = 560.0  # what a page holds beside title and words
TICK = 3.0
MIDDLE = 0.34  # from the base line of the letters to the middle between base line and height of capitals [of the size]


@dataclass(frozen=True, slots=True)
class Plot:
    """The plot's place [pt from the lower left corner of the figure], its scales, and the room for words above it."""

    x: Scale
    y: Scale
    left: float
    bottom: float
    width: float
    height: float
    above: float

    @property
    def figure_height(self) -> float:
        """How tall the whole figure is [pt]."""
        return self.bottom + self.height + self.above

    @property
    def right(self) -> float:
        """The right edge of the plot [pt]."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """The upper edge of the plot [pt]."""
        return self.bottom + self.height

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point stands in the figure [pt]."""
        return self.left + self.x.fraction(x) * self.width, self.bottom + self.y.fraction(y) * self.height


def put_words(
    figure: Figure, plot: Plot, place: tuple[float, float], lines: Sequence[str], *, ha: str = "left", gid: str = ""
) -> None:
    """Lines of words, centred up and down about a place [pt]; the first line bears the id."""
    x, y = place
    y += (len(lines) - 1) * LINE_HEIGHT / 2.0 - MIDDLE * TEXT_SIZE
    for number, line in enumerate(lines):
        text = figure.text(
            x / WIDTH,
            (y - number * LINE_HEIGHT) / plot.figure_height,
            line.replace("\n", " "),
            ha=ha,
            va="baseline",
            color=INK,
            size=TEXT_SIZE,
        )
        if gid and not number:
            text.set_gid(gid)


def put_stroke(figure: Figure, plot: Plot, points: Sequence[tuple[float, float]], **look: Any) -> None:
    """A line through places [pt], or markers at them."""
    from matplotlib.lines import Line2D

    xs = [x / WIDTH for x, _ in points]
    ys = [y / plot.figure_height for _, y in points]
    given: dict[str, Any] = {"color": INK, "linewidth": 0.6} | look
    figure.add_artist(Line2D(xs, ys, transform=figure.transFigure, **given))
