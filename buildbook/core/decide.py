"""The one place that judges.

Rules: ILAC-G8:09/2019 clause 4.2 (binary and four outcomes with a guard band), read as page text; the project's choices
where that text is silent are marked "house rule". Everything compares unrounded numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.core.finding import Finding, Verdict
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Quantity

RELATIVE_TOLERANCE = 1e-9

AT_BEST = "Without it nothing better than a conditional pass is said."
NO_UNCERTAINTY = "The uncertainty was not stated. Near the limit this verdict can be wrong as often as it is right."
GUARD_CHOSEN = "The guard band of this limit is"
NO_GUARD = "This limit has no guard band: near it the verdict can be wrong as often as it is right."
TOO_COARSE = "The measurement is too coarse for this limit: no reading could have shown a clear pass."
ONLY_A_BOUND = "The value is only a bound, and the bound does not settle it."


@dataclass(frozen=True, slots=True)
class Decision:
    """A verdict with the margin [unit of the limit], the guard band w [same unit] and what has to be said with it."""

    verdict: Verdict
    margin: float | None = None
    guard: float | None = None
    notes: tuple[str, ...] = ()


def decide(measured: Quantity, limit: Limit | None) -> Decision:
    """Judge one value against one limit.

    Margin form, w = guard factor * U (k = 2): m >= w pass; 0 <= m < w conditional pass; -w <= m < 0 conditional fail;
    m < -w fail. A strict end counts a value on the limit as missing it (house rule). For counts w = 0. Without a
    stated U acceptance is simple (w = 0); since nobody can tell then what is too near, a limit that is met gives a
    conditional pass at best, whatever guard band it has (house rule, decision 11). Where the guard bands leave no
    room for a pass (test uncertainty ratio at most 1, or a natural bound nearer than w), only a clear fail is decided
    (house rule).

    >>> from buildbook.core.limit import Term
    >>> from buildbook.core.source import Standing
    >>> fifty = Limit("%", (Term("at least 50 %", Standing.BUILDER),), low=50.0)
    >>> decide(Quantity(50.5, "%", 0.8), fifty).verdict.value
    'conditional pass'
    """
    if limit is None:
        return Decision(Verdict.INFORMATION)
    if measured.unit != limit.unit:
        words = f"The value is in {measured.unit}, the limit in {limit.unit}: not comparable."
        return Decision(Verdict.INCONCLUSIVE, notes=(words,))
    if limit.in_words:
        return Decision(Verdict.INCONCLUSIVE, notes=("The limit has no number to compare with.",))
    guard, notes = _guard(measured, limit)
    margin, on_strict_end = _margin(measured.value, limit)
    verdict = _four_outcomes(margin, guard, on_strict_end)
    if verdict is Verdict.PASS and _unstated(measured):
        verdict = Verdict.CONDITIONAL_PASS
    if verdict is not Verdict.FAIL and guard > 0 and not _room_for_a_pass(limit, guard):
        return Decision(Verdict.INCONCLUSIVE, margin, guard, (*notes, TOO_COARSE))
    if not _bound_settles(measured, limit, verdict):
        return Decision(Verdict.INCONCLUSIVE, margin, guard, (*notes, ONLY_A_BOUND))
    return Decision(verdict, margin, guard, notes)


def outcome(measured: Quantity, limit: Limit) -> Verdict:
    """Which of the four outcomes the numbers alone give, whatever else has to be said of the finding."""
    margin, on_strict_end = _margin(measured.value, limit)
    return _four_outcomes(margin, _guard(measured, limit)[0], on_strict_end)


def claim_of_miss(measured: Quantity, limit: Limit | None) -> tuple[Decision, bool]:
    """A value judged as somebody must who says that a limit is missed, and whether the value shows it.

    The uncertainty counts against whoever makes the claim: the value must lie outside by more than its own U, whatever
    guard band the limit gives the other side. Without a stated U nothing is shown, unless the value is a count.
    Source: ISO 14253-1:2017 (second-hand: summaries of its principle).

    >>> from buildbook.core.limit import Term
    >>> from buildbook.core.source import Standing
    >>> fifty = Limit("%", (Term("at least 50 %", Standing.BUILDER),), low=50.0)
    >>> [claim_of_miss(Quantity(value, "%", 0.8), fifty)[1] for value in (49.6, 49.0)]
    [False, True]
    """
    decision = decide(measured, limit if limit is None else replace(limit, guard=1.0))
    return decision, decision.verdict is Verdict.FAIL and not _unstated(measured)


def agreeing(en: float) -> bool:
    """Whether two results agree within their uncertainties: |En| at most 1, on the line included.

    Source: ISO 13528 and ISO/IEC 17043 (from memory).

    >>> agreeing(1.0), agreeing(-1.16)
    (True, False)
    """
    return abs(en) <= 1.0 + RELATIVE_TOLERANCE


def difference_that_matters(limit: Limit | None, margin: float | None) -> float | None:
    """The difference [unit of the limit] that two readings must be able to tell; None where nothing says it.

    The distance of the first reading from the nearest end of its limit; with two ends half the width of the tolerance
    where that is smaller (house rule).
    """
    if limit is None or limit.in_words:
        return None
    measures = [] if margin is None else [abs(margin)]
    if limit.low is not None and limit.high is not None:
        measures.append((limit.high - limit.low) / 2.0)
    return min(measures, default=None)


def too_coarse_to_tell(joint: float, matters: float | None) -> bool:
    """Whether a joint uncertainty is larger than the difference that matters, so that it could not have been found."""
    return matters is not None and joint - matters > RELATIVE_TOLERANCE * joint


def decide_fact(met: bool | None, limit: Limit | None) -> Decision:
    """Judge a requirement in words: met, not met, or not to be told (None)."""
    if limit is None:
        return Decision(Verdict.INFORMATION)
    if met is None:
        return Decision(Verdict.INCONCLUSIVE)
    return Decision(Verdict.PASS if met else Verdict.FAIL)


def allowed_at_best(finding: Finding) -> Verdict | None:
    """What value, uncertainty and limit of a finding allow; None where it has no number or no limit with one.

    What a finding says may be worse than this, since rows can be lost or reports speak against it; never better.
    """
    if finding.measured is None or finding.limit is None or finding.limit.in_words:
        return None
    return decide(finding.measured, finding.limit).verdict


def nearest(values: Sequence[float], limit: Limit | None) -> int:
    """The position of the value nearest to its limit or farthest outside it; the largest value where none is set."""
    if limit is None or limit.in_words:
        return max(range(len(values)), key=lambda i: values[i])
    return min(range(len(values)), key=lambda i: _margin(values[i], limit)[0])


def cap(finding: Finding, notes: Iterable[str]) -> Finding:
    """Hold a finding at `inconclusive` or worse, and say why. A worse verdict stays as it is."""
    notes = tuple(notes)
    if not notes:
        return finding
    worse = finding.verdict.rank >= Verdict.INCONCLUSIVE.rank
    verdict = finding.verdict if worse else Verdict.INCONCLUSIVE
    return replace(finding, verdict=verdict, notes=_joined(finding.notes, notes))


def hold(finding: Finding, notes: Iterable[str]) -> Finding:
    """`cap` for rows that are lost: a miss is then a plain fail, since fewer readings only widen the guard band.

    Otherwise a reading deleted would turn a fail into a conditional fail, or make it too coarse to decide (house rule).
    """
    notes = tuple(notes)
    coarse = TOO_COARSE in finding.notes and finding.margin is not None and finding.margin < 0
    if notes and (coarse or finding.verdict is Verdict.CONDITIONAL_FAIL):
        return replace(finding, verdict=Verdict.FAIL, notes=_joined(finding.notes, notes))
    return cap(finding, notes)


def stand_by_report(finding: Finding, notes: Iterable[str]) -> Finding:
    """Hold a finding at `fail` because the yard's own report of nonconformity says it failed.

    A report is evidence too: rows that have gone missing since must not turn it into something better (house rule).
    """
    notes = tuple(notes)
    if not notes or finding.verdict.rank >= Verdict.CONDITIONAL_FAIL.rank:
        return finding
    return replace(finding, verdict=Verdict.FAIL, notes=_joined(finding.notes, notes))


def of_a_part_gone(finding: Finding, notes: Iterable[str]) -> Finding:
    """Show for information what met its limit on a part that is no longer aboard; anything else stays as it is.

    A reading of a part that was replaced says nothing about the new one (house rule).
    """
    notes = tuple(notes)
    if not notes or not finding.verdict.met:
        return finding
    return replace(finding, verdict=Verdict.INFORMATION, notes=_joined(notes, finding.notes))


def not_of_this_limit(verdict: Verdict) -> Verdict:
    """What is said of a reading that the limit is not about: judged readings are shown for information (house rule).

    A film of fewer layers misses a limit for all of them, and nothing follows from that.

    >>> not_of_this_limit(Verdict.FAIL).value, not_of_this_limit(Verdict.NOT_MEASURED).value
    ('information', 'not measured')
    """
    return Verdict.INFORMATION if verdict.judged or verdict is Verdict.INCONCLUSIVE else verdict


def conditional_at_best(finding: Finding, notes: Iterable[str]) -> Finding:
    """Hold a finding at `conditional pass` or worse.

    For what was accepted as it is and does not conform: accepted is not the same as met. And for a requirement in words
    that rests on readings near their limits (house rules).
    """
    notes = tuple(notes)
    worse = finding.verdict.rank >= Verdict.CONDITIONAL_PASS.rank
    verdict = finding.verdict if worse else Verdict.CONDITIONAL_PASS
    return replace(finding, verdict=verdict, notes=_joined(finding.notes, notes))


def part_unknown(finding: Finding, why: str) -> Finding:
    """Hold a reading whose U lacks a part at a conditional pass: what is deleted must not make it surer (house rule).

    So it is of runs that show no scatter, and of an instrument without its smallest step. Empty where nothing lacks.
    """
    if not why:
        return finding
    if finding.limit is None:
        return replace(finding, notes=(*finding.notes, why))
    return conditional_at_best(finding, (f"{why} {AT_BEST}",))


def _joined(old: tuple[str, ...], new: tuple[str, ...]) -> tuple[str, ...]:
    return (*old, *(note for note in new if note not in old))


def _unstated(measured: Quantity) -> bool:
    """Whether a value should have an uncertainty and nobody stated one."""
    return measured.kind is not Kind.COUNTED and measured.at_two is None


def _guard(measured: Quantity, limit: Limit) -> tuple[float, tuple[str, ...]]:
    if measured.kind is Kind.COUNTED:
        return 0.0, ()
    if measured.at_two is None:
        return 0.0, (NO_UNCERTAINTY,)
    return limit.guard * measured.at_two, _guard_said(limit.guard) if measured.at_two > 0 else ()


def _guard_said(factor: float) -> tuple[str, ...]:
    """What to say of a guard band that is not the whole uncertainty, as it is unless the limit says otherwise."""
    if factor == 1.0:
        return ()
    if factor == 0.0:
        return (NO_GUARD,)
    return (f"{GUARD_CHOSEN} {factor:g} times the uncertainty, not the whole of it.",)


def _margin(value: float, limit: Limit) -> tuple[float, bool]:
    """The smaller distance to an end, and whether the value stands on a strict one."""
    ends = []
    if limit.low is not None:
        ends.append((value - limit.low, limit.low, limit.low_strict))
    if limit.high is not None:
        ends.append((limit.high - value, limit.high, limit.high_strict))
    snapped = [(0.0 if abs(m) <= _tolerance(end) else m, strict) for m, end, strict in ends]
    margin = min(m for m, _ in snapped)
    return margin, any(strict and m == 0.0 for m, strict in snapped)


def _tolerance(limit: float) -> float:
    return RELATIVE_TOLERANCE * max(abs(limit), RELATIVE_TOLERANCE)


def _four_outcomes(margin: float, guard: float, on_strict_end: bool) -> Verdict:
    slack = RELATIVE_TOLERANCE * max(abs(margin), guard)
    if margin < 0 or on_strict_end:
        return Verdict.CONDITIONAL_FAIL if guard > 0 and margin >= -guard - slack else Verdict.FAIL
    return Verdict.PASS if margin >= guard - slack else Verdict.CONDITIONAL_PASS


def _room_for_a_pass(limit: Limit, guard: float) -> bool:
    """False where no possible reading could be clear of the guard bands."""
    low, high = limit.low, limit.high
    if low is not None and high is not None:
        room, needed = high - low, 2.0 * guard
    elif low is not None and limit.natural_high is not None:
        room, needed = limit.natural_high - low, guard
    elif high is not None and limit.natural_low is not None:
        room, needed = high - limit.natural_low, guard
    else:
        return True
    return needed < room - RELATIVE_TOLERANCE * needed


def _bound_settles(measured: Quantity, limit: Limit, verdict: Verdict) -> bool:
    """A lower bound can show that a lower limit is met, never that it is missed; and so on."""
    good = verdict.met
    if measured.kind is Kind.AT_LEAST:
        above = limit.high is not None and measured.value > limit.high
        return (good and limit.high is None) or above
    if measured.kind is Kind.AT_MOST:
        below = limit.low is not None and measured.value < limit.low
        return (good and limit.low is None) or below
    return True
