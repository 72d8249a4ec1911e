"""What the register does after all checks have judged: it adds findings and doubts, and never takes any away."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.register import ages, looks, reports, work
from buildbook.chapters.register.instruments import instrument_findings
from buildbook.chapters.register.plan import plan_findings, short_of_plan
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding

__all__ = ["review", "short_of_plan", "stand_by_reports"]

MADE_IN_REVIEW = ("REG-02", "REG-03")
NEVER_FAILED = (looks.CHECK, ages.CHECK, work.CHECK)  # a report about one of these answers it; it fails nobody


def review(evidence: Evidence, findings: Sequence[Finding]) -> Iterable[Finding]:
    """The findings of REG-02 to REG-07.

    Args:
        evidence: the folder, read.
        findings: what all checks of all chapters found.
    Returns:
        New findings only; those handed in stay as they are.
    """
    added = (*plan_findings(evidence, findings), *instrument_findings(evidence))
    every = reports.reports(evidence)
    seen = reports.stand_by((*findings, *added), every, (reports.CHECK, *NEVER_FAILED))
    known = (*added, *reports.report_findings(evidence, seen))
    everything = (*findings, *known)
    told = (*looks.look_findings(evidence, everything), *ages.age_findings(evidence))
    return (*known, *told, *work.work_findings(evidence, everything))


def stand_by_reports(evidence: Evidence, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, none better than the yard's own nonconformity reports say; doing it twice changes nothing more.

    A report is evidence too. Where it names the check, quantity, place, condition and attempt of a finding, that
    finding is held at fail; where no such finding exists (its rows are gone), a fail is added that rests on the report.
    Reports about REG-02 and REG-03 wait until the review has made those findings; those about REG-05 to REG-07 fail
    nothing.

    Args:
        evidence: the folder, read.
        findings: what was found so far.
    Returns:
        The same findings in the same order, then the added ones.
    """
    reviewed = any(finding.key.check == reports.CHECK for finding in findings)
    skip = (reports.CHECK, *NEVER_FAILED) if reviewed else (reports.CHECK, *NEVER_FAILED, *MADE_IN_REVIEW)
    return reports.stand_by(findings, reports.reports(evidence), skip)
