"""What the checks of the systems share: who is asked for, each attempt, lost rows, printed rules, limits."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import Any

from buildbook import sources
from buildbook.chapters.shared_records import Planned
from buildbook.chapters.subjects import Used, absent, asked_places, attempts, limits, period
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.sources import figure, printed_rule, term

RULES = "systems_test_rules"
NO_ROW = "No row of this attempt can be used."
ROW_LOST = "The row of this test cannot be used."
NO_ATTEMPT = "No row of this attempt is on record."
NO_TEST = "No test is on record."
NOT_TRIED = "Not tried."

Judged = Callable[[Key, Any], Iterable[Finding]]
Wanted = Callable[[Key], Limits]


def rule(name: str) -> float:
    """A figure of the printed rules about these tests, in the unit of its row."""
    return figure(RULES, name)


def rule_limit(low: str = "", high: str = "") -> Limit:
    """Printed rules about these tests as a limit, with what they say."""
    limit = sources.rule_limit(RULES, low, high)
    return replace(limit, words=" ".join(one.words for one in limit.terms))


def every_attempt(
    evidence: Evidence,
    kind: type[Record],
    keys: Iterable[Key],
    judged: Judged,
    nothing: str,
    wanted: Wanted | None = None,
    beside: tuple[type[Record], ...] = (),
) -> Iterable[Finding]:
    """Every place that rows, plan or limits name, attempt by attempt.

    Args:
        evidence: the folder, read.
        kind: the table; its place names what is tested.
        keys: check and quantities, the first of which is the key handed to `judged`.
        judged: makes the findings of one row.
        nothing: what is said of a place without a row.
        wanted: the limits of a key without a row, where they are not those of the limits' table.
        beside: tables that say more of the places, named where they are missing too.
    Returns:
        The findings; where nobody names any place, one that says that there is no record.
    """
    quantities = tuple(keys)
    first, column = quantities[0], kind.table.place
    names = [one.quantity for one in quantities]
    in_rows = [str(place) for place in evidence.values(kind, column)]
    places = dict.fromkeys((*in_rows, *asked_places(evidence, first.check, kind.table.file, *names)))
    for place in places:
        for attempt in attempts(evidence, kind, **{column: place}):
            rows = evidence.of(kind, **{column: place, "attempt": attempt})
            for row in rows:
                yield from judged(replace(first, place=place, attempt=attempt), row)
            for one in quantities if not rows else ():
                key = replace(one, place=place, attempt=attempt)
                words = NO_ROW if place in in_rows else nothing
                yield absent(evidence, kind, key, Verdict.NOT_MEASURED, words, wanted(key) if wanted else None)
    if places:
        yield from without_plan(evidence, first)
    else:
        yield from _nobody_named(evidence, (kind, *beside), quantities, wanted)


def _nobody_named(
    evidence: Evidence, kinds: Iterable[type[Record]], keys: Iterable[Key], wanted: Wanted | None
) -> Iterable[Finding]:
    """That there is no record where no row, line of the plan or limit names any place; of which tables."""
    table, *beside = kinds
    why = [f"{table.table.file}: {evidence.missing.get(table, 'no row can be used')}"]
    why += [f"{one.table.file}: {evidence.missing[one]}" for one in beside if one in evidence.missing]
    for key in keys:
        yield unjudged(key, Verdict.NO_RECORD, f"{'; '.join(why)}.", None, wanted(key) if wanted else None)


def without_plan(evidence: Evidence, key: Key) -> Iterable[Finding]:
    """What the tests on record leave open where no plan says what else was to be tested; nothing beside a plan."""
    if Planned in evidence.missing:
        words = f"{Planned.table.file} {evidence.missing[Planned]}, so nobody can tell what else was to be tested."
        wanted = limits(evidence, key.check, key.quantity)
        yield unjudged(Key(key.check, key.quantity), Verdict.INCONCLUSIVE, words, None, wanted)


def about_row(row: Any, use: Used, method: str, working: Iterable[str] = (), notes: Iterable[str] = ()) -> About:
    """What a finding says of one row and of the instrument behind it."""
    return About(
        method=method,
        period=period([row.at]),
        instruments=use.instruments,
        at=(row.where,),
        working=tuple(working),
        notes=(*use.notes, *notes),
        caps=use.caps,
    )


@dataclass(frozen=True, slots=True)
class Test:
    """A check, the table of its tests, and the quantities that each row answers."""

    check: str
    kind: type[Record]
    quantities: tuple[str, ...]


OfRow = Callable[[Any], Iterable[Finding]]


def each_test(evidence: Evidence, test: Test, judged: OfRow) -> Iterable[Finding]:
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


def rule_term(name: str) -> Term:
    """Source and standing of such a rule."""
    return term(printed_rule(RULES, name))
