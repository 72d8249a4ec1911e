"""SYS-04 tanks under pressure, SYS-05 doors, hatches and windows under the jet of a hose."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import smallest_step
from buildbook.chapters.subjects import limits, used
from buildbook.chapters.systems.formulas.tanks import head_pressure, least_test_pressure
from buildbook.chapters.systems.records.tanks_and_hose import HoseTest, PressureTest
from buildbook.chapters.systems.subjects import RULES, Test, about_row, each_test, meets_rule, rule, rule_limit
from buildbook.chapters.systems.warmth import by_warmth, fall_of_one_gauge, never_below_nought, rises
from buildbook.core.decide import conditional_at_best, decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.formulas.uncertainty import from_resolution
from buildbook.sources import printed_rule, term

TEST, DROP, HELD = "test pressure", "pressure lost", "time under pressure"
TIGHT, JET = "no water inside", "pressure of the jet"
NOT_TESTED = "No pressure test of this tank is on record."
NOT_HOSED = "No hose test of this opening is on record."
PRESSED = Test("SYS-04", PressureTest, (TEST, DROP, HELD), NOT_TESTED)
HOSED = Test("SYS-05", HoseTest, (TIGHT, JET), NOT_HOSED)
MINUTES = tuple(Part(f"minute at the {end}", from_resolution(1.0)) for end in ("start", "end"))
BY_THE_MINUTE = "Start and end were read from a clock to the minute, which is the uncertainty shown."
NO_STEP = "The step of the gauge is not in the instrument table, so nobody can say which loss it would show."
NO_AIR = "The temperature was not recorded: one kelvin moves the gauge by about 0.4 kPa, which hides a leak."
DOUBTFUL_JET = "The jet itself is met only conditionally, so it may have been weaker than asked."
CONDITIONS = (("distance", "m", "", "farthest nozzle"), ("nozzle", "mm", "narrowest nozzle", ""))


def pressed(evidence: Evidence) -> Iterable[Finding]:
    """SYS-04: every pressure test of every tank."""
    return each_test(evidence, PRESSED, lambda row: _pressed(evidence, PRESSED.key(row), row))


def _pressed(evidence: Evidence, key: Key, row: PressureTest) -> Iterable[Finding]:
    use = used(evidence, [row], "instrument", "pressure", "kPa", "start")
    held = (
        f"{plain_number(row.start)} kPa at the start, {plain_number(row.end)} kPa after {plain_number(row.minutes)} min"
    )
    about = about_row(row, use, f"{row.scope}, {row.medium}", (held,))
    column = f"{plain_number(row.head)} m of {plain_number(row.density)} kg/m³"
    standing = head_pressure(row.head, row.density)
    head = f"{column}: {fixed(standing, 1)} kPa, tested with {fixed(row.start / standing, 1)} times that"
    pressure = Quantity.combined(row.start, "kPa", use.parts)
    yield from judge(key, pressure, _tested_with(evidence, key, row), replace(about, working=(held, head)))
    yield from _lost(evidence, replace(key, quantity=DROP), row, about, use.parts[:1])
    wanted = limits(evidence, "SYS-04", HELD, place=key.place)
    time = Quantity.combined(row.minutes, "min", MINUTES)
    by_clock = replace(about, instruments=(), notes=(BY_THE_MINUTE,), caps=())
    yield from judge(replace(key, quantity=HELD), time, wanted, by_clock)


def _tested_with(evidence: Evidence, key: Key, row: PressureTest) -> Limits:
    """The builder's pressure; for fuel beside it the published one, worked out from the head of this tank."""
    specified = limits(evidence, "SYS-04", TEST, place=key.place).specified
    if row.content != "fuel":
        return Limits(specified)
    names = ("least pressure of a fuel tank", "times the head")
    head = rule(names[1]) * head_pressure(row.head, row.density)
    least = least_test_pressure(rule(names[0]), rule(names[1]), row.head, row.density)
    governs = names[1] if least == head else names[0]  # the greater of the two
    said = {names[0]: "in any case", names[1]: f"{plain_number(rule(names[1]))} times the pressure of the head"}
    words = f"At least {fixed(least, 1)} kPa, {said[governs]}."
    return Limits(specified, Limit("kPa", (term(printed_rule(RULES, governs)),), low=least, words=words))


