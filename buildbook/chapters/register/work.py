"""REG-07 the work behind her: people, days and rework of each stage, and which findings show its result.

Effort is never a result, and is compared with nobody's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePosixPath

from buildbook.chapters.register.look import rule
from buildbook.chapters.register.records import Work
from buildbook.chapters.register.rules import missing
from buildbook.chapters.register.spans import person_days
from buildbook.chapters.shared_records import Effort, Nonconformity, Planned
from buildbook.core.evidence import NOT_USED, Evidence
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.where import Where
from buildbook.core.wording import listed, plain_number

CHECK = "REG-07"
BEHIND = "person-days"
REWORK = "rework"
NOT_SAID = "kind not said"
OWN = PurePosixPath(Effort.table.file).parent.name  # the stage of a chapter's own day sheets
KINDS = ("preparation", "first pass", "inspection", REWORK, NOT_SAID)
NO_RESULT = "Effort shows what was spent, not what came of it; it is compared with nobody's."


@dataclass(frozen=True, slots=True)
class Spent:
    """One row of work: its stage, kind, days, people, person-days [d], what it is for, which checks show its result."""

    stage: str
    kind: str
    first: date
    last: date
    people: int
    effort: float
    where: Where
    purpose: str = ""
    checks: tuple[str, ...] = ()


def spent(evidence: Evidence) -> tuple[Spent, ...]:
    """Every row of work by stage, in the order in which stages began.

    A table of day sheets that one chapter has of its own counts as one stage, named after the folder it lies in.
    """
    day = rule("hours of a day")
    rows = [
        Spent(
            row.stage,
            row.kind,
            row.begun,
            row.last,
            row.people,
            person_days(row.people, row.days, row.hours, day),
            row.where,
            row.purpose or "",
            row.checks,
        )
        for row in evidence.of(Work)
    ]
    rows += [
        Spent(OWN, NOT_SAID, row.day, row.day, row.people, person_days(row.people, 1, row.hours, day), row.where)
        for row in evidence.of(Effort)
    ]
    begun = {row.stage: min(one.first for one in rows if one.stage == row.stage) for row in rows}
    return tuple(sorted(rows, key=lambda row: (begun[row.stage], row.stage, row.first, row.where.order)))


def by_stage(evidence: Evidence) -> dict[str, list[Spent]]:
    """The rows of work of each stage."""
    found: dict[str, list[Spent]] = {}
    for row in spent(evidence):
        found.setdefault(row.stage, []).append(row)
    return found


def work_findings(evidence: Evidence, findings: Sequence[Finding]) -> Iterable[Finding]:
    """REG-07: for each stage what was spent, inspected, rejected and done again; always for information."""
    stages = by_stage(evidence)
    if Work in evidence.missing or not stages:
        yield unjudged(Key(CHECK, BEHIND), Verdict.NO_RECORD, missing(evidence, Work))
    for stage, rows in stages.items():
        yield from _of_stage(evidence, findings, stage, rows)


def _of_stage(evidence: Evidence, findings: Sequence[Finding], stage: str, rows: Sequence[Spent]) -> Iterable[Finding]:
    checks = tuple(sorted({check for row in rows for check in row.checks}))
    total = sum(row.effort for row in rows)
    again = sum(row.effort for row in rows if row.kind == REWORK)
    first, last = min(row.first for row in rows), max(row.last for row in rows)
    most, least = max(row.people for row in rows), min(row.people for row in rows)
    crew = f"{most}" if most == least else f"{least} to {most}"
    days = counted((last - first).days + 1, "day")
    observed = f"{crew} {'person' if most == 1 else 'people'} within {days}"
    about = About(
        method="day sheets added up, people × days × hours",
        at=tuple(row.where for row in rows),
        working=tuple(_by_kind(rows)),
        notes=(
            f"From {first.isoformat()} to {last.isoformat()}: "
            f"{counted(_inspections(evidence, stage, checks), 'inspection')} planned; "
            f"{_rejected(evidence, findings, stage, checks)}; "
            f"{f'{plain_number(round(again, 1))} person-days of' if again else 'no'} rework.",
            *_told(rows, checks),
            NO_RESULT,
        ),
        caps=_lost_sheets(evidence, stage),
    )
    key, effort = Key(CHECK, BEHIND, "", stage), Quantity.count(total, "d")
    yield from judge(key, effort, Limits(), about, observed=observed)


def _lost_sheets(evidence: Evidence, stage: str) -> tuple[str, ...]:
    """Day sheets of the chapter that this stage is named after that could not be used."""
    lost = len(evidence.lost(Effort)) if stage == OWN else 0
    return (f"{counted(lost, 'row')} of {Effort.table.file} {NOT_USED}.",) if lost else ()


def _inspections(evidence: Evidence, stage: str, checks: Sequence[str]) -> int:
    """Lines of the plan for this stage: in its words, for its checks, or about a record in a folder of its name."""
    return sum(
        1
        for line in evidence.of(Planned)
        if line.stage.casefold() == stage.casefold() or line.check in checks or line.record.startswith(f"{stage}/")
    )


def _rejected(evidence: Evidence, findings: Iterable[Finding], stage: str, checks: Sequence[str]) -> str:
    """Findings that failed and reports, each with what it was counted of."""
    reports = counted(_reports(evidence, stage, checks), "report")
    if not checks:
        return f"no check is named, so no failed finding is counted; {reports} about this stage"
    failed = counted(_failed(findings, checks), "finding")
    return f"{failed} failed in the checks named below; {reports} about this stage or these checks"


def _failed(findings: Iterable[Finding], checks: Sequence[str]) -> int:
    return sum(
        1 for one in findings if one.key.check in checks and one.key.role is Role.GOVERNING and one.verdict.missed
    )


def _reports(evidence: Evidence, stage: str, checks: Sequence[str]) -> int:
    rows = evidence.of(Nonconformity)
    return sum(1 for row in rows if row.stage.casefold() == stage.casefold() or row.check in checks)


def _by_kind(rows: Sequence[Spent]) -> Iterable[str]:
    for kind in KINDS:
        its = [row.effort for row in rows if row.kind == kind]
        if its:
            yield f"{kind}: {plain_number(round(sum(its), 2))} person-days in {counted(len(its), 'row')}"


def _told(rows: Sequence[Spent], checks: Sequence[str]) -> Iterable[str]:
    """What the work is for, in the yard's own words, and where its result stands."""
    purposes = tuple(dict.fromkeys(row.purpose for row in rows if row.purpose))
    if purposes:
        yield f"What it is for, in the yard's words: {'; '.join(purposes)}."
    if checks:
        yield f"Its result is shown by the findings of {listed(checks)}."
    else:
        yield "Which checks show its result is not said."
