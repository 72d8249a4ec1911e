"""A measured value with its unit and its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

FEWEST = 1e-9  # below this share the few repeats do not show in the combined uncertainty
COVERED = 0.9545  # the share that k = 2 covers with many degrees of freedom (JCGM 100:2008, table G.2; from memory)


class Kind(StrEnum):
    """What a value is: a measurement, a bound on one, or a count that carries no uncertainty."""

    MEASURED = "measured"
    AT_LEAST = "at least"
    AT_MOST = "at most"
    COUNTED = "counted"


@dataclass(frozen=True, slots=True)
class Part:
    """One contribution to an uncertainty: its name and its standard uncertainty in the unit of the result.

    `degrees` are its degrees of freedom where it comes from a few repeats; None where it is taken as known.
    """

    name: str
    standard: float
    degrees: int | None = None


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value, its unit and its expanded uncertainty U at a coverage factor k.

    `expanded` is None where nobody stated an uncertainty; that is not the same as zero. A counted value (plies, yes/no)
    has none by nature. `degrees` are the effective degrees of freedom where few repeats are part of U; then `coverage`
    is the factor of Student's t that covers as much as k = 2 does otherwise. Source: JCGM 100:2008 (GUM), clauses 5, 6
    and annex G (from memory).
    """

    value: float
    unit: str
    expanded: float | None = None
    coverage: float = 2.0
    parts: tuple[Part, ...] = ()
    kind: Kind = Kind.MEASURED
    degrees: int | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"a value must be a finite number, not {self.value}")
        if self.expanded is not None and not (math.isfinite(self.expanded) and self.expanded >= 0):
            raise ValueError(f"an expanded uncertainty must be zero or more, not {self.expanded}")

    @property
    def at_two(self) -> float | None:
        """The expanded uncertainty brought to the coverage of k = 2 (95.45 %), so that readings can be compared."""
        if self.expanded is None or self.degrees is not None:
            return self.expanded
        return 2.0 * self.expanded / self.coverage

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
        """A value whose uncertainty is the root sum of squares of its parts; no parts means none was stated.

        Where a part has few degrees of freedom, the factor of Student's t takes the place of `coverage`.
        """
        if not parts:
            return cls(value, unit, None, coverage, (), kind)
        total = math.sqrt(math.fsum(part.standard**2 for part in parts))
        degrees = effective_degrees(parts)
        factor = coverage if degrees is None else t_factor(degrees)
        return cls(value, unit, factor * total, factor, parts, kind, degrees)

    @classmethod
    def count(cls, value: float, unit: str = "1") -> Quantity:
        """A counted value: whole, without uncertainty."""
        return cls(value, unit, None, 2.0, (), Kind.COUNTED)


def effective_degrees(parts: Sequence[Part]) -> int | None:
    """The degrees of freedom of a combined uncertainty after Welch and Satterthwaite, cut down to a whole number.

    None where every part that counts is taken as known. Source: JCGM 100:2008 (GUM), equation G.2b (from memory).

    >>> effective_degrees((Part("scatter", 3.0, 4), Part("gauge", 4.0)))
    30
    """
    few = [part for part in parts if part.degrees is not None and part.standard > 0.0]
    if not few:
        return None
    total = math.hypot(*(part.standard for part in parts))
    below = math.fsum((part.standard / total) ** 4 / part.degrees for part in few if part.degrees)
    return None if below < FEWEST else max(1, math.floor((1.0 + 1e-12) / below))


def t_factor(degrees: int) -> float:
    """Student's t for the share that k = 2 covers with many degrees of freedom.

    Source: JCGM 100:2008 (GUM), table G.2 (from memory); computed with scipy.

    >>> round(t_factor(10), 2)
    2.28
    """
    from scipy.special import stdtrit

    return float(stdtrit(degrees, 0.5 * (1.0 + COVERED)))
