"""From a value and its limits to findings: the governing one and, beside it, the reference."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from buildbook.core.decide import Decision, cap, decide, decide_fact, part_unknown
from buildbook.core.finding import Finding, Key, Period, Role, Verdict
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.where import Where

REFERENCE_GOVERNS = "The hull's specification sets no limit here, so the published reference is used."
PRACTICE_GOVERNS = (
    "The hull's specification sets no limit here, so common practice is used; it has no published source."
)
AGREED_GOVERNS = (
    "The hull's specification sets no limit here. A class or kind was agreed, and its number is a published one."
)
NOBODY_SET = "Nobody set a limit for this; the value is shown for information."


@dataclass(frozen=True, slots=True)
class Limits:
    """What one quantity is judged against: the hull's own specification, and a published reference (either may be
    absent).
    """

    specified: Limit | None = None
    reference: Limit | None = None


@dataclass(frozen=True, slots=True)
class About:
    """What a finding says besides its value: method, when, with what, from which rows, how worked out, what to know.

    `work` is what was done since the attempt before, where the rows themselves say it.
    `caps` are reasons why nothing better than `inconclusive` may be said (a gap in the readings, an unknown
    instrument).
    `lacks` says which part of its uncertainty is not on record; then nothing better than a conditional pass is said.
    """

    method: str = ""
    period: Period | None = None
    instruments: tuple[str, ...] = ()
    at: tuple[Where, ...] = ()
    working: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    caps: tuple[str, ...] = ()
    work: str = ""
    lacks: str = ""


def judge(key: Key, measured: Quantity, limits: Limits, about: About, *, observed: str = "") -> tuple[Finding, ...]:
    """The governing finding of a measured value, and a reference finding where both limits exist."""
    return _findings(key, lambda limit: decide(measured, limit), limits, about, measured, observed)


def judge_fact(key: Key, met: bool | None, observed: str, limits: Limits, about: About) -> tuple[Finding, ...]:
    """The same for a requirement in words: `met` is True, False or None (cannot be told)."""
    return _findings(key, lambda limit: decide_fact(met, limit), limits, about, None, observed)


def unjudged(key: Key, verdict: Verdict, why: str, about: About | None = None, limits: Limits | None = None) -> Finding:
    """A finding without a result: not measured, no record, not applicable, inconclusive, always with the reason."""
    about, limits = about or About(), limits or Limits()
    limit = limits.specified or limits.reference
    finding = _finding(key, Decision(verdict), limit, about, None, "")
    return replace(finding, notes=(why, *finding.notes))


def worst(*judged: Iterable[Finding]) -> tuple[Finding, ...]:
    """Of several judgements of one subject the worst for each key, and of equals the first that shows a limit.

    Where it is not known which limit holds or which readings count, each possibility is judged and the worst stands.
    """
    kept: dict[Key, Finding] = {}
    for finding in (finding for findings in judged for finding in findings):
        other = kept.setdefault(finding.key, finding)
        more = finding.verdict.rank - other.verdict.rank
        if more > 0 or (more == 0 and other.limit is None and finding.limit is not None):
            kept[finding.key] = finding
    return tuple(kept.values())


def _findings(
    key: Key,
    decided: Callable[[Limit | None], Decision],
    limits: Limits,
    about: About,
    measured: Quantity | None,
    observed: str,
) -> tuple[Finding, ...]:
    governing = limits.specified or limits.reference
    notes = about.notes
    if governing is None:
        notes = (*notes, NOBODY_SET)
    elif limits.specified is None:
        notes = (*notes, _without_specification(governing))
    found = [_finding(key, decided(governing), governing, replace(about, notes=notes), measured, observed)]
    if limits.specified is not None and limits.reference is not None:
        beside = replace(key, role=Role.REFERENCE)
        found.append(_finding(beside, decided(limits.reference), limits.reference, about, measured, observed))
    return tuple(found)


def _without_specification(governing: Limit) -> str:
    """Whose limit is used where the hull's specification sets none."""
    if governing.terms[0].set_by == "builder" and any(term.source for term in governing.terms):
        return AGREED_GOVERNS
    return PRACTICE_GOVERNS if governing.standing is Standing.PRACTICE else REFERENCE_GOVERNS


def _finding(
    key: Key, decision: Decision, limit: Limit | None, about: About, measured: Quantity | None, observed: str
) -> Finding:
    finding = Finding(
        key=key,
        verdict=decision.verdict,
        measured=measured,
        limit=limit,
        observed=observed,
        margin=decision.margin,
        guard=decision.guard,
        method=about.method,
        period=about.period,
        instruments=about.instruments,
        at=about.at,
        working=about.working,
        notes=(*about.notes, *decision.notes),
        work=about.work,
    )
    return part_unknown(cap(finding, about.caps), about.lacks)
