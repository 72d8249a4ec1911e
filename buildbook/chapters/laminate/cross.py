"""Rows of the laminate tables that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.laminate.checks.tested import of_force
from buildbook.chapters.laminate.records import (
    BondFinding,
    BondSurvey,
    BurnOff,
    CoreBond,
    Material,
    Ply,
    PlyCount,
    StrengthTest,
)
from buildbook.chapters.laminate.records.cut_outs import FABRICS
from buildbook.chapters.laminate.subjects import rule
from buildbook.chapters.shared_records import Place
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.record import Record
from buildbook.core.spelling import did_you_mean
from buildbook.core.wording import fixed, listed

NOT_JUDGED = "Voids, plies, residue and thickness of this coupon cannot be judged; its glass content can."
NOT_COUNTED = "The plies that were counted cannot be judged."


def with_a_schedule(evidence: Evidence) -> Iterable[Fault]:
    """Every coupon and every count is of a zone and skin that the schedule holds."""
    if Ply in evidence.missing:
        return
    known = {(row.zone, row.skin) for row in evidence.of(Ply)}
    lost = evidence.lost(Ply)
    rows: list[BurnOff | PlyCount] = [*evidence.of(BurnOff), *evidence.of(PlyCount)]
    for row in rows:
        maybe = any(gone.get("zone") in (None, row.zone) for gone in lost)
        if (row.zone, row.skin) not in known and not maybe:
            skins = sorted(skin for zone, skin in known if zone == row.zone)
            if skins:  # which skin it is of is not known: it may belong to the mean of any
                expected = f"a skin of {row.zone} in {Ply.table.file} ({listed(skins, 'or')})"
                yield Fault(row.cell("skin"), expected, row.skin, EFFECT)
                continue
            effect = NOT_JUDGED if isinstance(row, BurnOff) else NOT_COUNTED
            expected = f"a zone with plies in {Ply.table.file}"
            yield Fault(row.cell("zone"), expected, row.zone, effect, row_kept=True)


def one_home(evidence: Evidence) -> Iterable[Fault]:
    """A coupon is of one zone, opening and skin, whichever row speaks of it."""
    first = {row.coupon: row for row in reversed(evidence.of(BurnOff))}
    for burn in evidence.of(BurnOff):
        home = first[burn.coupon]
        for name in ("zone", "opening", "skin"):
            if getattr(burn, name) != getattr(home, name):
                yield _contradicts(burn, home, name)
                yield _contradicts(home, burn, name)
    for count in evidence.of(PlyCount):
        of = first.get(count.coupon)
        for name in ("zone", "skin"):
            if of is not None and getattr(count, name) != getattr(of, name):
                yield _contradicts(count, of, name)
                yield _contradicts(of, count, name)


def _contradicts(row: Record, other: Record, name: str) -> Fault:
    """One of two rows that contradict each other; which of them is wrong is not known."""
    return Fault(row.cell(name), f"{getattr(other, name)}, as in {other.where}", str(getattr(row, name)), EFFECT)


def materials_of_their_kind(evidence: Evidence) -> Iterable[Fault]:
    """A ply is a fabric in a resin, and a core is a core."""
    for ply in evidence.of(Ply):
        for name, kinds in (("material", FABRICS), ("resin", ("resin",))):
            material = evidence.one(Material, material=getattr(ply, name))
            if material is not None and material.kind not in kinds:
                expected = f"a material of kind {listed(kinds, 'or')}"
                yield Fault(ply.cell(name), expected, f"{material.material}, of kind {material.kind}", EFFECT)
    for row in evidence.of(CoreBond):
        material = evidence.one(Material, material=row.core)
        if material is not None and material.kind != "core":
            yield Fault(row.cell("core"), "a material of kind core", f"{row.core}, of kind {material.kind}", EFFECT)


def printed_strength(evidence: Evidence) -> Iterable[Fault]:
    """The strength that the laboratory printed is that of force and size."""
    for row in evidence.of(StrengthTest):
        if row.strength is None:
            continue
        found = of_force(row, row.force, row.width, row.thickness)
        if abs(found - row.strength) > rule("same strength") / 100.0 * found:
            expected = f"{fixed(found, 1)} MPa, from force, width and thickness"
            yield Fault(row.cell("strength"), expected, f"{row.strength:g}", EFFECT)


def one_piece(evidence: Evidence) -> Iterable[Fault]:
    """The piece that was hung in water is the one that was burned: both masses are the same."""
    for row in evidence.of(BurnOff):
        burned = row.full - row.crucible
        if row.in_air is not None and abs(row.in_air - burned) > rule("same mass") / 100.0 * burned:
            expected = f"the mass of the piece that was burned, {fixed(burned, 4)} g"
            yield Fault(row.cell("in_air"), expected, f"{row.in_air:g} g", EFFECT)


def counted_coupons_were_burned(evidence: Evidence) -> Iterable[Fault]:
    """Plies are counted of a coupon that was burned, and after it was."""
    if BurnOff in evidence.missing:
        return
    known = evidence.values(BurnOff, "coupon")
    unnamed = any(gone.get("coupon") is None for gone in evidence.lost(BurnOff))
    for row in evidence.of(PlyCount):
        if row.coupon not in known and not unnamed:
            meant = did_you_mean(row.coupon, known)
            yield Fault(row.cell("coupon"), f"a coupon of {BurnOff.table.file}{meant}", row.coupon, EFFECT)
        first = min((burn.at for burn in evidence.of(BurnOff, coupon=row.coupon)), default=None)
        if first is not None and row.at < first:
            yield Fault(row.cell("at"), f"a time after it was burned, {first:%Y-%m-%d %H:%M}", f"{row.at}", EFFECT)


def burned_once_at_a_time(evidence: Evidence) -> Iterable[Fault]:
    """A later burn of a coupon is later; and no two burns have the same three weighings, which is a row copied."""
    rows = evidence.of(BurnOff)
    for row in rows:
        before = evidence.one(BurnOff, coupon=row.coupon, attempt=row.attempt - 1)
        if before is not None and row.at <= before.at:
            yield Fault(row.cell("at"), f"a time after that of {before.where}", f"{row.at:%Y-%m-%d %H:%M}", EFFECT)
            yield Fault(before.cell("at"), f"a time before that of {row.where}", f"{before.at:%Y-%m-%d %H:%M}", EFFECT)
    by_mass: dict[tuple[float, float, float], list[BurnOff]] = {}
    for row in rows:
        by_mass.setdefault((row.crucible, row.full, row.residue), []).append(row)
    for same in (same for same in by_mass.values() if len(same) > 1):
        for row in same:
            twin = next(other for other in same if other is not row)
            expected = f"other weighings than those of {twin.coupon} in {twin.where}"
            yield Fault(row.cell("crucible"), expected, f"the same three: {row.full:g} g before the fire", EFFECT)


def coupons_from_openings(evidence: Evidence) -> Iterable[Fault]:
    """A coupon comes from a place that is an opening."""
    for row in evidence.of(BurnOff):
        place = evidence.one(Place, place=row.opening)
        if place is not None and place.kind != "opening":
            yield Fault(row.cell("opening"), "a place of kind opening", f"{row.opening}, a {place.kind}", EFFECT)


def cut_out_of_this_hull(evidence: Evidence) -> Iterable[Fault]:
    """A coupon is burned after the lay-up began that it was cut from."""
    began = evidence.hull.date_of("lay_up_started")
    for row in evidence.of(BurnOff):
        if began is not None and row.at.date() < began:
            expected = f"a day after the lay-up was begun, {began.isoformat()}"
            yield Fault(row.cell("at"), expected, f"{row.at:%Y-%m-%d %H:%M}", EFFECT)


def one_core(evidence: Evidence) -> Iterable[Fault]:
    """All pieces pulled out of one zone in one attempt have one core."""
    for row in evidence.of(CoreBond):
        for other in evidence.of(CoreBond, zone=row.zone, attempt=row.attempt):
            if other.core != row.core:
                yield Fault(row.cell("core"), f"{other.core}, as {other.specimen} of {row.zone}", row.core, EFFECT)
                break


def surveys_found_what_is_listed(evidence: Evidence) -> Iterable[Fault]:
    """No more places are listed in a zone than its surveys found."""
    if BondSurvey in evidence.missing:
        return
    for zone in evidence.values(BondFinding, "zone"):
        surveys = evidence.of(BondSurvey, zone=zone)
        listed_places = evidence.of(BondFinding, zone=zone)
        if evidence.lost(BondSurvey, zone=zone) or len(listed_places) <= sum(survey.found for survey in surveys):
            continue
        for survey in surveys:
            expected = f"{len(listed_places)} places or more, as {BondFinding.table.file} lists"
            yield Fault(survey.cell("found"), expected, f"{survey.found}", EFFECT)
        if not surveys:
            for place in listed_places:
                yield Fault(place.cell("zone"), f"a zone with a survey in {BondSurvey.table.file}", zone, EFFECT)


CROSS_CHECKS = (
    one_piece,
    counted_coupons_were_burned,
    burned_once_at_a_time,
    coupons_from_openings,
    cut_out_of_this_hull,
    one_core,
    surveys_found_what_is_listed,
    with_a_schedule,
    one_home,
    materials_of_their_kind,
    printed_strength,
)
