"""PRO-16: how far she falls behind her screws on trial, on each side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.propeller.checks.found import NOT_ORDERED
from buildbook.chapters.propeller.checks.match import SIDE_LOST, SIDES, pitch_apart
from buildbook.chapters.propeller.drive_records import Drive
from buildbook.chapters.propeller.drive_subjects import (
    PORT,
    STARBOARD,
    asked,
    customary,
    lone_screw,
    mean,
    mean_pitch,
    on_side,
    relative,
    rule,
    rule_limit,
)
from buildbook.chapters.propeller.formulas.slip import apparent_slip, no_slip_speed
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import joined
from buildbook.chapters.subjects import Used, absent, limits, period, used
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.decide import decide, hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.sources import reference_limit

CHECK = "PRO-16"
SLIP, BESIDE = "apparent slip", "slip, port less starboard"
OVER_GROUND = "speed over ground"
ONE_COURSE = "one course only"
CONDITIONS = {"depth": "depth of water", "sea": "sea", "wind": "wind", "load": "load"}
UNUSUAL = "It lies outside of that; below planing speed more slip is no surprise."
ONE_WAY = "No run on the opposite course was made at this setting, so wind and current are not averaged out."
AS_ORDERED = (
    "The pitch was not measured; that of the order stands in for it, and a stamped pitch need not be the real one."
)
NO_RUN = "No run at this setting has a shaft speed of this propeller that can be used."
ONE_OF_TWO = "The slip of both sides at this setting cannot be worked out."
UNLIKE = (
    "Both propellers have the same pitch and yet their slips differ: growth or damage on one side, alignment, or a "
    "speed that was read wrong (common practice, no source)."
)


@dataclass(frozen=True, slots=True)
class Pitch:
    """The pitch that a slip is worked out with, what it rests on, and why it may be in doubt."""

    pitch: Quantity
    words: str
    use: Used
    caps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """One shaft in one run."""

    run: TrialRun
    shaft: ShaftSpeed

    def no_slip(self, pitch: Quantity) -> float:
        """Speed without slip [kn] at a pitch [mm]."""
        return no_slip_speed(pitch.value / 1000.0, self.shaft.shaft_speed)

    def slip(self, pitch: Quantity) -> float:
        """Apparent slip [%]."""
        return apparent_slip(self.run.speed, self.no_slip(pitch))


@dataclass(frozen=True, slots=True)
class Slip:
    """The slip of one propeller at one setting, with all a finding says about it."""

    value: Quantity
    about: About
    caps: tuple[str, ...]


def slipped(evidence: Evidence) -> Iterable[Finding]:
    """PRO-16: the apparent slip of every propeller at every setting, and that of one side less the other."""
    settings = tuple(str(word) for word in evidence.values(TrialRun, "setting"))
    for propeller in asked(evidence, CHECK, ShaftSpeed):
        for setting in settings:
            yield from _at_setting(evidence, Key(CHECK, SLIP, propeller, setting))
        if not settings:
            key, words = Key(CHECK, SLIP, propeller), "No run on trial is on record."
            kind = TrialRun if TrialRun in evidence.missing else ShaftSpeed
            yield absent(evidence, kind, key, Verdict.NOT_MEASURED, words)
    for setting in settings:
        yield from _beside(evidence, Key(CHECK, BESIDE, "", setting))
    if not settings and limits(evidence, CHECK, BESIDE).specified is not None and not lone_screw(evidence):
        yield absent(evidence, TrialRun, Key(CHECK, BESIDE), Verdict.NOT_MEASURED, "No run on trial is on record.")


def _at_setting(evidence: Evidence, key: Key) -> Iterable[Finding]:
    wanted = limits(evidence, CHECK, SLIP, place=key.place, condition=key.condition)
    ordered = evidence.one(Propeller, propeller=key.place)
    found = slip_of(evidence, ordered, key.condition) if ordered is not None else None
    if ordered is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED, None, wanted)
    elif found is None:
        yield absent(evidence, ShaftSpeed, key, Verdict.NOT_MEASURED, NO_RUN, wanted)
    else:
        for finding in judge(key, found.value, wanted, found.about):
            yield hold(finding, dict.fromkeys(found.caps))


def slip_of(evidence: Evidence, ordered: Propeller, setting: str) -> Slip | None:
    """The apparent slip of a propeller at a setting, the mean of both courses; None without a usable run."""
    return evidence.once(("slip", ordered.propeller, setting), lambda: _slip_of(evidence, ordered, setting))


def _slip_of(evidence: Evidence, ordered: Propeller, setting: str) -> Slip | None:
    runs = evidence.of(TrialRun, setting=setting)
    pairs = _pairs(evidence, ordered.propeller, runs)
    if not pairs:
        return None
    by_pitch = _pitch(evidence, ordered)
    there, back, astray = courses(pairs)
    slips = [mean([pair.slip(by_pitch.pitch) for pair in way]) for way in (there, back) if way]
    speeds = used(evidence, [pair.run for pair in pairs], "instrument", OVER_GROUND, "kn", "speed")
    shafts = used(evidence, [pair.shaft for pair in pairs], "instrument", "shaft speed", "rpm", "shaft_speed")
    value = _with_parts(mean(slips), pairs, by_pitch.pitch, speeds, shafts)
    use = joined((speeds, shafts, by_pitch.use))
    about = About(
        method="mean of both courses" if back else ONE_COURSE,
        period=period(pair.run.at for pair in pairs),
        instruments=use.instruments,
        at=tuple(row.where for pair in pairs for row in (pair.run, pair.shaft)),
        working=(by_pitch.words, *(_line(pair, by_pitch.pitch) for pair in pairs)),
        notes=(*use.notes, *_remarks(value), *_not_recorded(pairs)),
    )
    without = [run.run for run in runs if run not in [pair.run for pair in pairs]]
    caps = (
        *use.caps,
        *by_pitch.caps,
        *(() if back else (ONE_WAY,)),
        *((f"{listed(astray)} ran on another course than the others.",) if astray else ()),
        *((f"No shaft speed of {ordered.propeller} can be used in {listed(without)}.",) if without else ()),
        *_unchecked(evidence, ordered.propeller, pairs),
    )
    return Slip(value, about, caps)


def _pairs(evidence: Evidence, propeller: str, runs: Sequence[TrialRun]) -> tuple[Pair, ...]:
    return tuple(
        Pair(run, shaft) for run in runs for shaft in evidence.of(ShaftSpeed, run=run.run, propeller=propeller)
    )


def courses(pairs: Sequence[Pair]) -> tuple[tuple[Pair, ...], tuple[Pair, ...], tuple[str, ...]]:
    """Runs on the course of the first, those on the opposite one, and the ids of those on neither."""
    first = pairs[0].run.course
    there = tuple(pair for pair in pairs if turned(pair.run.course, first) <= rule("same course"))
    back = tuple(pair for pair in pairs if turned(pair.run.course, first + 180.0) <= rule("same course"))
    return there, back, tuple(pair.run.run for pair in pairs if pair not in (*there, *back))


def turned(one: float, other: float) -> float:
    """The angle between two courses, the short way round [deg].

    >>> turned(355.0, 5.0), turned(62.0, 242.0)
    (10.0, 180.0)
    """
    return abs((one - other + 180.0) % 360.0 - 180.0)


def _pitch(evidence: Evidence, ordered: Propeller) -> Pitch:
    """The mean pitch as left; that of the order where none was measured."""
    found = mean_pitch(evidence, ordered)
    if found is None:
        words = f"pitch as ordered {plain_number(ordered.pitch)} mm"
        return Pitch(Quantity(ordered.pitch, "mm"), words, Used((), (), (), ()), (AS_ORDERED,))
    words = f"mean pitch as left {fixed(found.pitch.value, 1)} mm"
    return Pitch(found.pitch, words, found.whole.use, found.caps)


def _with_parts(slip: float, pairs: Sequence[Pair], pitch: Quantity, speeds: Used, shafts: Used) -> Quantity:
    """The slip with its uncertainty; one instrument may err alike in all runs, so it does not average out."""
    ship = Quantity.combined(mean([pair.run.speed for pair in pairs]), "kn", speeds.parts)
    shaft = Quantity.combined(mean([pair.shaft.shaft_speed for pair in pairs]), "rpm", shafts.parts)
    each = ((OVER_GROUND, ship), ("shaft speed", shaft), ("mean pitch", pitch))
    return Quantity.combined(slip, "%", relative(each, 100.0 - slip))


def _line(pair: Pair, pitch: Quantity) -> str:
    run = pair.run
    at = f"depth {plain_number(run.depth)} m" if run.depth is not None else ""
    words = {"sea": run.sea, "wind": run.wind, "load": run.load}
    told = [at, *(f"{name} {text}" for name, text in words.items() if text)]
    conditions = "".join(f"; {text}" for text in told if text)
    return (
        f"{run.run}, course {plain_number(run.course)}°: {plain_number(run.speed)} kn over ground, shaft "
        f"{plain_number(pair.shaft.shaft_speed)} r/min, {fixed(pair.no_slip(pitch), 2)} kn without slip, "
        f"slip {fixed(pair.slip(pitch), 1)} %{conditions}"
    )


def _remarks(slip: Quantity) -> tuple[str, ...]:
    """What is usual, and what a slip outside of it usually means."""
    bare, usual = Quantity.count(slip.value, "%"), customary("usual slip from")
    if decide(bare, rule_limit(low="slip too small to be true")).verdict.missed:
        return (usual, customary("slip too small to be true"))
    met = decide(bare, rule_limit("usual slip from", "usual slip to")).verdict.met
    return (usual,) if met else (usual, UNUSUAL)


def _not_recorded(pairs: Sequence[Pair]) -> tuple[str, ...]:
    gone = [words for name, words in CONDITIONS.items() if any(getattr(pair.run, name) is None for pair in pairs)]
    return (f"Not recorded for every run: {listed(gone)}.",) if gone else ()


def _unchecked(evidence: Evidence, propeller: str, pairs: Sequence[Pair]) -> tuple[str, ...]:
    """That an engine speed stands beside a shaft speed and no gear ratio tells whether the two were mixed up."""
    if evidence.of(Drive, propeller=propeller) or not any(pair.shaft.engine_speed for pair in pairs):
        return ()
    why = evidence.missing.get(Drive, "has no usable row about this propeller")
    return (f"{Drive.table.file} {why}: without the gear ratio, mixed-up speeds would not be noticed.",)


def _beside(evidence: Evidence, key: Key) -> Iterable[Finding]:
    port, starboard = on_side(evidence, PORT), on_side(evidence, STARBOARD)
    wanted = limits(evidence, CHECK, BESIDE, condition=key.condition)
    if port is None or starboard is None:
        if not lone_screw(evidence):
            yield absent(evidence, Propeller, key, Verdict.INCONCLUSIVE, SIDE_LOST, wanted)
        return
    one, other = slip_of(evidence, port, key.condition), slip_of(evidence, starboard, key.condition)
    if one is None or other is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, ONE_OF_TWO, None, wanted)
        return
    apart = _slips_apart(one.value, other.value)
    both = ((port.propeller, one), (starboard.propeller, other))
    about = About(
        method="apparent slip of the port propeller less that of the starboard one; the speed is the same for both, so "
        "its doubt is left out",
        period=one.about.period,
        instruments=tuple(dict.fromkeys((*one.about.instruments, *other.about.instruments))),
        at=tuple(dict.fromkeys((*one.about.at, *other.about.at))),
        working=tuple(f"{name}: slip {fixed(slip.value.value, 1)} %" for name, slip in both),
        notes=_unlike(evidence, apart, port, starboard),
    )
    for finding in judge(key, apart, wanted, about):
        yield hold(finding, dict.fromkeys((*one.caps, *other.caps)))


def _slips_apart(one: Quantity, other: Quantity) -> Quantity:
    """Their difference [%]; the speed over ground is the same for both, so its doubt does not count twice."""
    if one.standard is None or other.standard is None:
        return Quantity.combined(one.value - other.value, "%", ())
    named = ((PORT, one), (STARBOARD, other))
    parts = tuple(
        replace(part, name=f"{part.name}, {side}")
        for side, slip in named
        for part in slip.parts
        if part.name != OVER_GROUND
    )
    return Quantity.combined(one.value - other.value, "%", parts)


def _unlike(evidence: Evidence, apart: Quantity, port: Propeller, starboard: Propeller) -> tuple[str, ...]:
    """A remark where slips differ although the pitches do not."""
    pitches = [mean_pitch(evidence, row) for row in (port, starboard)]
    if decide(Quantity.count(abs(apart.value), "%"), rule_limit(high="slips alike")).verdict.met:
        return ()
    one, other = pitches
    if one is None or other is None:
        return ()
    same = decide(Quantity.count(pitch_apart(one, other).value, "%"), reference_limit("PRO-14", SIDES))
    return (UNLIKE,) if same.verdict.met else ()
