"""COA-14 metal parts: salt, dust, profile and the time to primer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.coating.formulas.preparation import salt_density
from buildbook.chapters.coating.logged import logged_hours
from buildbook.chapters.coating.records import Coat, MetalPart
from buildbook.chapters.coating.subjects import METALS
from buildbook.chapters.readings import carried
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import absent, limits, planned_places, used
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged, worst
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed
from buildbook.formulas.uncertainty import from_certificate
from buildbook.sources import table

SALT, DUST, PROFILE, PRIMER = "soluble salt", "dust quantity", "surface profile", "time to primer"
EVERY_SIZE = (
    "Dust of every size is judged. The ballast-tank standard, quoted from memory, limits size classes 3 to 5 and asks "
    "for smaller dust to be removed where it can be seen."
)
NO_COATS = (
    "The coating log holds no coat of this part, so the climate, batch and film of its primer are not on record; the "
    "checks of coats say nothing of it."
)


def metal_parts(evidence: Evidence) -> Iterable[Finding]:
    """COA-14: metal was clean and rough enough, and primed before it could corrode again."""
    metals = [place.place for place in evidence.of(Place) if place.painted and place.substrate in METALS]
    metals += [lost.get("place") for lost in evidence.lost(Place) if _may_be_metal(lost)]
    for part in sorted({*metals, *planned_places(evidence, "COA-14"), *evidence.values(MetalPart, "part")}):
        rows = evidence.of(MetalPart, part=part)
        for quantity, judged in ((SALT, _salt), (DUST, _dust), (PROFILE, _profile), (PRIMER, _time_to_primer)):
            key = Key("COA-14", quantity, part)
            if not rows:
                words = "No record of how this part was prepared."
                yield absent(evidence, MetalPart, key, Verdict.NO_RECORD, words)
            else:
                yield from worst(*(judged(evidence, key, row) for row in rows))


def _may_be_metal(lost: Unread) -> bool:
    """Whether an unreadable row of the places may be about painted metal."""
    metal = lost.get("substrate") in METALS or (lost.get("substrate") is None and lost.get("kind") in (None, "part"))
    return bool(lost.get("place")) and metal and lost.get("painted") is not False


def _salt(evidence: Evidence, key: Key, row: MetalPart) -> Iterable[Finding]:
    about = About(at=(row.where,), period=Period(row.prepared_at, row.primed_at))
    rise, water, patch = row.rise, row.water, row.patch
    if rise is None or water is None or patch is None:
        words = "No salt extraction with its volume and patch on this part."
        yield unjudged(key, Verdict.NOT_MEASURED, words, about, _by_metal(evidence, key, row)[0][0])
        return
    use = used(evidence, [row], "salt_instrument", "conductivity", "uS/cm", "rise")
    blank, doubt = _blank(row, rise)
    net = rise - blank
    value = salt_density(net, water, patch)
    repeats, beyond = _precision(value)
    parts = (*_salt_parts(use.parts, net, water, patch), *repeats)
    about = About(
        method="extraction after ISO 8502-6, conductivity after ISO 8502-9",
        period=about.period,
        instruments=use.instruments,
        at=(row.where,),
        working=(
            f"rise {rise:g} − blank {blank:g} = {net:g} µS/cm, {water:g} mL on {patch:g} mm²",
            f"salt = 5 kg/(m² S) × volume × rise / area = {fixed(value, 2)} mg/m²",
        ),
        notes=("The method is written for steel.", *beyond, *use.notes),
        caps=(*use.caps, *doubt),
    )
    yield from _on_metal(evidence, key, Quantity.combined(value, "mg/m2", parts), about, row)


def _blank(row: MetalPart, rise: float) -> tuple[float, tuple[str, ...]]:
    """The rise of the blank test to take off [uS/cm]; none, and why, where it is missing or larger than the rise."""
    if row.blank_rise is None:
        return 0.0, ("No blank test is on record, so nothing was taken off and the value may be too high.",)
    if row.blank_rise > rise:
        return 0.0, (
            f"The blank test rose by {row.blank_rise:g} µS/cm, more than the extraction: it was not taken off.",
        )
    return row.blank_rise, ()


def _on_metal(evidence: Evidence, key: Key, measured: Quantity, about: About, row: MetalPart) -> tuple[Finding, ...]:
    """Judged by the limits for the metal; where log and places name two metals, by both, and the worse stands."""
    possible, doubt = _by_metal(evidence, key, row)
    about = replace(about, caps=(*about.caps, *doubt))
    return worst(*(judge(key, measured, wanted, about) for wanted in possible))


def _by_metal(evidence: Evidence, key: Key, row: MetalPart) -> tuple[tuple[Limits, ...], tuple[str, ...]]:
    place = evidence.one(Place, place=key.place)
    other = place.substrate if place is not None and place.substrate in METALS else row.metal
    possible = tuple(
        limits(evidence, key.check, key.quantity, place=key.place, reference=metal)
        for metal in dict.fromkeys((row.metal, other))
    )
    words = f"{Place.table.file} names {other}, {MetalPart.table.file} {row.metal}: which metal it is cannot be told."
    return possible, (words,) if other != row.metal else ()


def _salt_parts(parts: tuple[Part, ...], net: float, water: float, patch: float) -> tuple[Part, ...]:
    """The conductivity meter twice (test and blank), carried through the formula."""
    if not parts:
        return ()
    twice = {"rise": (net, (*parts, *parts), "conductivity meter, test and blank")}
    return tuple(part for part in carried(lambda rise: salt_density(rise, water, patch), twice) if part.standard)


def _precision(salt: float) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """How well one extraction repeats [mg/m2]; beyond what is printed by the nearest row, with a note that says so."""
    rows = [
        (float(row["salt_from"]), float(row["salt_to"]), float(row["half_width"])) for row in table("salt_precision")
    ]
    low, high, half_width = min(rows, key=lambda row: max(row[0] - salt, salt - row[1], 0.0))
    words = (
        f"The precision of one test, {half_width:g} mg/m², is printed for {low:g} to {high:g} mg/m². "
        "For want of another it is used for this value too."
    )
    part = Part("precision of one test", from_certificate(half_width))
    return (part,), () if low <= salt <= high else (words,)


def _dust(evidence: Evidence, key: Key, row: MetalPart) -> Iterable[Finding]:
    about = About(method="tape test after ISO 8502-3", period=Period(row.prepared_at, row.primed_at), at=(row.where,))
    wanted = limits(evidence, key.check, DUST, place=key.place)
    if row.dust_quantity is None:
        yield unjudged(key, Verdict.NOT_MEASURED, "No tape test with its quantity on this part.", about, wanted)
        return
    unsized = () if row.dust_size is not None else ("The size class of the dust is not on record.",)
    observed = f"size class {row.dust_size}" if row.dust_size is not None else "size class not on record"
    about = replace(about, notes=(EVERY_SIZE,), caps=unsized)
    yield from judge(key, Quantity.count(row.dust_quantity), wanted, about, observed=observed)


def _profile(evidence: Evidence, key: Key, row: MetalPart) -> Iterable[Finding]:
    about = About(at=(row.where,), period=Period(row.prepared_at, row.primed_at))
    if row.profile is None:
        words = "No surface profile was measured on this part."
        yield unjudged(key, Verdict.NOT_MEASURED, words, about, _by_metal(evidence, key, row)[0][0])
        return
    use = used(evidence, [row], "profile_instrument", "surface profile", "um", "profile")
    about = About(
        method=row.prepared,
        period=about.period,
        instruments=use.instruments,
        at=(row.where,),
        working=(f"profile {row.profile:g} µm as read",),
        notes=use.notes,
        caps=use.caps,
    )
    yield from _on_metal(evidence, key, Quantity.combined(row.profile, "um", use.parts), about, row)


def _time_to_primer(evidence: Evidence, key: Key, row: MetalPart) -> Iterable[Finding]:
    since = logged_hours(row.prepared_at, row.primed_at)
    about = About(
        method="times in the log of metal parts",
        period=Period(row.prepared_at, row.primed_at),
        at=(row.where,),
        working=(f"from the end of preparation to the first coat of primer: {fixed(since.value, 2)} h",),
        notes=() if evidence.of(Coat, zone=row.part) else (NO_COATS,),
    )
    yield from _on_metal(evidence, key, since, about, row)
