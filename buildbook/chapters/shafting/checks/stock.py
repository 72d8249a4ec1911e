"""SHA-09: the slotted stock of a rudder: what presses in the slot, and what welds alone would have to carry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import carried
from buildbook.chapters.shafting.aft_records import RudderStock
from buildbook.chapters.shafting.formulas.slot import ring_weld_stress, slot_pressure, two_welds_stress
from buildbook.chapters.shafting.subjects import Subject, about, fact, reading, together
from buildbook.chapters.shared_records import PhotographRecord
from buildbook.chapters.subjects import Used, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import plain_number

CHECK = "SHA-09"
PRESSURE = "side pressure in the slot"
WELDS, RING = "stress in two welds without a slot", "stress in a ring of weld without a slot"
PICTURE, INSPECTION = "picture of the slot", "weld inspection"
QUANTITIES = (PRESSURE, WELDS, RING, PICTURE, INSPECTION)
NOTHING = "Slot and welds of this rudder are not on record."
INSTEAD = "Worked out for comparison: this stock has a slot, and its welds only keep the plate from sliding out."
SIZES_ALONE = "The uncertainty is of the sizes alone: the torque is the drawing's figure and was not measured."
NO_U = "No uncertainty is stated: nothing is judged by this."
KINDS = "A stress in a weld and a pressure in a slot are of different kinds: each needs a limit of its own."
NO_PICTURE = "No picture of the slot before the blade was closed."
NO_INSPECTION = "No record of a weld inspection."
ELSEWHERE = "The picture named is of another place."


def stocks(evidence: Evidence) -> Iterable[Finding]:
    """SHA-09: every rudder with a slotted stock."""
    return Subject(CHECK, RudderStock, QUANTITIES, NOTHING, _attempt, shafts=False).findings(evidence)


def _attempt(evidence: Evidence, part: str, attempt: int, rows: Sequence[RudderStock]) -> Iterable[Finding]:
    row, key = rows[0], Key(CHECK, PRESSURE, part, "", attempt)
    diameter = reading(evidence, rows, "diameter", "calliper", "length")
    slot = reading(evidence, rows, "slot", "calliper", "length")
    yield from _pressure(evidence, key, row, diameter, slot)
    beside = two_welds_stress(row.torque, row.plate, row.throat, row.slot)
    words = (
        f"plate {plain_number(row.plate)} mm, throat {plain_number(row.throat)} mm, length {plain_number(row.slot)} mm"
    )
    yield from _instead(replace(key, quantity=WELDS), row, beside, words)
    ring = ring_weld_stress(row.torque, row.diameter, row.throat)
    words = f"throat {plain_number(row.throat)} mm round {plain_number(row.diameter)} mm"
    yield from _instead(replace(key, quantity=RING), row, ring, words)
    yield from _papers(evidence, key, row)


def _pressure(evidence: Evidence, key: Key, row: RudderStock, diameter: Used, slot: Used) -> Iterable[Finding]:
    """6 T / (d2 L): the torque as drawn, diameter and slot as measured."""

    def pressed(diameter: float, length: float) -> float:
        return slot_pressure(row.torque, diameter, length)

    inputs = {
        "diameter": (row.diameter, diameter.parts, "diameter of the stock"),
        "length": (row.slot, slot.parts, "length of the slot"),
    }
    use = together((diameter, slot), carried(pressed, inputs) if diameter.parts and slot.parts else ())
    words = f"{plain_number(row.torque)} Nm, stock {plain_number(row.diameter)} mm, slot {plain_number(row.slot)} mm"
    told = about("from the design torque and the sizes as measured", [row], use, (words,), (SIZES_ALONE,))
    value = pressed(row.diameter, row.slot)
    wanted = limits(evidence, CHECK, PRESSURE, place=key.place)
    yield from judge(key, Quantity.combined(value, "MPa", use.parts), wanted, told)


def _instead(key: Key, row: RudderStock, stress: float, words: str) -> Iterable[Finding]:
    told = About(
        method="worked out for the same torque", at=(row.where,), working=(words,), notes=(INSTEAD, KINDS, NO_U)
    )
    yield from judge(key, Quantity.count(stress, "MPa"), Limits(), told)


def _papers(evidence: Evidence, key: Key, row: RudderStock) -> Iterable[Finding]:
    """What can be looked at: the picture of the slot, and the record of the welds."""
    picture, inspection = (replace(key, quantity=name) for name in (PICTURE, INSPECTION))
    at = About(method="papers looked through", at=(row.where,))
    if row.photograph is None:
        yield unjudged(picture, Verdict.NO_RECORD, NO_PICTURE, at, limits(evidence, CHECK, PICTURE, place=key.place))
    else:
        shown = next((one for one in evidence.of(PhotographRecord, file=row.photograph)), None)
        here = shown is not None and shown.place == row.part
        told = at if here else replace(at, notes=(ELSEWHERE,))
        yield from fact(evidence, picture, here or None, row.photograph, told)
    if row.inspected is None or row.weld_record is None:
        wanted = limits(evidence, CHECK, INSPECTION, place=key.place)
        yield unjudged(inspection, Verdict.NO_RECORD, NO_INSPECTION, at, wanted)
    else:
        yield from fact(evidence, inspection, row.welds_sound, f"{row.inspected}, {row.weld_record}", at)
