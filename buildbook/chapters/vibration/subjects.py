"""What the vibration checks are about: positions, their spaces, and each record with its spectrum."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, get_args

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.subjects import Used, absent, place_name, used
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.formulas.orders import blade_rate
from buildbook.chapters.vibration.formulas.spectrum import Spectrum, spectrum
from buildbook.chapters.vibration.formulas.weighting import whole_body, whole_body_velocity
from buildbook.chapters.vibration.records import Axis, Position, VibrationRecord
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.together import doubts
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, unjudged
from buildbook.core.quantity import Part
from buildbook.core.signal import Signal, Survey
from buildbook.core.wording import listed

if TYPE_CHECKING:
    from buildbook.chapters.vibration.formulas.spectrum import Array

PERCENT = 100.0
MILLI = 1000.0  # mm/s2 for each m/s2
NO_RECORD = "Its file could not be read as a record."
NOT_HERE = "No record was made at this position."
GUIDELINE = "The class table is a guideline, and a requirement only where the builder agreed to it in the contract."


@dataclass(frozen=True, slots=True)
class Analysed:
    """One record: its row, its signal, what one pass showed, and its spectrum in the unit of the signal.

    `against` is what the other rows of the survey say against it, in words.
    """

    row: VibrationRecord
    signal: Signal
    survey: Survey
    spectrum: Spectrum
    against: tuple[str, ...] = ()

    @property
    def acceleration(self) -> bool:
        """Whether the sensor measured acceleration [m/s2]; else velocity [mm/s]."""
        return self.row.quantity == "acceleration"

    @property
    def weight(self) -> Callable[[Array], Array]:
        """How much each frequency of the spectrum counts for people."""
        return whole_body if self.acceleration else whole_body_velocity

    @property
    def velocity(self) -> Spectrum:
        """The unweighted spectrum of velocity [mm/s], from the lowest frequency of a tone on."""
        low = rule("lowest tone")
        if self.acceleration:
            found = self.spectrum.velocity(low)
            return Spectrum(found.step, found.density * MILLI**2, found.sharp * MILLI**2)
        slow = self.spectrum.frequency < low
        return Spectrum(self.spectrum.step, *((~slow) * one for one in (self.spectrum.density, self.spectrum.sharp)))

    @property
    def reach(self) -> float:
        """The highest frequency of which this record can speak [Hz]."""
        return min(rule("highest tone"), rule("share of the rate") / PERCENT * self.signal.rate)


def analysed(evidence: Evidence, row: VibrationRecord) -> Analysed | None:
    """The record of a row with its spectrum; None where no record was opened for it or it is too short for one."""
    return evidence.once(("record", row.where), lambda: _analysed(evidence, row))


def _analysed(evidence: Evidence, row: VibrationRecord) -> Analysed | None:
    signal = evidence.signals.get(row.where)
    if signal is None or signal.survey is None or signal.length < rule("fewest samples"):
        return None
    seconds, mean = rule("length of a segment"), signal.survey.mean
    found = evidence.once_of_signals(
        ("spectrum", signal), lambda: spectrum(signal.blocks, signal.length, signal.rate, seconds, mean)
    )
    return Analysed(row, signal, signal.survey, found, tuple(one.words for one in doubts(evidence, row)))


def position_of(evidence: Evidence, place: str) -> Position | None:
    """The row that says what kind of space a position is in."""
    return evidence.one(Position, position=place)


def on_a_machine(evidence: Evidence, place: str) -> bool:
    """Whether a position is on a machine and not where people are."""
    position = position_of(evidence, place)
    return position is not None and position.space == "machine"


def run_of(evidence: Evidence, name: str) -> TrialRun | None:
    """The run on trial of this id."""
    return evidence.one(TrialRun, run=name)


def shaft_speeds(evidence: Evidence, run: str) -> dict[str, float]:
    """The speed of each shaft in a run, by its propeller [r/min]."""
    return {row.propeller: row.shaft_speed for row in evidence.of(ShaftSpeed, run=run)}


def shafts(evidence: Evidence) -> tuple[str, ...]:
    """Every shaft that any table knows of, by its propeller."""
    named = {*evidence.values(Machine, "propeller"), *evidence.values(ShaftSpeed, "propeller")}
    return tuple(sorted(name for name in named if name))


def unknown_shafts(evidence: Evidence, run: str) -> tuple[str, ...]:
    """The shafts whose speed in a run is not on record, each in words."""
    known = shaft_speeds(evidence, run)
    return tuple(
        f"The speed of the shaft of {one} in run {run} is not on record."
        for one in shafts(evidence)
        if one not in known
    )


def unknown_machines(evidence: Evidence) -> tuple[str, ...]:
    """The shafts without a machine of a kind that another shaft has, each in words; each has a propeller."""
    kinds = {row.kind for row in evidence.of(Machine) if row.propeller} | {"propeller"}
    there = {(row.kind, row.propeller) for row in evidence.of(Machine)}
    return tuple(
        f"No {kind} of {one} stands among the machines."
        for one in shafts(evidence)
        for kind in sorted(kinds)
        if (kind, one) not in there
    )


def blades_of(evidence: Evidence, propeller: str) -> int:
    """The number of blades of a propeller; 0 where no machine says so."""
    row = next((one for one in evidence.of(Machine) if one.kind == "propeller" and one.propeller == propeller), None)
    return (row.blades or 0) if row is not None else 0


def blade_rates(evidence: Evidence, run: str) -> dict[str, float]:
    """Blade rate of each shaft in a run [Hz], by its propeller."""
    speeds = {name: (speed, blades_of(evidence, name)) for name, speed in shaft_speeds(evidence, run).items()}
    return {name: blade_rate(speed, blades) for name, (speed, blades) in speeds.items() if blades}


def condition_of(evidence: Evidence, row: VibrationRecord) -> str:
    """Axis, engine setting and run of a record, in words."""
    return f"{row.axis}, {setting_of(evidence, row.run)}"


def short_name(evidence: Evidence, place: str) -> str:
    """The name of a position up to its first comma, with its id."""
    return f"{place_name(evidence, place).partition(',')[0].partition(' (')[0]} {place}"


def setting_of(evidence: Evidence, name: str) -> str:
    """Engine setting and id of a run, in words."""
    run = run_of(evidence, name)
    return f"{run.setting}, run {name}" if run is not None else f"run {name}"


def axes_together(evidence: Evidence) -> dict[tuple[str, str, int], list[VibrationRecord]]:
    """The records of every position, run and attempt: one for each axis."""
    found: dict[tuple[str, str, int], list[VibrationRecord]] = {}
    for row in evidence.of(VibrationRecord):
        found.setdefault((row.position, row.run, row.attempt), []).append(row)
    return found


def unmeasured_axes(evidence: Evidence, row: VibrationRecord, why: str) -> tuple[str, ...]:
    """That directions were not measured where and when a record was made, and why they should be; else nothing."""
    measured = {one.axis for one in evidence.of(VibrationRecord, position=row.position, run=row.run)}
    silent = [axis for axis in get_args(Axis) if axis not in measured]
    return (f"Not measured here in this run: {listed(silent)}. {why}",) if silent else ()


@dataclass(frozen=True, slots=True)
class Axes:
    """The records of one position and run that could be analysed, and why the others could not."""

    found: tuple[Analysed, ...]
    caps: tuple[str, ...]

    def strongest(self, level: Callable[[Analysed], float]) -> Analysed:
        """The axis with the highest level."""
        return max(self.found, key=level)


def axes_of(evidence: Evidence, rows: Iterable[VibrationRecord]) -> Axes:
    """The records of some rows, each analysed where its file could be read."""
    pairs = [(row, analysed(evidence, row)) for row in rows]
    caps = tuple(f"Record {row.record} ({row.axis}): its file could not be read." for row, one in pairs if one is None)
    return Axes(tuple(one for _, one in pairs if one is not None), caps)


def overall(found: Analysed) -> float:
    """Unweighted r.m.s. velocity of a record over all tones it can speak of [mm/s]."""
    return math.sqrt(found.velocity.between(rule("lowest tone"), found.reach))


@dataclass(frozen=True, slots=True)
class FarOff:
    """A record whose level [mm/s] is far off that of the nearest record beside it [mm/s]."""

    level: float
    other: float
    beside: str

    @property
    def words(self) -> str:
        """What a finding says of it."""
        times = max(self.level / self.other, self.other / self.level)
        more = "stronger" if self.level > self.other else "weaker"
        return (
            f"This record is {times:.3g} times {more} than the nearest of the others of its measuring chain, record "
            f"{self.beside}. More than {rule('levels apart'):g} times is rare: its calibration or its unit may be "
            "wrong by a power of ten (this book's own rule, no source)."
        )


def far_off(evidence: Evidence, row: VibrationRecord) -> FarOff | None:
    """Whether the level of a record is far off all records beside it, as where a calibration is wrong by a nought.

    Beside it are those of its chain at its position and axis; where none is, at its position; else all of its chain.
    """
    mine, of_chain = _overall_of(evidence, row), evidence.of(VibrationRecord, instrument=row.instrument)
    others = [one for one in of_chain if one is not row and one.quantity == row.quantity and _overall_of(evidence, one)]
    here = [one for one in others if one.position == row.position]
    beside = [one for one in here if one.axis == row.axis] or here or others
    if not mine or not beside:
        return None
    apart = {one.record: abs(math.log(_overall_of(evidence, one) / mine)) for one in beside}
    near = min(beside, key=lambda one: apart[one.record])
    if apart[near.record] <= math.log(rule("levels apart")):
        return None
    return FarOff(mine, _overall_of(evidence, near), near.record)


def _overall_of(evidence: Evidence, row: VibrationRecord) -> float:
    """The level of a record [mm/s]; 0 where it could not be analysed."""
    return evidence.once(("level", row.where), lambda: overall(found) if (found := analysed(evidence, row)) else 0.0)


def chain(evidence: Evidence, rows: Sequence[VibrationRecord], value: float) -> tuple[Used, tuple[Part, ...]]:
    """What the measuring chain of some records brings to a level [mm/s], whose uncertainty is in per cent of it."""
    use = used(evidence, rows, "instrument", rows[0].quantity, "%")
    off = (far_off(evidence, row) for row in rows)
    use = replace(use, notes=(*use.notes, *(one.words for one in off if one is not None)))
    return use, tuple(Part(part.name, value * part.standard / PERCENT) for part in use.parts)


def of_lost_records(
    evidence: Evidence,
    check: str,
    quantity: str,
    mine: Callable[[Unread], bool] = lambda _: True,
    wanted: Callable[[str], Limits] = lambda _: Limits(),
) -> Iterable[Finding]:
    """What is said of the rows of records that cannot be used; `wanted` are the limits at a place."""
    for gone in evidence.lost(VibrationRecord):
        if mine(gone):
            place = gone.get("position") or ""
            key = Key(check, quantity, place, gone.get("record") or str(gone.where.row))
            limits, about = wanted(place), About(at=(gone.where,))
            yield unjudged(key, Verdict.INCONCLUSIVE, f"{NO_RECORD} {gone.why}.", about, limits)


def without_a_record(
    evidence: Evidence, check: str, quantity: str, places: Iterable[str], wanted: Callable[[str], Limits]
) -> Iterable[Finding]:
    """The places of which no record was made, each with its limits."""
    measured = evidence.values(VibrationRecord, "position")
    for place in places:
        if place not in measured:
            key = Key(check, quantity, place)
            yield absent(evidence, VibrationRecord, key, Verdict.NOT_MEASURED, NOT_HERE, wanted(place))
