"""What the checks of tests aboard share: each row a test, rows that are lost, and places where none was made."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from buildbook.chapters.subjects import absent, asked_places, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.sources import figure, printed_rule, term

RULES = "systems_test_rules"
ROW_LOST = "The row of this test cannot be used."
NOT_TRIED = "Not tried."


@dataclass(frozen=True, slots=True)
class Test:
    """A check, the table of its tests, and the quantities that each row answers."""

    check: str
    kind: type[Record]
    quantities: tuple[str, ...]


Judged = Callable[[Any], Iterable[Finding]]


def each_test(evidence: Evidence, test: Test, judged: Judged) -> Iterable[Finding]:
    """What a check says of every row of its table, of rows that cannot be used, and of places that were asked for."""
    for row in evidence.of(test.kind):
        yield from judged(row)
    yield from _lost(evidence, test)
    named = evidence.values(test.kind, "place")
    for place, asked in asked_places(evidence, test.check, test.kind.table.file, *test.quantities).items():
        if place not in named:
            for quantity in test.quantities:
                key, words = Key(test.check, quantity, place), f"{asked}, and no test is on record."
                yield absent(evidence, test.kind, key, Verdict.NOT_MEASURED, words)


def _lost(evidence: Evidence, test: Test) -> Iterable[Finding]:
    """Each quantity of a row that cannot be used; several lost rows that may be one and the same are told once."""
    told: set[Key] = {
        Key(test.check, quantity, getattr(row, "place"), "", getattr(row, "attempt"))  # noqa: B009
        for row in evidence.of(test.kind)
        for quantity in test.quantities
    }
    for gone in evidence.lost(test.kind):
        for quantity in test.quantities:
            key = Key(test.check, quantity, gone.get("place") or "", "", gone.get("attempt") or 1)
            if key not in told:
                told.add(key)
                wanted = limits(evidence, test.check, quantity, place=key.place)
                yield unjudged(key, Verdict.INCONCLUSIVE, ROW_LOST, About(at=(gone.where,)), wanted)


def tried(evidence: Evidence, key: Key, met: bool | None, observed: str, about: About) -> Iterable[Finding]:
    """A thing that works or does not; not measured where nobody tried it."""
    wanted = limits(evidence, key.check, key.quantity)
    if met is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_TRIED, about, wanted)
    else:
        yield from judge_fact(key, met, observed, wanted, about)


def governed(specified: Limit | None, paper: Limit | None, reference: Limit | None = None) -> Limits:
    """The builder's own entry governs, else a paper of the folder; the paper stands beside an entry that sets more."""
    if specified is not None:
        return Limits(specified, paper or reference)
    return Limits(paper, reference) if paper is not None else Limits(None, reference)


def at_once(when: datetime) -> Period:
    """The period of a single reading."""
    return Period(when, when)


def on_day(day: date | None) -> Period | None:
    """The period of something that was tried on a day."""
    return None if day is None else at_once(datetime.combine(day, time()))


def rule(name: str) -> float:
    """A figure of the printed rules about tests aboard, in the unit of its row."""
    return figure(RULES, name)


def rule_term(name: str) -> Term:
    """Source and standing of such a rule."""
    return term(printed_rule(RULES, name))
