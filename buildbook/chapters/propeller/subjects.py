"""What the propeller checks are about: sections of blades, the pitch that was drawn, and the classes of accuracy."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import pairwise

from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.formulas.geometry import class_tolerance
from buildbook.chapters.propeller.formulas.pitch import helix_pitch
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.readings import standard_of
from buildbook.chapters.subjects import Used, by_paper, used
from buildbook.core.evidence import Evidence
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import plain_number, unit_text
from buildbook.sources import figure, table, term

CLASSES = ("S", "I", "II", "III")
LOCAL, RADIUS, BLADE, WHOLE = (
    "local pitch",
    "mean pitch at a radius",
    "mean pitch of a blade",
    "mean pitch of the propeller",
)
THIN, THICK = "thinnest place against the design", "thickest place against the design"
SPACING, LENGTH = "angle from blade to blade", "section length against the design"
RAKE, TRACK = "axial position against the drawing", "axial position from blade to blade"
TIP, ROUGHNESS, CUP = "tip radius against the order", "surface roughness", "cup from blade to blade"
FROM_BELOW, FROM_ABOVE = frozenset({THIN}), frozenset({THICK, ROUGHNESS})  # what is limited at one end alone
READINGS = (PitchReading, BladeReading, SectionReading)
FEWEST_FOR_A_LINE = 2
Reading = PitchReading | BladeReading | SectionReading
Stations = tuple[PitchReading, ...]


def rule(name: str) -> float:
    """A figure of the printed rules of this chapter, in the unit of its row."""
    return figure("propeller_rules", name)


def same_radius(one: float, other: float) -> bool:
    """Whether two radii [% of the tip radius] mean one section."""
    return abs(one - other) <= rule("same radius")


@dataclass(frozen=True, slots=True)
class Section:
    """One section of one blade: its readings on the face in order of the angle, or the pitch the shop worked out."""

    radius: float
    rows: Stations

    @property
    def stations(self) -> Stations:
        """The readings of angle and height, in order of the angle."""
        return tuple(sorted((row for row in self.rows if row.pitch is None), key=lambda row: row.angle or 0.0))

    @property
    def given(self) -> PitchReading | None:
        """The pitch the shop worked out itself, where it gives one."""
        return next((row for row in self.rows if row.pitch is not None), None)


def propellers(evidence: Evidence) -> tuple[str, ...]:
    """Every propeller that was ordered or read."""
    names = [name for kind in (Propeller, *READINGS) for name in evidence.values(kind, "propeller")]
    return tuple(dict.fromkeys(names))


def blades(evidence: Evidence, propeller: str, *kinds: type[Reading]) -> tuple[str, ...]:
    """The marks of the blades that have a reading in these tables (of the pitch), readable or not, in order."""
    named = set()
    for kind in kinds or (PitchReading,):
        named |= {row.blade for row in evidence.of(kind, propeller=propeller)}
        lost = evidence.lost(kind, propeller=propeller)
        named |= {row.get("blade") for row in lost if row.get("propeller") == propeller and row.get("blade")}
    return tuple(sorted(named))


def last_attempt(
    evidence: Evidence, propeller: str, blade: str, up_to: int = 1_000_000, kind: type[Reading] = PitchReading
) -> int:
    """The last attempt, not beyond `up_to`, of which a reading of this blade stands; 0 where there is none."""
    rows = evidence.of(kind, propeller=propeller, blade=blade)
    lost = evidence.lost(kind, propeller=propeller, blade=blade)
    found = [row.attempt for row in rows]
    found += [row.get("attempt") for row in lost if isinstance(row.get("attempt"), int)]
    return max((number for number in found if number <= up_to), default=0)


def last_of_all(evidence: Evidence, propeller: str, *kinds: type[Reading]) -> int:
    """The last attempt at any blade of a propeller in these tables (of the pitch); 0 where none was read."""
    found = [
        last_attempt(evidence, propeller, mark, kind=kind)
        for kind in kinds or (PitchReading,)
        for mark in blades(evidence, propeller, kind)
    ]
    return max(found, default=0)


def sections(evidence: Evidence, propeller: str, blade: str, attempt: int) -> tuple[Section, ...]:
    """The sections of one blade that were read on the face, from the hub outwards."""
    key = ("sections", propeller, blade, attempt)
    return evidence.once(key, lambda: _sections(evidence, propeller, blade, attempt))


def _sections(evidence: Evidence, propeller: str, blade: str, attempt: int) -> tuple[Section, ...]:
    rows = evidence.of(PitchReading, propeller=propeller, blade=blade, attempt=attempt)
    face = sorted((row for row in rows if row.on == "face"), key=lambda row: row.radius)
    groups: list[list[PitchReading]] = []
    for row in face:
        if groups and same_radius(groups[-1][0].radius, row.radius):
            groups[-1].append(row)
        else:
            groups.append([row])
    return tuple(Section(group[0].radius, tuple(group)) for group in groups)


def design_pitch(evidence: Evidence, ordered: Propeller, radius: float) -> float:
    """The pitch that was drawn at a radius [mm].

    Where that radius is not drawn, on the straight line through its neighbours; that of the propeller where fewer than
    two radii are drawn. `undrawn` says so.
    """
    drawn = sorted(evidence.of(DesignSection, propeller=ordered.propeller), key=lambda row: row.radius)
    own = next((row.pitch for row in drawn if same_radius(row.radius, radius)), None)
    if own is not None:
        return own
    by_radius = {row.radius: row.pitch for row in drawn}
    if len(by_radius) < FEWEST_FOR_A_LINE:
        return ordered.pitch
    from scipy.interpolate import make_interp_spline

    return float(make_interp_spline([*by_radius], [*by_radius.values()], k=1)(radius))


def undrawn(evidence: Evidence, propeller: str, radii: Iterable[float]) -> tuple[str, ...]:
    """Why the design pitch of a radius may be another than the propeller's: a row of the sections is lost or absent."""
    drawn = evidence.of(DesignSection, propeller=propeller)
    if DesignSection in evidence.missing:
        return (f"{DesignSection.table.file}: {evidence.missing[DesignSection]}. So the pitch drawn is not known.",)
    if evidence.lost(DesignSection, propeller=propeller):
        return (f"A row of {DesignSection.table.file} about this propeller cannot be used.",)
    missing = [radius for radius in radii if not any(same_radius(row.radius, radius) for row in drawn)]
    if not missing:
        return ()
    words = ", ".join(in_radii(radius) for radius in missing)
    between = "the pitch of the propeller" if len(drawn) < FEWEST_FOR_A_LINE else "the line through its neighbours"
    return (f"{DesignSection.table.file} holds no design pitch at {words}; {between} stands in for it.",)


