"""What the checks of tanks, openings, bilges and circuits share: who is asked for, each attempt, printed rules."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from buildbook.chapters.shared_records import Planned
from buildbook.chapters.subjects import Used, absent, asked_places, attempts, limits, period
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, unjudged
from buildbook.core.limit import Limit
from buildbook.core.record import Record
from buildbook.sources import figure, printed_rule, term

RULES = "systems_test_rules"
NO_ROW = "No row of this attempt can be used."

Judged = Callable[[Key, Any], Iterable[Finding]]
Wanted = Callable[[Key], Limits]


def rule(name: str) -> float:
    """A figure of the printed rules about these tests, in the unit of its row."""
    return figure(RULES, name)


def rule_limit(low: str = "", high: str = "") -> Limit:
    """Printed rules as a limit, so that the conditions of a test are decided as a verdict is."""
    rows = [printed_rule(RULES, name) for name in (low, high) if name]
    ends = {end: rule(name) for end, name in (("low", low), ("high", high)) if name}
    words = " ".join(row["words"] for row in rows)
    return Limit(rows[0]["unit"], tuple(term(row) for row in rows), ends.get("low"), ends.get("high"), words=words)


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
    yield from without_plan(evidence, first) if places else ()
    if not places:
        why = [f"{kind.table.file}: {evidence.missing.get(kind, 'no row can be used')}"]
        why += [f"{one.table.file}: {evidence.missing[one]}" for one in beside if one in evidence.missing]
        for quantity in quantities:
            limit = wanted(quantity) if wanted else None
            yield unjudged(quantity, Verdict.NO_RECORD, f"{'; '.join(why)}.", None, limit)


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
