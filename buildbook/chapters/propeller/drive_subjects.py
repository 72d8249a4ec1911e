"""What the checks of balance, match, clearance and slip share: propellers, rules, mean pitch as left."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buildbook import sources
from buildbook.chapters.propeller.checks.found import Found
from buildbook.chapters.propeller.checks.pitch import as_left, found_whole, whole_caps
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import BLADE, last_of_all, propellers
from buildbook.chapters.subjects import planned_places
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.evidence import Evidence
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.record import Record
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.sources import figure

RULES = "propeller_drive_rules"
PORT, STARBOARD = "port", "starboard"
EACH = 100.0  # per cent
SPEED_UNSURE = "So whether its shaft turns faster than the speed its balance is stated for is not known."


def rule(name: str) -> float:
    """A figure of the printed rules about balance, room and slip, in the unit of its row."""
    return figure(RULES, name)


def rule_limit(low: str = "", high: str = "") -> Limit:
    """Printed rules of this subject as a limit."""
    return sources.rule_limit(RULES, low, high)


def customary(name: str) -> str:
    """What a printed rule says, as a sentence of a finding."""
    return sources.rule_words(RULES, name)


def known_propellers(evidence: Evidence) -> tuple[str, ...]:
    """Every propeller that any table names."""
    tables = (Balance, Clearance, Drive, ShaftSpeed)
    named = [str(name) for kind in tables for name in evidence.values(kind, "propeller")]
    return tuple(dict.fromkeys((*propellers(evidence), *named)))


def asked(evidence: Evidence, check: str, kind: type[Record]) -> tuple[str, ...]:
    """Every propeller that any table, the plan or a limit of a check names."""
    planned = planned_places(evidence, check, kind.table.file)
    limited = [entry.place for entry in evidence.specification.limits if entry.check == check and entry.place]
    return tuple(dict.fromkeys((*known_propellers(evidence), *planned, *limited)))


def on_side(evidence: Evidence, side: str) -> Propeller | None:
    """The propeller on one side; None where none or more than one is ordered for it."""
    found = evidence.of(Propeller, side=side)
    return found[0] if len(found) == 1 else None


def lone_screw(evidence: Evidence) -> bool:
    """Whether she has one propeller for certain: one is named, and no row about another can have been lost."""
    return len(known_propellers(evidence)) == 1 and bool(evidence.of(Propeller)) and not evidence.lost(Propeller)


@dataclass(frozen=True, slots=True)
class MeanPitch:
    """The mean pitch of a propeller as it was left: the value, the mean of every blade, and why it may be in doubt."""

    whole: Found
    blades: tuple[Found, ...]
    caps: tuple[str, ...]

    @property
    def pitch(self) -> Quantity:
        """The pitch [mm]."""
        return self.whole.measured


def mean_pitch(evidence: Evidence, ordered: Propeller, attempt: int | None = None) -> MeanPitch | None:
    """The mean pitch of a propeller up to an attempt, by default as it was left; None where no blade was read."""
    last = last_of_all(evidence, ordered.propeller) if attempt is None else attempt
    left = as_left(evidence, ordered, last)
    means = tuple(found for blade in left for found in blade.of(evidence, ordered, BLADE))
    if not means:
        return None
    whole = found_whole(means)
    return MeanPitch(whole, means, (*whole.use.caps, *whole_caps(evidence, ordered, left)))


def as_left_words(found: MeanPitch, name: str) -> str:
    """The mean pitch of a propeller as a line of working."""
    return f"{name}: mean pitch {fixed(found.pitch.value, 1)} mm as left, from {len(found.blades)} blades"


def difference(one: Quantity, other: Quantity, names: Sequence[str], scale: float = 1.0, unit: str = "") -> Quantity:
    """One quantity less another, times a scale; what is unsure of each is taken as independent.

    Readings of one bench may err alike, and their difference is then surer than this says.
    """
    value, unit = scale * (one.value - other.value), unit or one.unit
    if one.standard is None or other.standard is None:
        return Quantity.combined(value, unit, ())
    parts = (Part(names[0], scale * one.standard), Part(names[1], scale * other.standard))
    return Quantity.combined(value, unit, parts)


def relative(pairs: Iterable[tuple[str, Quantity]], size: float) -> tuple[Part, ...]:
    """The parts of a product of quantities [unit of `size`]: each by its share; none where one states none."""
    parts = []
    for name, quantity in pairs:
        if quantity.standard is None:
            return ()
        parts.append(Part(name, abs(size) * quantity.standard / quantity.value))
    return tuple(parts)


def mean(values: Sequence[float]) -> float:
    """The plain mean."""
    return math.fsum(values) / len(values)


def fastest_on_trial(evidence: Evidence, row: Balance) -> float | None:
    """How fast a shaft turned on trial [r/min] where that was faster than the speed stated with its balance."""
    fastest = max((shaft.shaft_speed for shaft in evidence.of(ShaftSpeed, propeller=row.propeller)), default=0.0)
    return fastest if fastest > row.speed * (1.0 + rule("speed above the stated") / EACH) else None


def faster_on_trial(evidence: Evidence, row: Balance) -> tuple[str, ...]:
    """That a shaft turned faster on trial than the speed stated with its balance; empty where it did not."""
    fastest = fastest_on_trial(evidence, row)
    if fastest is None:
        return ()
    turned = f"On trial its shaft turned {plain_number(fastest)} r/min"
    return (f"{turned}, faster than the {plain_number(row.speed)} r/min that its balance is stated for.",)


def trial_speed_unsure(evidence: Evidence, propeller: str) -> tuple[str, ...]:
    """Why the shaft of a propeller may have turned faster on trial than any row that can be used says; else empty."""
    for kind in (ShaftSpeed, TrialRun):
        if kind in evidence.missing:
            return (f"{kind.table.file}: {evidence.missing[kind]}. {SPEED_UNSURE}",)
    lost = evidence.lost(ShaftSpeed, propeller=propeller)
    runs = evidence.values(TrialRun, "run")
    without = [str(run) for run in runs if not evidence.of(ShaftSpeed, run=run, propeller=propeller)]
    if without:
        return (f"No shaft speed of {propeller} can be used in {listed(without)}. {SPEED_UNSURE}",)
    if lost:
        return (f"A row of {ShaftSpeed.table.file} about this propeller cannot be used. {SPEED_UNSURE}",)
    return ()
