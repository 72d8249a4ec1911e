"""Limits: what is allowed, who says so, and how well that is known."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buildbook.core.source import Standing, weakest
from buildbook.core.where import Where


@dataclass(frozen=True, slots=True)
class Term:
    """One thing a limit was made of: a percentage, a class row, a line of a data sheet.

    `set_by` says whose requirement it is (builder, designer, paint maker, class, standard), `document`, `revision` and
    `clause` where it stands, `source` the key of a cited document when it is a published one. `at` is the place in the
    hull folder where the builder wrote it down.
    """

    words: str
    standing: Standing
    set_by: str = ""
    document: str = ""
    revision: str = ""
    clause: str = ""
    source: str = ""
    at: Where | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """An allowed interval with its terms.

    `low` and `high` are tolerance limits in `unit`; an end that is `strict` excludes the limit itself. `natural_low`
    and `natural_high` are bounds no true value can pass (a void content is never below zero). `guard` is the guard-band
    factor: w = guard * U; 1 by default, 0 where the limit already has the uncertainty built in. A limit with neither
    end is a requirement in words, met or not met.
    """

    unit: str
    terms: tuple[Term, ...]
    low: float | None = None
    high: float | None = None
    low_strict: bool = False
    high_strict: bool = False
    natural_low: float | None = None
    natural_high: float | None = None
    guard: float = 1.0
    words: str = ""

    def __post_init__(self) -> None:
        if not self.terms:
            raise ValueError("a limit that nobody set is not a limit: give at least one term")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"the lower limit {self.low} is above the upper limit {self.high}")

    @property
    def in_words(self) -> bool:
        """Whether it is a requirement in words, without a number to compare with."""
        return self.low is None and self.high is None

    @property
    def standing(self) -> Standing:
        """The weakest standing of the terms that made this limit."""
        return weakest(tuple(term.standing for term in self.terms))

    def without_high(self, term: Term) -> Limit:
        """The same limit with its upper end lifted, because of one more term."""
        return replace(self, high=None, high_strict=False, terms=(*self.terms, term))