def in_radii(radius: float) -> str:
    """A radius as the trade writes it: 0.7 R."""
    return f"{plain_number(round(radius / 100.0, 4))} R"


def least_tolerances_apply(ordered: Propeller) -> bool:
    """Whether the tolerances in millimetres hold: as agreed, else from the least diameter of the standard on."""
    return ordered.diameter >= rule("least diameter") if ordered.minima is None else ordered.minima


@dataclass(frozen=True, slots=True)
class Aim:
    """What a value should be and what the share of a class is taken of [both in its unit], and that in words."""

    design: float
    base: float
    words: str | None = None


def pitch_aim(design: float) -> Aim:
    """A pitch should be the design pitch, and the shares are of it [mm]."""
    return Aim(design, design)


@lru_cache(maxsize=4096)
def class_limit(quantity: str, accuracy: str, aim: Aim, *, least: bool) -> Limit | None:
    """The window that a class leaves a value; None where the class sets none.

    Args:
        quantity: one of the levels of pitch, or of what is measured beside it.
        accuracy: the class.
        aim: what the value should be, and what the share is of.
        least: whether the tolerances in millimetres apply.
    """
    by_kind = _printed_tolerances(quantity, accuracy)
    if not by_kind:
        return None
    if "fixed" in by_kind:
        row = by_kind["fixed"]
        return _window(quantity, accuracy, aim, float(row["value"]), (term(row),), row["unit"])
    share = float(by_kind["share"]["value"])
    floor = float(by_kind["least"]["value"]) if least and "least" in by_kind else 0.0
    around = class_tolerance(share, floor, aim.base)
    kinds = ["share", *(["base"] if "base" in by_kind else [])]
    if around > class_tolerance(share, 0.0, aim.base):
        kinds.append("least")
    return _window(quantity, accuracy, aim, around, tuple(term(by_kind[kind]) for kind in kinds), "mm")


