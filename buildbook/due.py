"""What is not asked for yet, because the build has not come so far."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from buildbook.chapters.register.plan import CHECK as PLAN
from buildbook.chapters.shared_records import Instrument, Nonconformity, Place, Planned
from buildbook.core.chapter import Chapter
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict, by_check
from buildbook.core.stage import Stage, not_due, stage_named

NO_READINGS = (Place, Instrument)  # tables that say nothing of whether a check has begun
ASKING = (Place.table.file, Planned.table.file, "hull.toml")  # a row of these asks; it shows no work


def due_by_now(evidence: Evidence, chapters: Sequence[Chapter], findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, those of what is not there and not asked for yet marked as not due.

    Only what is absent can be not due: no reading, no row, no word that it was done. Where anything has been judged of
    a check, a row of its tables cannot be read, or plan or report speak of it as done, the check has begun, and what
    is not there of it is a gap as ever.

    Args:
        evidence: the folder, read; its hull gives the stage, empty where none is given or where it cannot be so.
        chapters: the chapters that were judged.
        findings: everything that was found.
    """
    later, lines = _later(evidence, chapters, findings)
    return tuple(_marked(finding, later, lines) for finding in findings)


def with_waiting_lines(evidence: Evidence, chapters: Sequence[Chapter], findings: Sequence[Finding]) -> Evidence:
    """The evidence with the lines of the plan that are not due yet, so that no look misses the tables they name.

    What the register adds in its review is not found yet, so no line about one of its own checks is among them.
    """
    _, lines = _later(evidence, chapters, findings)
    reviewed = {check.id for chapter in chapters if chapter.review is not None for check in chapter.checks}
    waiting = frozenset(row.line for row in evidence.of(Planned) if row.line in lines and row.check not in reviewed)
    return replace(evidence, waiting=waiting) if waiting else evidence


def _later(
    evidence: Evidence, chapters: Sequence[Chapter], findings: Sequence[Finding]
) -> tuple[Mapping[str, Stage], Mapping[str, Stage]]:
    """The checks and the lines of the plan of which nothing is on record, and that are due from a later stage."""
    stage = stage_named(evidence.hull.stage)
    if stage is None:
        return {}, {}
    due = {check.id: chapter.due_of(check) for chapter in chapters for check in chapter.checks}
    checks = {check.id: check for chapter in chapters for check in chapter.checks}
    begun = {*_begun(evidence, checks, findings), *_spoken_of(evidence, checks)}
    later = {name: when for name, when in due.items() if stage.before(when) and name not in begun}
    lines = {line: when for line, when in _lines(evidence, due, begun) if stage.before(when)}
    return later, lines


def _begun(evidence: Evidence, checks: Mapping[str, Check], findings: Iterable[Finding]) -> Iterable[str]:
    """The checks of which something is on record: a finding that is more than a gap, or a row that cannot be read."""
    for name, its in by_check(findings).items():
        if any(_shows_work(finding) for finding in its) or _unreadable(evidence, checks[name]):
            yield name


def _spoken_of(evidence: Evidence, checks: Iterable[str]) -> Iterable[str]:
    """The checks of which a line of the plan says that they are done, or a report that they failed.

    A line or a report that cannot be read may say so of the check it names, and of any where none can be made out.
    """
    done = (line.check for line in evidence.of(Planned) if _said_done(line))
    unread = [row.get("check") for kind in (Planned, Nonconformity) for row in evidence.unread.get(kind, ())]
    reported = (report.check for report in evidence.of(Nonconformity) if report.check)
    return (*done, *reported, *(name for name in unread if name), *(checks if None in unread else ()))


def _said_done(line: Planned) -> bool:
    return bool(line.released_on or line.attended or line.went_on)


def _shows_work(finding: Finding) -> bool:
    absent = finding.verdict.unshown or finding.verdict is Verdict.NOT_APPLICABLE
    return not absent or any(where.file not in ASKING for where in finding.at)


def _unreadable(evidence: Evidence, check: Check) -> bool:
    return any(evidence.unread.get(kind) for kind in check.tables if kind not in NO_READINGS)


def _lines(evidence: Evidence, due: Mapping[str, Stage], begun: set[str]) -> Iterable[tuple[str, Stage]]:
    """The lines of the plan that can be read, of checks that have not begun, with the stage from which they are due.

    That is the stage that the line names in the words of `core.stage`, else that of its check.
    """
    for line in evidence.of(Planned):
        when = stage_named(line.stage.strip().lower()) or due.get(line.check)
        if when is not None and line.check not in begun:
            yield line.line, when


def _marked(finding: Finding, later: Mapping[str, Stage], lines: Mapping[str, Stage]) -> Finding:
    key = finding.key
    when = lines.get(key.place) if key.check == PLAN else later.get(key.check)
    if when is None or not finding.verdict.unshown:
        return finding
    return not_due(finding, when)
