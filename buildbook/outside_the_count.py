"""What no count shows: references that are missed, and limits the builder set wider than is customary."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from buildbook.chapters.looser import named, references_beside, stricter_references
from buildbook.core.book import Beside, Lenient, Numbered
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Role
from buildbook.core.hull import SpecifiedLimit
from buildbook.core.limit import Limit
from buildbook.core.wording import capital, limit_text, plain_number, subject_text


def references_missed(given: Mapping[Key, Numbered]) -> tuple[Beside, ...]:
    """Every reference that is missed, worst first, each with the finding that is counted in its place.

    Args:
        given: every finding of the book by its key, in the order of the book.
    """
    missed = [item for key, item in given.items() if key.role is Role.REFERENCE and item.finding.verdict.missed]
    pairs = ((item, given.get(replace(item.finding.key, role=Role.GOVERNING))) for item in missed)
    return tuple(Beside(item, counted) for item, counted in sorted(pairs, key=lambda it: -it[0].finding.verdict.rank))


def lenient_limits(evidence: Evidence, given: Mapping[Key, Numbered], names: Mapping[str, str]) -> tuple[Lenient, ...]:
    """Limits of hull.toml that allow more than their reference, or have less than the whole uncertainty as guard band.

    Args:
        evidence: the folder, with the builder's specification.
        given: every finding of the book by its key.
        names: names of places in words.
    """
    shown = references_beside(item.finding for item in given.values())
    return tuple(
        Lenient(
            check=entry.check,
            what=_what(entry, names),
            limit=limit_text(entry.limit),
            beside=beside,
            findings=tuple(_resting(entry, given.values())),
            at=entry.limit.terms[0].at,
        )
        for entry in evidence.specification.limits
        if (beside := "; ".join(_wider(entry, stricter_references(evidence, entry, shown))))
    )


def _what(entry: SpecifiedLimit, names: Mapping[str, str]) -> str:
    words = subject_text(Key(entry.check, entry.quantity, entry.place, entry.condition), names)
    return capital(words)


def _wider(entry: SpecifiedLimit, stricter: Iterable[Limit]) -> Iterable[str]:
    yield from (f"{limit_text(reference)}, {named(reference)}" for reference in stricter)
    if entry.limit.guard == 0.0:
        yield "with the whole uncertainty as guard band; here there is none"
    elif entry.limit.guard < 1.0:
        yield f"with the whole uncertainty as guard band; here it is {plain_number(entry.limit.guard)} of it"


def _resting(entry: SpecifiedLimit, items: Iterable[Numbered]) -> Iterable[str]:
    """The numbers of the findings that an entry of hull.toml governs."""
    at = entry.limit.terms[0].at
    for item in items:
        limit = item.finding.limit
        if at is not None and limit is not None and any(term.at == at for term in limit.terms):
            yield item.number
