"""A number outside its plausible range that would be inside in another unit: said in the message, never taken."""

from __future__ import annotations

import math

from pydantic.fields import FieldInfo

from buildbook.core.record import about
from buildbook.readers.as_typed import in_digits
from buildbook.readers.columns import Column
from buildbook.readers.units import UnitError, accepted, convert

_ALSO = ("mbar", "kNm", "GPa")  # taken too, though messages do not offer them
_RARE = ("mil", "ppm")


def span(info: FieldInfo) -> tuple[float | None, float | None]:
    """The ends of the plausible range of a column, None where it has none."""
    low = next((item.ge for item in info.metadata if hasattr(item, "ge")), None)
    high = next((item.le for item in info.metadata if hasattr(item, "le")), None)
    return low, high


def in_another_unit(column: Column, value: float) -> str:
    """The unit in which a number as typed would be plausible, as the end of a question; empty where there is none.

    Args:
        column: the column in its file.
        value: the number, converted to the column's own unit.
    """
    own = about(column.info, "unit") or ""
    if not own or column.head is None:
        return ""
    head, alike = column.head.unit or own, bool(about(column.info, "difference"))
    typed = convert(value, own, head, alike)
    if own == "%" and 0.0 < typed <= 1.0 and _within(column.info, 100.0 * typed):
        return f" As a fraction it would be {in_digits(100.0 * typed)} %; write the number in %"
    others = (unit for unit in (*accepted(own), *_ALSO) if unit not in _RARE)
    fit = {unit: number for unit in others if (number := _fitting(column, typed, unit, head, alike)) is not None}
    if not fit:
        return ""
    unit = own if own in fit else min(fit, key=lambda one: _from_example(column.info, fit[one]))
    remedy = "write the number in the unit of the head" if head == own else "look whether the unit in the head is right"
    return f" In [{unit}] it would be {in_digits(fit[unit])} {own}; {remedy}"


def _from_example(info: FieldInfo, number: float) -> float:
    """How far a number is from the example of its column, as orders of magnitude."""
    try:
        example = float(about(info, "example"))
    except ValueError:
        return 0.0
    return abs(math.log10(number / example)) if number * example > 0.0 else math.inf


def _fitting(column: Column, typed: float, unit: str, head: str, alike: bool) -> float | None:
    """A number typed in some unit, in the column's own, where that is plausible."""
    try:
        if convert(1.0, unit, head, alike) == 1.0:
            return None
        number = convert(typed, unit, about(column.info, "unit"), alike)
    except UnitError:
        return None
    return number if _within(column.info, number) else None


def _within(info: FieldInfo, number: float) -> bool:
    low, high = span(info)
    return (low is None or number >= low) and (high is None or number <= high)
