"""VIB-01 and VIB-02: how much she shakes where people are, and right above the propellers."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.subjects import by_paper, planned_places
from buildbook.chapters.vibration.checks.felt import felt_most
from buildbook.chapters.vibration.checks.quality import faults_of
from buildbook.chapters.vibration.formulas.weighting import VELOCITY
from buildbook.chapters.vibration.records import NUMBERED, Position, VibrationRecord
from buildbook.chapters.vibration.rules import rule, rule_term
from buildbook.chapters.vibration.subjects import (
    GUIDELINE,
    MILLI,
    NO_RECORD,
    PERCENT,
    Analysed,
    analysed,
    blade_rates,
    chain,
    condition_of,
    of_lost_records,
    position_of,
    unmeasured_axes,
    without_a_record,
)
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed
from buildbook.formulas.uncertainty import rectangular
from buildbook.sources import table, term

WEIGHTED = "weighted vibration"
UNIT = "mm/s"
STRONGEST = "The limit asks for the strongest of three directions."
NOT_AGREED = "What kind of space this is cannot be read or was not agreed, so no guideline belongs to it."


def where_people_are(evidence: Evidence) -> Iterable[Finding]:
    """VIB-01: every record of a position that is not right above the propellers."""
    return _records(evidence, "VIB-01", above=False)


def above_the_propellers(evidence: Evidence) -> Iterable[Finding]:
    """VIB-02: every record of a position right above the propellers."""
    return _records(evidence, "VIB-02", above=True)


def _records(evidence: Evidence, check: str, *, above: bool) -> Iterable[Finding]:
    for row in evidence.of(VibrationRecord):
        position = position_of(evidence, row.position)
        if _belongs(evidence, row.position, above=above):
            yield from _record(evidence, check, row, position)

    def mine(position: Position | None) -> bool:
        return position is None or (position.above_propellers == above and position.space != "machine")

    def wanted(place: str) -> Limits:
        return limits_of(evidence, check, place)

    yield from of_lost_records(
        evidence, check, WEIGHTED, lambda gone: mine(position_of(evidence, gone.get("position") or "")), wanted
    )
    chosen = [one.position for one in evidence.of(Position) if mine(one)]
    places = dict.fromkeys((*chosen, *planned_places(evidence, check, VibrationRecord.table.file)))
    yield from without_a_record(evidence, check, WEIGHTED, places, wanted)


def _belongs(evidence: Evidence, place: str, *, above: bool) -> bool:
    """Whether the records of a position belong to this check; to both where its row is lost and does not say so."""
    position = position_of(evidence, place)
    if position is not None:
        return position.space != "machine" and position.above_propellers == above
    lost = [gone for gone in evidence.lost(Position, position=place) if gone.get("position") == place]
    known = {gone.get("above_propellers") for gone in lost} or {False}
    return None in known or above in known


def _record(evidence: Evidence, check: str, row: VibrationRecord, position: Position | None) -> Iterable[Finding]:
    key = Key(check, WEIGHTED, row.position, condition_of(evidence, row), row.attempt)
    wanted = limits_of(evidence, check, row.position)
    at = About(period=Period(row.at, row.at), at=(row.where,))
    found = analysed(evidence, row)
    if found is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_RECORD, at, wanted)
        return
    value = weighted(found)
    use, parts = chain(evidence, [row], value)
    if parts:
        parts = (*parts, Part("difference of two honest meters", value * rectangular(_of_two_meters(found)) / PERCENT))
    measured = Quantity.combined(value, UNIT, parts)
    about = replace(
        at,
        method=f"record {row.record}, W_m after ISO 2631-2, whole weighting",
        instruments=use.instruments,
        working=tuple(_working(evidence, found, value)),
        notes=(*_notes(evidence, found, measured, wanted, position), *use.notes),
        caps=(*use.caps, *faults_of(found), *_lost_position(evidence, row.position, wanted)),
    )
    yield from judge(key, measured, wanted, about)


def _times(measured: Quantity, share: float) -> Quantity:
    """A share of a value with the same relative uncertainty."""
    parts = tuple(replace(part, standard=share * part.standard) for part in measured.parts)
    return Quantity.combined(share * measured.value, measured.unit, parts)


def _lost_position(evidence: Evidence, place: str, wanted: Limits) -> tuple[str, ...]:
    """Why a level is not judged by the builder's own limit alone where nobody knows what kind of space this is."""
    lost = wanted.specified is not None or evidence.lost(Position, position=place)
    return (NOT_AGREED,) if lost and position_of(evidence, place) is None else ()


def _inside(found: Analysed) -> float:
    """The share of the weighted mean square that lies in the inner band of a meter [1]."""
    ends = (rule("foot of the inner band of a meter"), rule("top of the inner band of a meter"))
    whole = found.spectrum.mean_square(found.weight)
    return found.spectrum.between(*ends, found.weight) / whole if whole > 0.0 else 1.0


