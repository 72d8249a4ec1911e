"""The ruler below a drawing of her: how far forward of the transom, in metres or in feet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from buildbook.core.shown_units import ShownUnits
from buildbook.core.wording import plain_number
from buildbook.render.marks import FACE, Point
from buildbook.render.svg import number

TEXT = f'{FACE} font-size="8.5" fill="currentColor"'
MOST_FIGURES = 40
FIGURE = 9.0  # pt: half the width of a figure


@dataclass(frozen=True, slots=True)
class Ruler:
    """What a ruler counts: the unit and its length [m]; up to a length of `short` units it counts by `fine`, then by
    `coarse`.
    """

    unit: str
    metres: float
    short: int
    fine: int
    coarse: int

    def step(self, length: float) -> int:
        """Units between two figures: so many that a length [units] of any size has not more than some ten."""
        if length < self.short:
            return self.fine
        step = self.coarse
        while length / step > MOST_FIGURES:
            step *= 10
        return step


METRES = Ruler("m", 1.0, 12, 1, 5)
FEET = Ruler("ft", 0.3048, 40, 5, 10)
RULERS = {ShownUnits.METRIC: METRES, ShownUnits.US: FEET}


def ruler_svg(ruler: Ruler, zero: float, scale: float, window: Point, size: Point) -> str:
    """Units forward of the transom, the first step as a bar; no figure lies across the cut.

    Args:
        ruler: what it counts.
        zero: where the transom is [pt].
        scale: points of a metre.
        window: from where to where along her it reaches [m].
        size: height of the drawing, and where it is cut [pt].
    """
    height, cut = size
    y = height - 18.0
    scale *= ruler.metres
    first, right = max(0.0, window[0]) / ruler.metres, window[1] / ruler.metres
    step = ruler.step(right - first)
    start, end = zero + first * scale, zero + right * scale
    figures = range(math.ceil(first / step) * step, math.floor(right) + 1, step)
    bar = zero + figures[0] * scale if figures else start
    parts = [
        f'<line x1="{number(start)}" x2="{number(end)}" y1="{number(y)}" y2="{number(y)}" stroke="currentColor" '
        f'stroke-width="0.7"/><line class="hull-scale" x1="{number(bar)}" x2="{number(bar + step * scale)}" '
        f'y1="{number(y)}" y2="{number(y)}" stroke="currentColor" stroke-width="3"/>'
    ]
    for figure in figures:
        x = zero + figure * scale
        words = plain_number(figure) + (f" {ruler.unit}" if figure == figures[0] + step else "")
        aside = x - cut
        anchor = "middle" if abs(aside) > FIGURE else "start" if aside >= 0.0 else "end"
        parts.append(
            f'<line x1="{number(x)}" x2="{number(x)}" y1="{number(y)}" y2="{number(y + 4)}" stroke="currentColor" '
            f'stroke-width="0.7"/><text x="{number(x)}" y="{number(y + 13)}" text-anchor="{anchor}" {TEXT}>'
            f"{words}</text>"
        )
    return "".join(parts)
