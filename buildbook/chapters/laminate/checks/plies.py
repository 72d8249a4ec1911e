"""LAM-04 and LAM-05: the plies are all there, by eye and by weight."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.laminate.checks.weighings import unsound
from buildbook.chapters.laminate.formulas.burn_off import residue_per_area, scheduled_residue
from buildbook.chapters.laminate.records import BurnOff, PlyCount
from buildbook.chapters.laminate.subjects import (
    Layers,
    each_coupon,
    layers,
    loss_of,
    no_schedule,
    residue_of,
    rule,
    rule_term,
    weight_parts,
    where_from,
)
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import absent, limits, period, planned_places, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, listed

PLIES, RESIDUE = "plies counted", "residue for the area"
NOT_SIZED = "Length and width of this coupon are not on record, so what it left cannot be set against an area."
ONE_READER = "Only one person counted; two are asked for."


def plies_counted(evidence: Evidence) -> Iterable[Finding]:
    """LAM-04: two readers count the plies of every coupon under the magnifier."""
    for coupon in evidence.values(PlyCount, "coupon"):
        rows = evidence.of(PlyCount, coupon=coupon)
        if rows:
            yield from _counted(evidence, coupon, rows)
        else:
            places = [row.get("zone") for row in evidence.lost(PlyCount, coupon=coupon) if row.get("zone")]
            key = Key("LAM-04", PLIES, places[0] if places else "", coupon)
            yield unjudged(key, Verdict.INCONCLUSIVE, "No count of this coupon can be used.")
    counted = evidence.values(PlyCount, "coupon")
    for coupon in evidence.values(BurnOff, "coupon"):
        row = evidence.one(BurnOff, coupon=coupon)
        if coupon not in counted:
            place = row.zone if row else next(gone.get("zone") or "" for gone in evidence.lost(BurnOff, coupon=coupon))
            wanted = _schedule_limits(evidence, row) if row else Limits()
            words = "The plies of this coupon were not counted."
            yield absent(evidence, PlyCount, Key("LAM-04", PLIES, place, coupon), Verdict.NOT_MEASURED, words, wanted)
    for zone in planned_places(evidence, "LAM-04", PlyCount.table.file):
        if zone not in evidence.values(PlyCount, "zone"):
            words = "Planned, and no plies of this zone were counted."
            yield absent(evidence, PlyCount, Key("LAM-04", PLIES, zone), Verdict.NOT_MEASURED, words)


def _schedule_limits(evidence: Evidence, row: BurnOff | PlyCount) -> Limits:
    found = layers(evidence, row.zone, row.skin)
    return Limits() if found is None else Limits(_as_many(found))


def _as_many(found: Layers) -> Limit:
    many = float(found.lines[0].of)
    return Limit("1", found.terms, low=many, high=many)


def _counted(evidence: Evidence, coupon: str, rows: tuple[PlyCount, ...]) -> Iterable[Finding]:
    first = rows[0]
    key = Key("LAM-04", PLIES, first.zone, coupon)
    counts = [row.counted for row in rows]
    about = About(
        method=f"{listed(sorted({row.method for row in rows}))}; {counted(len(rows), 'reader')}",
        period=period(row.at for row in rows),
        at=tuple(row.where for row in rows),
        working=tuple(f"reader {row.reader} ({row.by}): {counted(row.counted, 'ply', 'plies')}" for row in rows),
        caps=_doubts(rows),
    )
    found = layers(evidence, first.zone, first.skin)
    if found is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, no_schedule(evidence), about)
        return
    about = replace(about, caps=(*about.caps, *found.short))
    many = found.lines[0].of
    nearest = min(counts, key=lambda count: abs(count - many))
    if nearest == many and len(set(counts)) > 1:
        words = "The readers differ. What the residue weighs is in LAM-05."
        undecided = unjudged(key, Verdict.INCONCLUSIVE, words, about, Limits(_as_many(found)))
        yield replace(undecided, observed=f"{listed(str(count) for count in counts)} plies")
        return
    yield from judge(key, Quantity.count(nearest), Limits(_as_many(found)), about)


def _doubts(rows: tuple[PlyCount, ...]) -> tuple[str, ...]:
    zones = sorted({(row.zone, row.skin) for row in rows})
    mixed = (f"The readers name {listed(' '.join(one) for one in zones)} for one coupon.",) if len(zones) > 1 else ()
    same = len({_initials(row.by) for row in rows} - {""}) < 2
    return (*mixed, *((ONE_READER,) if same else ()))


def _initials(by: str) -> str:
    """The person in `role and initials`, however it is spaced and capitalised; empty where no letter is there."""
    letters = ["".join(sign for sign in word if sign.isalpha()) for word in by.split()]
    return (letters[-1] if letters else "").casefold()


def residue(evidence: Evidence) -> Iterable[Finding]:
    """LAM-05: the burned-out glass weighs what the schedule says."""
    return each_coupon(evidence, "LAM-05", RESIDUE, _residue)


def _residue(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    at = About(period=Period(row.at, row.at), at=(row.where,))
    found = layers(evidence, row.zone, row.skin)
    if found is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, no_schedule(evidence), at)
        return
    specified = limits(evidence, key.check, RESIDUE, place=row.zone, condition=row.skin).specified
    if found.caps:
        yield unjudged(key, Verdict.INCONCLUSIVE, " ".join(found.caps), at, Limits(specified))
        return
    wanted, working = _left_by(found)
    asked = Limits(specified, wanted)
    if row.length is None or row.width is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_SIZED, at, asked)
        return
    mass, size = used(evidence, [row], "balance", "mass", "g", "full"), used(evidence, [row], "caliper", "length", "mm")
    given = {
        "crucible": (row.crucible, mass.parts, "empty crucible"),
        "residue": (row.residue, mass.parts, "crucible with residue"),
        "length": (row.length, size.parts, "length"),
        "width": (row.width, size.parts, "width"),
    }
    value = residue_per_area(row.crucible, row.residue, row.length, row.width)
    stated = mass.parts and size.parts
    parts = (*carried(residue_per_area, given), *weight_parts(found.plies)) if stated else ()
    about = About(
        method=f"burned by {row.method}, residue over the area of the coupon",
        period=at.period,
        instruments=tuple(dict.fromkeys((*mass.instruments, *size.instruments))),
        at=(row.where,),
        working=(
            where_from(evidence, row),
            f"({row.residue:.4f} − {row.crucible:.4f}) g on {row.length:g} mm × {row.width:g} mm",
            f"= {fixed(value, 0)} g/m²; {working}",
        ),
        notes=(
            "The tolerance of the fabrics is part of the uncertainty: what the schedule leaves is not known better.",
            *mass.notes,
            *size.notes,
        ),
        caps=(*mass.caps, *size.caps, *found.caps, *unsound(evidence, row)),
    )
    yield from judge(key, Quantity.combined(value, "g/m2", parts), asked, about)


def _left_by(found: Layers) -> tuple[Limit, str]:
    """What the schedule leaves after burning, to either side half of its lightest ply; and how it is worked out.

    The ends are rounded inwards to whole grams per square metre: no verdict is better for it.
    """
    each = [residue_of(material) for _, material in found.plies]
    whole = scheduled_residue((material.weight or 0.0, loss_of(material)) for _, material in found.plies)
    slack = rule("half a ply") * min(each)
    working = (
        f"the schedule leaves {' + '.join(fixed(one, 0) for one in each)} = {fixed(whole, 0)} g/m²; "
        f"half of the lightest ply is {fixed(slack, 0)} g/m²; the limits are rounded inwards to whole grams"
    )
    low, high = math.ceil(round(whole - slack, 6)), math.floor(round(whole + slack, 6))
    return Limit("g/m2", (*found.terms, rule_term("half a ply")), float(low), float(high)), working
