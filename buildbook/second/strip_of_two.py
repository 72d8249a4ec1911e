"""The margin strip with two readings: the yard's a filled dot below, the surveyor's an open diamond above.

Ground, limit and scale are those of every strip of a book (`render.strip_scale`). Each reading has its own bar, its
expanded uncertainty at k = 2; a dotted bar where nobody stated one. A mark beyond the strip is a triangle at its edge.
"""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.core.finding import Finding
from buildbook.core.quantity import Kind, Quantity
from buildbook.render import strip_marks as draw
from buildbook.render.strip_marks import Frame
from buildbook.render.strip_scale import Scale, comparable, limit_places, scale
from buildbook.render.svg import name_of, number, told

WIDTH, HEIGHT = 300.0, 34.0
LANE = 15.0  # the height of one reading's lane, of which the strokes of a plain strip take their sizes
RISE = 5.6  # how far each lane lies off the middle
SURVEYOR, YARD = "s-surveyor", "s-yard"


def strip_of_two(yard: Finding, his: Finding, *, key: str, words: str) -> str:
    """Both readings on one strip, as inline SVG.

    Args:
        yard: the yard's finding; its limit sets the ground and its guard band is hatched.
        his: the surveyor's finding, of the same quantity.
        key: prefix of the ids, unique on the page.
        words: the text alternative.

    Returns:
        An `<svg>` element that is named by its `<title>`, or nothing where no number can be drawn.
    """
    axis = scale(yard, his)
    if axis is None or yard.measured is None or his.measured is None or not comparable(his, yard.limit):
        return ""
    frame = Frame(WIDTH, HEIGHT)
    lanes = (_lane(his.measured, axis, SURVEYOR, -RISE), _lane(yard.measured, axis, YARD, RISE))
    name, size = name_of(key), f'viewBox="0 0 {number(WIDTH)} {number(HEIGHT)}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="strip strip-of-two" {size} width="{number(WIDTH)}" '
        f'height="{number(HEIGHT)}" role="img" aria-labelledby="{name}-two">'
        f'<title id="{name}-two">{told(words)}</title>'
        f"{''.join(_ground(yard, axis, frame))}{''.join(lanes)}</svg>"
    )


def _ground(yard: Finding, axis: Scale, frame: Frame) -> list[str]:
    low, high = limit_places(yard.limit)
    parts = [draw.tint(0.0, low, frame)] if low is not None else []
    if high is not None:
        parts.append(draw.tint(high, 1.0, frame))
    if yard.guard and (low is not None or high is not None):
        parts += [draw.guard_band(start, end, frame) for start, end in _bands(yard.guard / axis.length, low, high)]
    parts.append(draw.outline(frame, dashed=False))
    return parts + [draw.limit_line(place, frame) for place in dict.fromkeys((low, high)) if place is not None]


def _bands(width: float, low: float | None, high: float | None) -> Iterable[tuple[float, float]]:
    """The stretches inside the limits where the yard's reading would be too near to be clear of them."""
    left, right = (0.0 if low is None else low), (1.0 if high is None else high)
    if low is not None and high is not None and 2.0 * width >= high - low:
        return [(left, right)]
    return [
        *([(low, min(low + width, right))] if low is not None else []),
        *([(max(high - width, left), high)] if high is not None else []),
    ]


def _lane(measured: Quantity, axis: Scale, name: str, rise: float) -> str:
    """The bar and the mark of one reading in its lane."""
    frame, place = Frame(WIDTH, LANE), axis.at(measured.value)
    off = number(HEIGHT / 2.0 - LANE / 2.0 + rise)
    bar = ""
    if measured.kind is not Kind.COUNTED:
        if measured.at_two is not None:
            reach = measured.at_two / axis.length
            bar = draw.whisker(place - reach, place + reach, frame)
        elif 0.0 <= place <= 1.0:
            bar = draw.whisker_of_unknown_length(place, frame)
    mark = _diamond(place, frame) if name == SURVEYOR else draw.mark(place, frame)
    colour = "" if name == SURVEYOR else f' color="{draw.READING}"'
    return f'<g class="{name}" transform="translate(0 {off})"{colour}>{bar}{mark}</g>'


def _diamond(place: float, frame: Frame) -> str:
    """The open mark of the surveyor; beyond the strip the same triangle as for any reading, open."""
    if not 0.0 <= place <= 1.0:
        return draw.mark(place, frame, hollow=True)
    x, y, half = frame.x(place), frame.middle, frame.dot * 1.35
    corners = ((x - half, y), (x, y - half), (x + half, y), (x, y + half))
    path = "L".join(f"{number(across)} {number(down)}" for across, down in corners)
    return f'<path class="strip-second" d="M{path}Z" fill="#ffffff" stroke="currentColor" stroke-width="1.6"/>'


def mark_alone(name: str) -> str:
    """The mark of one side alone, for the words that explain it; it says nothing itself."""
    frame = Frame(28.0, LANE)
    bar = draw.whisker(0.05, 0.95, frame)
    mark = _diamond(0.5, frame) if name == SURVEYOR else draw.mark(0.5, frame)
    colour = "" if name == SURVEYOR else f' color="{draw.READING}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="strip-key" viewBox="0 0 28 {number(LANE)}" width="28" '
        f'height="{number(LANE)}" aria-hidden="true" focusable="false"><g class="{name}"{colour}>{bar}{mark}</g></svg>'
    )
