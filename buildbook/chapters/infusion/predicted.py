"""The resin that a part should take, from its schedule and the geometry of its core."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from buildbook.chapters.infusion.formulas.resin import laminate_resin, resin_in_cuts, resin_in_holes, zone_resin
from buildbook.chapters.infusion.records import Area, Infusion
from buildbook.chapters.infusion.subjects import rule
from buildbook.chapters.schedule_records import Material, Ply
from buildbook.core.evidence import Evidence
from buildbook.core.quantity import Part
from buildbook.core.where import Where
from buildbook.core.wording import fixed
from buildbook.formulas.uncertainty import rectangular


@dataclass(frozen=True, slots=True)
class Stack:
    """The dry glass of a zone [kg/m2], its density [g/cm3] where all are given, why it may be incomplete, its rows."""

    weight: float
    density: float | None
    caps: tuple[str, ...]
    at: tuple[Where, ...] = ()


@dataclass(frozen=True, slots=True)
class Predicted:
    """The resin [kg] of a part with the parts of its uncertainty [kg], how it was made up, what of it is not on record,
    and the rows of schedule and materials behind it. Where something is not on record, the part takes more than `mass`.
    """

    mass: float
    parts: tuple[Part, ...]
    working: tuple[str, ...]
    caps: tuple[str, ...]
    at: tuple[Where, ...] = ()

    @property
    def least(self) -> str:
        """`at least ` where a part of the sum is not on record, so that it is no more than that; else empty."""
        return "at least " if self.caps else ""


def stack_of(evidence: Evidence, zone: str) -> Stack:
    """The plies of a zone in all its skins; a schedule that is not whole is said."""
    plies = evidence.of(Ply, zone=zone)
    caps: list[str] = [] if plies else [f"The lay-up schedule holds no usable ply of {zone}."]
    for skin in dict.fromkeys(ply.skin for ply in plies):
        mine = [ply for ply in plies if ply.skin == skin]
        whole = max(ply.of for ply in mine)
        if len(mine) < whole:
            caps.append(f"The lay-up schedule holds {len(mine)} of {whole} plies of the {skin} of {zone}.")
    weight, volume, known = 0.0, 0.0, True
    at = [ply.where for ply in plies]
    for ply in plies:
        material = evidence.one(Material, material=ply.material)
        if material is None or material.weight is None:
            caps.append(f"The weight of {ply.material} is not on record.")
            known = False
            continue
        weight += material.weight / 1000.0
        at.append(material.where)
        known = known and material.density is not None
        volume += material.weight / 1000.0 / (material.density or 1.0)
    density = weight / volume if known and volume > 0.0 else None
    return Stack(weight, density, tuple(dict.fromkeys(caps)), tuple(at))


def predicted(evidence: Evidence, infusion: Infusion, zones: Sequence[Area]) -> Predicted:
    """The resin of all zones of a part and of its hoses. OutOfRange where the geometry of a core cannot be."""
    resin = evidence.one(Material, material=infusion.resin)
    density = resin.density if resin is not None else None
    caps = [f"The density of {infusion.resin} is not on record."] if density is None else []
    total, guessed, cut, areas, glass = 0.0, infusion.lines or 0.0, 0.0, [], []
    working, at = [], [resin.where] if resin is not None else []
    for zone in zones:
        stack = stack_of(evidence, zone.zone)
        caps += (*stack.caps, *_not_told(zone))
        at += stack.at
        plies = laminate_resin(stack.weight, zone.glass)
        in_core = _in_core(zone, density) if density is not None else 0.0
        surface, media = zone.surface or 0.0, zone.media or 0.0
        mass = zone_resin(zone.area, plies, in_core + surface, media)
        total += mass
        guessed += zone.area * (surface + media)
        cut += zone.area * in_core
        areas.append(mass * zone.area_uncertainty / 200.0)
        share = zone.glass / 100.0
        glass.append(zone.area * stack.weight / share**2 * zone.glass_uncertainty / 200.0)
        taken = " + ".join(fixed(part, 3) for part in (plies, in_core, surface, media))
        working.append(
            f"{zone.zone}: {fixed(stack.weight, 3)} kg/m² of glass at {zone.glass:g} %; "
            f"{zone.area:g} m² × ({taken}) kg/m² = {fixed(mass, 2)} kg"
        )
    lines = infusion.lines or 0.0
    if infusion.lines is None:
        caps.append("The resin in hoses and channels is not on record.")
    least = "at least " if caps else ""
    working.append(f"with {lines:g} kg in hoses and channels: {least}{fixed(total + lines, 2)} kg predicted")
    parts = (
        Part("areas", math.hypot(*areas)),
        Part("glass content reckoned with", math.fsum(glass)),
        Part("estimates of mesh, cells and hoses", rectangular(rule("estimates of the designer") / 100.0 * guessed)),
        Part("cuts and holes as drawn", rectangular(rule("cuts as drawn") / 100.0 * cut)),
    )
    head = "plies + cuts and holes + open cells + mesh, for each zone"
    told = (f"{head}; resin of {density:g} g/cm³:" if density is not None else f"{head}:", *working)
    return Predicted(total + lines, parts, told, tuple(dict.fromkeys(caps)), tuple(dict.fromkeys(at)))


def _not_told(zone: Area) -> tuple[str, ...]:
    """What takes resin in a zone and is not on record; a figure of 0 says that nothing does."""
    gone = ["in flow mesh and peel ply"] if zone.media is None else []
    gone += ["in the open cells of its core"] if zone.core is not None and zone.surface is None else []
    return tuple(f"The resin {what} of {zone.zone} is not on record." for what in gone)


def _in_core(zone: Area, density: float) -> float:
    """Resin in cuts and holes of the core [kg/m2]."""
    cuts = holes = 0.0
    if zone.cut_width is not None and zone.cut_depth is not None and zone.cut_spacing is not None:
        cuts = resin_in_cuts(zone.cut_width, zone.cut_depth, zone.cut_spacing, density)
    if zone.hole_diameter is not None and zone.hole_pitch is not None and zone.core_thickness is not None:
        holes = resin_in_holes(zone.hole_diameter, zone.core_thickness, zone.hole_pitch, density)
    return cuts + holes
