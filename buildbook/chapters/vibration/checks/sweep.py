"""VIB-07: whether the level has a hump while she speeds up, and whether a speed she is used at lies on one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from buildbook.chapters.readings import standard_of
from buildbook.chapters.subjects import absent, period, planned_places, used
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.formulas.sweep import Hump, humps
from buildbook.chapters.vibration.records import SweepReading
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.subjects import PERCENT, shaft_speeds, unknown_shafts
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.wording import fixed, listed

HUMPS, NAMED = "humps over the speed", "speeds she is used at"
CLEAR = "no speed she is used at lies on a hump"
UNIT, METERED = "mm/s", "weighted vibration"
NO_SWEEP = "Nobody logged the level while she sped up."
NO_SETTINGS = "No run on trial says at which speeds she is used."
TOO_FEW = "Fewer than three speeds: a hump cannot be seen."
ONE_METER = "The uncertainty compares readings of this one meter; beside another meter the level is known less well."
LOST = "of the trial cannot be read, so a speed she is used at may be missing here."


@dataclass(frozen=True, slots=True)
class Sweep:
    """The levels of one position and axis over the speed of the shafts, each speed once."""

    rows: tuple[SweepReading, ...]
    uncertainties: tuple[float, ...]

    @property
    def speeds(self) -> tuple[float, ...]:
        """Speeds in order [r/min]."""
        return tuple(row.shaft_speed for row in self.rows)

    @property
    def levels(self) -> tuple[float, ...]:
        """Weighted levels [mm/s]."""
        return tuple(row.level for row in self.rows)

    @property
    def humps(self) -> tuple[Hump, ...]:
        """Its humps, from the lowest speed on."""
        return humps(self.speeds, self.levels, self.uncertainties)


def speeds_to_avoid(evidence: Evidence) -> Iterable[Finding]:
    """VIB-07: the humps of every sweep, and the speeds of the trial's settings beside them."""
    subjects: dict[tuple[str, str], None] = dict.fromkeys((row.position, row.axis) for row in evidence.of(SweepReading))
    for gone in evidence.lost(SweepReading):
        subjects.setdefault((gone.get("position") or "", gone.get("axis") or ""))
    for position, axis in subjects:
        yield from _of_sweep(evidence, position, axis)
    measured = evidence.values(SweepReading, "position")
    for place in planned_places(evidence, "VIB-07", SweepReading.table.file):
        if place not in measured:
            yield absent(evidence, SweepReading, Key("VIB-07", HUMPS, place), Verdict.NOT_MEASURED, NO_SWEEP)
    if SweepReading in evidence.missing:
        yield absent(evidence, SweepReading, Key("VIB-07", HUMPS), Verdict.NO_RECORD, NO_SWEEP)


def sweep_of(evidence: Evidence, position: str, axis: str) -> Sweep:
    """The readings of one position and axis by their speed; of equal speeds the highest level counts."""
    highest: dict[float, SweepReading] = {}
    for row in evidence.of(SweepReading, position=position, axis=axis):
        other = highest.get(row.shaft_speed)
        highest[row.shaft_speed] = row if other is None or row.level > other.level else other
    rows = tuple(highest[speed] for speed in sorted(highest))
    return Sweep(rows, tuple(_uncertainty(evidence, row) for row in rows))


def _uncertainty(evidence: Evidence, row: SweepReading) -> float:
    """Expanded uncertainty of one level [mm/s]; 0 where none is stated, so that any fall makes a hump."""
    return 2.0 * standard_of(used(evidence, [row], "instrument", METERED, UNIT).parts)


def settings_of(evidence: Evidence) -> dict[str, tuple[float, ...]]:
    """Every speed of a shaft [r/min] in the runs of each engine setting, lowest first; none where none is on record."""
    found: dict[str, list[float]] = {}
    for run in evidence.of(TrialRun):
        found.setdefault(run.setting, []).extend(shaft_speeds(evidence, run.run).values())
    return {setting: tuple(sorted(speeds)) for setting, speeds in found.items()}


def spoken(speeds: Sequence[float]) -> str:
    """The speeds of one setting in words, from the lowest to the highest [r/min]."""
    if not speeds:
        return "no shaft speed on record"
    low, high = fixed(speeds[0], 0), fixed(speeds[-1], 0)
    return f"{low} r/min" if low == high else f"{low} r/min to {high} r/min"


