"""What the checks of the systems share: who is asked for, each attempt, lost rows, printed rules, limits."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import Any

from buildbook import sources
from buildbook.chapters.shared_records import Planned
from buildbook.chapters.subjects import Used, absent, asked_places, attempts, limits, period
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.record import Record
from buildbook.sources import figure, printed_rule, term

RULES = "systems_test_rules"
ROW_LOST = "The row of this test cannot be used."
NO_ATTEMPT = "No row of this attempt is on record."
NO_TEST = "No test is on record."
NOT_TRIED = "Not tried."

OfRow = Callable[[Any], Iterable[Finding]]
Wanted = Callable[[Key], Limits]


def rule(name: str) -> float:
    """A figure of the printed rules about these tests, in the unit of its row."""
    return figure(RULES, name)


def rule_limit(low: str = "", high: str = "") -> Limit:
    """Printed rules about these tests as a limit, with what they say."""
    limit = sources.rule_limit(RULES, low, high)
    return replace(limit, words=" ".join(one.words for one in limit.terms))


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


def meets_rule(value: float, unit: str, low: str = "", high: str = "") -> bool:
    """Whether a condition of a test [unit] meets the printed rules of these names."""
    return not decide(Quantity.count(value, unit), rule_limit(low, high)).verdict.missed


@dataclass(frozen=True, slots=True)
class Test:
    """A check, the table of its tests, and the quantities that each row answers.

    `nothing` is said of a place that was asked for and has no row. `beside` are tables that say more of the places,
    named where they are missing too.
    """

    check: str
    kind: type[Record]
    quantities: tuple[str, ...]
    nothing: str = NO_TEST
    beside: tuple[type[Record], ...] = ()

    def keys_at(self, place: str = "", attempt: int = 1) -> tuple[Key, ...]:
        """The key of each quantity of one attempt at a place."""
        return tuple(Key(self.check, quantity, place, "", attempt) for quantity in self.quantities)

    def key(self, row: Any) -> Key:
        """The key of the first quantity of a row."""
        return self.keys_of(row)[0]

    def keys_of(self, row: Any) -> tuple[Key, ...]:
        """The keys of a row that can be used."""
        return self.keys_at(getattr(row, self.kind.table.place), row.attempt)


def each_test(evidence: Evidence, test: Test, judged: OfRow, wanted: Wanted | None = None) -> Iterable[Finding]:
    """What a check says of every row of its table, of rows that cannot be used or are gone, and of what was asked for.

    An attempt without a row was made, since there was a next one; so it is named.

    Args:
        evidence: the folder, read.
        test: the check, its table and its quantities.
        judged: makes the findings of one row.
        wanted: the limits of a key without a row, where they are not those of the limits' table.
    Returns:
        The findings; where nobody names any place, one for each quantity that says that there is no record.
    """
    limits_of = wanted or (lambda key: limits(evidence, key.check, key.quantity, place=key.place))
    rows = evidence.of(test.kind)
    for row in rows:
        yield from judged(row)
    lost = _lost(evidence, test, {key for row in rows for key in test.keys_of(row)})
    for key, gone in lost.items():
        yield unjudged(key, Verdict.INCONCLUSIVE, ROW_LOST, About(at=(gone.where,)), limits_of(key))
    for key, words in _without_row(evidence, test, lost).items():
        yield absent(evidence, test.kind, key, Verdict.NOT_MEASURED, words, limits_of(key))
    if rows or lost or _asked(evidence, test):
        yield from without_plan(evidence, test.keys_at()[0])
    elif planned(evidence, test.check, test.kind.table.file, *test.quantities):
        for key in test.keys_at():
            yield absent(evidence, test.kind, key, Verdict.NOT_MEASURED, NO_TEST, limits_of(key))
    else:
        yield from _nobody_named(evidence, test, limits_of)


def _lost(evidence: Evidence, test: Test, told: Collection[Key]) -> dict[Key, Unread]:
    """Each quantity of every row that cannot be used, where no row that can be used answers it."""
    found: dict[Key, Unread] = {}
    for gone in evidence.lost(test.kind):
        for key in test.keys_at(gone.get(test.kind.table.place) or "", gone.get("attempt") or 1):
            if key not in told:
                found.setdefault(key, gone)
    return found


def _without_row(evidence: Evidence, test: Test, lost: Collection[Key]) -> dict[Key, str]:
    """Attempts of which there is no row, and places that somebody asks for, with what is said of each."""
    column = test.kind.table.place
    named = [str(place) for place in evidence.values(test.kind, column)]
    made = {key for row in evidence.of(test.kind) for key in test.keys_of(row)}
    found = {
        key: NO_ATTEMPT
        for place in named
        for attempt in attempts(evidence, test.kind, **{column: place})
        for key in test.keys_at(place, attempt)
        if key not in made and key not in lost
    }
    asked = ((place, who) for place, who in _asked(evidence, test).items() if place not in named)
    return found | {key: f"{who}. {test.nothing}" for place, who in asked for key in test.keys_at(place)}


def _asked(evidence: Evidence, test: Test) -> dict[str, str]:
    """The places that plan or limits name for a test, with who asks."""
    return asked_places(evidence, test.check, test.kind.table.file, *test.quantities)


def _nobody_named(evidence: Evidence, test: Test, wanted: Wanted) -> Iterable[Finding]:
    """That there is no record where no row, line of the plan or limit names any place; of which tables."""
    why = [f"{test.kind.table.file}: {evidence.missing.get(test.kind, 'no row can be used')}"]
    why += [f"{one.table.file}: {evidence.missing[one]}" for one in test.beside if one in evidence.missing]
    for key in test.keys_at():
        yield unjudged(key, Verdict.NO_RECORD, f"{'; '.join(why)}.", None, wanted(key))


def planned(evidence: Evidence, check: str, file: str, *quantities: str) -> bool:
    """Whether a line of the plan asks for a check and a file, or may do so, or a limit is set for a quantity."""
    lost = (line for line in evidence.lost(Planned, check=check) if line.get("record") in (None, file))
    limited = any(entry.check == check and entry.quantity in quantities for entry in evidence.specification.limits)
    return bool(evidence.of(Planned, check=check, record=file)) or any(True for _ in lost) or limited


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
