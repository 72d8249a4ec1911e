"""Which US unit a unit of the columns is told in, and how a number gets there: exact, in decimals."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Context, Decimal
from functools import cache
from pathlib import Path

from buildbook.core.wording import unit_text

FOLDER = Path(__file__).parent
EXACT = Context(prec=40)
RAISED = str.maketrans("23", "²³")


@dataclass(frozen=True, slots=True)
class Pair:
    """Two units of one kind: new = number × times / over + plus; of a difference without `plus`.

    `where` confines it to the checks whose id begins so, `least` to numbers of at least this size.
    """

    unit: str
    us: str
    times: Decimal
    over: Decimal
    plus: Decimal
    where: str
    least: Decimal

    def of(self, number: Decimal, *, difference: bool = False) -> Decimal:
        """A number of the first unit in the second one."""
        scaled = EXACT.divide(EXACT.multiply(number, self.times), self.over)
        return scaled if difference else EXACT.add(scaled, self.plus)

    def number(self, value: float, *, difference: bool = False) -> float:
        """The same of a binary number, by the fifteen digits it stands for."""
        return float(self.of(Decimal(f"{value:.15g}"), difference=difference))


def apart(value: float | None, pair: Pair | None) -> float | None:
    """How far apart two numbers are, in the second unit; as it is where nobody knows it, or where its unit stays."""
    return value if value is None or pair is None else pair.number(value, difference=True)


def printed(unit: str) -> str:
    """A unit as texts write it: `m3` gives m³."""
    return unit_text(unit).translate(RAISED) if unit[-1:] in "23" else unit_text(unit)


@cache
def pairs() -> tuple[Pair, ...]:
    """Every pair, the more particular ones first."""
    with (FOLDER / "pairs.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    made = (
        Pair(
            row["unit"],
            row["us"],
            Decimal(row["times"]),
            Decimal(row["over"]),
            Decimal(row["plus"]),
            row["where"],
            Decimal(row["least"] or 0),
        )
        for row in rows
    )
    return tuple(sorted(made, key=lambda pair: (not pair.where, -pair.least)))


@cache
def pair_of(unit: str, check: str = "", size: float = 0.0) -> Pair | None:
    """The pair for a unit, as code (`um`) or as printed (`µm`); None for a unit that stays.

    Args:
        unit: the unit.
        check: id of the check, or the beginning of it, whose numbers they are.
        size: the largest of the numbers that are told together.

    >>> pair_of("mbar", "INF-02").us, pair_of("mbar").us, pair_of("MPa", size=9000).us, pair_of("g")
    ('inHg', 'psi', 'ksi', None)
    """
    for pair in pairs():
        if unit in (pair.unit, printed(pair.unit)) and check.startswith(pair.where) and size >= pair.least:
            return pair if pair.us != pair.unit else None
    return None


@cache
def staying() -> dict[str, str]:
    """The units that stay as they are, each with its reason."""
    with (FOLDER / "staying.csv").open(encoding="utf-8", newline="") as file:
        return {row["unit"]: row["reason"] for row in csv.DictReader(file)}
