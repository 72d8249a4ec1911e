"""COA-10 pull-off tests and cross-cuts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from buildbook.chapters.coating.formulas.adhesion import (
    FractureSummary,
    SpacingRow,
    cut_spacing,
    fracture_summary,
    iso_from_astm_rating,
    parse_fracture,
    pull_off_stress,
)
from buildbook.chapters.coating.records import CrossCut, PullOff
from buildbook.chapters.coating.subjects import METALS, absent, limits, painted_zones, planned_places, used
from buildbook.chapters.readings import carried
from buildbook.chapters.shared_records import Place, Planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.wording import listed, plain_number
from buildbook.formulas import Malformed, OutOfRange
from buildbook.sources import number, table

STRENGTH = "pull-off strength"
CROSS_CUT = "cross-cut class"
CUT = "pull-off or cross-cut"


def adhesion(evidence: Evidence) -> Iterable[Finding]:
    """COA-10: the paint holds on, by pull-off tests and cross-cuts."""
    for kind, quantity in ((PullOff, STRENGTH), (CrossCut, CROSS_CUT)):
        tested, words = evidence.values(kind, "zone"), "Planned, but no test of this zone was made."
        wanted = planned_places(evidence, "COA-10", kind.table.file)
        if kind is PullOff and Planned in evidence.missing:
            words = f"No test of this zone was made, and {Planned.table.file} {evidence.missing[Planned]}."
            wanted = painted_zones(evidence)
        for zone in wanted:
            if zone not in tested:
                yield absent(evidence, kind, Key("COA-10", quantity, zone), Verdict.NOT_MEASURED, words)
    for row in evidence.of(PullOff):
        yield from _pull_off(evidence, row)
    for gone in evidence.lost(PullOff):
        name = gone.get("specimen") or str(gone.where.row)
        if evidence.one(PullOff, specimen=name) is None:
            key = Key("COA-10", STRENGTH, gone.get("zone") or "", name, gone.get("attempt") or 1)
            yield unjudged(key, Verdict.INCONCLUSIVE, "The row of this dolly cannot be used.", About(at=(gone.where,)))
    yield from _cross_cuts(evidence)


def _pull_off(evidence: Evidence, row: PullOff) -> Iterable[Finding]:
    key = Key("COA-10", STRENGTH, row.zone, row.specimen, row.attempt)
    use = used(evidence, [row], "instrument", "force", "N", "force")
    torn, caps = _torn(row)
    stress = pull_off_stress(row.force, row.dolly)
    parts: tuple[Part, ...] = ()
    if use.parts:
        force = {"force": (row.force, use.parts, "force")}
        carrying = carried(lambda force: pull_off_stress(force, row.dolly), force)
        parts = tuple(part for part in carrying if part.standard)
    glued = torn.glue > 50.0
    notes = ("The glue let go first, so the paint holds at least this much.",) if glued else ()
    about = About(
        method=f"pull-off after ISO 4624, {row.on}",
        period=Period(row.at, row.at),
        instruments=use.instruments,
        at=(row.where,),
        working=(
            f"{row.force:g} N / (π × ({row.dolly:g} mm)² / 4) = {stress:.3f} MPa",
            f"torn inside a layer {torn.cohesive:g} %, between layers {torn.adhesive:g} %, at the glue {torn.glue:g} %",
        ),
        notes=(*notes, *use.notes),
        caps=(*caps, *use.caps),
    )
    measured = Quantity.combined(stress, "MPa", parts, kind=Kind.AT_LEAST if glued else Kind.MEASURED)
    wanted = limits(evidence, "COA-10", STRENGTH, place=row.zone, reference=_kind(torn))
    yield from judge(key, measured, wanted, about, observed=row.fracture)


def _torn(row: PullOff) -> tuple[FractureSummary, tuple[str, ...]]:
    """What tore, and what to say where the fracture cannot be read: the strength is judged without it."""
    try:
        return fracture_summary(parse_fracture(row.fracture)), ()
    except (OutOfRange, Malformed) as reason:
        return FractureSummary(0.0, 0.0, 0.0), (f"{reason}.",)


def _kind(torn: FractureSummary) -> Literal["adhesive", "cohesive"]:
    """Which row of the reference counts: adhesive from 60 % between layers, the stricter one at exactly 60 to 40."""
    parted = torn.adhesive + torn.cohesive
    return "adhesive" if parted == 0 or torn.adhesive >= 0.6 * parted else "cohesive"


def _cross_cuts(evidence: Evidence) -> Iterable[Finding]:
    for zone in evidence.values(CrossCut, "zone"):
        rows = evidence.of(CrossCut, zone=zone)
        lost = evidence.lost(CrossCut, zone=zone)
        if not rows:
            words = "No usable cross-cut of this zone."
            yield absent(evidence, CrossCut, Key("COA-10", CROSS_CUT, zone), Verdict.NOT_MEASURED, words)
        for row in rows:
            key = Key("COA-10", CROSS_CUT, zone, f"cut {row.number}", row.attempt)
            yield from _cross_cut(evidence, key, row)
        for gone in lost:
            if gone.get("number") is not None and rows:
                key = Key("COA-10", CROSS_CUT, zone, f"cut {gone.get('number')}", gone.get("attempt") or 1)
                yield unjudged(key, Verdict.INCONCLUSIVE, "The row of this cut cannot be used.")


def _cross_cut(evidence: Evidence, key: Key, row: CrossCut) -> Iterable[Finding]:
    rating = row.rating if row.scale == "ISO 2409" else iso_from_astm_rating(row.rating)
    about = About(
        method=f"cross-cut, {row.scale}",
        period=Period(row.at, row.at),
        at=(row.where,),
        working=(f"{row.scale} class {row.rating} is class {rating} of ISO 2409 (0 best)",),
        notes=("The cut tests the layers it goes through, no deeper.",),
        caps=_wrong_cut(evidence, row),
    )
    wanted = limits(evidence, "COA-10", CROSS_CUT, place=row.zone)
    yield from judge(key, Quantity.count(rating), wanted, about)


def _wrong_cut(evidence: Evidence, row: CrossCut) -> tuple[str, ...]:
    """Why a cut does not follow its method: wrong spacing, or a film too thick for it."""
    place = evidence.one(Place, place=row.zone)
    substrate = place.substrate if place is not None else None
    kinds: tuple[Literal["hard", "soft"], ...] = ("hard", "soft")
    if substrate is not None:
        kinds = ("hard",) if substrate in METALS else ("soft",)
    try:
        wanted = sorted({cut_spacing(row.film, kind, _spacings(row.scale)).spacing for kind in kinds})
    except OutOfRange as reason:
        return (f"{reason}.",)
    if all(abs(spacing - row.spacing) < 1e-9 for spacing in wanted):
        return ()
    film, spacing = plain_number(row.film), plain_number(row.spacing)
    asked = listed((plain_number(one) for one in wanted), "or")
    unknown = "" if substrate is not None else " What the paint stands on is not on record."
    return (f"Cuts {spacing} mm apart; the method asks for {asked} mm in a film of {film} µm.{unknown}",)


def _spacings(scale: str) -> list[SpacingRow]:
    """The printed spacings of one method."""
    return [
        SpacingRow(
            number(line["film_above"]) or 0.0,
            number(line["film_up_to"]) or 0.0,
            line["substrate"],
            float(line["spacing"]),
            int(line["cuts"]),
        )
        for line in table("cross_cut_spacing")
        if line["method"] == scale
    ]
