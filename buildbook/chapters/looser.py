"""A limit of the builder that allows more than the reference does: allowed, and said."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.shared_records import Place
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.hull import SpecifiedLimit
from buildbook.core.judging import Limits
from buildbook.core.limit import Limit
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.core.wording import limit_text
from buildbook.sources import reference_limit

EFFECT = "It governs; each finding shows beside it what the reference makes of the same value."


def looser(limit: Limit, other: Limit) -> bool:
    """Whether a limit allows values that another one forbids; an end that only differs in being excluded is the same.

    Args:
        limit: the limit in question [its unit].
        other: the limit it is held against [the same unit].
    Returns:
        True or false; false where the units differ or a limit is in words [true or false].
    """
    if limit.unit != other.unit or limit.in_words:
        return False
    below = other.low is not None and (limit.low is None or limit.low < other.low)
    above = other.high is not None and (limit.high is None or limit.high > other.high)
    return below or above


def looser_note(limits: Limits) -> tuple[str, ...]:
    """A sentence for a finding whose governing limit is looser than its reference; empty for all others."""
    specified, reference = limits.specified, limits.reference
    if specified is None or reference is None or not looser(specified, reference):
        return ()
    words = _compared(specified, reference)
    return (f"{words[0].upper()}{words[1:]}.",)


def looser_limits(evidence: Evidence) -> Iterable[Fault]:
    """A notice for every limit of the specification that is looser than the reference for the same quantity."""
    for entry in evidence.specification.limits:
        reference = reference_of(evidence, entry)
        if reference is not None and looser(entry.limit, reference):
            at = entry.limit.terms[0].at or Where("hull.toml")
            expected = f"a limit for {entry.quantity} ({entry.check}) as strict as {named(reference)}, or a reason"
            yield Fault(at, expected, _compared(entry.limit, reference), EFFECT, Severity.NOTICE, of_a_limit=True)


def reference_of(evidence: Evidence, entry: SpecifiedLimit) -> Limit | None:
    """The reference for what the entry applies to: references differ by condition, or by what the place is made of."""
    place = evidence.one(Place, place=entry.place) if entry.place else None
    condition = entry.condition or (place.substrate or "" if place is not None else "")
    return reference_limit(entry.check, entry.quantity, condition)


def _compared(limit: Limit, reference: Limit) -> str:
    whose = limit.terms[0].set_by or "the builder"
    return f"the limit set by {whose} ({limit_text(limit)}) is looser than {named(reference)} ({limit_text(reference)})"


def named(reference: Limit) -> str:
    """What a reference is called beside the builder's limit."""
    return "common practice" if reference.standing is Standing.PRACTICE else "the published reference"
