"""SYS-13: how fast she ran on trial, there and back, and what she burned."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from buildbook.chapters.subjects import absent, limits, period, used
from buildbook.chapters.systems.formulas.trial import mean_of_means, opposite, run_weights
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.systems.subjects import meets_rule, planned
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.decide import hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number

CHECK = "SYS-13"
SPEED, FUEL = "trial speed", "fuel rate"
OVER_GROUND, FLOW = "speed over ground", "fuel flow"
NO_RUN, NO_SPEED = "No run on trial is on record.", "No run at this setting can be used."
NO_FUEL = "No fuel meter was read at this setting."
ONE_WAY = "No run on the opposite course was made at this setting, so wind and current are not averaged out."
NOT_IN_TURN = "Its runs do not follow one another on opposite courses, so a current is not averaged out."
ALIKE = "The receiver may err alike in all runs, so its uncertainty is not smaller for their number."
CONDITIONS = {"depth": "depth of water", "sea": "sea", "wind": "wind", "load": "load"}


@dataclass(frozen=True, slots=True)
class Runs:
    """The runs at one setting in the order of time, with why their mean may be in doubt."""

    runs: tuple[TrialRun, ...]
    caps: tuple[str, ...]


def trial_speed(evidence: Evidence) -> Iterable[Finding]:
    """SYS-13: of every setting the speed from runs there and back, and the fuel of all engines."""
    settings = tuple(str(word) for word in evidence.values(TrialRun, "setting"))
    for setting in settings:
        runs = _runs(evidence, setting)
        yield from _speed(evidence, Key(CHECK, SPEED, "", setting), runs)
        yield from _fuel(evidence, Key(CHECK, FUEL, "", setting), runs)
    if not settings and (planned(evidence, CHECK, TrialRun.table.file, SPEED) or evidence.lost(TrialRun)):
        yield absent(evidence, TrialRun, Key(CHECK, SPEED), Verdict.NOT_MEASURED, NO_RUN)


def _runs(evidence: Evidence, setting: str) -> Runs:
    runs = tuple(sorted(evidence.of(TrialRun, setting=setting), key=lambda run: (run.at, run.run)))
    lost = evidence.lost(TrialRun, setting=setting)
    gone = (f"{len(lost)} rows of {TrialRun.table.file} cannot be used.",) if lost else ()
    off = [opposite(one.course, other.course) for one, other in pairwise(runs)]
    in_turn = all(meets_rule(angle, "deg", high="opposite courses") for angle in off)
    if len(runs) == 1:
        return Runs(runs, (ONE_WAY, *gone))
    return Runs(runs, gone if in_turn else (NOT_IN_TURN, *gone))


def _speed(evidence: Evidence, key: Key, found: Runs) -> Iterable[Finding]:
    wanted = limits(evidence, CHECK, SPEED, condition=key.condition)
    if not found.runs:
        yield absent(evidence, TrialRun, key, Verdict.NOT_MEASURED, NO_SPEED, wanted)
        return
    use = used(evidence, found.runs, "instrument", OVER_GROUND, "kn", "speed")
    speeds = [run.speed for run in found.runs]
    about = About(
        method=_method(len(speeds)),
        period=period(run.at for run in found.runs),
        instruments=use.instruments,
        at=tuple(run.where for run in found.runs),
        working=(*(_line(run) for run in found.runs), *_sum(speeds)),
        notes=(*((ALIKE,) if len(speeds) > 1 else ()), *use.notes, *_not_recorded(found.runs)),
        caps=use.caps,
    )
    for finding in judge(key, Quantity.combined(mean_of_means(speeds), "kn", use.parts), wanted, about):
        yield hold(finding, found.caps)


def _method(runs: int) -> str:
    if runs == 1:
        return "one course only"
    return "mean of two runs on opposite courses" if runs == 2 else f"mean of means of {runs} runs on opposite courses"


def _line(run: TrialRun) -> str:
    depth = "" if run.depth is None else f"; depth {plain_number(run.depth)} m"
    told = "".join(
        f"; {name} {text}" for name, text in (("sea", run.sea), ("wind", run.wind), ("load", run.load)) if text
    )
    return f"{run.run}, course {plain_number(run.course)}°: {plain_number(run.speed)} kn over ground{depth}{told}"


def _sum(speeds: Sequence[float]) -> tuple[str, ...]:
    if len(speeds) == 1:
        return ()
    shares = [round(weight * 2 ** (len(speeds) - 1)) for weight in run_weights(len(speeds))]
    terms = " + ".join(
        (f"{share} × " if share > 1 else "") + plain_number(speed) for share, speed in zip(shares, speeds, strict=True)
    )
    return (f"({terms}) / {sum(shares)} = {fixed(mean_of_means(speeds), 2)} kn",)


def _not_recorded(runs: Sequence[TrialRun]) -> tuple[str, ...]:
    gone = [words for name, words in CONDITIONS.items() if any(getattr(run, name) is None for run in runs)]
    return (f"Not recorded for every run: {listed(gone)}.",) if gone else ()


def _fuel(evidence: Evidence, key: Key, found: Runs) -> Iterable[Finding]:
    wanted = limits(evidence, CHECK, FUEL, condition=key.condition)
    names = [run.run for run in found.runs]
    rows = [row for row in evidence.of(FuelFlow) if row.run in names]
    if not rows:
        asked = planned(evidence, CHECK, FuelFlow.table.file, FUEL)
        if asked or evidence.of(FuelFlow) or evidence.lost(FuelFlow):
            yield absent(evidence, FuelFlow, key, Verdict.NOT_MEASURED, NO_FUEL, wanted)
        return
    engines = tuple(dict.fromkeys(str(name) for name in evidence.values(FuelFlow, "place")))
    by_run = {name: [row for row in rows if row.run == name] for name in names}
    whole = {name: its for name, its in by_run.items() if {row.place for row in its} == set(engines)}
    if not whole:
        words = "No run at this setting has a reading of every engine."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=tuple(row.where for row in rows)), wanted)
        return
    counted = [row for its in whole.values() for row in its]
    rates = {name: math.fsum(row.supply - row.back for row in its) for name, its in whole.items()}
    mean = math.fsum(rates.values()) / len(rates)
    use = used(evidence, counted, "instrument", FLOW, "L/h", "supply")
    readings = _readings(counted, len(rates))
    parts = tuple(Part(part.name, part.standard * readings) for part in use.parts)
    runs = "one run" if len(rates) == 1 else f"mean of {len(rates)} runs"
    about = About(
        method=f"fuel to all {len(engines)} engines less what came back, {runs}",
        period=period(row.at for row in counted),
        instruments=use.instruments,
        at=tuple(row.where for row in counted),
        working=tuple(_burned(name, its, rates[name]) for name, its in whole.items()),
        notes=use.notes,
        caps=(*use.caps, *_partly(names, whole)),
    )
    yield from judge(key, Quantity.combined(mean, "L/h", parts), wanted, about)


def _readings(rows: Sequence[FuelFlow], runs: int) -> float:
    """How many readings of one meter stand in the rate of one run: they may err alike, so they add up.

    A meter that reads supply and return is unsure of both.
    """
    return math.fsum(2.0 if row.back > 0.0 else 1.0 for row in rows) / runs


def _burned(name: str, rows: Sequence[FuelFlow], rate: float) -> str:
    each = [
        f"{row.place} {plain_number(row.supply)} - {plain_number(row.back)}"
        if row.back > 0.0
        else f"{row.place} {plain_number(row.supply)}"
        for row in rows
    ]
    return f"{name}: {listed(each)} L/h, together {fixed(rate, 1)} L/h"


def _partly(names: Sequence[str], whole: dict[str, list[FuelFlow]]) -> tuple[str, ...]:
    gone = [name for name in names if name not in whole]
    return (f"Fuel was not read for every engine in {listed(gone)}.",) if gone else ()