def _lost(
    evidence: Evidence, key: Key, row: PressureTest, about: About, calibration: Sequence[Part]
) -> Iterable[Finding]:
    """What the gauge lost."""
    specified = limits(evidence, "SYS-04", DROP, place=key.place).specified
    step = smallest_step(evidence, row.instrument, "pressure", "kPa")
    if step is None:
        about = replace(about, caps=(*about.caps, NO_STEP))
        if specified is None:
            yield unjudged(key, Verdict.INCONCLUSIVE, NO_STEP, replace(about, caps=()))
        else:
            yield from judge(key, Quantity(row.start - row.end, "kPa"), Limits(specified), about)
        return
    warmth = by_warmth(evidence, row, row.start, "kPa")
    if warmth is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_AIR, about, Limits(specified))
        return
    printed = printed_rule(RULES, "no loss beyond the step")
    words = f"No more than the step of the gauge, {plain_number(step)} kPa."
    practice = Limit("kPa", (term(printed),), high=step, words=words)
    parts = fall_of_one_gauge(row.instrument, step, row.start, row.end, calibration)
    lost = row.start + warmth.change - row.end
    line = f"{plain_number(row.start)} + {fixed(warmth.change, 2)} - {plain_number(row.end)} = {fixed(lost, 2)} kPa"
    measured = Quantity.combined(lost, "kPa", (*parts, *warmth.parts))
    about = replace(
        about,
        instruments=(*about.instruments, *warmth.instruments),
        working=(*about.working, warmth.line, line),
        notes=(*about.notes, *warmth.notes),
        caps=(*about.caps, *warmth.caps, *rises(row, "start", "end", measured)),
    )
    wanted = Limits(*never_below_nought((specified, practice)))
    yield from judge(key, measured, wanted, about)


def hosed(evidence: Evidence) -> Iterable[Finding]:
    """SYS-05: every opening under the jet, and after work once more."""
    return each_test(evidence, HOSED, lambda row: _hosed(evidence, HOSED.key(row), row))


def _hosed(evidence: Evidence, key: Key, row: HoseTest) -> Iterable[Finding]:
    use = used(evidence, [row], "instrument", "pressure", "MPa", "pressure")
    jet = Quantity.combined(row.pressure, "MPa", use.parts)
    wanted = limits(evidence, "SYS-05", JET, place=key.place)
    how = (
        f"nozzle of {plain_number(row.nozzle)} mm at {plain_number(row.distance)} m or nearer, "
        f"{plain_number(row.pressure)} MPa, {plain_number(row.minutes)} min"
    )
    about = about_row(row, use, "jet of a hose from outside, looked at from inside", (how,))
    said = {None: "nobody wrote down what was found inside", True: "water inside", False: "dry inside"}[row.inside]
    observed = f"{said}: {row.note}" if row.note else said
    met = None if row.inside is None else not row.inside
    caps = (*use.caps, *_weaker(row), *_weak_jet(jet, wanted))
    dry = limits(evidence, "SYS-05", TIGHT, place=key.place)
    for finding in judge_fact(key, met, observed, dry, replace(about, caps=caps)):
        doubt = _doubtful_jet(jet, wanted)
        yield conditional_at_best(finding, doubt) if doubt else finding
    yield from judge(replace(key, quantity=JET), jet, wanted, about)


def _weaker(row: HoseTest) -> Iterable[str]:
    """Where the test was milder than the printed conditions ask for, so that a dry inside shows less."""
    for column, unit, low, high in CONDITIONS:
        value = getattr(row, column)
        if not meets_rule(value, unit, low, high):
            words = rule_limit(low, high).words
            yield f"The test was milder than asked: {column} {plain_number(value)} {unit}. {words}"


def _weak_jet(jet: Quantity, wanted: Limits) -> Iterable[str]:
    limit = wanted.specified or wanted.reference
    if limit is not None and decide(jet, limit).verdict.missed:
        yield f"The jet was weaker than asked: {plain_number(jet.value)} MPa."


def _doubtful_jet(jet: Quantity, wanted: Limits) -> tuple[str, ...]:
    """That the jet met its own limit only conditionally, so that a dry inside shows no more than that."""
    limit = wanted.specified or wanted.reference
    near = limit is not None and decide(jet, limit).verdict is Verdict.CONDITIONAL_PASS
    return (DOUBTFUL_JET,) if near else ()
