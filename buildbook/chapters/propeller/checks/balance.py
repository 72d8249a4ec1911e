"""PRO-12: what unbalance is left, at the blade tip by the class and at the stated speed as a grade."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.propeller.checks.found import NOT_ORDERED
from buildbook.chapters.propeller.drive_records import Balance
from buildbook.chapters.propeller.drive_subjects import asked, faster_on_trial, rule, trial_speed_unsure
from buildbook.chapters.propeller.formulas.balance import balance_grade, static_allowance, tip_mass
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import agreed
from buildbook.chapters.readings import scaled
from buildbook.chapters.subjects import Used, absent, attempts, limits, period, used
from buildbook.core.decide import hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.sources import table, term

CHECK = "PRO-12"
TIP, GRADE = "unbalance at the blade tip", "balance grade"
STATIC = "static"
FORWARD, AFT = "dynamic forward plane", "dynamic aft plane"
OTHER_PLANE = {FORWARD: AFT, AFT: FORWARD}
NO_COUPLE = (
    "A static balance cannot see a couple: two unbalances at the two ends of the boss that point opposite ways. "
    "Only balancing in two planes shows it."
)
NO_ENTRY = (
    "The standard of these grades has no entry for a ship's propeller; its propeller shafts are those of vehicles."
)
HALVED = "The grade is that of both planes together, were each as far out as this one (half each, from memory)."
NO_ROW = "No row of this balancing can be used."
NOT_THIS_WAY = "A limit is set for balancing it this way, and no row of that is on record."


def balanced(evidence: Evidence) -> Iterable[Finding]:
    """PRO-12: every balancing of every propeller, as received and after each correction."""
    for propeller in asked(evidence, CHECK, Balance):
        ways = _ways(evidence, propeller)
        for way in ways:
            for attempt in _attempts(evidence, propeller, way):
                yield from _attempt(evidence, propeller, way, attempt)
        if not ways:
            words = "No balance of this propeller is on record."
            yield absent(evidence, Balance, Key(CHECK, GRADE, propeller), Verdict.NOT_MEASURED, words)
        for key in _limited(evidence, propeller):
            if key.condition not in ways:
                yield absent(
                    evidence, Balance, key, Verdict.NOT_MEASURED, NOT_THIS_WAY, _limits_without_a_row(evidence, key)
                )


def _ways(evidence: Evidence, propeller: str) -> tuple[str, ...]:
    rows = evidence.of(Balance, propeller=propeller)
    lost = [row for row in evidence.lost(Balance, propeller=propeller) if row.get("propeller") == propeller]
    named = {str(row.way) for row in rows} | {str(row.get("way")) for row in lost if row.get("way")}
    return tuple(sorted(named | {OTHER_PLANE[way] for way in named if way in OTHER_PLANE}))


def _attempts(evidence: Evidence, propeller: str, way: str) -> tuple[int, ...]:
    """The attempts of one way of balancing; of two planes those of either, since none is balanced alone."""
    ways = (way, *((OTHER_PLANE[way],) if way in OTHER_PLANE else ()))
    return max((attempts(evidence, Balance, propeller=propeller, way=one) for one in ways), key=len)


def _limited(evidence: Evidence, propeller: str) -> tuple[Key, ...]:
    """What the builder or the class that was agreed limits by name of the way, whether it was measured or not."""
    named = [
        Key(CHECK, entry.quantity, propeller, entry.condition)
        for entry in evidence.specification.limits
        if entry.check == CHECK and entry.place in ("", propeller) and entry.condition
    ]
    ordered = evidence.one(Propeller, propeller=propeller)
    by_class = ordered is not None and ordered.agreed_class is not None
    if by_class or evidence.specification.limit(CHECK, TIP, place=propeller, condition=STATIC) is not None:
        named.append(Key(CHECK, TIP, propeller, STATIC))
    return tuple(dict.fromkeys(named))


def _limits_without_a_row(evidence: Evidence, key: Key) -> Limits:
    """The limits of a balancing that has no row; what a class allows cannot be worked out without its mass."""
    wanted = limits(evidence, CHECK, key.quantity, place=key.place, condition=key.condition)
    ordered = evidence.one(Propeller, propeller=key.place)
    if wanted.specified is not None or key.quantity != TIP or ordered is None or ordered.agreed_class is None:
        return wanted
    return Limits(Limit("g", (agreed(ordered),), words=f"class {ordered.agreed_class}"))


def _attempt(evidence: Evidence, propeller: str, way: str, attempt: int) -> Iterable[Finding]:
    quantities = (TIP, GRADE) if way == STATIC else (GRADE,)
    rows = evidence.of(Balance, propeller=propeller, way=way, attempt=attempt)
    for quantity in quantities:
        key = Key(CHECK, quantity, propeller, way, attempt)
        for row in rows:
            yield from _at_the_tip(evidence, key, row) if quantity == TIP else _graded(evidence, key, row)
        if not rows:
            wanted = limits(evidence, CHECK, quantity, place=propeller, condition=way)
            yield unjudged(key, Verdict.INCONCLUSIVE, NO_ROW, None, wanted)


def _at_the_tip(evidence: Evidence, key: Key, row: Balance) -> Iterable[Finding]:
    ordered = evidence.one(Propeller, propeller=row.propeller)
    if ordered is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED, About(at=(row.where,)))
        return
    tip = ordered.diameter / 2.0
    use = _use(evidence, row)
    mass = tip_mass(row.residual, row.radius, tip)
    working = (
        f"{plain_number(row.residual)} g at {plain_number(row.radius)} mm are {fixed(mass, 2)} g at the blade tip, "
        f"{plain_number(tip)} mm from the axis",
        f"mass {plain_number(row.mass)} kg, {plain_number(row.speed)} r/min",
    )
    measured = Quantity.combined(mass, "g", scaled(use.parts, row.radius / tip))
    about = _about(evidence, row, use, working, (NO_COUPLE,))
    yield from judge(key, measured, _tip_limits(evidence, key, ordered, row), about)


def _tip_limits(evidence: Evidence, key: Key, ordered: Propeller, row: Balance) -> Limits:
    """The builder's own limit first; else that of the class that was agreed, since the order governs too."""
    own = evidence.specification.limit(CHECK, TIP, place=key.place, condition=key.condition)
    by_class = class_allowance(ordered, row.mass, row.speed)
    return Limits(own, by_class) if own is not None else Limits(by_class)


