"""Dimensions and outlines of hull.toml: numbers in metres and kilograms that she can have."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from buildbook.core.check import Span
from buildbook.core.hull import encloses
from buildbook.core.outline import crossing
from buildbook.readers.toml_reading import Reading, decimal_hint, is_number, shown

MOST_POINTS = 5_000  # of an outline
FEWEST_POINTS = 3
# How much shorter or longer than the size an outline may be, for what stands out of her (chosen here, no source).
SHORTEST, LONGEST = 0.9, 1.25

_MISTAKEN = {"m": (("millimetres", 1000.0), ("centimetres", 100.0)), "kg": (("tonnes", 0.001),)}
_AXES = {"outline.profile": ("x", "z"), "outline.plan": ("x", "y")}
_EFFECT = "It is not used, and she is not drawn by it."

Point = tuple[float, float]


def size(value: Any, path: str, reading: Reading, spans: Mapping[str, Span]) -> float | None:
    """One dimension [m or kg], None with a fault where it is no number or none that a yacht can have."""
    span = spans.get(path)
    if not is_number(value) or value <= 0:
        reading.blame(path, "a number above zero, in metres or kilograms", shown(value) + decimal_hint(value))
        return None
    if span is not None and not span.holds(value):
        expected = f"a size from {span.low:g} to {span.high:,.0f} {span.unit}".replace(",", " ")
        reading.blame(path, expected, shown(value) + _other_unit(float(value), span))
        return None
    return float(value)


def not_contradicting(sizes: dict[str, float | None], reading: Reading) -> None:
    """Sizes that cannot both be true are both taken out, with a fault: nobody can tell which is mistyped."""
    for smaller, larger in (("length_waterline", "length_hull"), ("beam", "length_hull"), ("draught", "length_hull")):
        one, other = sizes.get(smaller), sizes.get(larger)
        if one is not None and other is not None and one > other:
            found = f"{one:g}, with {larger} = {other:g} in line {reading.where(f'dimensions.{larger}').line}"
            reading.blame(f"dimensions.{smaller}", f"{smaller} not above {larger}", found, "Neither is used.")
            sizes[smaller] = sizes[larger] = None


def points(value: Any, path: str, reading: Reading, spans: Mapping[str, Span]) -> tuple[Point, ...]:
    """An outline as points [m]; empty with a fault where it is none, or none that encloses anything."""
    if not isinstance(value, list) or len(value) > MOST_POINTS or not all(map(_is_pair, value)):
        reading.blame(path, f"at most {MOST_POINTS} points [[x, y], …] in metres", _found(value), _EFFECT)
        return ()
    outline = tuple((float(pair[0]), float(pair[1])) for pair in value)
    for axis, name in enumerate(_AXES.get(path, ())):
        span = spans.get(f"{path} {name}")
        outside = [point[axis] for point in outline if span is not None and not span.holds(point[axis])]
        if span is not None and outside:
            expected = f"points with {name} from {span.low:g} to {span.high:g} {span.unit}"
            reading.blame(path, expected, f"{name} = {outside[0]:g}{_other_unit(outside[0], span)}", _EFFECT)
            return ()
    if len(set(outline)) < FEWEST_POINTS or not encloses(outline):
        found = f"{len(set(outline))} different, or all on one line"
        reading.blame(path, f"at least {FEWEST_POINTS} points around an area", found, _EFFECT)
        return ()
    crossed = crossing(outline)
    if crossed is not None:
        found = f"the side from point {crossed[0]} crosses that from point {crossed[1]}"
        reading.blame(path, "points in order round her: an outline that does not cross itself", found, _EFFECT)
        return ()
    if path == "outline.plan" and (min(y for _, y in outline) >= 0.0 or max(y for _, y in outline) <= 0.0):
        reading.blame(path, "both sides of the centreline: y to starboard, -y to port", "one side", _EFFECT)
        return ()
    return outline


def fitting(sizes: dict[str, float | None], outlines: dict[str, tuple[Point, ...]], reading: Reading) -> None:
    """An outline and a size that cannot both be hers are both taken out, with a fault: one of them is mistyped."""
    for name, axis, known in (("profile", 0, "length_hull"), ("plan", 0, "length_hull"), ("plan", 1, "beam")):
        along, value = [point[axis] for point in outlines.get(name, ())], sizes.get(known)
        if not along or value is None:
            continue
        extent = max(along) - min(along)
        if not SHORTEST * value <= extent <= LONGEST * value:
            expected = f"{known} within the outline in line {reading.where(f'outline.{name}').line}"
            found = f"{value:g}, with an outline.{name} of {extent:g} m"
            reading.blame(f"dimensions.{known}", expected, found, "Neither is used.")
            sizes[known], outlines[name] = None, ()


def _is_pair(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(map(is_number, value))


def _found(value: Any) -> str:
    """What stands there, and for a list of points the first that is none."""
    if not isinstance(value, list):
        return shown(value)
    if len(value) > MOST_POINTS:
        return f"{len(value)}"
    number, wrong = next((number, one) for number, one in enumerate(value, start=1) if not _is_pair(one))
    texts = [decimal_hint(part) for part in wrong] if isinstance(wrong, list) else []
    comma = " (a decimal comma? write 0.5 with a decimal point)" if isinstance(wrong, list) and len(wrong) > 2 else ""
    return f"{shown(wrong)} as point {number}{next(filter(None, texts), comma)}"


def _other_unit(value: float, span: Span) -> str:
    """The unit a number may have been meant in, as a question."""
    fit = [(name, value / factor) for name, factor in _MISTAKEN.get(span.unit, ()) if span.holds(value / factor)]
    if not fit:
        return " (a typing error?)"
    name, _ = min(fit, key=lambda one: _from_the_middle(one[1], span))
    return f" (is it in {name}?)"


def _from_the_middle(value: float, span: Span) -> float:
    """How far a size is from the middle of what is plausible, by its ratio to it; 0 where the span has no such middle.

    So a draught of 155 is taken for centimetres, though one of 155 mm could be.
    """
    if span.low <= 0.0 or value <= 0.0:
        return 0.0
    return abs(math.log(value / math.sqrt(span.low * span.high)))
