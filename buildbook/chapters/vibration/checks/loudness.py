"""VIB-11: how loud she is where people are."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import with_scatter
from buildbook.chapters.subjects import absent, attempts, by_paper, period, planned_places, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.chapters.vibration.formulas.sound import energy_mean, without_background
from buildbook.chapters.vibration.rules import rule, rule_term
from buildbook.chapters.vibration.sound_records import ACCOMMODATION, SoundLevel, SoundPlace
from buildbook.chapters.vibration.subjects import GUIDELINE, setting_of
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import fixed
from buildbook.sources import table, term

LEVEL, UNIT = "sound level", "dB"
NOT_HERE = "The sound level was not measured here."
NO_ROW = "No reading of this attempt can be used."
NOT_AGREED = "What kind of space this is was not agreed, so no limit belongs to it."
YARDSTICK = "The code on noise is for ships of 1600 gross tonnage and more. For a yacht it is a yardstick and no duty."
UNCORRECTED = "A level with the machinery stopped is not on record for each reading; without it nothing is taken off."
BOUNDS = {
    Kind.AT_MOST: "The machinery is not 3 dB louder than all else here, so the value is an upper bound of what it "
    "makes.",
    Kind.AT_LEAST: "Readings in which the machinery is not 3 dB louder than all else count as nothing here, so the "
    "value is a lower bound of what it makes.",
}

TABLES = (SoundLevel, SoundPlace)


def how_loud(evidence: Evidence) -> Iterable[Finding]:
    """VIB-11: the level of every place in every run, and the places without one."""
    subjects = dict.fromkeys((row.place, row.run) for row in evidence.of(SoundLevel))
    for gone in evidence.lost(SoundLevel):
        subjects.setdefault((gone.get("place") or "", gone.get("run") or ""))
    for place, run in subjects:
        for attempt in attempts(evidence, SoundLevel, place=place, run=run):
            yield from _of_attempt(evidence, place, run, attempt)
    measured = evidence.values(SoundLevel, "place")
    mine = [row.place for row in evidence.of(SoundPlace)]
    for place in dict.fromkeys((*mine, *planned_places(evidence, "VIB-11", SoundLevel.table.file))):
        if place not in measured:
            key, wanted = Key("VIB-11", LEVEL, place), limits_of(evidence, place)
            yield absent(evidence, SoundLevel, key, Verdict.NOT_MEASURED, NOT_HERE, wanted)
    if not subjects and not mine:
        empty = [f"{kind.table.file}: {evidence.missing[kind]}" for kind in TABLES if kind in evidence.missing]
        words = f"{'; '.join(empty)}." if empty else NOT_HERE
        yield unjudged(Key("VIB-11", LEVEL), Verdict.NO_RECORD, words, None, limits_of(evidence, ""))


def _of_attempt(evidence: Evidence, place: str, run: str, attempt: int) -> Iterable[Finding]:
    key = Key("VIB-11", LEVEL, place, run, attempt)
    rows = evidence.of(SoundLevel, place=place, run=run, attempt=attempt)
    if not rows:
        yield absent(evidence, SoundLevel, key, Verdict.NOT_MEASURED, NO_ROW, limits_of(evidence, place))
        return
    yield from judged_as_planned(evidence, "VIB-11", rows, lambda some: _judged(evidence, key, some))


def _judged(evidence: Evidence, key: Key, rows: Sequence[SoundLevel]) -> tuple[Finding, ...]:
    corrected = [_corrected(row) for row in rows]
    levels = [level for level, _ in corrected]
    value = energy_mean(levels, [row.duration for row in rows])
    use = used(evidence, rows, "instrument", "sound level", UNIT, "level")
    wanted = limits_of(evidence, key.place)
    measured = Quantity.combined(value, UNIT, with_scatter(use.parts, levels))
    if any(only for _, only in corrected):
        measured = _bounded(measured, rows, corrected, wanted)
    about = About(
        method=f"{setting_of(evidence, key.condition)}: A-weighted, mean by energy of {_readings(len(rows))}",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=tuple(_said(row, level) for row, level in zip(rows, levels, strict=True)),
        notes=(*_notes(evidence, key.place, rows, measured.kind), *use.notes),
        caps=(*use.caps, *_too_short(rows)),
    )
    return judge(key, measured, wanted, about)


def _bounded(
    whole: Quantity, rows: Sequence[SoundLevel], corrected: Sequence[tuple[float, bool]], wanted: Limits
) -> Quantity:
    """A mean of which some readings are upper bounds: an upper bound itself, which settles only what is met.

    Without those readings it is a lower bound, and where that alone misses the limit, it is what counts.
    """
    louder = [(level, row.duration) for row, (level, only) in zip(rows, corrected, strict=True) if not only]
    if louder:
        share = sum(duration for _, duration in louder) / sum(row.duration for row in rows)
        least = energy_mean([level for level, _ in louder], [duration for _, duration in louder])
        lower = replace(whole, value=least + 10.0 * math.log10(share), kind=Kind.AT_LEAST)
        if decide(lower, wanted.specified or wanted.reference).verdict.missed:
            return lower
    return replace(whole, kind=Kind.AT_MOST)


def _readings(number: int) -> str:
    return "one reading" if number == 1 else f"{number} readings"


def _corrected(row: SoundLevel) -> tuple[float, bool]:
    """The level of one reading without its background [dB], and whether it is only an upper bound.

    A fault of the meter shifts both levels alike, and so the result: its uncertainty stays what it is. A background
    above the level cannot be its own, and nothing is taken off for it.
    """
    background = _its_background(row)
    return (row.level, False) if background is None else without_background(row.level, background)


def _its_background(row: SoundLevel) -> float | None:
    """The level with the machinery stopped [dB]; None where none was measured or it cannot be that of this reading."""
    return None if row.background is None or row.background > row.level else row.background


def _said(row: SoundLevel, level: float) -> str:
    without = "" if row.background is None else f", with the machinery stopped {row.background:g} dB"
    return f"reading {row.number}: {row.level:g} dB over {row.duration:g} s{without}; counts as {fixed(level, 1)} dB"


def _notes(evidence: Evidence, place: str, rows: Sequence[SoundLevel], kind: Kind) -> Iterable[str]:
    if kind in BOUNDS:
        yield BOUNDS[kind]
    if any(_its_background(row) is None for row in rows):
        yield UNCORRECTED
    wanted = limits_of(evidence, place)
    keys = [one.source for limit in (wanted.specified, wanted.reference) if limit is not None for one in limit.terms]
    if evidence.one(SoundPlace, place=place) is None:
        yield NOT_AGREED
    if "LR-SSC-comfort" in keys:
        yield GUIDELINE
    if "IMO-NOISE" in keys:
        yield YARDSTICK


def _too_short(rows: Iterable[SoundLevel]) -> tuple[str, ...]:
    least = rule("least reading of sound")
    short = [row for row in rows if row.duration < least]
    return (f"{len(short)} of the readings lasted less than {least:g} s.",) if short else ()


def limits_of(evidence: Evidence, place: str) -> Limits:
    """The limit that was agreed, else that of the class table; beside it or alone the code for ships as a yardstick."""
    specified = evidence.specification.limit("VIB-11", LEVEL, place=place)
    row = evidence.one(SoundPlace, place=place)
    if row is None:
        return Limits(specified)
    of_class, ships = _of_class(row), _of_ships(row)
    if specified is not None:
        return Limits(specified, of_class or ships)
    return Limits(of_class, ships)


def _of_ships(row: SoundPlace) -> Limit | None:
    found = next((one for one in table("vibration_sound_ships") if one["space"] == row.space), None)
    return None if found is None else Limit(UNIT, (term(found),), high=float(found["limit"]))


def _of_class(row: SoundPlace) -> Limit | None:
    """The guideline of the class table for the space and comfort number that were agreed; none where none was."""
    agreed = (row.space, row.comfort)
    found = next((one for one in table("vibration_sound") if (one["space"], one["comfort"]) == agreed), None)
    if found is None:
        return None
    more = row.above_propellers and row.space in ACCOMMODATION
    words = f"{row.space}, comfort number {row.comfort}, as agreed"
    by = by_paper(words, row, "space")
    extra = rule("louder above the propellers") if more else 0.0
    terms = (by, term(found), *((rule_term("louder above the propellers"),) if more else ()))
    return Limit(UNIT, terms, high=float(found["limit"]) + extra)