def class_allowance(ordered: Propeller, mass: float, speed: float) -> Limit | None:
    """What the agreed class leaves at the blade tip; None where no class was agreed.

    Args:
        ordered: the propeller as it was ordered.
        mass: its mass [kg].
        speed: speed of its shaft [r/min].
    """
    if ordered.agreed_class is None:
        return None
    printed = next(row for row in table("propeller_balance") if row["class"] == ordered.agreed_class)
    constant, share = float(printed["speed_constant"]), float(printed["mass_share"])
    most = static_allowance(constant, share, mass, ordered.diameter / 2000.0, speed)
    words = f"Class {ordered.accuracy}: at most {fixed(most, 2)} g at the tip, at {plain_number(speed)} r/min."
    return Limit("g", (agreed(ordered), term(printed)), high=most, natural_low=0.0, words=words)


def _graded(evidence: Evidence, key: Key, row: Balance) -> Iterable[Finding]:
    planes = rule("planes share alike") if row.way in OTHER_PLANE else 1.0
    grade = balance_grade(planes * row.residual * row.radius, row.mass, row.speed)
    use = _use(evidence, row)
    per_gram = balance_grade(planes * row.radius, row.mass, row.speed)
    working = (
        f"{plain_number(row.residual)} g at {plain_number(row.radius)} mm: {plain_number(row.residual * row.radius)} "
        f"g mm{' in this plane, twice that in both' if planes > 1.0 else ''}",
        f"{plain_number(row.mass)} kg at {plain_number(row.speed)} r/min: G {fixed(grade, 2)} mm/s",
    )
    measured = Quantity.combined(grade, "mm/s", scaled(use.parts, per_gram))
    notes = (*((NO_COUPLE,) if row.way == STATIC else ()), *((HALVED,) if planes > 1.0 else ()), NO_ENTRY)
    about = _about(evidence, row, use, working, notes)
    wanted = limits(evidence, CHECK, GRADE, place=key.place, condition=key.condition)
    observed = f"at {plain_number(row.speed)} r/min"
    for finding in judge(key, measured, wanted, about, observed=observed):
        yield hold(finding, _alone(evidence, row))


def _alone(evidence: Evidence, row: Balance) -> tuple[str, ...]:
    """That of two planes only one is on record."""
    other = OTHER_PLANE.get(row.way)
    if other is None or evidence.of(Balance, propeller=row.propeller, way=other, attempt=row.attempt):
        return ()
    return (f"Of two planes only one is on record: no usable row for the {other.removeprefix('dynamic ')}.",)


def _use(evidence: Evidence, row: Balance) -> Used:
    return used(evidence, [row], "instrument", "residual mass", "g", "residual")


def _about(evidence: Evidence, row: Balance, use: Used, working: tuple[str, ...], notes: tuple[str, ...]) -> About:
    return About(
        method="balanced at rest" if row.way == STATIC else "balanced while it turns",
        period=period([row.at]),
        instruments=use.instruments,
        at=(row.where,),
        working=working,
        notes=(*use.notes, *notes),
        caps=(*use.caps, *faster_on_trial(evidence, row), *trial_speed_unsure(evidence, row.propeller)),
    )
