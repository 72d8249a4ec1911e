"""What to draw, not how: a chart as plain values, the same for page and print."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Coordinate = float | datetime | str


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis: what it shows, its unit, and for categories their order from left to right or top to bottom."""

    title: str
    unit: str = ""
    kind: Literal["number", "time", "category", "log"] = "number"
    categories: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Series:
    """One set of readings: `x` and `y` have the same length.

    `y_error` is U (k = 2) of each reading, in the unit of y; empty where none is to be drawn. `breaks` are the indexes
    before which a line is interrupted (a gap is a gap). `labels` are short words at the readings, empty or one per
    reading. Style `spans`: readings come in pairs, each a bar along x from `x[2i]` to `x[2i + 1]` at
    `y[2i] == y[2i + 1]` (usually a category), labelled by `labels[2i]`; an end of `math.inf` is open and gets an arrow.
    Style `bars`: from zero to y, or to x where y is a category.
    """

    name: str
    x: tuple[Coordinate, ...]
    y: tuple[Coordinate, ...]
    style: Literal["dots", "line", "line and dots", "bars", "hollow dots", "spans"] = "dots"
    y_error: tuple[float, ...] = ()
    breaks: tuple[int, ...] = ()
    labels: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line across the chart, labelled where it stands (a limit with its source).

    `start` and `end` confine it to a stretch of the other axis; a category means the whole width of its place.
    `forbidden` says which side of the value is not allowed. Rules with the same words are labelled once.
    """

    value: float
    words: str
    axis: Literal["x", "y"] = "y"
    forbidden: Literal["below", "above", "none"] = "none"
    start: Coordinate | None = None
    end: Coordinate | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch along the x axis: a coat being applied, a gap without readings."""

    start: Coordinate
    end: Coordinate
    words: str
    style: Literal["stage", "gap"] = "stage"


@dataclass(frozen=True, slots=True)
class Chart:
    """One figure. `title` states the finding, `description` is its text alternative, `check` whose it is."""

    key: str
    check: str
    title: str
    description: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    rules: tuple[Rule, ...] = ()
    spans: tuple[Span, ...] = ()
