"""LAM-09: whether the weighings can be trusted, and what of a burn is in doubt."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.laminate.subjects import at_least_counted, each_coupon, held_by_lost_burns, last_burns, skins
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import Used, absent, limits, period, planned_places, used
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, judge, judge_fact, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed

MASS, FURNACE, CHANGE = "specimen mass", "furnace temperature", "change on heating again"
SPECIMENS, CLEAN = "specimens of the skin", "gelcoat and filler"
FILLED = "Filler stays behind with the glass and was counted as glass."
GELCOAT_ON = "Gelcoat was left on: its resin counts as resin of the laminate, its pigment as glass."
NOT_SAID_BURNED = "It was not heated and weighed again, so that nothing was left to burn is not shown (LAM-09)."
NOT_SAID_CLEAN = "Whether gelcoat was ground off and whether the resin holds filler is not on record (LAM-09)."


def unsound(evidence: Evidence, row: BurnOff) -> tuple[str, ...]:
    """Why what was weighed may not have been the glass of the laminate alone."""
    return (*_unclean(row), *_still_burning(evidence, row))


def _unclean(row: BurnOff) -> tuple[str, ...]:
    if row.gelcoat is None or row.filled is None:
        return (NOT_SAID_CLEAN,)
    left = (GELCOAT_ON,) if row.gelcoat == "left on" else ()
    return (*left, *((FILLED,) if _filler_counted(row) else ()))


def _filler_counted(row: BurnOff) -> bool:
    """Whether mineral filler stayed behind with the glass; method B dissolves it."""
    return bool(row.filled) and row.method != "ISO 1172 B"


def _still_burning(evidence: Evidence, row: BurnOff) -> tuple[str, ...]:
    if row.reheated is None:
        return (NOT_SAID_BURNED,)
    wanted = limits(evidence, "LAM-09", CHANGE, place=row.zone, reference=row.method)
    change, _ = _changed(evidence, row)
    if not decide(change, wanted.specified or wanted.reference).verdict.missed:
        return ()
    return (f"Heated again it changed by {fixed(change.value, 1)} mg (LAM-09): what was weighed was not glass alone.",)


def two_methods(rows: Sequence[BurnOff]) -> tuple[str, ...]:
    """That coupons burned by two methods are not one sample."""
    methods = sorted({row.method for row in rows})
    return (f"Burned by {listed(methods)}: two methods are not one sample.",) if len(methods) > 1 else ()


def weighings(evidence: Evidence) -> Iterable[Finding]:
    """LAM-09: the record of every burn follows its method."""
    for quantity, judged in ((MASS, _mass), (FURNACE, _furnace), (CHANGE, _change), (CLEAN, _clean)):
        yield from each_coupon(evidence, "LAM-09", quantity, judged)
    for zone in sorted({*evidence.values(BurnOff, "zone"), *planned_places(evidence, "LAM-09", BurnOff.table.file)}):
        for skin in skins(evidence, zone) or ("",):
            yield from _specimens(evidence, zone, skin)


def _about(row: BurnOff, working: str, instruments: tuple[str, ...] = ()) -> About:
    return About(
        method=f"record of the burn by {row.method}",
        period=Period(row.at, row.at),
        instruments=instruments,
        at=(row.where,),
        working=(working,) if working else (),
    )


def _mass(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    use = used(evidence, [row], "balance", "mass", "g", "full")
    mass = row.full - row.crucible
    parts = carried(lambda full, crucible: full - crucible, {
        "full": (row.full, use.parts, "crucible with specimen"),
        "crucible": (row.crucible, use.parts, "empty crucible"),
    }) if use.parts else ()  # fmt: skip
    about = _about(row, f"{row.full:.4f} − {row.crucible:.4f} = {mass:.4f} g", use.instruments)
    about = replace(about, notes=use.notes, caps=use.caps)
    wanted = limits(evidence, key.check, MASS, place=row.zone, reference=row.method)
    yield from judge(key, Quantity.combined(mass, "g", parts), wanted, about)


def _furnace(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    wanted = limits(evidence, key.check, FURNACE, place=row.zone, reference=row.method)
    if row.furnace is None:
        words = "The temperature of the furnace is not on record."
        yield unjudged(key, Verdict.NO_RECORD, words, _about(row, ""), wanted)
        return
    if row.thermometer is None:
        yield from judge(key, Quantity(row.furnace, "degC"), wanted, _about(row, f"{row.furnace:g} °C as set"))
        return
    use = used(evidence, [row], "thermometer", FURNACE, "degC", "furnace")
    about = replace(_about(row, f"{row.furnace:g} °C as read", use.instruments), notes=use.notes, caps=use.caps)
    yield from judge(key, Quantity.combined(row.furnace, "degC", use.parts), wanted, about)


def _change(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    wanted = limits(evidence, key.check, CHANGE, place=row.zone, reference=row.method)
    if row.reheated is None:
        words = "It was not heated and weighed again, so that nothing was left to burn is not shown."
        yield unjudged(key, Verdict.NO_RECORD, words, _about(row, ""), wanted)
        return
    change, use = _changed(evidence, row)
    words = f"{row.residue:.4f} g, heated again {row.reheated:.4f} g: {fixed(change.value, 1)} mg"
    about = replace(_about(row, words, use.instruments), notes=use.notes, caps=use.caps)
    yield from judge(key, change, wanted, about)


def _changed(evidence: Evidence, row: BurnOff) -> tuple[Quantity, Used]:
    """How far the mass changed on heating again; the row must hold it."""
    change = 1000.0 * abs(row.residue - (row.reheated or 0.0))
    use = used(evidence, [row], "balance", "mass", "g")
    parts = tuple(Part(f"{part.name}, both weighings", 1000.0 * math.sqrt(2.0) * part.standard) for part in use.parts)
    return Quantity.combined(change, "mg", parts), use


def _clean(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    wanted = limits(evidence, key.check, CLEAN, place=row.zone)
    if row.gelcoat is None or row.filled is None:
        words = "Whether gelcoat was ground off and whether the resin holds filler is not on record."
        yield unjudged(key, Verdict.NO_RECORD, words, _about(row, ""), wanted)
        return
    filled = _filler_counted(row)
    observed = f"gelcoat {row.gelcoat}, {'mineral filler in the resin' if row.filled else 'no mineral filler'}"
    notes = (FILLED,) if filled else ()
    met = row.gelcoat != "left on" and not filled
    yield from judge_fact(key, met, observed, wanted, replace(_about(row, ""), notes=notes))


def _specimens(evidence: Evidence, zone: str, skin: str) -> tuple[Finding, ...]:
    key = Key("LAM-09", SPECIMENS, zone, skin)
    rows = last_burns(evidence.of(BurnOff, zone=zone, skin=skin))
    if not rows:
        words = "No coupon of this skin was burned."
        return (absent(evidence, BurnOff, key, Verdict.NOT_MEASURED, words),)
    about = About(
        method="coupons counted",
        period=period(row.at for row in rows),
        at=tuple(row.where for row in rows),
        working=(", ".join(row.coupon for row in rows),),
        caps=two_methods(rows),
    )
    methods = sorted({row.method for row in rows})
    wanted = limits(evidence, key.check, SPECIMENS, place=zone, condition=skin, reference=methods[0])
    return held_by_lost_burns(
        evidence, judge(key, at_least_counted(evidence, len(rows), zone, skin), wanted, about), zone, skin
    )
