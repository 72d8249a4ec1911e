"""PRO-13 and PRO-14: the blades of one propeller beside each other, and both sides beside each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buildbook.chapters.propeller.blade_records import BladeReading
from buildbook.chapters.propeller.checks.aspects import ASPECTS, TIP_RADIUS
from buildbook.chapters.propeller.checks.found import NOT_ORDERED
from buildbook.chapters.propeller.checks.geometry import left_by, reasons, worked_on_since
from buildbook.chapters.propeller.checks.pitch import NO_READING
from buildbook.chapters.propeller.drive_subjects import (
    EACH,
    PORT,
    STARBOARD,
    MeanPitch,
    as_left_words,
    difference,
    lone_screw,
    mean,
    mean_pitch,
    on_side,
)
from buildbook.chapters.propeller.records import PitchReading, Propeller
from buildbook.chapters.propeller.subjects import (
    BLADE,
    TIP,
    agreed_limit,
    joined,
    last_of_all,
    least_tolerances_apply,
    pitch_aim,
    propellers,
)
from buildbook.chapters.readings import scaled
from buildbook.chapters.subjects import Used, absent, limits, period
from buildbook.core.decide import hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, listed, plain_number

SPREAD = "spread of the blades' mean pitch"
SIDES, DIAMETER = "mean pitch, port against starboard", "diameter, port against starboard"
SPREAD_SHAKES = (
    "The spread between the blades shakes the shaft; their mean decides how fast she goes (common practice, no source)."
)
NOT_READ = "The tip radii of both propellers were not measured: that the orders agree does not show that they do."
NOT_PITCHED = "No pitch of this propeller was measured."
ONE_BLADE = "Fewer than two blades have a reading that can be used."
ONE_SIDE = "She has one propeller, so there is no other side to match."
SIDE_LOST = "No row of propeller/propellers.csv says which propeller is on the other side."


def spread(evidence: Evidence) -> Iterable[Finding]:
    """PRO-13: of each propeller, as it was left, the highest mean pitch of a blade less the lowest."""
    for propeller in propellers(evidence):
        last = last_of_all(evidence, propeller)
        key = Key("PRO-13", SPREAD, propeller, "", max(last, 1))
        ordered = evidence.one(Propeller, propeller=propeller)
        found = mean_pitch(evidence, ordered) if ordered is not None and last else None
        wanted = limits(evidence, key.check, SPREAD, place=propeller)
        if ordered is None:
            yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED, None, wanted)
        elif not last:
            yield absent(evidence, PitchReading, key, Verdict.NOT_MEASURED, NOT_PITCHED)
        elif found is None or len(found.blades) < 2:
            yield unjudged(key, Verdict.INCONCLUSIVE, ONE_BLADE, None, wanted)
        else:
            for finding in judge(key, _apart(found), wanted, _spread_about(evidence, ordered, found, last)):
                yield hold(finding, dict.fromkeys(found.caps))


def _apart(found: MeanPitch) -> Quantity:
    low, high = (chosen(found.blades, key=lambda one: one.measured.value) for chosen in (min, max))
    return difference(high.measured, low.measured, (f"mean pitch of {high.words}", f"mean pitch of {low.words}"))


def _spread_about(evidence: Evidence, ordered: Propeller, found: MeanPitch, last: int) -> About:
    before = mean_pitch(evidence, ordered, 1) if last > 1 else None
    received = (
        (f"as received {fixed(_apart(before).value, 1)} mm",) if before is not None and len(before.blades) > 1 else ()
    )
    means = listed(f"{one.words} {fixed(one.measured.value, 1)} mm" for one in found.blades)
    rows = found.whole.rows
    return About(
        method="highest mean pitch of a blade less the lowest, as left",
        period=period(row.at for row in rows),
        instruments=found.whole.use.instruments,
        at=tuple(row.where for row in rows),
        working=(f"mean pitch: {means}", *received),
        notes=(*found.whole.use.notes, *_window(ordered), SPREAD_SHAKES),
    )


def _window(ordered: Propeller) -> tuple[str, ...]:
    """How far apart the class leaves two blades, in words: it sets no limit on the spread itself."""
    limit = agreed_limit(ordered, BLADE, pitch_aim(ordered.pitch), least=least_tolerances_apply(ordered))
    if limit is None or limit.low is None or limit.high is None:
        return ()
    wide = plain_number(round(limit.high - limit.low, 4))
    return (
        f"Class {ordered.accuracy} sets no limit on it; two blades at the two ends of its window are {wide} mm apart.",
    )


def sides(evidence: Evidence) -> Iterable[Finding]:
    """PRO-14: mean pitch and diameter, as left, of the port propeller against the starboard one."""
    port, starboard = on_side(evidence, PORT), on_side(evidence, STARBOARD)
    pitch, size = Key("PRO-14", SIDES), Key("PRO-14", DIAMETER)
    if port is None or starboard is None:
        yield from (_one_side(evidence, key) for key in (pitch, size))
        return
    yield from _diameters(evidence, size, port, starboard)
    yield from _pitches(evidence, port, starboard)


def _one_side(evidence: Evidence, key: Key) -> Finding:
    wanted = limits(evidence, key.check, key.quantity)
    if lone_screw(evidence):
        return unjudged(key, Verdict.NOT_APPLICABLE, ONE_SIDE, None, wanted)
    return absent(evidence, Propeller, key, Verdict.INCONCLUSIVE, SIDE_LOST, wanted)


def _diameters(evidence: Evidence, key: Key, port: Propeller, starboard: Propeller) -> Iterable[Finding]:
    """The diameters from the tip radii as left; what was ordered is paper, so it can miss and never pass."""
    one, other = (measured_diameter(evidence, row) for row in (port, starboard))
    ordered = ", ".join(f"{row.propeller} {plain_number(row.diameter)} mm" for row in (port, starboard))
    wanted = limits(evidence, key.check, key.quantity)
    if one is None or other is None:
        yield from _as_ordered(evidence, key, port, starboard, ordered)
        return
    key = replace(key, attempt=max(one.attempt, other.attempt))
    scale = EACH / ((one.diameter.value + other.diameter.value) / 2.0)
    apart = difference(one.diameter, other.diameter, ("diameter, port", "diameter, starboard"), scale, "%")
    rows, use = (*one.rows, *other.rows), joined((one.use, other.use))
    about = About(
        method="twice the mean tip radius of each, port less starboard, of the mean of both, as left",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=(one.words, other.words, f"as ordered: {ordered}"),
        notes=use.notes,
    )
    for finding in judge(key, apart, wanted, about):
        yield hold(finding, dict.fromkeys((*one.caps, *other.caps)))


def _as_ordered(evidence: Evidence, key: Key, port: Propeller, starboard: Propeller, words: str) -> Iterable[Finding]:
    """Orders that differ miss the limit; orders that agree say nothing about the propellers themselves."""
    wanted = limits(evidence, key.check, key.quantity)
    scale = EACH / ((port.diameter + starboard.diameter) / 2.0)
    apart = Quantity.count(scale * (port.diameter - starboard.diameter), "%")
    about = About(method="as ordered", at=(port.where, starboard.where), working=(f"as ordered: {words}",))
    on_paper = judge(key, apart, wanted, replace(about, notes=(NOT_READ,)))
    if any(finding.verdict.missed for finding in on_paper):
        yield from on_paper
    else:
        yield replace(
            absent(evidence, BladeReading, key, Verdict.NOT_MEASURED, NOT_READ, wanted), working=about.working
        )


@dataclass(frozen=True, slots=True)
class Diameter:
    """The diameter of a propeller from its tip radii as left: what it rests on, and why it may be in doubt."""

    diameter: Quantity
    attempt: int
    rows: tuple[BladeReading, ...]
    use: Used
    words: str
    caps: tuple[str, ...]


def measured_diameter(evidence: Evidence, ordered: Propeller) -> Diameter | None:
    """Twice the mean tip radius of the blades of a propeller [mm], as left; None where none was read.

    What the bench is unsure of may be the same at every tip: it does not average out.
    """
    tip = next(one for one in ASPECTS if one.quantity == TIP)
    last = last_of_all(evidence, ordered.propeller, BladeReading)
    rows = TIP_RADIUS.read(left_by(evidence, tip, ordered.propeller, last).rows)
    if not rows:
        return None
    use = TIP_RADIUS.used(evidence, rows)
    value = 2.0 * mean([row.tip_radius for row in rows])
    key = Key("PRO-14", DIAMETER, ordered.propeller, "", max(last, 1))
    caps = (
        *use.caps,
        *reasons(evidence, ordered, tip, key),
        *worked_on_since(evidence, ordered.propeller, BladeReading),
    )
    words = f"{ordered.propeller}: {fixed(value, 2)} mm, twice the mean of {len(rows)} tip radii"
    return Diameter(Quantity.combined(value, "mm", scaled(use.parts, 2.0)), max(last, 1), rows, use, words, caps)


def _pitches(evidence: Evidence, port: Propeller, starboard: Propeller) -> Iterable[Finding]:
    last = max(last_of_all(evidence, row.propeller) for row in (port, starboard))
    key = Key("PRO-14", SIDES, "", "", max(last, 1))
    found = [(row, mean_pitch(evidence, row)) for row in (port, starboard)]
    known = [(row, pitch) for row, pitch in found if pitch is not None]
    wanted = limits(evidence, key.check, SIDES)
    if not last:
        yield absent(evidence, PitchReading, key, Verdict.NOT_MEASURED, "No pitch of either side was measured.")
    elif len(known) < len(found):
        gone = listed(row.propeller for row, pitch in found if pitch is None)
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{gone}: {NO_READING}", None, wanted)
    else:
        (_, one), (_, other) = known
        rows, use = (*one.whole.rows, *other.whole.rows), joined((one.whole.use, other.whole.use))
        about = About(
            method="port less starboard, of the mean of both, as left",
            period=period(row.at for row in rows),
            instruments=use.instruments,
            at=tuple(row.where for row in rows),
            working=tuple(as_left_words(pitch, row.propeller) for row, pitch in known),
            notes=use.notes,
        )
        for finding in judge(key, pitch_apart(one, other), wanted, about):
            yield hold(finding, dict.fromkeys((*one.caps, *other.caps)))


def pitch_apart(one: MeanPitch, other: MeanPitch) -> Quantity:
    """The mean pitch of one propeller less that of another, of the mean of both [%]."""
    scale = EACH / ((one.pitch.value + other.pitch.value) / 2.0)
    return difference(one.pitch, other.pitch, ("mean pitch, port", "mean pitch, starboard"), scale, "%")
