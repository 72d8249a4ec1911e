"""What is measured of a blade beside its pitch: each thing with its table, its column and what it is set against."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.checks.found import Found
from buildbook.chapters.propeller.formulas.geometry import even_step, steps_round
from buildbook.chapters.propeller.records import DesignSection, Propeller
from buildbook.chapters.propeller.subjects import (
    CUP,
    LENGTH,
    RAKE,
    ROUGHNESS,
    SPACING,
    THICK,
    THIN,
    TIP,
    TRACK,
    Aim,
    in_radii,
    joined,
    same_radius,
)
from buildbook.chapters.readings import standard_of
from buildbook.chapters.subjects import Used, used
from buildbook.core.evidence import Evidence
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number, unit_text

Rows = Sequence[Any]
Find = Callable[[Evidence, Propeller, Rows], tuple[Found, ...]]
MORE_THAN_ONE_STEP = 1.5  # a gap nearer to two steps than to one lies across a blade that was not read


@dataclass(frozen=True, slots=True)
class Column:
    """One column of readings: its table, the column of its instrument, what the instrument table calls it, its unit."""

    kind: type[BladeReading] | type[SectionReading]
    name: str
    instrument: str
    called: str
    unit: str

    def read(self, rows: Rows) -> tuple[Any, ...]:
        """The rows in which it is filled."""
        return tuple(row for row in rows if getattr(row, self.name) is not None)

    def used(self, evidence: Evidence, rows: Rows) -> Used:
        """What the instruments of some rows bring."""
        return used(evidence, rows, self.instrument, self.called, self.unit, self.name)

    def less(self, evidence: Evidence, row: Any, design: float) -> tuple[Quantity, Used]:
        """A reading less what it should be."""
        use = self.used(evidence, [row])
        return Quantity.combined(getattr(row, self.name) - design, self.unit, use.parts), use

    def apart(self, evidence: Evidence, one: Any, other: Any) -> tuple[Quantity, Used]:
        """The second of two readings less the first; both are unsure, each by itself."""
        uses = [self.used(evidence, [row]) for row in (one, other)]
        value = getattr(other, self.name) - getattr(one, self.name)
        known = all(use.parts for use in uses)
        parts = (Part("both readings", standard_of([part for use in uses for part in use.parts])),) if known else ()
        return Quantity.combined(value, self.unit, parts), joined(uses)


ANGLE = Column(BladeReading, "angle", "instrument", "blade angle", "deg")
AXIAL = Column(BladeReading, "axial", "instrument", "axial position", "mm")
TIP_RADIUS = Column(BladeReading, "tip_radius", "instrument", "tip radius", "mm")
RA = Column(BladeReading, "roughness", "roughness_tester", "roughness", "um")
THICKNESS = Column(SectionReading, "thickness", "instrument", "blade thickness", "mm")
SECTION_LENGTH = Column(SectionReading, "length", "tape", "section length", "mm")
CUP_DROP = Column(SectionReading, "cup", "cup_gauge", "cup drop", "mm")


@dataclass(frozen=True, slots=True)
class Aspect:
    """One thing that is judged: its check and quantity, what it is read from, and what makes values of some rows.

    Where `whole`, the rows are those of all blades of a propeller, else those of one blade. `drawn` names the column
    of the design that it is set against, empty where the order alone says it.
    """

    check: str
    quantity: str
    column: Column
    find: Find
    whole: bool = False
    drawn: str = ""


def drawn_at(evidence: Evidence, propeller: str, radius: float, name: str) -> float | None:
    """A value of the design at a radius [mm]; None where it is not drawn there."""
    rows = evidence.of(DesignSection, propeller=propeller)
    found = (getattr(row, name) for row in rows if same_radius(row.radius, radius))
    return next((value for value in found if value is not None), None)


def _of_sections(column: Column, drawn: str, aim: Callable[[Propeller, float], Aim], method: str) -> Find:
    """Each section against what is drawn at its radius; a radius that is not drawn gives nothing."""

    def find(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
        found = []
        for row in column.read(rows):
            design = drawn_at(evidence, ordered.propeller, row.radius, drawn)
            if design is not None:
                value, use = column.less(evidence, row, design)
                at = in_radii(row.radius)
                line = f"{at}: {_plain(getattr(row, column.name), column)}; drawn {_plain(design, column)}"
                found.append(Found(value, aim(ordered, design), at, at, use, (row,), method, line, row.radius))
        return tuple(found)

    return find


def _of_the_thickness(ordered: Propeller, design: float) -> Aim:
    return Aim(0.0, design, "")  # another at every radius: the working names it


def _of_the_length(ordered: Propeller, design: float) -> Aim:
    words = f"diameter {plain_number(ordered.diameter)} mm over {ordered.blades} blades"
    return Aim(0.0, ordered.diameter / ordered.blades, words)


def _of_the_diameter(ordered: Propeller) -> Aim:
    return Aim(0.0, ordered.diameter, f"diameter {plain_number(ordered.diameter)} mm")


def _rakes(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
    if ordered.axial is None or ordered.axial_radius is None:
        return ()
    found = []
    for row in AXIAL.read(rows):
        if same_radius(row.axial_radius, ordered.axial_radius):
            value, use = AXIAL.less(evidence, row, ordered.axial)
            at = in_radii(row.axial_radius)
            line = f"{at}: {_plain(row.axial, AXIAL)}; drawn {_plain(ordered.axial, AXIAL)}"
            method = f"position along the bore axis, at {at}"
            found.append(Found(value, _of_the_diameter(ordered), at, at, use, (row,), method, line))
    return tuple(found)


def _tips(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
    half = ordered.diameter / 2.0
    aim = Aim(0.0, half, f"diameter {plain_number(ordered.diameter)} mm")
    found = []
    for row in TIP_RADIUS.read(rows):
        value, use = TIP_RADIUS.less(evidence, row, half)
        line = f"{_plain(row.tip_radius, TIP_RADIUS)}; half the diameter {_plain(half, TIP_RADIUS)}"
        found.append(Found(value, aim, "tip", "tip", use, (row,), "radius of the tip about the bore axis", line))
    return tuple(found)


def _roughness(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
    found = []
    for row in RA.read(rows):
        value, use = RA.less(evidence, row, 0.0)
        line = f"Ra {_plain(row.roughness, RA)}"
        aim = Aim(0.0, 1.0, "surface roughness Ra")
        found.append(Found(value, aim, "", "", use, (row,), "roughness tester, roughest place of the blade", line))
    return tuple(found)


def _steps(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
    """The angle from each blade to the next; none across a blade that was not read."""
    turned = sorted(ANGLE.read(rows), key=lambda row: row.angle)
    if len(turned) < 2:
        return ()
    even = even_step(ordered.blades)
    aim = Aim(even, 1.0, f"{ordered.blades} blades")
    found = []
    for step, (one, other) in zip(steps_round([row.angle for row in turned]), _round(turned), strict=True):
        if len(turned) < ordered.blades and step > MORE_THAN_ONE_STEP * even:
            continue
        apart, use = ANGLE.apart(evidence, one, other)
        words = f"{one.blade} to {other.blade}"
        line = f"{words}: {_plain(step, ANGLE)}; evenly {plain_number(even, 6)}°"
        step_of = Quantity.combined(step, "deg", apart.parts)
        found.append(Found(step_of, aim, words, words, use, (one, other), "angles about the bore axis", line))
    return tuple(found)


def _tracks(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
    """How much farther along the axis each blade stands than the one before it, read at one radius."""
    placed = AXIAL.read(rows)
    placed = tuple(row for row in placed if same_radius(row.axial_radius, placed[0].axial_radius))
    if len(placed) < 2:
        return ()
    found = []
    for one, other in _round(sorted(placed, key=lambda row: row.blade)):
        value, use = AXIAL.apart(evidence, one, other)
        words = f"{one.blade} to {other.blade}"
        line = f"{words}: from {_plain(one.axial, AXIAL)} to {_plain(other.axial, AXIAL)}"
        method = f"positions along the bore axis, at {in_radii(one.axial_radius)}"
        found.append(Found(value, _of_the_diameter(ordered), words, words, use, (one, other), method, line))
    return tuple(found)


def _cups(evidence: Evidence, ordered: Propeller, rows: Rows) -> tuple[Found, ...]:
    """At each radius the deepest cup less the shallowest."""
    by_radius: dict[float, list[Any]] = {}
    for row in CUP_DROP.read(rows):
        radius = next((known for known in by_radius if same_radius(known, row.radius)), row.radius)
        by_radius.setdefault(radius, []).append(row)
    found = []
    for radius, cups in sorted(by_radius.items()):
        if len({row.blade for row in cups}) > 1:
            low, high = (pick(cups, key=lambda row: row.cup) for pick in (min, max))
            value, use = CUP_DROP.apart(evidence, low, high)
            words = f"{in_radii(radius)}, {low.blade} and {high.blade}"
            line = f"{in_radii(radius)}: from {_plain(low.cup, CUP_DROP)} to {_plain(high.cup, CUP_DROP)}"
            aim, method = Aim(0.0, 1.0, "cup"), "drop of the trailing edge, the deepest less the shallowest"
            found.append(Found(value, aim, words, words, use, tuple(cups), method, line))
    return tuple(found)


def _round(rows: Sequence[Any]) -> Iterable[tuple[Any, Any]]:
    """Each row with the next one, the last with the first."""
    return (*pairwise(rows), (rows[-1], rows[0]))


def _plain(value: float, column: Column) -> str:
    digits = 1 if column.unit == "mm" and abs(value) >= 100 else 2
    space = "" if column.unit == "deg" else " "
    return f"{fixed(value, digits)}{space}{unit_text(column.unit)}"


_THICKNESS = _of_sections(THICKNESS, "thickness", _of_the_thickness, "greatest thickness of each section")
_LENGTH = _of_sections(SECTION_LENGTH, "length", _of_the_length, "length of each section along the face")

ASPECTS = (
    Aspect("PRO-06", SPACING, ANGLE, _steps, whole=True),
    Aspect("PRO-07", THIN, THICKNESS, _THICKNESS, drawn="thickness"),
    Aspect("PRO-07", THICK, THICKNESS, _THICKNESS, drawn="thickness"),
    Aspect("PRO-08", LENGTH, SECTION_LENGTH, _LENGTH, drawn="length"),
    Aspect("PRO-09", RAKE, AXIAL, _rakes),
    Aspect("PRO-09", TRACK, AXIAL, _tracks, whole=True),
    Aspect("PRO-10", TIP, TIP_RADIUS, _tips),
    Aspect("PRO-11", ROUGHNESS, RA, _roughness),
)
CUPS = Aspect("PRO-08", CUP, CUP_DROP, _cups, whole=True)
