"""What the checks of tests aboard share: each row a test, rows that are lost, and places where none was made."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from buildbook.chapters.shared_records import Planned
from buildbook.chapters.subjects import absent, asked_places, attempts, limits
from buildbook.chapters.systems.asked import without_plan
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.sources import figure, printed_rule, term

RULES = "systems_test_rules"
ROW_LOST = "The row of this test cannot be used."
NO_ATTEMPT = "No row of this attempt is on record."
NO_TEST = "No test is on record."
NOT_TRIED = "Not tried."


@dataclass(frozen=True, slots=True)
class Test:
    """A check, the table of its tests, and the quantities that each row answers."""

    check: str
    kind: type[Record]
    quantities: tuple[str, ...]


Judged = Callable[[Any], Iterable[Finding]]


def each_test(evidence: Evidence, test: Test, judged: Judged) -> Iterable[Finding]:
    """What a check says of every row of its table, of rows that cannot be used or are gone, and of what was asked for.

    An attempt without a row was made, since there was a next one; so it is named.
    """
    for row in evidence.of(test.kind):
        yield from judged(row)
    told = set(_answered(evidence, test))
    for key, gone in _lost(evidence, test):
        if key not in told:
            told.add(key)
            wanted = limits(evidence, test.check, key.quantity, place=key.place)
            yield unjudged(key, Verdict.INCONCLUSIVE, ROW_LOST, About(at=(gone.where,)), wanted)
    named = [str(place) for place in evidence.values(test.kind, "place")]
    for place in named:
        for attempt in attempts(evidence, test.kind, place=place):
            for quantity in test.quantities:
                key = Key(test.check, quantity, place, "", attempt)
                if key not in told:
                    yield absent(evidence, test.kind, key, Verdict.NOT_MEASURED, NO_ATTEMPT)
    yield from _asked(evidence, test, named)
    yield from without_plan(evidence, Key(test.check, test.quantities[0])) if named else ()


def _answered(evidence: Evidence, test: Test) -> Iterable[Key]:
    """Every quantity of every row that can be used, whether it made a finding or not."""
    for row in evidence.of(test.kind):
        for quantity in test.quantities:
            yield Key(test.check, quantity, getattr(row, "place"), "", getattr(row, "attempt"))  # noqa: B009


def _asked(evidence: Evidence, test: Test, named: Collection[str]) -> Iterable[Finding]:
    """Places that the plan or a limit names, without a row; and a plan that names none, without any row."""
    file = test.kind.table.file
    asked = asked_places(evidence, test.check, file, *test.quantities)
    for place, who in asked.items():
        if place not in named:
            for quantity in test.quantities:
                key, words = Key(test.check, quantity, place), f"{who}, and no test is on record."
                yield absent(evidence, test.kind, key, Verdict.NOT_MEASURED, words)
    empty = not evidence.of(test.kind) and not evidence.lost(test.kind)
    if not asked and empty and planned(evidence, test.check, file, *test.quantities):
        for quantity in test.quantities:
            yield absent(evidence, test.kind, Key(test.check, quantity), Verdict.NOT_MEASURED, NO_TEST)


def planned(evidence: Evidence, check: str, file: str, *quantities: str) -> bool:
    """Whether a line of the plan asks for a check and a file, or may do so, or a limit is set for a quantity."""
    lost = (line for line in evidence.lost(Planned, check=check) if line.get("record") in (None, file))
    limited = any(entry.check == check and entry.quantity in quantities for entry in evidence.specification.limits)
    return bool(evidence.of(Planned, check=check, record=file)) or any(True for _ in lost) or limited


def _lost(evidence: Evidence, test: Test) -> Iterable[tuple[Key, Unread]]:
    """Each quantity of every row that cannot be used."""
    for gone in evidence.lost(test.kind):
        for quantity in test.quantities:
            yield Key(test.check, quantity, gone.get("place") or "", "", gone.get("attempt") or 1), gone


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
