"""Every blade and every propeller that a check speaks of, attempt by attempt, and those without a reading."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from buildbook.chapters.propeller.subjects import READINGS, Reading, blades, last_attempt, last_of_all, propellers
from buildbook.chapters.subjects import absent, asked_places
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict

Judged = Callable[[Key], Iterable[Finding]]


def each_blade(
    evidence: Evidence, check: str, quantity: str, kind: type[Reading], what: str, judged: Judged
) -> Iterable[Finding]:
    """Every attempt at every blade that any table knows; `what` names the readings where the propeller has none."""
    for propeller in propellers(evidence):
        marks = blades(evidence, propeller, *READINGS) if blades(evidence, propeller, kind) else ()
        for blade in marks:
            for attempt in range(1, max(last_attempt(evidence, propeller, blade, kind=kind), 1) + 1):
                yield from judged(Key(check, quantity, propeller, blade, attempt))
        if not marks:
            yield _unmeasured(evidence, Key(check, quantity, propeller), kind, what)
    yield from _planned_elsewhere(evidence, check, quantity, kind, what)


def each_propeller(
    evidence: Evidence, check: str, quantity: str, kind: type[Reading], what: str, judged: Judged
) -> Iterable[Finding]:
    """Every propeller as received and as each later attempt at one of its blades left it."""
    for propeller in propellers(evidence):
        last = last_of_all(evidence, propeller, kind)
        for attempt in range(1, last + 1):
            yield from judged(Key(check, quantity, propeller, "", attempt))
        if not last:
            yield _unmeasured(evidence, Key(check, quantity, propeller), kind, what)
    yield from _planned_elsewhere(evidence, check, quantity, kind, what)


def _planned_elsewhere(
    evidence: Evidence, check: str, quantity: str, kind: type[Reading], what: str
) -> Iterable[Finding]:
    for place, why in asked_places(evidence, check, kind.table.file, quantity).items():
        if place not in propellers(evidence):
            words = f"{why}, and no {what} of this propeller was measured."
            yield absent(evidence, kind, Key(check, quantity, place), Verdict.NOT_MEASURED, words)


def _unmeasured(evidence: Evidence, key: Key, kind: type[Reading], what: str) -> Finding:
    return absent(evidence, kind, key, Verdict.NOT_MEASURED, f"No {what} of this propeller was measured.")