def _window(quantity: str, accuracy: str, aim: Aim, around: float, terms: tuple[Term, ...], unit: str) -> Limit:
    """So much to either side of what a value should be, or to that side alone which is limited."""
    low = None if quantity in FROM_ABOVE else round(aim.design - around, 6)
    high = None if quantity in FROM_BELOW else round(aim.design + around, 6)
    name, far = unit_text(unit), plain_number(around, 4)
    side = f"down by {far}" if high is None else f"up by {far}" if low is None else f"to either side {far}"
    words = f"Class {accuracy}: {plain_number(aim.design)} {name}, {side} {name}."
    return Limit(unit, terms, low, high, words=words)


@cache
def _printed_tolerances(quantity: str, accuracy: str) -> dict[str, dict[str, str]]:
    """The rows of the printed table about one level and class, by kind: share, base and least, or fixed."""
    rows = [row for row in table("propeller_tolerances") if (row["quantity"], row["class"]) == (quantity, accuracy)]
    return {row["kind"]: row for row in rows}


def agreed_limit(ordered: Propeller, quantity: str, aim: Aim, *, least: bool) -> Limit | None:
    """The window of the class that was agreed; None where none was agreed or that class sets none."""
    if ordered.agreed_class is None:
        return None
    limit = class_limit(quantity, ordered.agreed_class, aim, least=least)
    return None if limit is None else replace(limit, terms=(agreed(ordered, aim.words), *limit.terms))


def agreed(ordered: Propeller, about: str | None = None) -> Term:
    """Who agreed on the class; `about` is what its share is of: the design pitch where nothing is said, or nothing."""
    share_of = f"design pitch {plain_number(ordered.pitch)} mm" if about is None else about
    words = f"class {ordered.accuracy} of ISO 484-2{f', {share_of}' if share_of else ''}"
    return by_paper(words, ordered, "accuracy")


def pitch_of(evidence: Evidence, section: Section) -> tuple[Quantity, Used] | None:
    """Mean pitch of a section from its first to its last station, or as the shop gives it; None without either."""
    return evidence.once(("pitch", section.rows[0].where), lambda: _pitch_of(evidence, section))


def _pitch_of(evidence: Evidence, section: Section) -> tuple[Quantity, Used] | None:
    if section.given is not None:
        use = used(evidence, [section.given], "instrument", "pitch", "mm", "pitch")
        return Quantity.combined(section.given.pitch or 0.0, "mm", use.parts), use
    stations = section.stations
    if len(stations) < 2:
        return None
    bench = Bench.of(evidence, stations)
    return bench.between(stations[0], stations[-1]), bench.use


def locals_of(evidence: Evidence, section: Section) -> tuple[tuple[Quantity, Used], ...]:
    """The pitch between each station of a section and the next."""
    return evidence.once(("local pitch", section.rows[0].where), lambda: _locals_of(evidence, section))


def _locals_of(evidence: Evidence, section: Section) -> tuple[tuple[Quantity, Used], ...]:
    stations = section.stations
    if len(stations) < 2:
        return ()
    bench = Bench.of(evidence, stations)
    return tuple((bench.between(one, other), bench.use) for one, other in pairwise(stations))


