"""LAM-06 the skin is as thick as its glass predicts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buildbook.chapters.laminate.checks.burned import density_with_parts, glass_with_parts
from buildbook.chapters.laminate.formulas.burn_off import void_content
from buildbook.chapters.laminate.formulas.thickness import nominal_thickness, skin_thickness
from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.laminate.subjects import (
    Density,
    Layers,
    each_coupon,
    glass_density,
    layers,
    no_schedule,
    residue_of,
    resin_density,
    usual_plies,
    weight_parts,
    where_from,
)
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import limits, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed
from buildbook.formulas import OutOfRange
from buildbook.sources import term

THICKNESS, OWN = "skin thickness", "thickness against its own glass"
NOT_ON_RECORD = "The thickness of this coupon is not on record."


def thickness(evidence: Evidence) -> Iterable[Finding]:
    """LAM-06: measured thickness against equation C.1, and against the glass of the same coupon."""
    yield from each_coupon(evidence, "LAM-06", THICKNESS, _thickness)
    yield from each_coupon(evidence, "LAM-06", OWN, _against_own_glass)


def _thickness(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    at = About(period=Period(row.at, row.at), at=(row.where,))
    found = layers(evidence, row.zone, row.skin)
    specified = limits(evidence, key.check, THICKNESS, place=row.zone, condition=row.skin).specified
    whole = found is not None and found.plies and not found.caps
    asked = Limits(specified, _window(found) if found is not None and whole else None)
    if row.thickness is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_ON_RECORD, at, asked)
        return
    use = used(evidence, [row], "caliper", "length", "mm", "thickness")
    about = replace(
        at,
        method="caliper on the coupon",
        instruments=use.instruments,
        working=(where_from(evidence, row), f"{row.thickness:g} mm as read", *_how(asked.reference)),
        notes=use.notes,
        caps=(*use.caps, *(found.caps if found is not None else (no_schedule(evidence),))),
    )
    yield from judge(key, Quantity.combined(row.thickness, "mm", use.parts), asked, about)


def _window(found: Layers) -> Limit:
    """Between the thicknesses of equation C.1, ply by ply, at the two glass contents that bound an infused ply."""
    printed = usual_plies()
    ends = {"thin": 0.0, "thick": 0.0}
    for _, material in found.plies:
        for end in ends:
            glass = float(printed[(material.kind, end)]["glass"])
            ends[end] += nominal_thickness((material.weight or 0.0) / 1000.0, glass)
    kinds = dict.fromkeys(material.kind for _, material in found.plies)
    terms = tuple(term(printed[(kind, end)]) for kind in kinds for end in ends)
    return Limit("mm", (*found.terms, *terms), ends["thin"], ends["thick"])


def _how(window: Limit | None) -> tuple[str, ...]:
    """How the window comes about; its two glass contents for each kind of ply stand with the limit."""
    if window is None or window.low is None or window.high is None:
        return ()
    ends = f"{fixed(window.low, 2)} mm at the thin end, {fixed(window.high, 2)} mm at the thick one"
    return (f"t = w / 3.072 × (2.56 / ψ − 1.36) for each ply, w in kg/m², ψ its share of glass; the sum is {ends}",)


def _against_own_glass(evidence: Evidence, key: Key, row: BurnOff) -> Iterable[Finding]:
    at = About(period=Period(row.at, row.at), at=(row.where,))
    wanted = limits(evidence, key.check, OWN, place=row.zone, condition=row.skin)
    found = layers(evidence, row.zone, row.skin)
    if row.thickness is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_ON_RECORD, at, wanted)
        return
    if found is None or not found.plies or found.caps:
        why = " ".join(found.caps) if found is not None and found.caps else no_schedule(evidence)
        yield unjudged(key, Verdict.INCONCLUSIVE, why, at, wanted)
        return
    glass, resin = glass_density(found), resin_density(evidence, found)
    if glass.why_not or resin.why_not:
        yield unjudged(key, Verdict.INCONCLUSIVE, glass.why_not or resin.why_not, at, wanted)
        return
    try:
        measured, about = _Predicted(row.thickness, found, glass, resin).ratio(evidence, row)
    except OutOfRange as reason:
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", at, wanted)
        return
    yield from judge(key, measured, wanted, about)


@dataclass(frozen=True, slots=True)
class _Predicted:
    """What the thickness of one coupon [mm] is set against: its plies and their densities."""

    thickness: float
    layers: Layers
    glass: Density
    resin: Density

    def ratio(self, evidence: Evidence, row: BurnOff) -> tuple[Quantity, About]:
        """Measured over predicted thickness [%], and what a finding says about it."""
        use = used(evidence, [row], "caliper", "length", "mm", "thickness")
        content, burned = glass_with_parts(evidence, row)
        weighed = self._weighed(evidence, row)
        left = sum(residue_of(material) for _, material in self.layers.plies) / 1000.0
        rolls = tuple(replace(part, standard=part.standard / 1000.0) for part in weight_parts(self.layers.plies))
        given = {
            "thickness": (self.thickness, use.parts, "thickness"),
            "weight": (left, rolls, "weight of the fabrics"),
            "content": (content.value, content.parts, "glass content"),
            "heavy": (self.glass.value, self.glass.parts, "density of the glass"),
            "light": (self.resin.value, self.resin.parts, "density of the cured resin"),
        }
        if weighed is not None:
            given["density"] = (weighed.value, weighed.parts, "density of the coupon")

        def ratio(
            thickness: float, weight: float, content: float, heavy: float, light: float, density: float | None = None
        ) -> float:
            shut_in = 0.0 if density is None else void_content(content, density, heavy, light)
            return 100.0 * thickness / skin_thickness(weight, content, heavy, light, shut_in)

        value = ratio(**{name: number for name, (number, _, _) in given.items()})
        parts = tuple(part for part in carried(ratio, given) if part.standard > 0.0)
        against = "glass and densities" if weighed is None else "glass, densities and voids"
        shut_in = "voids not measured, taken as none"
        if weighed is not None:
            found = void_content(content.value, weighed.value, self.glass.value, self.resin.value)
            shut_in = f"voids {fixed(found, 2)} %"
        about = About(
            method=f"caliper on the coupon, against {against} of the same coupon",
            period=Period(row.at, row.at),
            instruments=tuple(dict.fromkeys((*use.instruments, *burned.instruments))),
            at=(row.where,),
            working=(
                f"{fixed(left * 1000.0, 0)} g/m² of glass, {fixed(content.value, 2)} % by mass, {shut_in}, densities "
                f"{fixed(self.glass.value, 3)} and {fixed(self.resin.value, 3)} g/cm³",
                f"predicted {fixed(100.0 * self.thickness / value, 2)} mm, measured {self.thickness:g} mm: "
                f"{fixed(value, 1)} %",
            ),
            notes=tuple(dict.fromkeys((*use.notes, *burned.notes))),
            caps=(*use.caps, *burned.caps, *self.layers.caps, *dict.fromkeys((*self.glass.caps, *self.resin.caps))),
        )
        stated = use.parts and content.parts and self.glass.parts and self.resin.parts
        if weighed is not None and not weighed.parts:
            stated = ()
        return Quantity.combined(value, "%", parts if stated else ()), about

    def _weighed(self, evidence: Evidence, row: BurnOff) -> Density | None:
        """Density of the coupon [g/cm3], from which its voids follow; None where it was not weighed in water."""
        if row.in_air is None or row.in_water is None or row.water is None:
            return None
        return density_with_parts(evidence, row)
