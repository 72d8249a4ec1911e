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
from buildbook.chapters.coating.odd_rows import words_of
from buildbook.chapters.coating.records import CrossCut, FilmReading, PullOff
from buildbook.chapters.coating.subjects import METALS, painted_zones
from buildbook.chapters.readings import carried
from buildbook.chapters.shared_records import Place, Planned
from buildbook.chapters.subjects import absent, attempts, limits, planned_places, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, judge, unjudged, worst
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.formulas import Malformed, OutOfRange
from buildbook.formulas.statistics import summary
from buildbook.formulas.uncertainty import rectangular
from buildbook.sources import number, table

STRENGTH = "pull-off strength"
CROSS_CUT = "cross-cut class"
DEPTH = "The cut tests the layers it goes through, no deeper."
NO_PULL_OFF = "No pull-off of this zone is on record."
NO_TOLERANCE = "No tolerance of the dolly's diameter is on record, so the uncertainty leaves it out."


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
    yield from _untested(evidence)
    for row in evidence.of(PullOff):
        yield from _pull_off(evidence, row)
    for gone in evidence.lost(PullOff):
        name = gone.get("specimen") or str(gone.where.row)
        if evidence.one(PullOff, specimen=name) is None:
            key = Key("COA-10", STRENGTH, gone.get("zone") or "", name, gone.get("attempt") or 1)
            words = "The row of this dolly cannot be used."
            asked = limits(evidence, "COA-10", STRENGTH, place=key.place)
            yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=(gone.where,)), asked)
    yield from _cross_cuts(evidence)


def _untested(evidence: Evidence) -> Iterable[Finding]:
    """Painted zones without a test of either kind that the plan does not ask for: gaps all the same."""
    if Planned in evidence.missing:
        return  # then every painted zone without a pull-off is named already
    known = {*evidence.values(PullOff, "zone"), *evidence.values(CrossCut, "zone"), *planned_places(evidence, "COA-10")}
    for zone in painted_zones(evidence):
        if zone not in known:
            words = "Painted, and neither a pull-off nor a cross-cut stands for this zone; the plan asks for none."
            yield absent(evidence, PullOff, Key("COA-10", STRENGTH, zone), Verdict.NOT_MEASURED, words)


def _only(evidence: Evidence, zone: str, other: type[PullOff] | type[CrossCut], words: str) -> tuple[str, ...]:
    """What to say where a zone has a test of one kind and none of the other."""
    return () if zone in evidence.values(other, "zone") else (words,)


def _pull_off(evidence: Evidence, row: PullOff) -> Iterable[Finding]:
    key = Key("COA-10", STRENGTH, row.zone, row.specimen, row.attempt)
    use = used(evidence, [row], "instrument", "force", "N", "force")
    torn, caps = _torn(row)
    stress = pull_off_stress(row.force, row.dolly)
    parts = _stress_parts(row, use.parts)
    glued = torn.glue > _share("glue governs above")
    notes = (
        *(["The glue let go first, so the paint holds at least this much."] if glued else []),
        *([NO_TOLERANCE] if row.dolly_tolerance is None else []),
        *_only(evidence, row.zone, CrossCut, "No cross-cut of this zone is on record."),
    )
    about = About(
        method=f"pull-off after ISO 4624, {_on(row)}",
        period=Period(row.at, row.at),
        instruments=use.instruments,
        at=(row.where,),
        working=(
            f"{row.force:g} N / (π × ({row.dolly:g} mm)² / 4) = {fixed(stress, 3)} MPa",
            f"torn inside a layer {torn.cohesive:g} %, between layers {torn.adhesive:g} %, at the glue {torn.glue:g} %",
            *([f"dolly within {row.dolly_tolerance:g} mm, a rectangle (divided by √3)"] if row.dolly_tolerance else []),
        ),
        notes=(*notes, *use.notes),
        caps=(*caps, *use.caps),
    )
    measured = Quantity.combined(stress, "MPa", parts, kind=Kind.AT_LEAST if glued else Kind.MEASURED)
    wanted = limits(evidence, "COA-10", STRENGTH, place=row.zone, reference=_kind(torn))
    yield from judge(key, measured, wanted, about, observed=f"{row.fracture}, {_on(row)}")


def _on(row: PullOff) -> str:
    return "on a witness panel" if row.on == "witness panel" else "on the hull"


