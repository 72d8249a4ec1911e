"""LAM-01 to LAM-03: glass of coupons and skins, and voids."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.laminate.checks.weighings import CHANGE, two_methods, unsound
from buildbook.chapters.laminate.formulas.burn_off import (
    density_by_immersion,
    glass_content,
    void_content,
    volumes,
    water_density,
)
from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.laminate.subjects import (
    Density,
    bounded,
    each_coupon,
    glass_density,
    held_by_lost_burns,
    last_burns,
    layers,
    no_schedule,
    resin_density,
    rule,
    scheduled_zones,
    skins,
    usual_contents,
    where_from,
)
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import absent, asked_places, limits, period, used
from buildbook.core.decide import conditional_at_best
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, judge, unjudged, worst
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed
from buildbook.formulas import OutOfRange
from buildbook.formulas.uncertainty import combine, from_known_scatter, from_repeats

RECTANGLE = "as a rectangle of that half width (divided by √3)"
GLASS, MEAN, VOIDS = "glass content by mass", "mean glass content", "void content"
AT_LEAST_THIS = "Not all that enters it states an uncertainty: the one shown is the least it can be."
THIS_COUPON = (
    "The uncertainty is that of the weighings and of constant mass: it speaks for this coupon. Another piece of the "
    "same cut-out may differ by more; the zone is LAM-02."
)
AT_THE_LIMIT = "Below 1 % the figure is at the limit of the method. It speaks of the densities, not of single voids."
MG = 1000.0  # milligrams in a gram
NEGATIVE = "Below zero: a weighing or a density that was put in must be a little wrong. The value is left as it is."
CANNOT_BE = "cannot be: a weighing of this coupon, or a density that was put in, is wrong."


def glass_of_coupons(evidence: Evidence) -> Iterable[Finding]:
    """LAM-01: every cut-out holds the glass it should."""
    return each_coupon(evidence, "LAM-01", GLASS, _glass)


def _glass(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    measured, about = glass_with_parts(evidence, row)
    about = replace(about, notes=(THIS_COUPON, *about.notes))
    yield from judge(key, measured, limits(evidence, key.check, GLASS, place=row.zone, condition=row.skin), about)


def glass_with_parts(evidence: Evidence, row: BurnOff) -> tuple[Quantity, About]:
    """Glass content of one coupon [%] with the parts of its uncertainty, and what a finding says about it."""
    use = used(evidence, [row], "balance", "mass", "g", "full")
    weighings = {"crucible": row.crucible, "full": row.full, "residue": row.residue}
    value = glass_content(**weighings)
    words = {"crucible": "empty crucible", "full": "crucible with specimen", "residue": "crucible with residue"}
    parts = carried(glass_content, {name: (grams, use.parts, words[name]) for name, grams in weighings.items()})
    parts, still = (*parts, *_not_constant(evidence, row)), _still_burning(row)
    about = About(
        method=f"burned by {row.method}",
        period=Period(row.at, row.at),
        instruments=use.instruments,
        at=(row.where,),
        working=(
            f"{where_from(evidence, row)}",
            f"({row.residue:.4f} − {row.crucible:.4f}) g / ({row.full:.4f} − {row.crucible:.4f}) g "
            f"= {fixed(value, 3)} % glass, {fixed(100.0 - value, 3)} % burned away",
            still,
        ),
        notes=use.notes,
        caps=(*use.caps, *unsound(evidence, row)),
    )
    return Quantity.combined(value, "%", parts if use.parts else ()), about


def _not_constant(evidence: Evidence, row: BurnOff) -> tuple[Part, ...]:
    """What the residue may still have lost or gained [% glass]: its change when heated again, else what is allowed.

    A rectangle of that half width: nothing says where in it the constant mass lies. Source: JCGM 100:2008 (GUM), clause
    4.3.7 (from memory).
    """
    if row.reheated is not None:
        change = abs(row.residue - row.reheated)
    else:
        asked = limits(evidence, "LAM-09", CHANGE, place=row.zone, reference=row.method)
        allowed = asked.specified or asked.reference
        change = ((allowed.high if allowed is not None else None) or 0.0) / MG
    share = 100.0 * change / (row.full - row.crucible)
    return (Part("constant mass", share / math.sqrt(3.0)),) if share else ()


def _still_burning(row: BurnOff) -> str:
    """Where the part of U for constant mass comes from."""
    if row.reheated is None:
        return f"not heated again: for constant mass U holds the change that its limit allows (LAM-09), {RECTANGLE}"
    change = MG * (row.residue - row.reheated)
    return f"heated again it changed by {fixed(abs(change), 1)} mg (LAM-09): U holds it for constant mass, {RECTANGLE}"


def glass_of_zones(evidence: Evidence) -> Iterable[Finding]:
    """LAM-02: the mean of the coupons of each skin, with the scatter between them."""
    zones = {*scheduled_zones(evidence), *evidence.values(BurnOff, "zone")}
    for zone in sorted(zones):
        for skin in skins(evidence, zone):
            rows = evidence.of(BurnOff, zone=zone, skin=skin)
            key = Key("LAM-02", MEAN, zone, skin)
            if not rows:
                words = "No coupon of this skin was burned."
                wanted = limits(evidence, key.check, MEAN, place=zone, condition=skin)
                yield absent(evidence, BurnOff, key, Verdict.NOT_MEASURED, words, wanted)
                continue
            ways = dict.fromkeys((last_burns(rows), _first_burns(evidence, rows)))
            found = worst(*(_mean_glass(evidence, key, rows, way) for way in ways))
            yield from held_by_lost_burns(evidence, found, zone, skin)
    for zone, asked in asked_places(evidence, "LAM-02", BurnOff.table.file, MEAN).items():
        if zone not in zones:
            words = f"{asked}, and no coupon of this zone was burned."
            yield absent(evidence, BurnOff, Key("LAM-02", MEAN, zone), Verdict.NOT_MEASURED, words)


def _first_burns(evidence: Evidence, rows: Sequence[BurnOff]) -> tuple[BurnOff, ...]:
    """Of each coupon the first burn whose record is in order, else its last: burning again must not choose a result."""
    chosen: dict[str, BurnOff] = {}
    last = {row.coupon: row for row in last_burns(rows)}
    for row in sorted(rows, key=lambda row: row.attempt):
        if not unsound(evidence, row):
            chosen.setdefault(row.coupon, row)
    return tuple(row for row in rows if chosen.get(row.coupon, last[row.coupon]) is row)


def _mean_glass(
    evidence: Evidence, key: Key, rows: Sequence[BurnOff], used_rows: Sequence[BurnOff]
) -> tuple[Finding, ...]:
    values = [glass_content(row.crucible, row.full, row.residue) for row in used_rows]
    mean = math.fsum(values) / len(values)
    one = [glass_with_parts(evidence, row) for row in used_rows]
    weighing = combine([quantity.standard or 0.0 for quantity, _ in one]) / len(values)
    notes, scatter = _scatter(values)
    unstated = any(quantity.standard is None for quantity, _ in one)
    measured = Quantity.combined(mean, "%", () if unstated else (scatter, Part("weighings", weighing)))
    about = About(
        method=f"mean of {len(values)} coupon{'' if len(values) == 1 else 's'}, {key.condition}",
        period=period(row.at for row in used_rows),
        instruments=tuple(sorted({name for _, about in one for name in about.instruments})),
        at=tuple(row.where for row in used_rows),
        working=(
            ", ".join(f"{row.coupon} {fixed(value, 2)} %" for row, value in zip(used_rows, values, strict=True)),
            f"mean {fixed(mean, 3)} %",
            *_usual(evidence, key),
        ),
        notes=(*notes, *_left_out(rows, used_rows), *dict.fromkeys(note for _, about in one for note in about.notes)),
        caps=(*dict.fromkeys(cap for _, about in one for cap in about.caps), *two_methods(used_rows)),
    )
    return judge(key, measured, limits(evidence, key.check, MEAN, place=key.place, condition=key.condition), about)


def _usual(evidence: Evidence, key: Key) -> tuple[str, ...]:
    """What the schedule of the skin usually holds when it is infused; nothing where no schedule is known."""
    found = layers(evidence, key.place, key.condition)
    if found is None or not found.plies or found.caps:
        return ()
    low, high = usual_contents(found)
    return (f"infused plies of this schedule usually hold {fixed(low, 1)} % to {fixed(high, 1)} %",)


def _left_out(rows: Sequence[BurnOff], used_rows: Sequence[BurnOff]) -> tuple[str, ...]:
    """Which burns are not part of the mean, and what it would be with them."""
    out = [row for row in rows if row not in used_rows]
    if not out:
        return ()
    every = [glass_content(row.crucible, row.full, row.residue) for row in rows]
    burned = ", ".join(f"{row.coupon} burn {row.attempt}" for row in out)
    return (f"Left out: {burned}. With all burns the mean is {fixed(math.fsum(every) / len(every), 2)} %.",)


def _scatter(values: Sequence[float]) -> tuple[tuple[str, ...], Part]:
    """The scatter between coupons: their own where there are enough, else the published one, which is said."""
    if len(values) >= rule("fewest specimens"):
        return (), Part(f"scatter between {len(values)} coupons", from_repeats(values), len(values) - 1)
    known = rule("scatter between specimens")
    count = "1 coupon" if len(values) == 1 else f"{len(values)} coupons"
    few = f"Only {count}: fewer than {rule('fewest specimens'):g} say little about the scatter"
    own = statistics.stdev(values) if len(values) > 1 else 0.0
    if own > rule("scatter that chance explains") * known:
        words = f"{few}; theirs is larger than chance makes that of infused plates ({known:g} %), so theirs is used."
        return (words,), Part(f"scatter between {len(values)} coupons", from_repeats(values), len(values) - 1)
    words = f"{few}, so the published scatter of infused plates ({known:g} %) is used."
    return (words,), Part("published scatter between specimens", from_known_scatter(known, len(values)))


def voids_of_coupons(evidence: Evidence) -> Iterable[Finding]:
    """LAM-03: air shut in, from the density of every coupon."""
    return each_coupon(evidence, "LAM-03", VOIDS, _voids)


def _voids(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    wanted = bounded(limits(evidence, key.check, VOIDS, place=row.zone, condition=row.skin))
    at = About(period=Period(row.at, row.at), at=(row.where,))
    found = layers(evidence, row.zone, row.skin)
    if row.in_air is None or row.in_water is None or row.water is None:
        yield unjudged(key, Verdict.NOT_MEASURED, "The density of this coupon was not measured.", at, wanted)
        return
    if found is None:
        yield unjudged(
            key, Verdict.INCONCLUSIVE, f"{no_schedule(evidence)} So glass and resin are not known.", at, wanted
        )
        return
    glass, resin = glass_density(found), resin_density(evidence, found)
    if glass.why_not or resin.why_not:
        yield unjudged(key, Verdict.INCONCLUSIVE, glass.why_not or resin.why_not, at, wanted)
        return
    try:
        measured, about = _void_quantity(evidence, row, glass, resin)
    except OutOfRange as reason:
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", at, wanted)
        return
    about = replace(about, caps=(*about.caps, *found.caps))
    for finding in judge(key, measured, wanted, about):
        yield conditional_at_best(finding, (AT_LEAST_THIS,)) if AT_LEAST_THIS in about.notes else finding


def density_with_parts(evidence: Evidence, row: BurnOff) -> Density:
    """Density of a coupon from its two weighings [g/cm3]; the row must hold them."""
    use = used(evidence, [row], "balance", "mass", "g")
    water = water_density(row.water or 0.0)

    def by_weighing(in_air: float, in_water: float) -> float:
        return density_by_immersion(in_air, in_water, water)

    grams = {
        "in_air": (row.in_air or 0.0, use.parts, "mass in air"),
        "in_water": (row.in_water or 0.0, use.parts, "mass in water"),
    }
    value = by_weighing(row.in_air or 0.0, row.in_water or 0.0)
    return Density(value, carried(by_weighing, grams) if use.parts else ())


def _void_quantity(evidence: Evidence, row: BurnOff, glass: Density, resin: Density) -> tuple[Quantity, About]:
    content, about = glass_with_parts(evidence, row)
    density = density_with_parts(evidence, row)
    inputs = {
        "glass": (content.value, content.parts, "glass content"),
        "density": (density.value, density.parts, "density of the coupon"),
        "glass_density": (glass.value, glass.parts, "density of the glass"),
        "resin_density": (resin.value, resin.parts, "density of the cured resin"),
    }
    found = volumes(content.value, density.value, glass.value, resin.value)
    stated = [bool(parts) for _, parts, _ in inputs.values()]
    notes = [*about.notes, *((AT_LEAST_THIS,) if any(stated) and not all(stated) else ())]
    if found.voids < rule("least voids the method shows"):
        notes.insert(0, AT_THE_LIMIT)
    if found.voids < 0:
        notes.insert(0, NEGATIVE)
    wrong = (f"Voids of {fixed(found.voids, 2)} % {CANNOT_BE}",)
    about = replace(
        about,
        method=f"burned by {row.method}, density by weighing in water",
        working=(
            *about.working,
            f"density {row.in_air:g} g / ({row.in_air:g} − {row.in_water:g}) g × "
            f"{fixed(water_density(row.water or 0.0), 5)} g/cm³ = {fixed(density.value, 4)} g/cm³, "
            f"in water of {row.water:g} °C",
            f"glass {fixed(found.glass, 2)} % of the volume ({glass.value:g} g/cm³), "
            f"resin {fixed(found.resin, 2)} % ({resin.value:g} g/cm³), voids {fixed(found.voids, 3)} %",
        ),
        notes=tuple(notes),
        caps=(
            *about.caps,
            *dict.fromkeys((*glass.caps, *resin.caps)),
            *(wrong if found.voids < rule("impossible voids") else ()),
        ),
    )
    return Quantity.combined(
        found.voids, "%", tuple(part for part in carried(void_content, inputs) if part.standard)
    ), about