@dataclass(frozen=True, slots=True)
class Bench:
    """What the bench brings to the heights and angles of one section."""

    height: Used
    angle: Used

    @classmethod
    def of(cls, evidence: Evidence, stations: Sequence[PitchReading]) -> Bench:
        """The bench as the rows of a section name it."""
        height = used(evidence, stations, "instrument", "height", "mm", "height")
        return cls(height, used(evidence, stations, "instrument", "angle", "deg", "angle"))

    @property
    def use(self) -> Used:
        """Both as one."""
        return joined((self.height, self.angle))

    def between(self, one: PitchReading, other: PitchReading) -> Quantity:
        """Pitch between two stations; both heights and both angles are unsure, each by itself."""
        turn = (other.angle or 0.0) - (one.angle or 0.0)
        pitch = helix_pitch((other.height or 0.0) - (one.height or 0.0), turn)
        if not self.height.parts or not self.angle.parts:
            return Quantity.combined(pitch, "mm", ())
        twice = math.sqrt(2.0)
        heights = Part("both heights", twice * 360.0 / turn * standard_of(self.height.parts))
        angles = Part("both angles", twice * abs(pitch) / turn * standard_of(self.angle.parts))
        return Quantity.combined(pitch, "mm", (heights, angles))


def joined(uses: Iterable[Used]) -> Used:
    """Several uses of instruments as one: ids, notes and caps each once; parts are those of the first."""
    found = tuple(uses)
    return Used(
        tuple(dict.fromkeys(name for use in found for name in use.instruments)),
        found[0].parts if found else (),
        tuple(dict.fromkeys(note for use in found for note in use.notes)),
        tuple(dict.fromkeys(cap for use in found for cap in use.caps)),
    )


def mean_of_pitches(pitches: Sequence[Quantity], what: str) -> Quantity:
    """The plain mean of some pitches. What the bench is unsure of may be the same in all: it does not average out."""
    value = math.fsum(pitch.value for pitch in pitches) / len(pitches)
    standards = [pitch.standard for pitch in pitches]
    if any(standard is None for standard in standards):
        return Quantity.combined(value, "mm", ())
    mean = math.fsum(standard for standard in standards if standard is not None) / len(standards)
    return Quantity.combined(value, "mm", (Part(f"mean of the standard uncertainties of {len(pitches)} {what}", mean),))


Radii = Callable[[Evidence, str, str, int], Iterable[float]]


def pitch_radii(evidence: Evidence, propeller: str, blade: str, attempt: int) -> tuple[float, ...]:
    """The radii at which the pitch of one blade was read."""
    return tuple(section.radius for section in sections(evidence, propeller, blade, attempt))


def section_radii(evidence: Evidence, propeller: str, blade: str, attempt: int) -> tuple[float, ...]:
    """The radii at which the sections of one blade were measured."""
    rows = evidence.of(SectionReading, propeller=propeller, blade=blade, attempt=attempt)
    return tuple(row.radius for row in rows)


def not_on_other_blades(
    evidence: Evidence,
    propeller: str,
    blade: str,
    attempt: int,
    kind: type[Reading] = PitchReading,
    radii: Radii = pitch_radii,
) -> tuple[str, ...]:
    """The radii, in words, that other blades were read at up to this attempt and this one was not.

    `kind` is the table looked at (that of the pitch), `radii` tells at which radii an attempt at one blade was read.
    """
    mine = set(radii(evidence, propeller, blade, attempt))
    wanted: dict[float, None] = {}
    for other in blades(evidence, propeller, kind):
        for number in range(1, max(attempt, last_attempt(evidence, propeller, other, kind=kind)) + 1):
            wanted.update(dict.fromkeys(radii(evidence, propeller, other, number)))
    gone = [radius for radius in sorted(wanted) if not any(same_radius(radius, own) for own in mine)]
    distinct = [radius for at, radius in enumerate(gone) if not at or not same_radius(gone[at - 1], radius)]
    return tuple(in_radii(radius) for radius in distinct)
