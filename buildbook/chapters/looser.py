"""A limit of the builder that allows more than the reference does: allowed, and said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from buildbook.chapters.shared_records import Place
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding, Role
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


def looser_limits(evidence: Evidence, findings: Iterable[Finding] = ()) -> Iterable[Fault]:
    """A notice for every limit of the specification that is looser than a reference for the same quantity.

    `findings` are all that were made: a reference that one of them shows beside the limit is one.
    """
    beside = references_beside(findings)
    for entry in evidence.specification.limits:
        stricter = stricter_references(evidence, entry, beside)
        if stricter:
            at = entry.limit.terms[0].at or Where("hull.toml")
            whose = " and ".join(dict.fromkeys(map(named, stricter)))
            expected = f"a limit for {entry.quantity} ({entry.check}) as strict as {whose}, or a reason"
            yield Fault(at, expected, _compared(entry.limit, *stricter), EFFECT, Severity.NOTICE, of_a_limit=True)


def references_beside(findings: Iterable[Finding]) -> Mapping[Where, tuple[Limit, ...]]:
    """By its line of hull.toml, the references that findings show beside a limit which governs them."""
    by_key = {finding.key: finding for finding in findings}
    found: dict[Where, list[Limit]] = {}
    for key, finding in by_key.items():
        other = by_key.get(replace(key, role=Role.GOVERNING)) if key.role is Role.REFERENCE else None
        if other is None or other.limit is None or finding.limit is None:
            continue
        for at in (term.at for term in other.limit.terms if term.at is not None):
            found.setdefault(at, []).append(finding.limit)
    return {at: tuple(its) for at, its in found.items()}


def stricter_references(
    evidence: Evidence, entry: SpecifiedLimit, beside: Mapping[Where, tuple[Limit, ...]]
) -> tuple[Limit, ...]:
    """The references that forbid what the entry allows, each once: the printed one, and those beside its findings."""
    at, printed = entry.limit.terms[0].at, reference_of(evidence, entry)
    references = (*((printed,) if printed is not None else ()), *(beside.get(at, ()) if at is not None else ()))
    stricter = (one for one in references if looser(entry.limit, one))
    return tuple({(named(one), limit_text(one)): one for one in stricter}.values())


def reference_of(evidence: Evidence, entry: SpecifiedLimit) -> Limit | None:
    """The reference for what the entry applies to: references differ by condition, or by what the place is made of."""
    place = evidence.one(Place, place=entry.place) if entry.place else None
    condition = entry.condition or (place.substrate or "" if place is not None else "")
    return reference_limit(entry.check, entry.quantity, condition)


def _compared(limit: Limit, *references: Limit) -> str:
    whose = limit.terms[0].set_by or "the builder"
    others = " and ".join(f"{named(one)} ({limit_text(one)})" for one in references)
    return f"the limit set by {whose} ({limit_text(limit)}) is looser than {others}"


def named(reference: Limit) -> str:
    """What a reference is called beside the builder's limit."""
    if reference.standing is Standing.BUILDER:
        return f"the figure set by {reference.terms[0].set_by or 'a paper of the folder'}"
    return "common practice" if reference.standing is Standing.PRACTICE else "the published reference"
