"""PRO-05: the class of accuracy that everything measured meets together, and beside it that of the pitch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.propeller.checks.aspects import ASPECTS
from buildbook.chapters.propeller.checks.found import NOT_ORDERED, Found, best_class, holds_class, scope
from buildbook.chapters.propeller.checks.geometry import found_as_left, radii_as_left, reasons, worked_on_since
from buildbook.chapters.propeller.checks.pitch import LEVELS, Blade, as_left, found_whole, whole_caps
from buildbook.chapters.propeller.records import PitchReading, Propeller
from buildbook.chapters.propeller.subjects import (
    BLADE,
    CLASSES,
    LOCAL,
    READINGS,
    WHOLE,
    agreed,
    in_radii,
    joined,
    last_of_all,
    least_tolerances_apply,
    propellers,
    same_radius,
)
from buildbook.chapters.subjects import absent, period
from buildbook.core.decide import conditional_at_best
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.wording import listed
from buildbook.sources import table

CLASS, PITCH_CLASS = "accuracy class", "accuracy class of the pitch"
NO_CLASS = "no class"
NOT_READ = ": not measured"  # behind a level in the working
NOT_CLEAR = "Some of its values lie inside this class without a clear margin."
PITCH_ALONE = "The class is that of the pitch alone."
EVERYTHING = (
    "The class is that of the pitch and of all else that was read. That is spacing, thickness, length, position, "
    "radius and surface of the blades."
)
WITH_LEAST = "The least tolerances in millimetres were applied."
WITHOUT_LEAST = "The least tolerances in millimetres were not applied: only the shares count, which is stricter."
Levels = Mapping[str, Sequence[Found]]


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of a propeller as it was left: values by level, radii of each blade, and what is missing."""

    levels: Levels
    radii: tuple[Sequence[float], ...]
    caps: tuple[str, ...]
    about: str


def classed(evidence: Evidence) -> Iterable[Finding]:
    """PRO-05: of each propeller, as it was left, the best class that everything meets, and that of its pitch."""
    for propeller in propellers(evidence):
        yield from _each(evidence, CLASS, propeller, last_of_all(evidence, propeller, *READINGS))
        yield from _each(evidence, PITCH_CLASS, propeller, last_of_all(evidence, propeller))


def _each(evidence: Evidence, quantity: str, propeller: str, last: int) -> Iterable[Finding]:
    key = Key("PRO-05", quantity, propeller, "", max(last, 1))
    ordered = evidence.one(Propeller, propeller=propeller)
    if ordered is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED)
    elif not last:
        words = f"Nothing of the {'propeller' if quantity == CLASS else 'pitch'} was measured."
        yield absent(evidence, PitchReading, key, Verdict.NOT_MEASURED, words, _asked(ordered, quantity))
    else:
        measured = _pitch(evidence, ordered, key.attempt)
        yield from _classed(
            key, ordered, _everything(evidence, ordered, key, measured) if quantity == CLASS else measured
        )


def _asked(ordered: Propeller, quantity: str) -> Limits:
    if ordered.agreed_class is None:
        return Limits()
    about = "" if quantity == CLASS else None
    return Limits(Limit("1", (agreed(ordered, about),), words=f"class {ordered.agreed_class}"))


def _pitch(evidence: Evidence, ordered: Propeller, attempt: int) -> Measured:
    left = as_left(evidence, ordered, attempt)
    radii = tuple([section.radius for section in blade.sections] for blade in left)
    return Measured(_levels(evidence, ordered, left), radii, whole_caps(evidence, ordered, left), PITCH_ALONE)


def _everything(evidence: Evidence, ordered: Propeller, key: Key, pitch: Measured) -> Measured:
    levels = {one.quantity: found_as_left(evidence, ordered, one, key.attempt) for one in ASPECTS}
    caps = [reason for one in ASPECTS for reason in reasons(evidence, ordered, one, key)]
    radii = (*pitch.radii, *radii_as_left(evidence, ordered, key.attempt))
    caps += worked_on_since(evidence, ordered.propeller)
    return Measured({**pitch.levels, **levels}, radii, tuple(dict.fromkeys((*pitch.caps, *caps))), EVERYTHING)


