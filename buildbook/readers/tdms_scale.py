"""From the numbers that a measuring card stored to what they mean, as the properties of a TDMS file say it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from buildbook.readers.tdms_layout import NO_SCALE

if TYPE_CHECKING:
    import numpy as np

MOST_STEPS = 50
MOST_TERMS = 1000  # coefficients of a polynomial, points of a table
_KINDS = "straight lines, polynomials and tables"

_TYPE = re.compile(r"NI_Scale\[(\d{1,9})\]_Scale_Type")

Scale = Callable[["np.ndarray"], "np.ndarray"]


class ScaleError(Exception):
    """A scale that cannot be used: what was expected, what was found."""

    def __init__(self, expected: str, found: str) -> None:
        super().__init__(f"expected {expected}; found {found}")
        self.expected, self.found = expected, found


@dataclass(frozen=True, slots=True)
class _Steps:
    said: Mapping[str, Any]
    count: int
    raw: int  # the scale for which the card stored its numbers


def scaling(said: tuple[Mapping[str, Any], ...], raw: int) -> Scale:
    """What makes values of stored numbers.

    Args:
        said: the properties of the channel, of its group and of the file; the first of them with a scale counts.
        raw: number of the scale that stands for the numbers of a measuring card, `NO_SCALE` where none stored them.
    Returns:
        Stored numbers in, values out, both as float64.
    Errors:
        ScaleError for a scale of another kind, one that is not told whole, and a card's numbers without any.
    """
    steps = next((found for one in said if (found := _steps(one, raw)) is not None), None)
    if steps is not None:
        return _step(steps, steps.count - 1, steps.count)
    if raw != NO_SCALE:
        raise ScaleError("the scale of a measuring card's numbers in the properties of its channel", "none")
    return lambda values: values


def _steps(said: Mapping[str, Any], raw: int) -> _Steps | None:
    """The steps that the properties tell, None where there are none or the numbers are values already."""
    listed = [int(found[1]) + 1 for key in said if (found := _TYPE.fullmatch(key))]
    count = said.get("NI_Number_Of_Scales", max(listed, default=0))
    if not isinstance(count, int) or not 0 <= count <= MOST_STEPS:
        raise ScaleError(f"at most {MOST_STEPS} scales, one after the other", f"{count!r}")
    if not count or said.get("NI_Scaling_Status") == "scaled":
        return None
    return _Steps(said, count, raw)


def _step(steps: _Steps, number: int, left: int) -> Scale:
    """One step with all that come before it; `left` ends a circle."""
    if number == NO_SCALE and steps.raw == NO_SCALE:
        return lambda values: values
    if not 0 <= number < steps.count or left <= 0:
        raise ScaleError("scales one after the other", f"scale {number}, which is none of them or rests on itself")
    kind = steps.said.get(f"NI_Scale[{number}]_Scale_Type")
    if kind is None:
        if number != steps.raw:
            raise ScaleError("one raw number for each sample", f"a scale of raw number {number}")
        return lambda values: values
    if kind not in _MAKERS:
        found = f"a scale of the kind '{str(kind)[:40]}'"
        raise ScaleError(f"{_KINDS} as scales; export the channel with its values worked out", found)
    before = _step(steps, _whole(steps, number, f"{kind}_Input_Source", NO_SCALE), left - 1)
    own = _MAKERS[kind](steps, number)
    return lambda values: own(before(values))


def _straight(steps: _Steps, number: int) -> Scale:
    slope = _real(steps, number, "Linear_Slope")
    intercept = _real(steps, number, "Linear_Y_Intercept")
    return lambda values: values * slope + intercept


def _polynomial(steps: _Steps, number: int) -> Scale:
    from numpy.polynomial.polynomial import polyval

    count = _whole(steps, number, "Polynomial_Coefficients_Size", 4)
    terms = [_real(steps, number, f"Polynomial_Coefficients[{place}]") for place in range(count)]
    return lambda values: polyval(values, terms or [0.0])


def _table(steps: _Steps, number: int) -> Scale:
    """Straight lines between points; beyond the last one its value, as programs that write such files do it."""
    import numpy as np

    sides = []
    for side in ("Pre_Scaled_Values", "Scaled_Values"):
        count = _whole(steps, number, f"Table_{side}_Size", 0)
        sides.append([_real(steps, number, f"Table_{side}[{place}]") for place in range(count)])
    stored, meant = sides
    if len(stored) != len(meant) or len(stored) < 2:
        raise ScaleError("as many values as stored numbers in a table of its scale", f"{len(meant)} and {len(stored)}")
    if stored[0] > stored[-1]:
        stored, meant = stored[::-1], meant[::-1]
    if any(one >= other for one, other in pairwise(stored)):
        raise ScaleError("stored numbers that only rise or only fall in a table of its scale", "others")
    return lambda values: np.interp(values, stored, meant)


_MAKERS: dict[Any, Callable[[_Steps, int], Scale]] = {
    "Linear": _straight,
    "Polynomial": _polynomial,
    "Table": _table,
}


def _real(steps: _Steps, number: int, key: str) -> float:
    value = steps.said.get(f"NI_Scale[{number}]_{key}")
    if not isinstance(value, int | float):
        raise ScaleError(f"a number as NI_Scale[{number}]_{key}", "none")
    return float(value)


def _whole(steps: _Steps, number: int, key: str, absent: int) -> int:
    value = steps.said.get(f"NI_Scale[{number}]_{key}", absent)
    if not isinstance(value, int) or not (0 <= value <= MOST_TERMS or value == NO_SCALE):
        raise ScaleError(f"a whole number up to {MOST_TERMS} as NI_Scale[{number}]_{key}", f"{value!r}"[:40])
    return value
