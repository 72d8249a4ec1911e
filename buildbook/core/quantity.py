"""A measured value with its unit and its uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What a value is: a measurement, a bound on one, or a count that carries no uncertainty."""

    MEASURED = "measured"
    AT_LEAST = "at least"
    AT_MOST = "at most"
    COUNTED = "counted"


@dataclass(frozen=True, slots=True)
class Part:
    """One contribution to an uncertainty: its name and its standard uncertainty in the unit of the result."""

    name: str
    standard: float


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value, its unit and its expanded uncertainty U at a coverage factor k.

    `expanded` is None where nobody stated an uncertainty; that is not the same as zero. A counted value (plies, yes/no)
    has none by nature. Source: JCGM 100:2008 (GUM), clauses 5 and 6 (from memory).
    """

    value: float
    unit: str
    expanded: float | None = None
    coverage: float = 2.0
    parts: tuple[Part, ...] = ()
    kind: Kind = Kind.MEASURED

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"a value must be a finite number, not {self.value}")
        if self.expanded is not None and not (math.isfinite(self.expanded) and self.expanded >= 0):
            raise ValueError(f"an expanded uncertainty must be zero or more, not {self.expanded}")

    @property
    def at_two(self) -> float | None:
        """The expanded uncertainty brought to k = 2, so that readings can be compared."""
        return None if self.expanded is None else 2.0 * self.expanded / self.coverage

    @property
    def standard(self) -> float | None:
        """The standard uncertainty u = U / k."""
        return None if self.expanded is None else self.expanded / self.coverage

    @classmethod
    def combined(
        cls,
        value: float,
        unit: str,
        parts: tuple[Part, ...],
        coverage: float = 2.0,
        kind: Kind = Kind.MEASURED,
    ) -> Quantity:
        """A value whose uncertainty is the root sum of squares of its parts; no parts means none was stated."""
        if not parts:
            return cls(value, unit, None, coverage, (), kind)
        total = math.sqrt(math.fsum(part.standard**2 for part in parts))
        return cls(value, unit, coverage * total, coverage, parts, kind)

    @classmethod
    def count(cls, value: float, unit: str = "1") -> Quantity:
        """A counted value: whole, without uncertainty."""
        return cls(value, unit, None, 2.0, (), Kind.COUNTED)
