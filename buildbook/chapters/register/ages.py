"""REG-06 readings that are old on the day that the book describes: told for each table, never a fail."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from buildbook.chapters.readings import as_day
from buildbook.chapters.register.look import rule, some
from buildbook.chapters.register.plan import NOT_THERE, planned_and_missing
from buildbook.chapters.register.rules import own_rule
from buildbook.chapters.register.series import kinds_read, time_of
from buildbook.chapters.register.spans import months_before
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, unjudged
from buildbook.core.record import Record
from buildbook.core.wording import listed, plain_number

CHECK = "REG-06"
AGE = "age of the readings"
WHOLE = "whole hull"
NO_DAY = "The day that the book describes is not known, so no age can be told."
OLD = "Old readings tell how she was then. What has changed since they do not show."
NOTHING_SINCE = "No row of this table is younger, so how she is now is not shown."
LEFT_OUT = "Left out are the days of papers, work and goods, which are no readings"

Dated = tuple[Record, date]


def age_findings(evidence: Evidence) -> Iterable[Finding]:
    """REG-06: how old the readings are in all, and a finding for each table with old ones."""
    tables = {kind: _dated(evidence, kind) for kind in kinds_read(evidence) if kind.table.judged}
    tables = {kind: rows for kind, rows in tables.items() if rows}
    if not tables:
        return
    if evidence.hull.as_of is None:
        yield unjudged(Key(CHECK, AGE, WHOLE), Verdict.INCONCLUSIVE, NO_DAY, limits=own_rule(CHECK, AGE))
        return
    since = months_before(evidence.hull.as_of, int(rule("months of a reading")))
    old = {kind: [(row, day) for row, day in rows if day < since] for kind, rows in tables.items()}
    yield _whole(evidence, tables, sum(1 for rows in old.values() if rows))
    for kind, rows in old.items():
        if rows:
            yield _of_table(evidence, kind, rows, len(tables[kind]))


def _dated(evidence: Evidence, kind: type[Record]) -> list[Dated]:
    """The rows of a table whose day is known, oldest first."""
    rows = [(row, as_day(time)) for row in evidence.of(kind) if (time := time_of(row)) is not None]
    return sorted(rows, key=lambda pair: (pair[1], pair[0].where.order))


def _whole(evidence: Evidence, tables: dict[type[Record], list[Dated]], old: int) -> Finding:
    first = min((rows[0] for rows in tables.values()), key=lambda pair: (pair[1], pair[0].where.order))
    number = sum(len(rows) for rows in tables.values())
    row, day = first
    observed = (
        f"{counted(number, 'dated row')} in {counted(len(tables), 'table')} of readings, "
        f"the oldest of {day.isoformat()} in {row.where.stands_in}; "
        f"{old or 'none'} {'has' if old < 2 else 'have'} rows older than {_span()}"
    )
    lost = [
        f"{counted(len(rows), 'row')} of {kind.table.file}"
        for kind in evidence.unread
        if kind.table.time and kind.table.judged
        if (rows := [row for row in evidence.lost(kind) if row.get(kind.table.time) is None])
    ]
    caps = [f"Rows whose date could not be read may be older: {some(sorted(lost))}."] if lost else []
    caps += [f"{file} {NOT_THERE}" for file in planned_and_missing(evidence)]
    about = About(at=(row.where,), notes=_left_out(evidence, tables))
    return _said(Key(CHECK, AGE, WHOLE), Verdict.INFORMATION, observed, about, tuple(caps))


def _left_out(evidence: Evidence, tables: Iterable[type[Record]]) -> tuple[str, ...]:
    """Which tables bear days and are not counted, since these are days of papers, work or goods.

    A table that a yard may withhold is not named: what a finding says does not hang on whether it is there.
    """
    read = (kind for kind in kinds_read(evidence) if kind not in tables and not kind.table.withholdable)
    others = [kind for kind in read if _bears_days(evidence, kind)]
    return (f"{LEFT_OUT}, such as those of {listed([kind.table.file for kind in others])}.",) if others else ()


def _bears_days(evidence: Evidence, kind: type[Record]) -> bool:
    return any(isinstance(value, date) for row in evidence.of(kind) for value in dict(row).values())


def _of_table(evidence: Evidence, kind: type[Record], old: list[Dated], number: int) -> Finding:
    day = evidence.hull.as_of
    words = "is" if len(old) == 1 else "are"
    observed = (
        f"{len(old)} of {counted(number, 'row')} {words} more than {_span()} old on {day}; "
        f"the oldest is of {old[0][1].isoformat()}"
    )
    about = About(at=tuple(row.where for row, _ in old), notes=(OLD,))
    caps = (NOTHING_SINCE,) if len(old) == number else ()
    return _said(Key(CHECK, AGE, kind.table.file), Verdict.INFORMATION, observed, about, caps)


def _span() -> str:
    """From what age on readings are old, in words."""
    return f"{plain_number(rule('months of a reading'))} months"


def _said(key: Key, verdict: Verdict, observed: str, about: About, caps: tuple[str, ...]) -> Finding:
    """A finding that only tells, held at inconclusive by what is in doubt."""
    why, *more = caps or ("Told for information; age alone fails nothing.",)
    about = replace(about, method="dates of the rows against the day of the book", notes=(*more, *about.notes))
    verdict = Verdict.INCONCLUSIVE if caps else verdict
    return replace(unjudged(key, verdict, why, about, own_rule(CHECK, AGE)), observed=observed)
