"""A check: one question a buyer would ask, and the function that answers it."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum

from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Verdict
from buildbook.core.record import Record
from buildbook.core.stage import Stage

Judge = Callable[[Evidence], Iterable[Finding]]
ANY_RESULT = frozenset(Verdict) - {Verdict.NOT_APPLICABLE}  # what can be said of a value that was asked for


class About(Enum):
    """What a check is about, in the order in which matters that stand alike are told.

    Whether the readings can be believed comes first, then what is felt aboard; paper comes last.
    """

    TRUST = "whether the readings can be believed"
    FELT = "what people aboard feel and hear"
    HER = "what she is"
    WORK = "how the work and the measuring went"
    PAPER = "whether plan, instruments and reports are in order"


@dataclass(frozen=True, slots=True)
class Span:
    """The plausible range of a number that somebody types, in its own unit: what lies outside is a typing error.

    `ends` says which ends a limit of this quantity may have: a pull-off strength has a least, not a greatest.
    """

    low: float
    high: float
    unit: str = "1"
    ends: tuple[str, ...] = ("low", "high")

    def holds(self, value: float) -> bool:
        """Whether a value lies in the range."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Sayable:
    """What a specification may say about one check.

    `quantities` may be limited, each with its unit, `spans` are the plausible ranges of those limits. `rules` are the
    names a rule may have; where `rule_in_words`, any words are a rule. `chosen` are quantities of which the rule of the
    same name chooses the one that is judged, the first without a rule.
    """

    quantities: Mapping[str, str] = field(default_factory=dict)
    spans: Mapping[str, Span] = field(default_factory=dict)
    rules: tuple[str, ...] = ()
    rule_in_words: bool = False
    chosen: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """One question with an id that is never reused.

    `verdicts` are the outcomes the function itself can give (each has a test); `tables` the tables its answer rests
    on, so that rows that cannot be read cap it; `quantities` the words of its findings, each with its unit; `formulas`
    the functions whose docstrings tell formula, range and source; `about` what it is about, which orders the matters;
    `due` the stage of the build from which it is asked for, where that is not the one of its chapter.

    What a specification may say: limits on `quantities` without the `facts` (met or not, by the check's own rule); a
    limit may name a `condition` only where `conditions` says in which column of which table its words stand. Rules as
    in `Sayable`.
    """

    id: str
    question: str
    judge: Judge
    tables: tuple[type[Record], ...]
    verdicts: frozenset[Verdict]
    quantities: Mapping[str, str] = field(default_factory=dict)
    formulas: tuple[Callable[..., object], ...] = ()
    facts: tuple[str, ...] = ()
    conditions: Mapping[str, tuple[type[Record], str]] = field(default_factory=dict)
    rules: tuple[str, ...] = ()
    rule_in_words: bool = False
    chosen: tuple[str, ...] = ()
    about: About = About.HER
    due: Stage | None = None

    def sayable(self, spans: Mapping[str, Span] | None = None) -> Sayable:
        """What a specification may say about this check; `spans` are the plausible ranges of its limits."""
        limited = {name: unit for name, unit in self.quantities.items() if name not in self.facts}
        return Sayable(limited, spans or {}, self.rules or self.chosen, self.rule_in_words, self.chosen)

    def lost(self, evidence: Evidence, finding: Finding) -> tuple[tuple[Unread, ...], ...]:
        """The rows of each of its tables that cannot be used and that may belong to one of its findings."""
        key, period = finding.key, finding.period
        start, end = (period.start, period.end) if period else (None, None)
        return tuple(
            evidence.concerning(kind, key.place, key.condition, key.attempt, start, end) for kind in self.tables
        )


def formula_words(formula: Callable[..., object]) -> str:
    """What a formula says of itself: what it is, arguments, result, range and source, without its examples."""
    return (inspect.getdoc(formula) or "").split("Example:")[0].strip()
