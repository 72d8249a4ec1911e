"""Which reading belongs to which: findings of both sides by their key, as left, every run of a setting by itself."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.chapters import CHECKS
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


@dataclass(frozen=True, slots=True)
class Readings:
    """All that one side has about one thing: the last attempt, each of its runs, the worst first; then what was before.

    Two runs of one attempt are no attempts: neither takes the place of the other.
    """

    last: tuple[Finding, ...]
    earlier: tuple[Finding, ...]


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


def run_of(finding: Finding) -> str:
    """The run of a finding as its condition names it (`run R4`); empty where it is of none."""
    return next((part for part in finding.key.condition.split(", ") if part.startswith(RUN)), "")


def as_left(findings: Iterable[Finding]) -> dict[About, Readings]:
    """Every governing finding with a result, by what it is about."""
    found: dict[About, list[Finding]] = {}
    for finding in findings:
        if finding.key.role is Role.GOVERNING and _has_result(finding):
            found.setdefault(about(finding), []).append(finding)
    return {key: _readings(same) for key, same in found.items()}


def _has_result(finding: Finding) -> bool:
    return finding.measured is not None or (bool(finding.observed) and not finding.verdict.unshown)


def _readings(same: list[Finding]) -> Readings:
    attempt = max(finding.key.attempt for finding in same)
    last = sorted((finding for finding in same if finding.key.attempt == attempt), key=_worst_first)
    earlier = sorted((finding for finding in same if finding.key.attempt != attempt), key=lambda it: it.key.order)
    return Readings(tuple(last), tuple(earlier))


def _worst_first(finding: Finding) -> tuple[float, float, float, str]:
    """By verdict, then by what is left to the limit; without a limit the larger value first, as in `decide.nearest`."""
    measured = finding.measured
    margin = math.inf if finding.margin is None else finding.margin
    return -finding.verdict.rank, margin, -measured.value if measured else 0.0, finding.key.condition


def in_scope(yard: Iterable[About], his: Iterable[About]) -> frozenset[str]:
    """The checks that a second measurement is about: those the sheet asks for, and those the survey answers."""
    asked: set[type[Record]] = {asked.kind for asked in ASKED if asked.place}
    sheet = {check.id for check in CHECKS if asked & set(check.tables)}
    return frozenset((sheet & {about.check for about in yard}) | {about.check for about in his})
