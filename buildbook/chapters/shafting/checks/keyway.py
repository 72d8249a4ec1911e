"""SHA-02: the fillet of the keyway, how it raises the stress, and the stress at full torque."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.readings import carried
from buildbook.chapters.shafting.formulas.keyway import (
    keyway_bending_factor,
    keyway_torsion_factor,
    round_groove_factor,
    shaft_torque,
    torsional_stress,
)
from buildbook.chapters.shafting.records import Shaft, ShaftEnd
from buildbook.chapters.shafting.subjects import (
    EACH,
    Subject,
    about,
    customary,
    not_drawn,
    not_read,
    outside,
    reading,
    rule,
    together,
)
from buildbook.chapters.subjects import Used, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key
from buildbook.core.judging import judge
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.formulas import OutOfRange
from buildbook.formulas.uncertainty import rectangular

CHECK = "SHA-02"
FILLET = "fillet of the keyway, of the diameter"
TORSION, BENDING = "stress raiser of the keyway in torsion", "stress raiser of the keyway in bending"
STRESS = "torsional stress at full torque"
QUANTITIES = (FILLET, TORSION, BENDING, STRESS)
NOTHING = "The keyway of this shaft was not measured."
NO_FILLET = "The fillet of the keyway was not measured, or its shape was not noted."
OF_AN_END_MILL = (
    "No table prints a factor in torsion for a sled-runner. The one shown is that of an end-milled seat with the same "
    "fillet (quoted from memory)."
)
BY_CHART = "By the chart of an end-milled seat with this fillet, no key pressure (quoted from memory)."
BY_CIRCLE = "By the exact solution for a round groove (quoted from memory)."
NOMINAL = "Without the stress raiser and without bending."


@dataclass(frozen=True, slots=True)
class Seat:
    """The keyway of one shaft end, with what its two instruments bring."""

    row: ShaftEnd
    fillet: float
    of_fillet: Used
    of_diameter: Used

    @property
    def use(self) -> Used:
        """Both instruments."""
        return together((self.of_fillet, self.of_diameter), (*self.of_fillet.parts, *self.of_diameter.parts))

    def inputs(self, fillet: str = "fillet") -> dict[str, tuple[float, Sequence[Part], str]]:
        """Fillet and diameter as a formula takes them."""
        return {
            fillet: (self.fillet, self.of_fillet.parts, "fillet"),
            "diameter": (self.row.diameter, self.of_diameter.parts, "diameter"),
        }


def keyways(evidence: Evidence) -> Iterable[Finding]:
    """SHA-02: the keyway of every shaft end."""
    return Subject(CHECK, ShaftEnd, QUANTITIES, NOTHING, _attempt).findings(evidence)


def _attempt(evidence: Evidence, part: str, attempt: int, rows: Sequence[ShaftEnd]) -> Iterable[Finding]:
    row, key = rows[0], Key(CHECK, FILLET, part, "", attempt)
    of_diameter = reading(evidence, [row], "diameter", "micrometer", "diameter")
    if row.fillet is None or row.keyway is None:
        for quantity in QUANTITIES[:3]:
            yield not_read(evidence, replace(key, quantity=quantity), rows, NO_FILLET)
    else:
        seat = Seat(row, row.fillet, reading(evidence, [row], "fillet", "gauge", "radius"), of_diameter)
        yield from _fillet(evidence, key, seat)
        yield from _raisers(evidence, key, seat)
    yield from _stress(evidence, replace(key, quantity=STRESS), row, of_diameter)


def _fillet(evidence: Evidence, key: Key, seat: Seat) -> Iterable[Finding]:
    def share(fillet: float, diameter: float) -> float:
        return EACH * fillet / diameter

    row = seat.row
    parts = carried(share, seat.inputs()) if seat.use.parts else ()
    measured = Quantity.combined(share(seat.fillet, row.diameter), "%", parts)
    words = f"radius {plain_number(seat.fillet)} mm of {plain_number(row.diameter)} mm diameter"
    told = about("radius gauge at the bottom of the keyway", [row], seat.use, (words,))
    yield from judge(key, measured, limits(evidence, CHECK, FILLET, place=key.place), told, observed=str(row.keyway))


def _raisers(evidence: Evidence, key: Key, seat: Seat) -> Iterable[Finding]:
    """Both factors of the fitted shape; the end-milled seat stands beside each in words."""
    shape = seat.row.keyway
    round_bottom = shape == "round-bottomed"
    torsion = round_groove_factor if round_bottom else keyway_torsion_factor
    how = BY_CIRCLE if round_bottom else OF_AN_END_MILL if shape == "sled-runner" else BY_CHART
    name = "groove" if round_bottom else "fillet"
    beside = (_sharp(seat.row), customary("end-milled in torsion"))
    yield from _worked(evidence, replace(key, quantity=TORSION), seat, (torsion, name), (how, *beside))
    in_bending = replace(key, quantity=BENDING)
    milled = customary("end-milled in bending")
    if shape == "sled-runner":
        printed = Quantity.count(rule("sled-runner in bending"), "1")
        told = about("printed for this shape", [seat.row], seat.use, (), (customary("sled-runner in bending"), milled))
        yield from judge(in_bending, printed, limits(evidence, CHECK, BENDING, place=key.place), told)
    elif round_bottom:
        yield not_read(evidence, in_bending, [seat.row], "No factor in bending is at hand for a round bottom.")
    else:
        yield from _worked(evidence, in_bending, seat, (keyway_bending_factor, "fillet"), (BY_CHART, milled))


def _worked(
    evidence: Evidence, key: Key, seat: Seat, formula: tuple[Callable[..., float], str], notes: Sequence[str]
) -> Iterable[Finding]:
    """A factor from the fillet (by the name the formula has for it) and the diameter."""
    work, name = formula
    try:
        value = work(seat.fillet, seat.row.diameter)
        parts = carried(work, seat.inputs(name)) if seat.use.parts else ()
    except OutOfRange as error:
        yield outside(evidence, key, [seat.row], error)
        return
    told = about("from its fillet and the diameter", [seat.row], seat.use, (_share(seat),), notes)
    wanted = limits(evidence, CHECK, key.quantity, place=key.place)
    yield from judge(key, Quantity.combined(value, "1", parts), wanted, told)


def _sharp(row: ShaftEnd) -> str:
    """What a corner as sharp as the chart reaches would make of the same shaft."""
    factor = keyway_torsion_factor(rule("sharp corner") * row.diameter, row.diameter)
    return (
        f"An end-milled seat with a corner as sharp as the chart reaches has {fixed(factor, 2)} (quoted from memory)."
    )


def _share(seat: Seat) -> str:
    return f"{seat.row.keyway}, r / d = {fixed(seat.fillet / seat.row.diameter, 4)}"


def _stress(evidence: Evidence, key: Key, row: ShaftEnd, use: Used) -> Iterable[Finding]:
    shaft = evidence.one(Shaft, part=key.place)
    if shaft is None:
        yield not_drawn(evidence, key, [row])
        return
    torque = shaft_torque(shaft.power, shaft.speed)
    unsure = (Part("torque", rectangular(rule("torque at full power") / EACH * torque)),)
    inputs = {"torque": (torque, unsure, "torque"), "diameter": (row.diameter, use.parts, "diameter")}
    parts = carried(torsional_stress, inputs)
    measured = Quantity.combined(torsional_stress(torque, row.diameter), "MPa", parts if use.parts else ())
    words = f"{plain_number(shaft.power)} kW at {plain_number(shaft.speed)} r/min: {fixed(torque, 0)} Nm"
    told = about(
        "from full power and the diameter as measured",
        [row],
        use,
        (words,),
        (NOMINAL, customary("torque at full power")),
    )
    yield from judge(key, measured, limits(evidence, CHECK, STRESS, place=key.place), told)
