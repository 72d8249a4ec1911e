"""Which findings wait for rows that cannot be used, and for which rows. Judges nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace

from buildbook.chapters import CHECKS
from buildbook.chapters.register.instruments import CHECK as INSTRUMENT_CHECK
from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.plan import OWN_CHAPTER, Line, lost_to_the_plan, plan_lines, shortages
from buildbook.chapters.shared_records import Instrument
from buildbook.core.book import Numbered
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.record import Record, about
from buildbook.core.where import Where

BY_ID = {check.id: check for check in CHECKS}


def rows_waited_for(
    evidence: Evidence, items: Iterable[Numbered], judged: Callable[[Evidence], Iterable[Finding]]
) -> Mapping[str, tuple[Where, ...]]:
    """The rows that cannot be used and that a finding which did not pass may rest on, by the number of the finding.

    A row may belong to a finding by its columns, or be counted by a line of the plan. What a check looks up in another
    table has another place than the row there: such a finding waits for the lost rows of its tables if it would be
    told otherwise without them.

    Args:
        evidence: the folder, as it was judged.
        items: the findings of the book.
        judged: gives the findings of an evidence; asked once more, for the folder without the rows that are lost.
    """
    every = [item for item in items if item.finding.verdict.exception]
    if not every or not any(evidence.unread.values()):
        return {}
    bare = {finding.key: finding for finding in judged(replace(evidence, unread={}))}
    lines = {line.name: line for line in plan_lines(evidence)}
    found: dict[str, tuple[Where, ...]] = {}
    of_key: dict[Key, tuple[Where, ...]] = {}
    for item in sorted(every, key=lambda item: item.finding.key.check == PLAN_CHECK):
        key = item.finding.key
        rows = list(_rows(evidence, item.finding, bare.get(key)))
        if key.check == PLAN_CHECK and key.place in lines:
            rows += _of_line(evidence, lines[key.place], of_key)
        if rows:
            of_key[key] = found[item.number] = _in_order(rows)
    return found


def _in_order(rows: Iterable[Where]) -> tuple[Where, ...]:
    return tuple(sorted({where.row for where in rows}, key=lambda where: where.order))


def _rows(evidence: Evidence, finding: Finding, bare: Finding | None) -> list[Where]:
    """The rows that are its own or its plan's; where these are none, those that its check looked up."""
    check = BY_ID[finding.key.check]
    own = [row for lost in check.lost(evidence, finding) for row in lost if _may_fill(row, finding)]
    rows = [row.where for row in (*own, *_at(evidence, finding))]
    if not (finding.verdict.unshown or check.id.startswith(OWN_CHAPTER)) and finding.key.attempt == 1:
        short = (it.line for it in shortages(evidence) if it.line.may_cover(check.id, finding.key.place))
        rows += [where for line in short for where in lost_to_the_plan(evidence, line)]
    rows = rows or [row.where for row in _behind(evidence, check, finding.key)]
    if rows or _told_alike(finding, bare):
        return rows
    return [row.where for row in _looked_up(evidence, check, finding.key)]


def _may_fill(row: Unread, finding: Finding) -> bool:
    """Whether a lost row may be what a gap lacks; always of what is no gap.

    Where its own row stands, an empty cell there is not in another row, but what it looks up may be. Else it lacks a
    reading, which is in a table that tells place or condition: the row of a list is none.
    """
    if not finding.verdict.unshown:
        return True
    if finding.at:
        return finding.verdict is Verdict.NO_RECORD
    table = row.kind.table
    return bool((table.place and finding.key.place) or (table.condition and finding.key.condition))


def _told_alike(finding: Finding, bare: Finding | None) -> bool:
    """Whether a finding has its verdict and its reasons without the lost rows too; what holds it is added behind.

    Of a gap the first note is the reason.
    """
    if bare is None or bare.verdict is not finding.verdict:
        return False
    told = 1 if finding.verdict.unshown else len(bare.notes)
    return finding.notes[:told] == bare.notes[:told]


def _at(evidence: Evidence, finding: Finding) -> Iterator[Unread]:
    """The lost rows among those that a finding stands at, and those that one of its rows names."""
    readable, lost = evidence.once("rows by place", lambda: _by_place(evidence))
    for where in (where.row for where in finding.at):
        yield from lost.get(where, ())
        if row := readable.get(where):
            yield from _named_by(evidence, row)


def _behind(evidence: Evidence, check: Check, key: Key) -> Iterator[Unread]:
    """The lost rows of the tables of a check that its readable rows of the same place and condition name."""
    for kind in check.tables:
        asked = {kind.table.place: key.place, kind.table.condition: key.condition}
        wanted = {name: value for name, value in asked.items() if name and value}
        for row in evidence.of(kind, **wanted) if wanted else ():
            yield from (lost for lost in _named_by(evidence, row) if lost.kind in check.tables)


def _named_by(evidence: Evidence, row: Record) -> Iterator[Unread]:
    """The lost rows of other tables whose id stands in a row."""
    for name, info in row.columns().items():
        other, value = about(info, "refers"), getattr(row, name)
        if other is not None and value is not None and evidence.unread.get(other):
            id_ = other.table.key[0]
            yield from (lost for lost in evidence.lost(other, **{id_: value}) if lost.get(id_) == value)


def _by_place(evidence: Evidence) -> tuple[dict[Where, Record], dict[Where, list[Unread]]]:
    lost: dict[Where, list[Unread]] = {}
    for row in (row for rows in evidence.unread.values() for row in rows):
        lost.setdefault(row.where.row, []).append(row)
    return {row.where: row for rows in evidence.records.values() for row in rows}, lost


def _looked_up(evidence: Evidence, check: Check, key: Key) -> list[Unread]:
    """The lost rows of the tables of a check, of its place where some are; the register looks at every table."""
    whole = check.id.startswith(OWN_CHAPTER)
    kinds = [kind for kind in evidence.unread if kind in check.tables or (whole and kind.table.judged)]
    rows = [row for kind in kinds for row in evidence.unread[kind]]
    if check.id == INSTRUMENT_CHECK:
        return [row for row in rows if _may_name(row, key.place)]
    return [row for row in rows if key.place and row.get(row.kind.table.place) == key.place] or rows


def _may_name(row: Unread, instrument: str) -> bool:
    """Whether a lost row may be a reading of an instrument."""
    columns = [name for name, info in row.kind.columns().items() if about(info, "refers") is Instrument]
    return any(row.get(name) in (None, instrument) for name in columns)


def _of_line(evidence: Evidence, line: Line, waited: Mapping[Key, tuple[Where, ...]]) -> Iterator[Where]:
    """The rows that a line of the plan may count, and those that the findings which it plans wait for."""
    yield from lost_to_the_plan(evidence, line)
    for key, rows in waited.items():
        if key.role is Role.GOVERNING and key.check != PLAN_CHECK and line.covers(key.check, key.place):
            yield from rows
