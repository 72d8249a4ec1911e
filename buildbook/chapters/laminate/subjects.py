"""What the laminate checks are about: coupons, skins with their schedule, and the rules that govern them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.laminate.formulas.thickness import overall_glass_content
from buildbook.chapters.laminate.records import BurnOff, Material, Ply, PlyCount
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import absent, asked_places, limits, place_name
from buildbook.core.decide import hold
from buildbook.core.evidence import NOT_USED, Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, unjudged
from buildbook.core.limit import Term
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.source import Standing
from buildbook.formulas.uncertainty import from_certificate, rectangular
from buildbook.sources import figure, number, printed_rule, table, term

SCHEDULE = Ply.table.file
UNSURE = "No uncertainty of a density is on record, so how near is too near is not known."
Judged = Callable[[Evidence, Key, BurnOff], Iterable[Finding]]


def rule(name: str) -> float:
    """A figure of the printed rules of this chapter, in the unit of its row."""
    return figure("laminate_rules", name)


def rule_term(name: str) -> Term:
    """Source, standing and words of a printed rule."""
    return term(printed_rule("laminate_rules", name))


def each_coupon(evidence: Evidence, check: str, quantity: str, judged: Judged) -> Iterable[Finding]:
    """What a check says of every coupon: burned, burned once more, lost, or planned and never burned."""
    for row in evidence.of(BurnOff):
        yield from judged(evidence, Key(check, quantity, row.zone, row.coupon, row.attempt), row)
    yield from _without_a_row(evidence, check, quantity)
    burned = evidence.values(BurnOff, "zone")
    for zone, asked in asked_places(evidence, check, BurnOff.table.file, quantity).items():
        if zone not in burned:
            words = f"{asked}, and no coupon of this zone was burned."
            yield absent(evidence, BurnOff, Key(check, quantity, zone), Verdict.NOT_MEASURED, words)
    if BurnOff in evidence.missing:
        for zone in scheduled_zones(evidence):
            yield absent(evidence, BurnOff, Key(check, quantity, zone), Verdict.NO_RECORD, "No coupon of this zone.")


def _without_a_row(evidence: Evidence, check: str, quantity: str) -> Iterable[Finding]:
    """Coupons whose row cannot be used, and first burns without a row although a later one stands."""
    for gone in evidence.lost(BurnOff):
        key = Key(
            check,
            quantity,
            gone.get("zone") or "",
            gone.get("coupon") or str(gone.where.row),
            gone.get("attempt") or 1,
        )
        wanted = limits(evidence, check, quantity, place=key.place)
        yield unjudged(
            key, Verdict.INCONCLUSIVE, "The row of this coupon cannot be used.", About(at=(gone.where,)), wanted
        )
    known = {(row.coupon, row.attempt) for row in evidence.of(BurnOff)}
    known |= {(row.get("coupon"), row.get("attempt")) for row in evidence.lost(BurnOff)}
    for row in evidence.of(BurnOff):
        for attempt in range(1, row.attempt):
            if (row.coupon, attempt) not in known:
                key = Key(check, quantity, row.zone, row.coupon, attempt)
                words = f"Burn {row.attempt} of this coupon is on record, burn {attempt} is not."
                wanted = limits(evidence, check, quantity, place=key.place)
                yield unjudged(key, Verdict.NO_RECORD, words, About(at=(row.where,)), wanted)


def bounded(wanted: Limits) -> Limits:
    """The same limits, the specified one with the natural bounds of the printed one: they belong to the quantity."""
    given, printed = wanted.specified, wanted.reference
    if given is None or printed is None:
        return wanted
    low = printed.natural_low if given.natural_low is None else given.natural_low
    high = printed.natural_high if given.natural_high is None else given.natural_high
    return Limits(replace(given, natural_low=low, natural_high=high), printed)


def last_burns(rows: Sequence[BurnOff]) -> tuple[BurnOff, ...]:
    """Of each coupon the last burn, in the order of the file."""
    last = {row.coupon: row for row in sorted(rows, key=lambda row: row.attempt)}
    return tuple(row for row in rows if last[row.coupon] is row)


def skins(evidence: Evidence, zone: str) -> tuple[str, ...]:
    """The skins of a zone that the schedule or a coupon names."""
    named = [row.skin for row in evidence.of(Ply, zone=zone)]
    named += [row.skin for row in evidence.of(BurnOff, zone=zone)]
    named += [row.skin for row in evidence.of(PlyCount, zone=zone)]
    named += [gone.get("skin") for kind in (Ply, BurnOff) for gone in evidence.lost(kind) if gone.get("zone") == zone]
    return tuple(sorted({skin for skin in named if skin}))


def scheduled_zones(evidence: Evidence) -> tuple[str, ...]:
    """Every zone that has a line in the schedule, readable or not."""
    return tuple(sorted(evidence.values(Ply, "zone")))


MAYBE_PAINT = "No row of this place can be used, so it may be painted: then the readings say nothing of her laminate."


def paint_unknown(evidence: Evidence, place: str) -> bool:
    """Whether a place may be painted for all that is known: no schedule makes it laminate, no row tells."""
    return place not in scheduled_zones(evidence) and evidence.one(Place, place=place) is None


@dataclass(frozen=True, slots=True)
class Layers:
    """The schedule of one skin: its lines, those plies whose material is known, and why it may not be trusted."""

    lines: tuple[Ply, ...]
    plies: tuple[tuple[Ply, Material], ...]
    unknown: tuple[str, ...] = ()
    short: tuple[str, ...] = ()

    @property
    def caps(self) -> tuple[str, ...]:
        """Why nothing better than inconclusive may be said of what it weighs: a material or a line is missing."""
        return (*self.unknown, *self.short)

    @property
    def weight(self) -> float:
        """Dry glass of all plies [g/m2]."""
        return math.fsum(material.weight or 0.0 for _, material in self.plies)

    @property
    def terms(self) -> tuple[Term, ...]:
        """Who set this schedule: the drawing."""
        first = self.lines[0]
        words = f"the lay-up schedule: {counted(len(self.lines), 'ply', 'plies')}, {self.weight:g} g/m² of dry glass"
        return (Term(words, Standing.BUILDER, "builder", first.drawing, first.revision, first.skin, at=first.where),)


def layers(evidence: Evidence, zone: str, skin: str) -> Layers | None:
    """The schedule of one skin of a zone; None where it holds no line."""
    rows = sorted(evidence.of(Ply, zone=zone, skin=skin), key=lambda row: row.ply)
    if not rows:
        return None
    found = [(row, evidence.one(Material, material=row.material)) for row in rows]
    usable = tuple((row, material) for row, material in found if material is not None and material.weight is not None)
    unknown = [
        f"{Material.table.file} holds no usable row of {row.material} (ply {row.ply})."
        for row, material in found
        if material is None or material.weight is None
    ]
    short = []
    totals = sorted({row.of for row in rows})
    numbers = [row.ply for row in rows]
    if len(totals) > 1:
        short.append(f"The schedule names {' and '.join(str(total) for total in totals)} as the number of plies.")
    elif numbers != list(range(1, totals[0] + 1)):
        short.append(f"The schedule holds {len(rows)} of {totals[0]} plies of this skin.")
    return Layers(tuple(rows), usable, tuple(unknown), tuple(short))


def usual_plies() -> dict[tuple[str, str], dict[str, str]]:
    """The printed glass content of an infused ply, by its kind and the end of the usual range: `thin` or `thick`."""
    return {(row["kind"], row["end"]): row for row in table("ply_glass")}


def usual_contents(found: Layers) -> tuple[float, float]:
    """Glass content of a whole skin by mass [%] where each infused ply holds the least and the most that is usual."""
    printed = usual_plies()

    def overall(end: str) -> float:
        contents = (float(printed[(material.kind, end)]["glass"]) for _, material in found.plies)
        weights = ((material.weight or 0.0) / 1000.0 for _, material in found.plies)
        return overall_glass_content(list(zip(weights, contents, strict=True)))

    return overall("thick"), overall("thin")


def no_schedule(evidence: Evidence) -> str:
    """Why a skin has no schedule: the table is not there, or holds none of its plies."""
    why = evidence.missing.get(Ply, "holds no plies of this skin")
    return f"{SCHEDULE}: {why}."


def loss_of(material: Material) -> float:
    """Share of the weight of a fabric that burns away [%]: its sheet's, else the usual one of its kind."""
    if material.loss is not None:
        return material.loss
    rows = [row for row in table("ply_losses") if row["kind"] == material.kind]
    return float(rows[0]["loss"]) if rows else 0.0


