"""What the checks of the register ask for, with its source; and rows taken as they are, readable or only in part."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar, cast

from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding
from buildbook.core.judging import Limits
from buildbook.core.limit import Limit
from buildbook.core.record import Record
from buildbook.sources import reference_limit

R = TypeVar("R", bound=Record)


def rule(check: str, quantity: str, condition: str = "") -> Limit:
    """The requirement for one quantity from the printed table of the register."""
    limit = reference_limit(check, quantity, condition)
    if limit is None:
        raise LookupError(f"no table of limits has a row for {check}, {quantity}, {condition or 'any condition'}")
    return limit


def published(check: str, quantity: str, condition: str = "") -> Limits:
    """A requirement that somebody outside printed: it stands where a published reference stands."""
    return Limits(reference=rule(check, quantity, condition))


def own_rule(check: str, quantity: str) -> Limits:
    """A requirement that this book sets itself. Its terms say so; it governs, since no specification speaks of it."""
    limit = rule(check, quantity)
    return Limits(specified=replace(limit, terms=tuple(replace(term, set_by="this book") for term in limit.terms)))


ONLY_REPORTED = "The reading itself meets it; only the report calls it a fail."


def good_but_reported(finding: Finding) -> bool:
    """Whether the reading on record meets its limit, and a report alone makes a fail of it."""
    return any(note.endswith(ONLY_REPORTED) for note in finding.notes)


def from_report_alone(finding: Finding) -> bool:
    """Whether a finding rests on nothing but a nonconformity report: no row shows it."""
    return bool(finding.at) and all(where.file == Nonconformity.table.file for where in finding.at)


def absent_by_report(finding: Finding) -> bool:
    """Whether a finding has no result at all, and is a fail because a nonconformity report speaks of it."""
    return finding.verdict.missed and finding.measured is None and not finding.observed


def made_out(row: Unread, kind: type[R]) -> R:
    """What can be made out of a row that could not be read, in the form of its record; None where nothing can."""
    cells = {name: row.get(name) for name in kind.columns()}
    return cast(R, kind.model_construct(where=row.where, **cells))


def missing(evidence: Evidence, kind: type[Record]) -> str:
    """Why a table has no rows, as a sentence that names the file."""
    file, reason = kind.table.file, evidence.missing.get(kind, "has no rows")
    return f"{reason}." if file in reason else f"{file}: {reason}."


def all_rows(evidence: Evidence, kind: type[R]) -> tuple[tuple[str, R, str], ...]:
    """Every row of a table in the order of the file: a name of its own, the row, and why it is unreadable ("" if not).

    Rows that cannot be read are told as far as they can be made out, so that what they show against her still counts;
    the pipeline holds whatever rests on them at `inconclusive` or worse.

    The name is the first column of the table's key. Where that cannot be made out, or stands twice, the line of the
    file says which row is meant.
    """
    readable = [(row, "") for row in evidence.of(kind)]
    lost = [(made_out(row, kind), row.why) for row in evidence.lost(kind)]
    seen: set[str] = set()
    named = []
    for row, why in sorted([*readable, *lost], key=lambda pair: pair[0].where.order):
        name = getattr(row, kind.table.key[0])
        if not name:
            name = str(row.where.row)
        elif name in seen:
            name = f"{name} (line {row.where.line})"
        seen.add(name)
        named.append((name, row, why))
    return tuple(named)
