"""SYS-13: how fast she ran on trial, there and back, and what she burned."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from buildbook.chapters.subjects import absent, limits, period, used
from buildbook.chapters.systems.checks.trial_fuel import CHECK, FUEL, fuel
from buildbook.chapters.systems.formulas.trial import REPEATED, mean_of_means, opposite, run_weights, scatter_of_mean
from buildbook.chapters.systems.subjects import meets_rule, part_unknown, planned
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.decide import hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number

SPEED, OVER_GROUND = "trial speed", "speed over ground"
NO_RUN, NO_SPEED = "No run on trial is on record.", "No run at this setting can be used."
ONE_WAY = "No run on the opposite course was made at this setting, so wind and current are not averaged out."
NOT_IN_TURN = "Its runs do not follow one another on opposite courses, so a current is not averaged out."
NOT_REPEATED = "No run was made twice on one course, so how far runs scatter is not part of U."
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
        yield from fuel(evidence, Key(CHECK, FUEL, "", setting), [run.run for run in runs.runs])
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
    measured = Quantity.combined(mean_of_means(speeds), "kn", _with_runs(use.parts, speeds))
    for finding in judge(key, measured, wanted, about):
        yield hold(part_unknown(finding, "" if len(speeds) >= REPEATED else NOT_REPEATED), found.caps)


def _with_runs(parts: tuple[Part, ...], speeds: Sequence[float]) -> tuple[Part, ...]:
    """The receiver and the scatter of the runs; none where the receiver states nothing."""
    if not parts or len(speeds) < REPEATED:
        return parts
    return (*parts, Part(f"scatter of {len(speeds)} runs", scatter_of_mean(speeds), len(speeds) - 2))


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
