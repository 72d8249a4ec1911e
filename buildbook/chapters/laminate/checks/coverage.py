"""LAM-10 where she was sampled, and LAM-12 the readings that later surveys start from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from buildbook.chapters.contradictions import drier_than_dry
from buildbook.chapters.laminate.records import BurnOff, ThicknessReading
from buildbook.chapters.laminate.subjects import (
    MAYBE_PAINT,
    at_least_counted,
    held_by_lost_burns,
    paint_unknown,
    scheduled_zones,
    skins,
)
from buildbook.chapters.shared_records import Moisture, Place
from buildbook.chapters.subjects import absent, asked_places, limits, mean_of, period, planned_places, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, judge_fact, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import listed

OPENING, SKIN, WITNESS = "coupon from the opening", "coupons of the skin", "witness halves kept"
THICKNESS, MOISTURE = "mean thickness of the near skin", "moisture above dry reference"
NEAR_SKIN = "Sound does not pass foam: only the near skin is measured."
ONE_METER = "The scale is the meter's own, not a share of water; it fits no other meter."


def sampled(evidence: Evidence) -> Iterable[Finding]:
    """LAM-10: every opening with its coupon, every scheduled skin with at least one, every other half kept."""
    openings = {place.place for place in evidence.of(Place) if place.kind == "opening"}
    maybe = [row for row in evidence.lost(Place) if row.get("kind") in (None, "opening")]
    openings |= {row.get("place") for row in maybe if row.get("place")}
    openings |= set(planned_places(evidence, "LAM-10"))
    for row in maybe:
        if not row.get("place"):
            words = "The row of this place cannot be used; it may be an opening."
            key = Key("LAM-10", OPENING, "", str(row.where.row))
            yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=(row.where,)))
    for opening in sorted({*openings, *evidence.values(BurnOff, "opening")}):
        yield from _opening(evidence, opening)
    for zone in sorted({*scheduled_zones(evidence), *evidence.values(BurnOff, "zone")}):
        for skin in skins(evidence, zone) or ("",):
            yield from _skin(evidence, zone, skin)
        rows = evidence.of(BurnOff, zone=zone)
        yield from _witness(evidence, zone, rows)


def _skin(evidence: Evidence, zone: str, skin: str) -> Iterable[Finding]:
    key = Key("LAM-10", SKIN, zone, skin)
    rows = evidence.of(BurnOff, zone=zone, skin=skin)
    if not rows:
        words = "This skin has a lay-up schedule, and no coupon speaks for it."
        yield absent(evidence, BurnOff, key, Verdict.NOT_MEASURED, words)
        return
    coupons = sorted({row.coupon for row in rows})
    wanted = limits(evidence, key.check, SKIN, place=zone, condition=skin)
    about = _about(rows, "coupons of the skin counted")
    found = judge(key, at_least_counted(evidence, len(coupons), zone, skin), wanted, about, observed=", ".join(coupons))
    yield from held_by_lost_burns(evidence, found, zone, skin)


def _opening(evidence: Evidence, opening: str) -> Iterable[Finding]:
    key = Key("LAM-10", OPENING, opening)
    rows = evidence.of(BurnOff, opening=opening)
    if not rows:
        yield absent(evidence, BurnOff, key, Verdict.NOT_MEASURED, "What was cut out here was never tested.")
        return
    coupons = sorted({row.coupon for row in rows})
    wanted = limits(evidence, key.check, OPENING, place=opening)
    yield from judge_fact(key, True, listed(coupons), wanted, _about(rows, "openings against coupons"))


def _witness(evidence: Evidence, zone: str, rows: Sequence[BurnOff]) -> tuple[Finding, ...]:
    key = Key("LAM-10", WITNESS, zone)
    wanted = limits(evidence, key.check, WITNESS, place=zone)
    if not rows:
        return (absent(evidence, BurnOff, key, Verdict.NOT_MEASURED, "No coupon of this zone was burned.", wanted),)
    without = sorted({row.coupon for row in rows if row.witness is None})
    kept = sorted({row.witness for row in rows if row.witness})
    observed = f"kept: {listed(kept)}" if not without else f"none kept of {listed(without)}"
    found = judge_fact(key, not without, observed, wanted, _about(rows, "where the other halves are kept"))
    return held_by_lost_burns(evidence, found, zone)


def _about(rows: Sequence[BurnOff], method: str) -> About:
    return About(method=method, period=period(row.at for row in rows), at=tuple(row.where for row in rows))


def baseline(evidence: Evidence) -> Iterable[Finding]:
    """LAM-12: thickness and moisture by grid position, for whoever measures her next."""
    bare = {place.place for place in evidence.of(Place) if not place.painted}
    wanted = asked_places(evidence, "LAM-12", ThicknessReading.table.file, THICKNESS)
    for zone in sorted({*wanted, *evidence.values(ThicknessReading, "zone")}):
        rows = evidence.of(ThicknessReading, zone=zone)
        if rows:
            yield from judged_as_planned(evidence, "LAM-12", rows, lambda some: _thickness(evidence, some))
        else:
            key = Key("LAM-12", THICKNESS, zone)
            yield absent(evidence, ThicknessReading, key, Verdict.NOT_MEASURED, "No thickness reading of this zone.")
    damp = asked_places(evidence, "LAM-12", Moisture.table.file, MOISTURE)
    read = {zone for zone in evidence.values(Moisture, "place") if zone in bare or paint_unknown(evidence, zone)}
    for zone in sorted({*damp, *read}):
        yield from _moisture(evidence, zone)


def _thickness(evidence: Evidence, rows: Sequence[ThicknessReading]) -> Iterable[Finding]:
    key = Key("LAM-12", THICKNESS, rows[0].zone)
    use = used(evidence, rows, "instrument", "laminate thickness", "mm", "thickness")
    measured, about = mean_of(rows, "thickness", "mm", use, "ultrasonic pulse-echo, ")
    speeds = sorted({row.velocity for row in rows})
    sets = sorted({row.set_on for row in rows})
    about = About(
        method=f"{about.method}, at {listed(f'{speed:g}' for speed in speeds)} m/s, set on {listed(sets)}",
        period=about.period,
        instruments=about.instruments,
        at=about.at,
        working=(*about.working, "; ".join(f"{row.grid} {row.thickness:g}" for row in rows)),
        notes=(NEAR_SKIN, *about.notes),
        caps=about.caps,
    )
    return judge(key, measured, limits(evidence, key.check, THICKNESS, place=key.place), about)


def _moisture(evidence: Evidence, zone: str) -> Iterable[Finding]:
    key = Key("LAM-12", MOISTURE, zone)
    rows = evidence.of(Moisture, place=zone)
    wanted = limits(evidence, key.check, MOISTURE, place=zone)
    if not rows:
        yield absent(evidence, Moisture, key, Verdict.NOT_MEASURED, "No moisture reading of this zone.")
        return
    if paint_unknown(evidence, zone):
        yield unjudged(key, Verdict.INCONCLUSIVE, MAYBE_PAINT, About(at=tuple(row.where for row in rows)), wanted)
        return
    use = used(evidence, rows, "instrument", "moisture", "1", "reading")
    twice = tuple(Part(f"{part.name}, both readings", part.standard * math.sqrt(2.0)) for part in use.parts)
    wettest = max(rows, key=lambda row: row.reading - row.dry_reference)
    measured = Quantity.combined(wettest.reading - wettest.dry_reference, "1", twice)
    scales = sorted({row.meter_scale for row in rows})
    about = About(
        method=f"hand-held meter, scale {listed(scales)}; wettest of {len(rows)} readings above its dry reference",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=("; ".join(f"{row.number}: {row.reading:g} over {row.dry_reference:g}" for row in rows),),
        notes=(ONE_METER, *use.notes),
        caps=(
            *use.caps,
            *drier_than_dry(rows, measured.at_two),
            *((f"On different scales ({listed(scales)}): not comparable.",) if len(scales) > 1 else ()),
        ),
    )
    yield from judge(key, measured, wanted, about)
