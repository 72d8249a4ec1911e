"""PRO-01 to PRO-04: pitch between stations, at each radius, over each blade, over the propeller."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.propeller.checks.found import NOT_ORDERED, Found, judged_worst, limits_of
from buildbook.chapters.propeller.checks.walk import each_blade, each_propeller
from buildbook.chapters.propeller.records import PitchReading, Propeller
from buildbook.chapters.propeller.subjects import (
    BLADE,
    LOCAL,
    RADIUS,
    WHOLE,
    Reading,
    Section,
    blades,
    design_pitch,
    in_radii,
    joined,
    last_attempt,
    locals_of,
    mean_of_pitches,
    not_on_other_blades,
    pitch_aim,
    pitch_of,
    sections,
    undrawn,
)
from buildbook.chapters.subjects import period
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, unjudged
from buildbook.core.wording import fixed, listed

NO_STATIONS = (
    "Only pitches that the shop worked out are on record; the pitch between stations needs angles and heights."
)
WORKED_OUT, ON_THE_BENCH = "pitch as the shop worked it out", "angles and heights on the pitch bench"
NO_READING = "No reading of this blade on the face can be used."

Level = Callable[[Evidence, Propeller, tuple[Section, ...]], tuple[Found, ...]]


def local(evidence: Evidence) -> Iterable[Finding]:
    """PRO-01: of each blade the pitch between two stations that is farthest from the design or beyond its limit."""
    return _each_blade(evidence, "PRO-01", LOCAL, found_locally)


def at_radii(evidence: Evidence) -> Iterable[Finding]:
    """PRO-02: of each blade the mean pitch at the radius that is nearest to its limit or beyond it."""
    return _each_blade(evidence, "PRO-02", RADIUS, found_at_radii)


def of_blades(evidence: Evidence) -> Iterable[Finding]:
    """PRO-03: the mean of the pitches at all radii of a blade."""
    return _each_blade(evidence, "PRO-03", BLADE, found_of_blade)


def found_locally(evidence: Evidence, ordered: Propeller, parts: tuple[Section, ...]) -> tuple[Found, ...]:
    """Every pitch between two neighbouring stations."""
    found = []
    for section in parts:
        design = design_pitch(evidence, ordered, section.radius)
        for number, (pitch, use) in enumerate(locals_of(evidence, section)):
            one, other = section.stations[number : number + 2]
            words = f"{in_radii(section.radius)} from {one.angle:g}° to {other.angle:g}°"
            aim, at = pitch_aim(design), in_radii(section.radius)
            found.append(Found(pitch, aim, words, at, use, (one, other), ON_THE_BENCH))
    return tuple(found)


def found_at_radii(evidence: Evidence, ordered: Propeller, parts: tuple[Section, ...]) -> tuple[Found, ...]:
    """The mean pitch of every section."""
    found = []
    for section in parts:
        measured = pitch_of(evidence, section)
        if measured is not None:
            design = design_pitch(evidence, ordered, section.radius)
            at = in_radii(section.radius)
            aim, how = pitch_aim(design), _method(section.rows)
            found.append(Found(measured[0], aim, at, at, measured[1], section.rows, how, radius=section.radius))
    return tuple(found)


def found_of_blade(evidence: Evidence, ordered: Propeller, parts: tuple[Section, ...]) -> tuple[Found, ...]:
    """The mean pitch of the blade, once."""
    at = found_at_radii(evidence, ordered, parts)
    if not at:
        return ()
    mean = mean_of_pitches([one.measured for one in at], "radii")
    rows = tuple(row for found in at for row in found.rows)
    design = math.fsum(found.design for found in at) / len(at)
    words = "mean of " + ", ".join(f"{fixed(one.measured.value, 1)} mm at {one.words}" for one in at)
    return (Found(mean, pitch_aim(design), "", words, joined(one.use for one in at), rows, _method(rows)),)


def found_whole(means: Sequence[Found]) -> Found:
    """The mean pitch of the propeller from those of its blades, of which there must be one."""
    mean = mean_of_pitches([one.measured for one in means], "blades")
    design = math.fsum(one.design for one in means) / len(means)
    rows = tuple(row for one in means for row in one.rows)
    use = joined(one.use for one in means)
    return Found(mean, pitch_aim(design), "", "mean of the blades", use, rows, _method(rows))


def _method(rows: Sequence[Reading]) -> str:
    return WORKED_OUT if any(isinstance(row, PitchReading) and row.pitch is not None for row in rows) else ON_THE_BENCH


def _each_blade(evidence: Evidence, check: str, quantity: str, level: Level) -> Iterable[Finding]:
    return each_blade(evidence, check, quantity, PitchReading, "pitch", lambda key: _blade(evidence, key, level))


def _blade(evidence: Evidence, key: Key, level: Level) -> Iterable[Finding]:
    parts = sections(evidence, key.place, key.condition, key.attempt)
    ordered = evidence.one(Propeller, propeller=key.place)
    rows = tuple(row for section in parts for row in section.rows)
    at = About(period=period(row.at for row in rows), at=tuple(row.where for row in rows))
    if ordered is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED, at)
        return
    found = level(evidence, ordered, parts)
    if not found:
        wanted = limits_of(evidence, key, ordered, pitch_aim(ordered.pitch))
        stations = key.quantity == LOCAL and bool(rows)
        verdict = Verdict.NOT_MEASURED if stations else Verdict.INCONCLUSIVE
        yield unjudged(key, verdict, NO_STATIONS if stations else NO_READING, at, wanted)
        return
    lost = (*missing_radii(evidence, key), *undrawn(evidence, key.place, (part.radius for part in parts)))
    yield from judged_worst(evidence, key, ordered, found, lost)


def missing_radii(evidence: Evidence, key: Key) -> tuple[str, ...]:
    """That a blade was not read at a radius where the others were."""
    gone = not_on_other_blades(evidence, key.place, key.condition, key.attempt)
    return (f"Other blades were read at {listed(gone)}; this one was not.",) if gone else ()


def of_propellers(evidence: Evidence) -> Iterable[Finding]:
    """PRO-04: the mean of all blades, as received and after each correction."""
    return each_propeller(evidence, "PRO-04", WHOLE, PitchReading, "pitch", lambda key: _propeller(evidence, key))


def _propeller(evidence: Evidence, key: Key) -> Iterable[Finding]:
    ordered = evidence.one(Propeller, propeller=key.place)
    if ordered is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED)
        return
    left = as_left(evidence, ordered, key.attempt)
    means = [found for blade in left for found in blade.of(evidence, ordered, BLADE)]
    if not means:
        yield unjudged(
            key, Verdict.INCONCLUSIVE, NO_READING, None, limits_of(evidence, key, ordered, pitch_aim(ordered.pitch))
        )
        return
    caps = whole_caps(evidence, ordered, left)
    for finding in judged_worst(evidence, key, ordered, (found_whole(means),), caps):
        each = tuple(f"{one.words}: {fixed(one.measured.value, 1)} mm" for one in means)
        yield replace(finding, working=(*each, *finding.working))


@dataclass(frozen=True, slots=True)
class Blade:
    """One blade as it was left: its mark, the attempt that shows it, and its sections."""

    mark: str
    attempt: int
    sections: tuple[Section, ...]

    def of(self, evidence: Evidence, ordered: Propeller, quantity: str) -> tuple[Found, ...]:
        """The pitches of one level of the standard; that of the blade bears its mark."""
        found = LEVELS[quantity](evidence, ordered, self.sections)
        return tuple(replace(one, words=self.mark) for one in found) if quantity == BLADE else found


def as_left(evidence: Evidence, ordered: Propeller, attempt: int) -> tuple[Blade, ...]:
    """Every blade as its last readings up to an attempt found it."""
    found = []
    for mark in blades(evidence, ordered.propeller):
        last = last_attempt(evidence, ordered.propeller, mark, attempt)
        found.append(Blade(mark, last, sections(evidence, ordered.propeller, mark, last)))
    return tuple(found)


def whole_caps(evidence: Evidence, ordered: Propeller, left: Sequence[Blade]) -> tuple[str, ...]:
    """Why nothing better than inconclusive may be said of a propeller: blades, radii or rows are missing."""
    caps = []
    if len(left) != ordered.blades:
        caps.append(f"{len(left)} of {ordered.blades} blades were measured.")
    if evidence.lost(PitchReading, propeller=ordered.propeller):
        caps.append(f"A row of {PitchReading.table.file} about this propeller cannot be used.")
    for blade in left:
        gone = not_on_other_blades(evidence, ordered.propeller, blade.mark, blade.attempt)
        if gone:
            caps.append(f"{blade.mark} was not read at {listed(gone)}, where other blades were.")
    radii = dict.fromkeys(part.radius for blade in left for part in blade.sections)
    return (*caps, *undrawn(evidence, ordered.propeller, radii))


LEVELS: Mapping[str, Level] = {LOCAL: found_locally, RADIUS: found_at_radii, BLADE: found_of_blade}
