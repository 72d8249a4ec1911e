"""VIB-05: what each tone of a record is consistent with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.subjects import absent, period
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.chapters.vibration.checks.quality import faults_of_all
from buildbook.chapters.vibration.formulas.spectrum import Tone, tones
from buildbook.chapters.vibration.lines import Line, coincidences, lines_of, sources_of
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.subjects import (
    NO_RECORD,
    Analysed,
    axes_of,
    axes_together,
    of_lost_records,
    overall,
    setting_of,
    shaft_speeds,
    unknown_machines,
    unknown_shafts,
)
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.wording import fixed, listed

TONES, COINCIDENCES = "tones", "frequencies that coincide"
UNEXPLAINED = "not explained by the given machinery data"
NO_DIAGNOSIS = "A frequency that fits is no diagnosis: other machines and the structure itself may make the same one."
NO_SPEEDS = "No shaft speed is on record for this run, so no tone can be set against the machinery."
NO_MACHINES = "No machine is on record, so no tone can be set against the machinery."
NOT_GOOD = "Its record is not good enough: it may show tones that are not there."
LOST = "of the shaft speeds or of the machinery cannot be read, so a source may be missing here."
Group = tuple[str, str, int]  # position, run, attempt


def sources_of_tones(evidence: Evidence) -> Iterable[Finding]:
    """VIB-05: the tones of the strongest axis at every position in every run, and all that they are consistent with."""
    groups = axes_together(evidence)
    for name in dict.fromkeys(run for _, run, _ in groups):
        yield from _coincide(evidence, name)
    for group, rows in groups.items():
        yield _of_group(evidence, group, rows)
    yield from of_lost_records(evidence, "VIB-05", TONES)
    if VibrationRecord in evidence.missing:
        yield absent(evidence, VibrationRecord, Key("VIB-05", TONES), Verdict.NO_RECORD, "No record was made.")


def _coincide(evidence: Evidence, name: str) -> Iterable[Finding]:
    """What the machinery data say before any spectrum is looked at."""
    lines = lines_of(evidence, name)
    if not shaft_speeds(evidence, name) or not evidence.of(Machine):
        return
    found = coincidences(lines, 1.0 / rule("length of a segment"))
    observed = "none: each can be told from the others"
    if found:
        observed = f"near {listed(dict.fromkeys(found.values()))} more than one machine shakes"
    beats = tuple(
        f"by the speeds that were read, the blade rates are {fixed(line.frequency, 2)} Hz apart, known to "
        f"{fixed(line.share * line.frequency, 2)} Hz: {_swelling(line)}"
        for line in lines
        if line.what.startswith("beat")
    )
    about = About(
        method="from the machinery and the shaft speeds of the run",
        at=tuple(row.where for row in (*evidence.of(ShaftSpeed, run=name), *evidence.of(Machine))),
        working=(*found, *beats),
        caps=lost_of(evidence, name),
    )
    yield from judge_fact(Key("VIB-05", COINCIDENCES, "", setting_of(evidence, name)), True, observed, Limits(), about)


def _swelling(line: Line) -> str:
    """How often a beat swells, where the speeds are known well enough to tell."""
    if line.share >= 1.0:
        return "they may be alike, so nobody can tell from the speeds how often it swells and fades"
    return f"it swells and fades about every {fixed(1.0 / line.frequency, 1)} s"


def lost_of(evidence: Evidence, run: str) -> tuple[str, ...]:
    """Whether a row is lost or was never written that might name a source of a tone in this run."""
    lost = len({row.where for row in (*evidence.lost(ShaftSpeed, run=run), *evidence.lost(Machine))})
    rows = (f"{counted(lost, 'row')} {LOST}",) if lost else ()
    return (*rows, *unknown_shafts(evidence, run), *unknown_machines(evidence))


def unsaid(evidence: Evidence, key: Key, run: str, about: About, wanted: Limits | None = None) -> Finding | None:
    """Why the tones of a run cannot be set against the machinery; None where they can."""
    for there, kind, words in (
        (evidence.of(Machine), Machine, NO_MACHINES),
        (shaft_speeds(evidence, run), ShaftSpeed, NO_SPEEDS),
    ):
        if not there:
            return replace(absent(evidence, kind, key, Verdict.NO_RECORD, words, wanted or Limits()), at=about.at)
    return None


def _of_group(evidence: Evidence, group: Group, rows: Sequence[VibrationRecord]) -> Finding:
    position, run, attempt = group
    key = Key("VIB-05", TONES, position, setting_of(evidence, run), attempt)
    about = about_of(rows)
    axes = axes_of(evidence, rows)
    missing = unsaid(evidence, key, run, about)
    if missing is not None:
        return missing
    if not axes.found:
        return unjudged(key, Verdict.INCONCLUSIVE, NO_RECORD, about)
    found = axes.strongest(overall)
    wrong = faults_of_all(axes.found)
    if wrong:
        return unjudged(key, Verdict.INCONCLUSIVE, f"{NOT_GOOD} {' '.join(wrong)}", about)
    lines = lines_of(evidence, run)
    heard = tones_of(found)
    about = replace(
        about,
        method=f"{which(found, rows)}: unweighted velocity, {rule('lowest tone'):g} Hz to {found.reach:.3g} Hz",
        instruments=(found.row.instrument,),
        working=tuple(_said(tone, lines, found) for tone in heard),
        notes=(NO_DIAGNOSIS,),
        caps=(*axes.caps, *lost_of(evidence, run)),
    )
    (finding,) = judge_fact(key, True, _observed(heard, lines, found), Limits(), about)
    return finding


def which(found: Analysed, rows: Sequence[VibrationRecord]) -> str:
    """Which record a finding about several axes rests on, in words."""
    of = f", the strongest of {len(rows)} axes" if len(rows) > 1 else ""
    return f"record {found.row.record}, {found.row.axis}{of}"


def about_of(rows: Sequence[VibrationRecord]) -> About:
    """When some records were made, and where their rows stand."""
    return About(period=period(row.at for row in rows), at=tuple(row.where for row in rows))


def tones_of(found: Analysed) -> tuple[Tone, ...]:
    """The tones of a record in unweighted velocity [mm/s], strongest first."""
    above, share = rule("tone above its neighbours"), rule("tone of the largest")
    return tones(found.velocity, rule("lowest tone"), found.reach, above=above, share=share)


def _said(tone: Tone, lines: Sequence[Line], found: Analysed) -> str:
    shown = f"{fixed(tone.frequency, 2)} Hz, {fixed(tone.rms, 2)} mm/s r.m.s."
    return f"{shown}: {consistent(tone.frequency, lines, found)}"


def consistent(frequency: float, lines: Sequence[Line], found: Analysed) -> str:
    """All that a frequency [Hz] in the spectrum of a record is consistent with, in words."""
    sources = sources_of(frequency, lines, found.spectrum.step)
    return f"consistent with {sources}" if sources else UNEXPLAINED


def _observed(heard: Sequence[Tone], lines: Sequence[Line], found: Analysed) -> str:
    if not heard:
        return "no tone stands out"
    silent = [tone for tone in heard if not sources_of(tone.frequency, lines, found.spectrum.step)]
    first = heard[0]
    words = f"{len(heard)} {'tone' if len(heard) == 1 else 'tones'}"
    words += f"; strongest {fixed(first.frequency, 1)} Hz, {fixed(first.rms, 2)} mm/s: "
    words += consistent(first.frequency, lines, found)
    if silent and silent != [first]:
        words += f"; {UNEXPLAINED}: {listed(f'{fixed(tone.frequency, 1)} Hz' for tone in silent)}"
    return words
