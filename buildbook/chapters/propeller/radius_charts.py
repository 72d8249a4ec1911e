"""How values of the blades are drawn over the radius: tip first, side by side, the blade farthest off by itself.

Both propellers of a check get one scale, so that they can be compared. The tip stands at the left: most misses are
there, and a narrow screen shows the left part of a wide chart first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import in_radii
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.wording import listed

Side = Literal["below", "above"]  # of the end of a window that is forbidden
OTHERS = "the other blades"
AS_FOUND = "as received"
SLACK = 0.2  # per cent: room beyond the outermost interval, so that nothing touches the edge


@dataclass(frozen=True, slots=True)
class Spot:
    """One value of a blade: its radius [% of the tip radius], how far off the design it is, and U [% of the design]."""

    radius: float
    off: float
    unsure: float = 0.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is drawn of one propeller: the spots of each blade as left and, of those corrected, as received.

    `farthest` is the mark of the blade that stands by itself, `why` the words for that. `window` are the ends of the
    limit by radius [% of the design], by the side that they forbid; `words` say whose it is.
    """

    left: Mapping[str, Sequence[Spot]]
    farthest: str
    why: str
    before: Mapping[str, Sequence[Spot]] = field(default_factory=dict)
    window: Mapping[Side, Mapping[float, float]] = field(default_factory=dict)
    words: str = ""

    def spots(self) -> Iterable[Spot]:
        """Every spot."""
        return (spot for blades in (self.left, self.before) for spots in blades.values() for spot in spots)


def on_one_scale(
    ordered: Iterable[Propeller],
    drawn_of: Callable[[Propeller], Drawn | None],
    chart_of: Callable[[Propeller, Mapping[str, Drawn]], Chart],
) -> tuple[Chart, ...]:
    """A chart of every propeller of which something is drawn, each made with what is drawn of all."""
    every = {row.propeller: (row, found) for row in ordered if (found := drawn_of(row)) is not None}
    drawn = {name: found for name, (_, found) in every.items()}
    return tuple(chart_of(row, drawn) for row, _ in every.values())


def axes(of: Iterable[Drawn], title: str, name: str) -> tuple[Axis, Axis]:
    """The axes that several propellers share: every radius of any of them, tip first, and room for every value.

    Args:
        of: what is drawn of each propeller.
        title: what the upright axis shows.
        name: the propeller of this chart, which leads that title.
    """
    every = tuple(of)
    radii = sorted({spot.radius for one in every for spot in one.spots()}, reverse=True)
    names = tuple(dict.fromkeys(in_radii(radius) for radius in radii))
    ends = [spot.off + side * spot.unsure for one in every for spot in one.spots() for side in (-1.0, 1.0)]
    ends += [end for one in every for window in one.window.values() for end in window.values()]
    low, high = math.floor(min(ends) - SLACK), math.ceil(max(ends) + SLACK)
    x = Axis("Radius, of the tip radius R: the tip at the left", kind="category", categories=names)
    return x, Axis(f"{name}: {title}", "%", low=float(low), high=float(high))


def series(drawn: Drawn) -> tuple[Series, ...]:
    """The other blades, the one farthest off, and those corrected as they were received."""
    others = [spot for mark, spots in drawn.left.items() if mark != drawn.farthest for spot in spots]
    before = [spot for spots in drawn.before.values() for spot in spots]
    found = (
        (OTHERS, others, False),
        (f"{drawn.farthest}, {drawn.why}", drawn.left[drawn.farthest], False),
        (f"{listed(drawn.before)} {AS_FOUND}", before, True),
    )
    return tuple(_series(name, spots, hollow=hollow) for name, spots, hollow in found if spots)


def _series(name: str, spots: Sequence[Spot], *, hollow: bool) -> Series:
    return Series(
        name,
        tuple(in_radii(spot.radius) for spot in spots),
        tuple(spot.off for spot in spots),
        "hollow dots" if hollow else "dots",
        y_error=() if hollow else tuple(spot.unsure for spot in spots),
    )


def rules(drawn: Drawn, x: Axis) -> tuple[Rule, ...]:
    """Both ends of the window: one line where an end is the same share at every radius, else a piece for each."""
    found = []
    for side, ends in drawn.window.items():
        by_name = {in_radii(radius): end for radius, end in ends.items()}
        if len(set(by_name.values())) == 1:
            end = next(iter(by_name.values()))
            found.append(Rule(end, drawn.words, "y", side, x.categories[0], x.categories[-1]))
        else:
            found += [Rule(end, drawn.words, "y", side, name, name) for name, end in by_name.items()]
    return tuple(found)
