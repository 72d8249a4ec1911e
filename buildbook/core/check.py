"""A check: one question a buyer would ask, and the function that answers it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict
from buildbook.core.record import Record

Judge = Callable[[Evidence], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Check:
    """One question with an id that is never reused.

    `verdicts` are the outcomes the function itself can give (each has a test); `tables` the tables its answer rests
    on, so that rows that cannot be read cap it; `quantities` the words a specification may use for its limits, each
    with its unit; `formulas` the functions whose docstrings tell formula, range and source.
    """

    id: str
    question: str
    judge: Judge
    tables: tuple[type[Record], ...]
    verdicts: frozenset[Verdict]
    quantities: Mapping[str, str] = field(default_factory=dict)
    formulas: tuple[Callable[..., object], ...] = ()
