"""VIB-06: how strong the passing of the propeller blades is, at blade rate and its multiples."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.subjects import absent, limits
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.chapters.vibration.checks.quality import faults_of_all
from buildbook.chapters.vibration.checks.tones import Group, about_of, lost_of, which
from buildbook.chapters.vibration.lines import BLADE_RATE, Line, lines_of
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.subjects import (
    NO_RECORD,
    Analysed,
    axes_of,
    axes_together,
    chain,
    of_lost_records,
    on_a_machine,
    setting_of,
)
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed

UNIT = "mm/s"
LEVELS = {BLADE_RATE: "level at blade rate"} | {f"{n} × {BLADE_RATE}": f"level at {n} × blade rate" for n in (2, 3)}
NO_RATE = "Blade rate is not known: the shaft speed of this run or the number of blades is not on record."
FLOOR = "Everything in the band counts, so a little of it may come from something else."


def blade_levels(evidence: Evidence) -> Iterable[Finding]:
    """VIB-06: the unweighted level at blade rate, its double and its triple, at every position in every run."""
    for group, rows in axes_together(evidence).items():
        if on_a_machine(evidence, group[0]):
            continue
        for what, quantity in LEVELS.items():
            yield from _of_group(evidence, group, rows, what, quantity)
    for quantity in LEVELS.values():
        yield from of_lost_records(
            evidence, "VIB-06", quantity, lambda gone: not on_a_machine(evidence, gone.get("position") or "")
        )
        if VibrationRecord in evidence.missing:
            yield absent(evidence, VibrationRecord, Key("VIB-06", quantity), Verdict.NO_RECORD, "No record was made.")


def _of_group(
    evidence: Evidence, group: Group, rows: Sequence[VibrationRecord], what: str, quantity: str
) -> Iterable[Finding]:
    position, run, attempt = group
    key = Key("VIB-06", quantity, position, setting_of(evidence, run), attempt)
    wanted = limits(evidence, "VIB-06", quantity, place=position)
    about = about_of(rows)
    lines = [line for line in lines_of(evidence, run) if line.what == what]
    axes = axes_of(evidence, rows)
    if not lines:
        yield replace(absent(evidence, ShaftSpeed, key, Verdict.NO_RECORD, NO_RATE, wanted), at=about.at)
        return
    if not axes.found:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_RECORD, about, wanted)
        return
    found = axes.strongest(lambda one: level_at(one, lines))
    low, high = band(found, lines)
    deaf = tuple(
        f"Record {one.row.record} speaks of up to {one.reach:.3g} Hz; {what} is {lines[0].frequency:.4g} Hz."
        for one in axes.found
        if band(one, lines)[1] > one.reach
    )
    if high > found.reach:
        yield unjudged(key, Verdict.NOT_MEASURED, " ".join(deaf), about, wanted)
        return
    about = replace(
        about,
        method=f"{which(found, rows)}: unweighted velocity from {fixed(low, 1)} Hz to {fixed(high, 1)} Hz",
        working=tuple(f"{what}, {line.machine}: {fixed(line.frequency, 2)} Hz" for line in lines),
        caps=(*axes.caps, *deaf, *faults_of_all(axes.found), *lost_of(evidence, run)),
    )
    yield from _judged(evidence, key, found, level_at(found, lines), wanted, about)


def _judged(
    evidence: Evidence, key: Key, found: Analysed, level: float, wanted: Limits, about: About
) -> Iterable[Finding]:
    use, parts = chain(evidence, [found.row], level)
    about = replace(
        about, instruments=use.instruments, notes=(*about.notes, FLOOR, *use.notes), caps=(*about.caps, *use.caps)
    )
    yield from judge(key, Quantity.combined(level, UNIT, parts), wanted, about)


def band(found: Analysed, lines: Sequence[Line]) -> tuple[float, float]:
    """From where to where the lines of all shafts lie in a spectrum, with room for their width [Hz]."""
    room = rule("lines around a tone") * found.spectrum.step
    ends = [
        (line.frequency - max(room, line.reach(0.0)), line.frequency + max(room, line.reach(0.0))) for line in lines
    ]
    return min(low for low, _ in ends), max(high for _, high in ends)


def level_at(found: Analysed, lines: Sequence[Line]) -> float:
    """Unweighted r.m.s. velocity in the band of some lines [mm/s]."""
    return math.sqrt(found.velocity.between(*band(found, lines)))
