"""Which reading belongs to which: findings of both sides by their key, as left."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildbook.chapters import CHAPTERS
from buildbook.core.finding import Finding, Role
from buildbook.core.record import Record
from buildbook.second.kinds import ASKED

RUN = "run "  # a run on trial has a number of its own on each side; what counts is the setting


@dataclass(frozen=True, slots=True)
class About:
    """A key without the attempt and without the number of the run."""

    check: str
    quantity: str
    place: str
    condition: str


def about(finding: Finding) -> About:
    """What a finding is about, whoever measured it and whenever.

    >>> from buildbook.core.finding import Key, Verdict
    >>> key = Key("VIB-01", "weighted vibration", "V6", "vertical, cruise, run R4", 2)
    >>> about(Finding(key, Verdict.PASS)).condition
    'vertical, cruise'
    """
    key = finding.key
    parts = [part for part in key.condition.split(", ") if not part.startswith(RUN)]
    return About(key.check, key.quantity, key.place, ", ".join(parts))


def as_left(findings: Iterable[Finding]) -> dict[About, Finding]:
    """The last attempt of each thing that has a result; of equals the one read last, then the last of the list."""
    kept: dict[About, Finding] = {}
    for finding in findings:
        if finding.key.role is not Role.GOVERNING or not _has_result(finding):
            continue
        other = kept.get(about(finding))
        if other is None or _age(finding) >= _age(other):
            kept[about(finding)] = finding
    return kept


def _has_result(finding: Finding) -> bool:
    return not finding.verdict.unshown and (finding.measured is not None or bool(finding.observed))


def _age(finding: Finding) -> tuple[int, str]:
    return finding.key.attempt, finding.period.end.isoformat() if finding.period else ""


def in_scope(yard: Mapping[About, Finding], his: Mapping[About, Finding]) -> frozenset[str]:
    """The checks that a second measurement is about: those the sheet asks for, and those the survey answers."""
    asked: set[type[Record]] = {asked.kind for asked in ASKED if asked.place}
    sheet = {check.id for chapter in CHAPTERS for check in chapter.checks if asked & set(check.tables)}
    return frozenset((sheet & {about.check for about in yard}) | {about.check for about in his})
