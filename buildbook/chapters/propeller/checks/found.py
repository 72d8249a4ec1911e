"""Values of a propeller against the windows of the classes: the worst of some, and the best class that holds all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import (
    BLADE,
    CLASSES,
    FROM_ABOVE,
    FROM_BELOW,
    LENGTH,
    LOCAL,
    THICK,
    THIN,
    TIP,
    WHOLE,
    Aim,
    Reading,
    agreed_limit,
    class_limit,
    joined,
    least_tolerances_apply,
    rule,
)
from buildbook.chapters.subjects import Used, period
from buildbook.core.decide import decide, hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed

NOT_ORDERED = "No row of propeller/propellers.csv about this propeller can be used, so what was ordered is not known."
SAME_BENCH = "One error of the bench may be in all its readings, so the mean is no surer for their number."
SIDE_BY_SIDE = frozenset({BLADE, WHOLE})  # with the least tolerances and without, whatever the verdict
WHERE_NOT_CLEAR = frozenset({THIN, THICK, LENGTH, TIP})  # the same, where the governing reading is not clearly met


@dataclass(frozen=True, slots=True)
class Found:
    """One value, what it is set against, where it was found, and what it rests on.

    `group` joins pitches of one radius in the working; other values bring their own line of it. `radius` is that of a
    section [% of the tip radius], 0 where the value belongs to none.
    """

    measured: Quantity
    aim: Aim
    words: str
    group: str
    use: Used
    rows: tuple[Reading, ...]
    method: str
    working: str = ""
    radius: float = 0.0

    @property
    def design(self) -> float:
        """What the value should be [its unit]."""
        return self.aim.design


def judged_worst(
    evidence: Evidence, key: Key, ordered: Propeller, found: Sequence[Found], lost: Sequence[str]
) -> tuple[Finding, ...]:
    """The finding of the value that is worst against its limit; every other one is in its working.

    `lost` says which readings or design values are missing: a miss is then plain, and nothing is met.
    """
    chosen = _worst(evidence, key, ordered, found)
    use = joined(one.use for one in found)
    rows = tuple(dict.fromkeys(row for one in (chosen, *found) for row in one.rows))
    about = About(
        method=f"{chosen.method}; the worst of {len(found)}" if len(found) > 1 else chosen.method,
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=tuple(_working(found)),
        notes=(*use.notes, *_notes(ordered, key.quantity, found)),
        caps=use.caps,
    )
    observed = chosen.words if len(found) > 1 else ""
    wanted = limits_of(evidence, key, ordered, chosen.aim)
    judged = judge(key, chosen.measured, wanted, about, observed=observed)
    if key.quantity in WHERE_NOT_CLEAR and all(one.verdict is Verdict.PASS for one in judged):
        judged = judged[:1]  # the other reading of the standard would say the same
    return tuple(hold(one, lost) for one in judged)


def _worst(evidence: Evidence, key: Key, ordered: Propeller, found: Sequence[Found]) -> Found:
    """The worst verdict, then the least margin as a share of what is allowed; without a limit the farthest off."""

    def badness(one: Found) -> tuple[int, float]:
        limit = limits_of(evidence, key, ordered, one.aim).specified
        decision = decide(one.measured, limit)
        if decision.margin is None or limit is None:
            return decision.verdict.rank, _off(key.quantity, one)
        return decision.verdict.rank, -decision.margin / _allowed(limit, one.design)

    return max(found, key=badness)


def _allowed(limit: Limit, design: float) -> float:
    """How far a value may be from what it should be, so that a thick section and a thin one can be compared."""
    ends = [abs(end - design) for end in (limit.low, limit.high) if end is not None and end != design]
    return min(ends, default=1.0)


def _off(quantity: str, one: Found) -> float:
    """How far a value is from what it should be, towards the side that is limited."""
    off = one.measured.value - one.design
    return -off if quantity in FROM_BELOW else off if quantity in FROM_ABOVE else abs(off)


def limits_of(evidence: Evidence, key: Key, ordered: Propeller, aim: Aim) -> Limits:
    """The window that was agreed about what a value should be.

    The other reading of the standard stands beside it where the two differ: with or without its tolerances in
    millimetres. Of pitches that is so for a blade and for the propeller.
    """
    specified = evidence.specification.limit(key.check, key.quantity, place=key.place)
    if specified is not None:
        return Limits(specified)
    least = least_tolerances_apply(ordered)
    mine = agreed_limit(ordered, key.quantity, aim, least=least)
    other = agreed_limit(ordered, key.quantity, aim, least=not least)
    differs = mine is not None and other is not None and (mine.low, mine.high) != (other.low, other.high)
    return Limits(mine, other if differs and key.quantity in SIDE_BY_SIDE | WHERE_NOT_CLEAR else None)


def _working(found: Sequence[Found]) -> Iterable[str]:
    """One line for each value; of pitches one for each radius: those found there, and the design."""
    lines: dict[tuple[str, float], list[str]] = {}
    for one in found:
        if one.working:
            yield one.working
        else:
            lines.setdefault((one.group, one.design), []).append(fixed(one.measured.value, 1))
    for (words, design), values in lines.items():
        yield f"{words}: {', '.join(values)} mm; design {fixed(design, 1)} mm"


def _notes(ordered: Propeller, quantity: str, found: Sequence[Found]) -> tuple[str, ...]:
    accuracy, clear = best_class(ordered, quantity, found)
    met: tuple[str, ...]
    if accuracy:
        met = (f"By itself this meets class {accuracy}{'' if clear else ', without a clear margin'}.",)
    elif quantity == LOCAL:
        met = ("By itself this meets class III alone, which sets no limit here.",)
    else:
        limited = any(holds_class(ordered, quantity, name, found) is not None for name in CLASSES)
        met = ("By itself this meets no class.",) if limited else ()
    scoped = (scope(ordered),) if quantity == WHOLE else ()
    return (*met, *scoped, *((SAME_BENCH,) if quantity in (BLADE, WHOLE) else ()))


def best_class(ordered: Propeller, quantity: str, found: Sequence[Found]) -> tuple[str, bool]:
    """The best class whose windows hold all these values, and whether clearly; empty where there is none."""
    for accuracy in CLASSES:
        state = holds_class(ordered, quantity, accuracy, found)
        if state is not None and state.met:
            return accuracy, state is Verdict.PASS
    return "", False


def holds_class(ordered: Propeller, quantity: str, accuracy: str, found: Sequence[Found]) -> Verdict | None:
    """The worst verdict of some values against a class; None where the class sets no limit on them."""
    least = least_tolerances_apply(ordered)
    verdicts = []
    for one in found:
        limit = class_limit(quantity, accuracy, one.aim, least=least)
        if limit is not None:
            verdicts.append(decide(one.measured, limit).verdict)
    return max(verdicts, key=lambda verdict: verdict.rank, default=None)


def scope(ordered: Propeller) -> str:
    """Whether the standard is for a propeller of this diameter."""
    metres = fixed(ordered.diameter / 1000.0, 2)
    if ordered.diameter < rule("least diameter"):
        return f"A diameter of {metres} m is below the scope of ISO 484-2: its classes apply by agreement."
    if ordered.diameter > rule("greatest diameter"):
        return f"A diameter of {metres} m is beyond the scope of ISO 484-2: part 1 of the standard is for it."
    return f"A diameter of {metres} m is in the scope of ISO 484-2."