def _meters_said(found: Analysed) -> str:
    """How the share of the uncertainty that belongs to two meters comes about."""
    low, high = rule("foot of the inner band of a meter"), rule("top of the inner band of a meter")
    return (
        f"by its energy {fixed(PERCENT * _inside(found), 1)} % of it lies from {low:g} Hz to {high:g} Hz: two honest "
        f"meters may differ by up to {fixed(_of_two_meters(found), 2)} %, each difference as likely"
    )


def _of_two_meters(found: Analysed) -> float:
    """By how much two honest meters may differ about this record [%]: more for what lies outside their inner band."""
    inside = _inside(found)
    return rule("difference of two meters") * inside + rule("difference outside that band") * (1.0 - inside)


def _notes(
    evidence: Evidence, found: Analysed, measured: Quantity, wanted: Limits, position: Position | None
) -> Iterable[str]:
    yield NOT_AGREED if position is None else GUIDELINE
    limit = wanted.specified or wanted.reference
    verdict = decide(measured, limit).verdict
    if verdict.missed and measured.value > 0.0:
        yield from _met_when_cut(found, measured, limit)
    if not verdict.met and limit is not None:
        yield from felt_most(evidence, found)
    yield from unmeasured_axes(evidence, found.row, STRONGEST)


def _met_when_cut(found: Analysed, measured: Quantity, limit: Limit | None) -> Iterable[str]:
    """That a level which misses its limit would meet it if it were cut at the top of the sharp band; else nothing."""
    cut, top = _times(measured, weighted(found, sharp=True) / measured.value), rule("top of the sharp band")
    if decide(cut, limit).verdict.met:
        yield (
            f"This rests on the weighting being used whole, as meters do. Cut sharply at {top:g} Hz, the value would "
            f"be {fixed(cut.value, 2)} {UNIT} and within the limit; the rest of it lies above {top:g} Hz."
        )


def weighted(found: Analysed, *, sharp: bool = False) -> float:
    """Weighted vibration of one record [mm/s]: by the whole weighting, or cut sharply at 1 Hz and 80 Hz."""
    ends = (rule("foot of the sharp band"), rule("top of the sharp band"))
    square = found.spectrum.between(*ends, found.weight) if sharp else found.spectrum.mean_square(found.weight)
    return math.sqrt(square) * (VELOCITY * MILLI if found.acceleration else 1.0)


def _working(evidence: Evidence, found: Analysed, value: float) -> Iterable[str]:
    signal = found.signal
    yield (
        f"{fixed(signal.duration, 1)} s at {signal.rate:g} samples a second; spectrum of stretches of "
        f"{1.0 / found.spectrum.step:g} s under a Hann window, each three quarters over the one before, lines "
        f"{found.spectrum.step:g} Hz apart"
    )
    if found.acceleration:
        yield f"weighted {fixed(value / VELOCITY, 2)} mm/s² × 0.028 s = {fixed(value, 3)} mm/s"
    yield _meters_said(found)
    rates = blade_rates(evidence, found.row.run)
    if any(one > rule("top of the sharp band") for one in rates.values()):
        shown = ", ".join(f"{name} {fixed(one, 1)} Hz" for name, one in rates.items())
        cut = fixed(weighted(found, sharp=True), 3)
        yield f"blade rate {shown}, above 80 Hz; cut sharply at 1 Hz and 80 Hz the value would be {cut} mm/s"


def limits_of(evidence: Evidence, check: str, place: str) -> Limits:
    """The limit that was agreed, else that of the class table; beside it where people begin to complain."""
    specified = evidence.specification.limit(check, WEIGHTED, place=place)
    position = position_of(evidence, place)
    if position is None:
        return Limits(specified)
    of_class = _of_class(position)
    people = next((row for row in table("vibration_people") if row["space"] == position.space), None)
    beside = None if people is None else Limit(UNIT, (term(people),), high=float(people["low"]))
    if specified is not None:
        return Limits(specified, of_class or beside)
    return Limits(of_class, beside)


def _of_class(position: Position) -> Limit | None:
    """The guideline of the class table for the space and comfort number that were agreed; none where none was."""
    number = position.comfort if position.space in NUMBERED else "-"
    rows = [row for row in table("vibration_spaces") if (row["space"], row["comfort"]) == (position.space, number)]
    if not rows:
        return None
    extra = rule("right above the propellers") if position.above_propellers else 0.0
    words = f"{position.space}{f', comfort number {number}' if number != '-' else ''}, as agreed"
    agreed = by_paper(words, position, "space")
    terms = (agreed, term(rows[0]), *((rule_term("right above the propellers"),) if extra else ()))
    return Limit(UNIT, terms, high=round(float(rows[0]["limit"]) + extra, 6))