def _stress_parts(row: PullOff, force: tuple[Part, ...]) -> tuple[Part, ...]:
    """Force and diameter carried into the stress; none where the tester states no uncertainty."""
    if not force:
        return ()
    wide = (Part("diameter", rectangular(row.dolly_tolerance)),) if row.dolly_tolerance else ()
    inputs = {"force": (row.force, force, "force"), "diameter": (row.dolly, wide, "diameter of the dolly")}
    return tuple(part for part in carried(pull_off_stress, inputs) if part.standard)


def _share(rule: str) -> float:
    """A share of the area [%] from the printed rules about fractures."""
    return next(float(row["share"]) for row in table("fracture_rules") if row["rule"] == rule)


def _torn(row: PullOff) -> tuple[FractureSummary, tuple[str, ...]]:
    """What tore, and what to say where the fracture cannot be read: the strength is judged without it."""
    try:
        return fracture_summary(parse_fracture(row.fracture)), ()
    except (OutOfRange, Malformed) as reason:
        return FractureSummary(0.0, 0.0, 0.0), (f"{reason}.",)


def _kind(torn: FractureSummary) -> Literal["adhesive", "cohesive"]:
    """Which row of the reference counts; where nothing in the paint parted, the stricter one."""
    parted = torn.adhesive + torn.cohesive
    adhesive = parted == 0 or 100.0 * torn.adhesive >= _share("adhesive figure from") * parted
    return "adhesive" if adhesive else "cohesive"


def _cross_cuts(evidence: Evidence) -> Iterable[Finding]:
    for zone in evidence.values(CrossCut, "zone"):
        rows = evidence.of(CrossCut, zone=zone)
        lost = evidence.lost(CrossCut, zone=zone)
        if not rows:
            words = "No usable cross-cut of this zone."
            yield absent(evidence, CrossCut, Key("COA-10", CROSS_CUT, zone), Verdict.NOT_MEASURED, words)
        for row in rows:
            key = Key("COA-10", CROSS_CUT, zone, f"cut {row.number}", row.attempt)
            scales = words_of([one for one in rows if one.attempt == row.attempt], "scale")
            yield from worst(*(_cross_cut(evidence, key, row, scale, scales) for scale in (row.scale, *scales)))
        for gone in lost:
            if gone.get("number") is not None and rows:
                key = Key("COA-10", CROSS_CUT, zone, f"cut {gone.get('number')}", gone.get("attempt") or 1)
                words, asked = "The row of this cut cannot be used.", limits(evidence, "COA-10", CROSS_CUT, place=zone)
                yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=(gone.where,)), asked)


def _cross_cut(evidence: Evidence, key: Key, row: CrossCut, scale: str, scales: tuple[str, ...]) -> Iterable[Finding]:
    """One cut, its class read on `scale`; where the cuts of a zone name two `scales`, that is a doubt."""
    rating = row.rating if scale == "ISO 2409" else iso_from_astm_rating(row.rating)
    mixed = (f"The cuts of this zone name two scales ({'; '.join(scales)}), which run opposite ways.",)
    about = About(
        method=f"cross-cut, {scale}",
        period=Period(row.at, row.at),
        at=(row.where,),
        working=(f"{scale} class {row.rating} is class {rating} of ISO 2409 (0 is undamaged)",),
        notes=(DEPTH, *_beneath(evidence, row), *_only(evidence, row.zone, PullOff, NO_PULL_OFF)),
        caps=(*_wrong_cut(evidence, row), *(mixed if len(scales) > 1 else ())),
    )
    wanted = limits(evidence, "COA-10", CROSS_CUT, place=row.zone)
    yield from judge(key, Quantity.count(rating), wanted, about)


def _beneath(evidence: Evidence, row: CrossCut) -> tuple[str, ...]:
    """What to say where the zone carries more film than the cut went through, or more than the method allows."""
    readings = evidence.of(FilmReading, zone=row.zone, attempt=attempts(evidence, FilmReading, zone=row.zone)[-1])
    if not readings:
        return ()
    mean, most = summary([reading.thickness for reading in readings]).mean, _spacings(row.scale)[-1].film_up_to
    if mean <= row.film:
        return ()
    zone = f"The film of this zone measures {fixed(mean, 0)} µm (COA-08)"
    said = f"{zone}; the cut went through {plain_number(row.film)} µm, so it says nothing of what lies beneath."
    if mean <= most:
        return (said,)
    return (
        said,
        f"{row.scale} goes up to {plain_number(most)} µm. For the whole film: an X-cut (ISO 16276-2), a pull-off.",
    )


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