def weight_parts(plies: Iterable[tuple[Ply, Material]]) -> tuple[Part, ...]:
    """What the tolerance of the fabrics does to what the schedule leaves [g/m2]; plies of one material go together.

    Plies of one fabric may come off one roll, so their deviations are added before the squares are.
    """
    left: dict[str, float] = {}
    tolerances: dict[str, float] = {}
    for _, material in plies:
        left[material.material] = left.get(material.material, 0.0) + residue_of(material)
        tolerances[material.material] = (
            material.tolerance if material.tolerance is not None else rule("weighing of a ply")
        )
    return tuple(
        Part(f"weight of {name}, ±{tolerances[name]:g} %", rectangular(grams * tolerances[name] / 100.0))
        for name, grams in left.items()
    )


def residue_of(material: Material) -> float:
    """What one ply of a material leaves after burning [g/m2]."""
    return (material.weight or 0.0) * (1.0 - loss_of(material) / 100.0)


@dataclass(frozen=True, slots=True)
class Density:
    """A density with its parts [g/cm3], or the reason why none can be had."""

    value: float = 0.0
    parts: tuple[Part, ...] = ()
    why_not: str = ""

    @property
    def caps(self) -> tuple[str, ...]:
        """Why nothing better than inconclusive may rest on it."""
        return () if self.parts else (UNSURE,)


