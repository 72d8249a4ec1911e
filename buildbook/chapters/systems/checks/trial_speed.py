"""SYS-13: how fast she ran on trial, there and back, and what she burned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from buildbook.chapters.subjects import absent, limits, period, used
from buildbook.chapters.systems.checks.trial_fuel import CHECK, FUEL, fuel
from buildbook.chapters.systems.formulas.trial import (
    REPEATED,
    course_weights,
    depth_froude,
    mean_of_courses,
    mean_of_means,
    opposite,
    run_weights,
    scatter_of_mean,
)
from buildbook.chapters.systems.subjects import meets_rule, planned, rule
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.decide import hold
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number

SPEED, OVER_GROUND = "trial speed", "speed over ground"
NO_RUN, NO_SPEED = "No run on trial is on record.", "No run at this setting can be used."
ONE_WAY = "No run on the opposite course was made at this setting, so wind and current are not averaged out."
NOT_IN_TURN = "Its runs do not follow one another on opposite courses, so a current is not averaged out."
NOT_REPEATED = "No run was made twice on one course, so how far runs scatter is not part of U."
ALIKE = "The receiver may err alike in all runs, so its uncertainty is not smaller for their number."
UNEVEN = (
    "Its runs are not at about even times, so a current that changes is not taken out. What changes between the runs "
    "of a course counts as scatter."
)
AT_A_LOAD = "The limit names no load. On record is: {}."
SHALLOW = (
    "Near a depth Froude number of 1 the depth of water itself changes her speed, and nothing is corrected for it. "
    "Common practice takes {low:g} to {high:g} for near."
)
CONDITIONS = {"depth": "depth of water", "sea": "sea", "wind": "wind", "load": "load"}


@dataclass(frozen=True, slots=True)
class Runs:
    """The runs at one setting in the order of time, with why their mean may be in doubt."""

    runs: tuple[TrialRun, ...]
    caps: tuple[str, ...]

    @property
    def speeds(self) -> list[float]:
        """The speed of each [kn]."""
        return [run.speed for run in self.runs]

    @property
    def even(self) -> bool:
        """Whether they follow one another at about even times."""
        gaps = [(other.at - one.at).total_seconds() for one, other in pairwise(self.runs)]
        if len(gaps) < 2 or min(gaps) == max(gaps):
            return True
        return min(gaps) > 0.0 and meets_rule(max(gaps) / min(gaps), "1", high="even times")

    @property
    def mean(self) -> float:
        """The mean of means at even times, else half of each course [kn]."""
        return mean_of_means(self.speeds) if self.even else mean_of_courses(self.speeds)

    @property
    def weights(self) -> tuple[float, ...]:
        """How much each run counts in that mean."""
        return (run_weights if self.even else course_weights)(len(self.runs))


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
    gone = (f"{counted(len(lost), 'row')} of {TrialRun.table.file} cannot be used.",) if lost else ()
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
    speeds = found.speeds
    about = About(
        method=_method(found),
        period=period(run.at for run in found.runs),
        instruments=use.instruments,
        at=tuple(run.where for run in found.runs),
        working=(*(_line(run) for run in found.runs), *_sum(found)),
        notes=(*((ALIKE,) if len(speeds) > 1 else ()), *use.notes, *_circumstances(found, wanted)),
        caps=use.caps,
        lacks="" if len(speeds) >= REPEATED else NOT_REPEATED,
    )
    measured = Quantity.combined(found.mean, "kn", _with_runs(use.parts, found))
    for finding in judge(key, measured, wanted, about):
        yield hold(finding, found.caps)


def _with_runs(parts: tuple[Part, ...], found: Runs) -> tuple[Part, ...]:
    """The receiver and the scatter of the runs; none where the receiver states nothing."""
    runs = len(found.runs)
    if not parts or runs < REPEATED:
        return parts
    return (*parts, Part(f"scatter of {runs} runs", scatter_of_mean(found.speeds, found.weights), runs - 2))


def _method(found: Runs) -> str:
    runs = len(found.runs)
    if runs == 1:
        return "one course only"
    if runs == 2:
        return "mean of two runs on opposite courses"
    if found.even:
        return f"mean of means of {runs} runs on opposite courses"
    return f"mean of {runs} runs on opposite courses, each course counting half"


def _line(run: TrialRun) -> str:
    depth = ""
    if run.depth is not None:
        number = fixed(depth_froude(run.speed, run.depth), 2)
        depth = f"; depth {plain_number(run.depth)} m, depth Froude number {number}"
    told = "".join(
        f"; {name} {text}" for name, text in (("sea", run.sea), ("wind", run.wind), ("load", run.load)) if text
    )
    return f"{run.run}, course {plain_number(run.course)}°: {plain_number(run.speed)} kn over ground{depth}{told}"


def _sum(found: Runs) -> tuple[str, ...]:
    speeds, mean = found.speeds, fixed(found.mean, 2)
    if len(speeds) == 1:
        return ()
    if not found.even:
        out, back = (f"({' + '.join(map(plain_number, one))}) / {len(one)}" for one in (speeds[0::2], speeds[1::2]))
        return (f"half of {out} and of {back} = {mean} kn",)
    shares = [round(weight * 2 ** (len(speeds) - 1)) for weight in found.weights]
    terms = " + ".join(
        (f"{share} × " if share > 1 else "") + plain_number(speed) for share, speed in zip(shares, speeds, strict=True)
    )
    return (f"({terms}) / {sum(shares)} = {mean} kn",)


def _circumstances(found: Runs, wanted: Limits) -> Iterable[str]:
    """What the times, the load and the depth of the runs leave open, and what nobody wrote down."""
    if not found.even:
        yield UNEVEN
    loads = dict.fromkeys(run.load for run in found.runs if run.load)
    if loads and (wanted.specified or wanted.reference):
        yield AT_A_LOAD.format("; ".join(loads))
    low, high = "shallow from", "shallow to"
    numbers = [depth_froude(run.speed, run.depth) for run in found.runs if run.depth is not None]
    if any(meets_rule(number, "1", low, high) for number in numbers):
        yield SHALLOW.format(low=rule(low), high=rule(high))
    gone = [words for name, words in CONDITIONS.items() if any(getattr(run, name) is None for run in found.runs)]
    if gone:
        yield f"Not recorded for every run: {listed(gone)}."