def _classed(key: Key, ordered: Propeller, measured: Measured) -> Iterable[Finding]:
    levels = measured.levels
    rows = tuple(dict.fromkeys(row for found in levels.values() for one in found for row in one.rows))
    states = {accuracy: _state(ordered, levels, accuracy) for accuracy in CLASSES}
    best = next((accuracy for accuracy, state in states.items() if state is not None and state.met), "")
    short = {accuracy: _too_few(measured.radii, accuracy) for accuracy in CLASSES}
    shown = next((name for name in CLASSES[CLASSES.index(best) :] if not short[name]), "") if best else ""
    use = joined(one.use for found in levels.values() for one in found)
    about = About(
        method=f"the worst of {'all levels of pitch' if key.quantity == PITCH_CLASS else 'everything read'}, as left",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=tuple(_each_level(ordered, levels)),
        notes=(
            scope(ordered),
            WITH_LEAST if least_tolerances_apply(ordered) else WITHOUT_LEAST,
            measured.about,
            *use.notes,
        ),
        caps=(*use.caps, *measured.caps),
    )
    met, why = _met(ordered, levels, states, short)
    observed = f"class {shown}" if shown else f"class {best} by its numbers" if best else _at_best(states)
    for finding in judge_fact(
        key, met, observed, _asked(ordered, key.quantity), replace(about, notes=(*why, *about.notes))
    ):
        agreed_state = states.get(ordered.accuracy)
        yield conditional_at_best(finding, (NOT_CLEAR,)) if agreed_state is Verdict.CONDITIONAL_PASS else finding


def _levels(evidence: Evidence, ordered: Propeller, left: Sequence[Blade]) -> Levels:
    levels: dict[str, Sequence[Found]] = {
        quantity: [found for blade in left for found in blade.of(evidence, ordered, quantity)] for quantity in LEVELS
    }
    return levels | {WHOLE: [found_whole(levels[BLADE])] if levels[BLADE] else []}


def _state(ordered: Propeller, levels: Levels, accuracy: str) -> Verdict | None:
    """The worst verdict of every level against a class; None where one that the class limits was not measured."""
    worst = Verdict.PASS
    for found, quantity in ((found, quantity) for quantity, found in levels.items()):
        verdict = holds_class(ordered, quantity, accuracy, found)
        if verdict is not None and verdict.rank > worst.rank:
            worst = verdict
    return worst if worst.missed or not _unmeasured(levels, accuracy) else None


def _at_best(states: Mapping[str, Verdict | None]) -> str:
    """What can be said where no class is met: what was not read misses none, so the highest that is left is named."""
    left = [accuracy for accuracy in CLASSES if (state := states[accuracy]) is None or not state.missed]
    if left and states[left[0]] is None:
        return f"not above class {left[0]}, since not all of it was measured"
    return NO_CLASS


def _missing(ordered: Propeller, levels: Levels, accuracy: str) -> Iterable[str]:
    """The levels that miss a class."""
    for quantity, found in levels.items():
        verdict = holds_class(ordered, quantity, accuracy, found)
        if verdict is not None and verdict.missed:
            yield quantity


def _unmeasured(levels: Levels, accuracy: str) -> tuple[str, ...]:
    """The levels without a value that a class limits: all of them, but for the local pitch in class III."""
    return tuple(name for name, found in levels.items() if not found and not (name == LOCAL and accuracy == "III"))


def _too_few(radii: Iterable[Sequence[float]], accuracy: str) -> tuple[str, ...]:
    """The radii a class asks for at which some blade was not read as it was left."""
    row = next(row for row in table("propeller_radii") if row["class"] == accuracy)
    wanted, hub = [float(text) for text in row["radii"].split()], float(row["near_hub"])
    gone: dict[str, None] = {}
    for mine in radii:
        if not any(radius < hub and not same_radius(radius, hub) for radius in mine):
            gone["near the hub"] = None
        missing = [radius for radius in wanted if not any(same_radius(radius, own) for own in mine)]
        gone.update(dict.fromkeys(f"at {in_radii(radius)}" for radius in missing))
    return tuple(gone)


def _met(
    ordered: Propeller,
    levels: Levels,
    states: Mapping[str, Verdict | None],
    short: Mapping[str, tuple[str, ...]],
) -> tuple[bool | None, tuple[str, ...]]:
    """Whether the agreed class is met, None where that cannot be told; and the sentences that say why not."""
    accuracy = ordered.agreed_class
    if accuracy is None:
        return None, ("No class was agreed.",)
    state = states[accuracy]
    if state is not None and state.missed:
        return False, (f"Class {accuracy} is missed by: {listed(_missing(ordered, levels, accuracy))}.",)
    if state is None:
        return None, (f"Not measured, though this class limits it: {listed(_unmeasured(levels, accuracy))}.",)
    if short[accuracy]:
        return None, (f"Measured at too few radii for class {accuracy}: none {listed(short[accuracy])}.",)
    return (True if state.met else None), ()


def _each_level(ordered: Propeller, levels: Levels) -> Iterable[str]:
    for quantity, found in levels.items():
        best, _ = best_class(ordered, quantity, found)
        if found:
            count = "1 value" if len(found) == 1 else f"{len(found)} values"
            yield f"{quantity}: {f'class {best}' if best else NO_CLASS}, {count}"
        else:
            yield f"{quantity}{NOT_READ}"


def not_read(finding: Finding) -> tuple[str, ...]:
    """The levels that a class rests on and that were not read, as the working of its finding names them."""
    return tuple(line.removesuffix(NOT_READ) for line in finding.working if line.endswith(NOT_READ))