def _of_sweep(evidence: Evidence, position: str, axis: str) -> Iterable[Finding]:
    sweep = sweep_of(evidence, position, axis)
    key, named = Key("VIB-07", HUMPS, position, axis), Key("VIB-07", NAMED, position, axis)
    about = _about(evidence, sweep)
    if len(sweep.rows) < 3:
        for one in (key, named):
            yield unjudged(one, Verdict.INCONCLUSIVE, TOO_FEW, about, _wanted(evidence) if one is named else None)
        return
    working = (*(_said(hump) for hump in sweep.humps), *_gaps(sweep))
    yield from judge_fact(key, True, _observed(sweep), Limits(), replace(about, working=working))
    settings = settings_of(evidence)
    if not any(settings.values()):
        yield replace(
            absent(evidence, ShaftSpeed, named, Verdict.NO_RECORD, NO_SETTINGS, _wanted(evidence)), at=about.at
        )
        return
    lost = len({row.where for row in (*evidence.lost(TrialRun), *evidence.lost(ShaftSpeed))})
    caps = [f"{counted(lost, 'row')} {LOST}"] if lost else []
    for run in evidence.of(TrialRun):
        caps += unknown_shafts(evidence, run.run)
    yield from _named(named, sweep, settings, _wanted(evidence), replace(about, caps=(*about.caps, *caps)))


def _about(evidence: Evidence, sweep: Sweep) -> About:
    use = used(evidence, sweep.rows, "instrument", METERED, UNIT, "level")
    return About(
        method=f"weighted level at {len(sweep.rows)} speeds, logged by a meter",
        period=period(row.at for row in sweep.rows),
        instruments=use.instruments,
        at=tuple(row.where for row in sweep.rows),
        notes=(ONE_METER, *use.notes),
        caps=use.caps,
    )


def _wanted(evidence: Evidence) -> Limits:
    """Only the builder can say that no such speed may lie on a hump."""
    chosen = evidence.specification.rule("VIB-07")
    return Limits(Limit("1", (chosen.term,), words=chosen.rule) if chosen else None)


def _named(
    key: Key, sweep: Sweep, settings: Mapping[str, Sequence[float]], wanted: Limits, about: About
) -> Iterable[Finding]:
    on = {name: _hump_at(sweep, speeds) for name, speeds in settings.items()}
    unseen = [name for name, speeds in settings.items() if on[name] is None and not _seen(sweep, speeds)]
    words = [
        f"{name}, {spoken(speeds)}: {_beside(on[name], unseen=name in unseen)}"
        for name, speeds in sorted(settings.items(), key=lambda pair: tuple(pair[1]))
    ]
    met = False if any(on.values()) else None if unseen else True
    yield from judge_fact(key, met, "; ".join(words), wanted, about)


def _beside(hump: Hump | None, *, unseen: bool) -> str:
    if hump is not None:
        return f"on the hump at {hump.speed:g} r/min"
    return "not covered by the sweep" if unseen else "clear of humps"


def _hump_at(sweep: Sweep, speeds: Iterable[float]) -> Hump | None:
    """The first hump on which any of some speeds lies."""
    return next((hump for speed in speeds for hump in sweep.humps if hump.start < speed < hump.end), None)


def _seen(sweep: Sweep, speeds: Sequence[float]) -> bool:
    """Whether the sweep covers some speeds, one or more, with steps that let no hump slip through."""
    steps = [(before, after) for before, after in pairwise(sweep.speeds) if not _wide(before, after)]
    return bool(speeds) and all(any(before <= speed <= after for before, after in steps) for speed in speeds)


def _wide(before: float, after: float) -> bool:
    return after - before > rule("widest step of a sweep") / PERCENT * after


def _gaps(sweep: Sweep) -> Iterable[str]:
    for before, after in pairwise(sweep.speeds):
        if _wide(before, after):
            yield f"no reading between {before:g} r/min and {after:g} r/min: a hump there would not be seen"


def _said(hump: Hump) -> str:
    return (
        f"{fixed(hump.level, 2)} {UNIT} at {hump.speed:g} r/min; it falls to {fixed(hump.foot_below, 2)} {UNIT} below "
        f"and {fixed(hump.foot_above, 2)} {UNIT} above it before it rises again"
    )


def _observed(sweep: Sweep) -> str:
    over = f"readings from {sweep.speeds[0]:g} r/min to {sweep.speeds[-1]:g} r/min"
    found: Sequence[Hump] = sweep.humps
    if not found:
        return f"no hump in {over}"
    tops = listed(f"{hump.speed:g} r/min ({fixed(hump.level, 2)} {UNIT})" for hump in found)
    return f"{counted(len(found), 'hump')}, at {tops}"
