"""The arithmetic of a pair as a reader with a calculator does it: each number printed comes out of those before it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from buildbook.core.quantity import COVERED, Part
from buildbook.core.wording import MINUS, capital, decimals_below, decimals_of, fixed, plain_number, unit_text
from buildbook.second import said
from buildbook.second.comparison import Pair, Side, Stated

MORE = 6  # how many decimals are added at most, so that En comes out of the numbers printed
DIGITS = 6  # significant digits of the steps to a combined uncertainty


@dataclass(frozen=True, slots=True)
class Sums:
    """Three sums of a pair, each with its result; empty where they cannot be formed."""

    difference: str = ""
    combined: str = ""
    en: str = ""


def sums(pair: Pair) -> Sums:
    """Difference, combined uncertainty and En, from both values with as many digits as the printed En needs.

    The difference is that of the values as printed here, the combined uncertainty that of both U as printed here, En
    their quotient: rounded once, at its end.
    """
    if pair.difference is None or pair.surveyor.value is None or pair.yard.value is None:
        return Sums()
    shown = said.en_text(pair)
    for decimals in range(first := _decimals(pair), first + MORE + 1):
        made, en = _sums(pair, decimals)
        if not shown or en == shown:
            break
    return made


def _sums(pair: Pair, decimals: int) -> tuple[Sums, str]:
    his, yard = (_fixed(side.value, decimals) for side in (pair.surveyor, pair.yard))
    difference, unit = _number(his) - _number(yard), unit_text(pair.yard.unit)
    apart = said.signed(f"{difference:f}".replace("-", MINUS))
    less = f"{his} {MINUS} {_bracketed(yard)} = {apart} {unit}".strip()
    if not pair.joint:
        return Sums(less), ""
    both = [_fixed(side.expanded_at_95, decimals) for side in (pair.surveyor, pair.yard)]
    joint = fixed(math.hypot(*(float(_number(one)) for one in both)), decimals)
    combined = f"√({both[0]}² + {both[1]}²) = {joint} {unit}".strip()
    shown = said.en_text(pair)
    if not shown or not _number(joint):
        return Sums(less, combined), ""
    places = len(shown.partition(".")[2])
    en = said.signed(fixed(float(difference / _number(joint)), places))
    return Sums(less, combined, f"{apart} / {joint} = {en}"), en


def _decimals(pair: Pair) -> int:
    """One more than the book prints: three significant digits of the smaller U, or of the larger value without any."""
    known = [side.expanded_at_95 for side in (pair.surveyor, pair.yard) if side.expanded_at_95]
    if known:
        return max(0, decimals_of(min(known)) + 1)
    return decimals_below(max(abs(side.value or 0.0) for side in (pair.surveyor, pair.yard))) + 1


def _fixed(value: float | None, decimals: int) -> str:
    return fixed(value or 0.0, decimals)


def _number(text: str) -> Decimal:
    return Decimal(text.replace(MINUS, "-").removeprefix("+"))


def _bracketed(text: str) -> str:
    return f"({text})" if text.startswith(MINUS) else text


@dataclass(frozen=True, slots=True)
class Steps:
    """One pair from the parts of both uncertainties to En: what it is about, and lines to be done with a calculator."""

    number: int
    subject: str
    lines: tuple[str, ...]


def example(pairs: Iterable[Pair]) -> Steps | None:
    """The first pair with En of which most is known, worked out step by step; None where there is none."""
    fit = [pair for pair in pairs if pair.en is not None and pair.surveyor.parts and pair.yard.parts]
    if not fit:
        return None
    pair = max(fit, key=lambda it: (_few(it.surveyor) + _few(it.yard), -it.number))
    made = sums(pair)
    lines = (*of_side("Surveyor", pair.surveyor), *of_side("Yard", pair.yard))
    last = (f"Difference: {made.difference}.", f"Combined uncertainty: {made.combined}.", f"En = {made.en}.")
    return Steps(pair.number, capital(said.subject_text(pair)), (*lines, *last))


def _few(side: Side) -> int:
    return sum(part.degrees is not None for part in side.parts)


def of_side(name: str, side: Side) -> Iterator[str]:
    """From the parts to U, each step from the numbers printed before it."""
    unit = unit_text(side.unit)
    for row in side.stated:
        known = said.certificate(row) if row.uncertainty is not None else f"{row.instrument}, {row.quantity}: no U"
        step = "" if row.resolution is None else f", resolution {plain_number(row.resolution)} {row.unit}"
        yield f"{name}, stated in instruments.csv: {known}{step}. {_becomes(row, side)}"
    parts = [(part, plain_number(part.standard, DIGITS)) for part in side.parts]
    for part, size in parts:
        freedom = "" if part.degrees is None else f", {plain_number(part.degrees)} degrees of freedom"
        yield f"{name}, {part.name}: {size} {unit}{freedom}.".replace(" .", ".")
    total = plain_number(math.sqrt(math.fsum(float(_number(size)) ** 2 for _, size in parts)), DIGITS)
    squares = " + ".join(f"{size}²" for _, size in parts)
    yield f"{name}, u = √({squares}) = {total} {unit}.".replace(" .", ".")
    if side.degrees is not None:
        yield f"{name}, {_freedom(total, parts)}, of which the whole number counts."
    factor = plain_number(side.coverage or 0.0, DIGITS)
    why = "" if side.degrees is None else f", Student’s t for them and {plain_number(100 * COVERED)} %"
    expanded = plain_number(float(_number(factor)) * float(_number(total)), DIGITS)
    yield f"{name}, k = {factor}{why}; U = {factor} × {total} = {expanded} {unit}.".replace(" .", ".")
    if side.degrees is None and side.coverage and side.coverage != 2.0:
        brought = plain_number(2.0 * float(_number(total)), DIGITS)
        yield f"{name}, brought to k = 2: 2 × {total} = {brought} {unit}.".replace(" .", ".")


def _becomes(row: Stated, side: Side) -> str:
    """What the statement of an instrument becomes among the parts of a side."""
    stated = row.uncertainty / row.coverage if row.uncertainty is not None and row.coverage else None
    own = [part.standard for part in side.parts if part.name.startswith(f"instrument {row.instrument}")]
    if row.unit == side.unit and stated is not None and any(math.isclose(stated, size, rel_tol=1e-9) for size in own):
        return "U / k and the resolution / √12 are its parts."
    return "How its parts come of it is told in the book, in the working of this finding."


def _freedom(total: str, parts: Sequence[tuple[Part, str]]) -> str:
    """The effective degrees of freedom after Welch and Satterthwaite, in one line."""
    few = [(size, part.degrees) for part, size in parts if part.degrees]
    below = math.fsum(float(_number(size)) ** 4 / degrees for size, degrees in few)
    found = plain_number(float(_number(total)) ** 4 / below, DIGITS)
    each = " + ".join(f"{size}⁴ / {plain_number(degrees)}" for size, degrees in few)
    return f"degrees of freedom = {total}⁴ / ({each}) = {found}"
