"""VIB-04: whether the conditions of a run were fair."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.subjects import absent
from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.rules import rule, rule_term
from buildbook.chapters.vibration.subjects import run_of
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed

DEPTH, SEA, WIND, RUDDER, SAID = (
    "depth of water over her draught",
    "sea state",
    "wind force",
    "rudder angle",
    "load and machines",
)
NOT_RECORDED = "Not recorded."
NO_DRAUGHT = "Her draught is not in hull.toml, so the depth cannot be set against it."
MEASURED = ((SEA, "sea_state", "greatest sea state"), (WIND, "wind_force", "greatest wind force"))


def fair_conditions(evidence: Evidence) -> Iterable[Finding]:
    """VIB-04: depth, sea, wind, rudder, load and machines of every run in which vibration was measured."""
    runs = dict.fromkeys(row.run for row in evidence.of(VibrationRecord))
    runs |= dict.fromkeys(gone.get("run") for gone in evidence.lost(VibrationRecord) if gone.get("run"))
    for name in runs:
        run = run_of(evidence, name)
        if run is None:
            key = Key("VIB-04", DEPTH, "", f"run {name}")
            yield absent(evidence, TrialRun, key, Verdict.NO_RECORD, "No row about this run.", _wanted(DEPTH))
        else:
            yield from _run(evidence, run)
    if not runs:
        yield absent(evidence, VibrationRecord, Key("VIB-04", DEPTH), Verdict.NO_RECORD, "No vibration was measured.")


def _wanted(quantity: str) -> Limits:
    if quantity == DEPTH:
        return Limits(Limit("1", (rule_term(DEPTH),), low=rule(DEPTH), guard=0.0))
    if quantity == RUDDER:
        return Limits(
            Limit("deg", (rule_term("greatest rudder angle"),), high=rule("greatest rudder angle"), guard=0.0)
        )
    name = next(rule_name for measured, _, rule_name in MEASURED if measured == quantity)
    return Limits(Limit("1", (rule_term(name),), high=rule(name), guard=0.0))


def _run(evidence: Evidence, run: TrialRun) -> Iterable[Finding]:
    about = About(method="log of the trial", period=Period(run.at, run.at), at=(run.where,))
    name = f"{run.setting}, run {run.run}"
    draught = evidence.hull.draught
    key = Key("VIB-04", DEPTH, "", name)
    if run.depth is None or draught is None:
        why = NOT_RECORDED if run.depth is None else NO_DRAUGHT
        yield unjudged(key, Verdict.NO_RECORD, why, about, _wanted(DEPTH))
    else:
        words = f"{run.depth:g} m under a draught of {draught:g} m: {fixed(run.depth / draught, 1)} times"
        shown = About(about.method, about.period, (), about.at, (words,))
        yield from judge(key, Quantity.count(run.depth / draught), _wanted(DEPTH), shown)
    for quantity, column, _ in MEASURED:
        yield from _counted(Key("VIB-04", quantity, "", name), getattr(run, column), "1", about)
    yield from _counted(Key("VIB-04", RUDDER, "", name), run.rudder, "deg", about)
    silent = [words for words, said in (("load", run.load), ("what else ran", run.running)) if not said]
    key = Key("VIB-04", SAID, "", name)
    wanted = Limits(Limit("1", (rule_term("load and machines"),), words="load and running machines are on record"))
    if silent:
        yield unjudged(key, Verdict.NO_RECORD, f"{' and '.join(silent).capitalize()}: not recorded.", about, wanted)
    else:
        yield from judge_fact(key, True, f"{run.load}; {run.running}", wanted, about)


def _counted(key: Key, value: float | None, unit: str, about: About) -> Iterable[Finding]:
    if value is None:
        yield unjudged(key, Verdict.NO_RECORD, NOT_RECORDED, about, _wanted(key.quantity))
    else:
        yield from judge(key, Quantity.count(float(value), unit), _wanted(key.quantity), about)