def glass_density(found: Layers) -> Density:
    """Density of the glass of a skin: that of its fabrics, by weight; their uncertainties are taken to go together."""
    if not found.plies:
        return Density(why_not=f"{Material.table.file} holds no usable row of the fabrics of this skin.")
    silent = sorted({material.material for _, material in found.plies if material.density is None})
    if silent:
        return Density(why_not=f"{Material.table.file} gives no density of the glass of {', '.join(silent)}.")
    whole = found.weight
    volume = math.fsum((material.weight or 0.0) / (material.density or 1.0) for _, material in found.plies)
    value = whole / volume
    standards = [_standard(material) for _, material in found.plies]
    if any(one is None for one in standards):
        return Density(value)
    shares = [(material.weight or 0.0) / whole for _, material in found.plies]
    both = math.fsum(share * (one or 0.0) for share, one in zip(shares, standards, strict=True))
    return Density(value, (Part("density of the glass", both),))


def resin_density(evidence: Evidence, found: Layers) -> Density:
    """Density of the cured resin of a skin; none where its plies name two."""
    names = sorted({ply.resin for ply, _ in found.plies})
    if len(names) != 1:
        return Density(
            why_not=f"The schedule names {' and '.join(names)} for one skin: which resin counts is not known."
        )
    resin = evidence.one(Material, material=names[0])
    if resin is None or resin.density is None:
        return Density(why_not=f"{Material.table.file} gives no density of the cured resin {names[0]}.")
    standard = _standard(resin)
    return Density(resin.density, () if standard is None else (Part("density of the cured resin", standard),))


def _standard(material: Material) -> float | None:
    if material.density_uncertainty is None or material.coverage is None:
        return None
    return from_certificate(material.density_uncertainty, material.coverage)


def at_least_counted(evidence: Evidence, number: int, zone: str, skin: str) -> Quantity:
    """So many coupons of a skin; a bound where a row that may be one more of them cannot be used."""
    lost = evidence.lost(BurnOff, zone=zone, skin=skin)
    return Quantity(number, "1", kind=Kind.AT_LEAST) if lost else Quantity.count(number)


def held_by_lost_burns(
    evidence: Evidence, findings: Iterable[Finding], zone: str, skin: str = ""
) -> tuple[Finding, ...]:
    """Findings of a whole zone or skin, held where a row that may belong to it is lost."""
    lost = evidence.lost(BurnOff, zone=zone, **({"skin": skin} if skin else {}))
    number = len({row.where for row in lost})
    count = counted(number, "row")
    reasons = (f"{count} of {BurnOff.table.file} that may belong to this {NOT_USED}.",) if lost else ()
    return tuple(hold(finding, reasons) for finding in findings)


def where_from(evidence: Evidence, row: BurnOff) -> str:
    """Where a coupon comes from, in words."""
    return f"{row.skin}, {place_name(evidence, row.opening)}, {row.position}"


def plan_of_readings() -> list[tuple[float, int]]:
    """Hardness and number of readings of the printed plan, in order."""
    rows = [(number(row["level"]) or 0.0, int(row["readings"])) for row in table("barcol_readings")]
    return sorted(rows)
