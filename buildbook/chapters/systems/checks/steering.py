"""SYS-11: how far and how fast the rudder turns, its stops, and the emergency tiller."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.subjects import by_paper, limits, used
from buildbook.chapters.systems.records.steering import Steering
from buildbook.chapters.systems.subjects import Test, at_once, each_test, governed, tried
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import plain_number

CHECK = "SYS-11"
PORT, STARBOARD = "rudder angle hard to port", "rudder angle hard to starboard"
TIME, SHIP_TIME = "time from stop to stop", "time from 35° to 30°"
STOPS, EMERGENCY = "rudder stops", "emergency tiller"
TEST = Test(CHECK, Steering, (PORT, STARBOARD, TIME, STOPS, EMERGENCY))
NOT_READ = "Not read."
BENCHMARK = "This is a rule for ships. It stands here as a yardstick only; no rule that was read asks it of a yacht."


def steering(evidence: Evidence) -> Iterable[Finding]:
    """SYS-11: every trial of a steering gear."""
    return each_test(evidence, TEST, lambda row: _trial(evidence, row))


def _trial(evidence: Evidence, row: Steering) -> Iterable[Finding]:
    key = Key(CHECK, "", row.place, "", row.attempt)
    at = About(period=at_once(row.at), at=(row.where,))
    yield from _angle(evidence, replace(key, quantity=PORT), row, "port")
    yield from _angle(evidence, replace(key, quantity=STARBOARD), row, "starboard")
    yield from _time(evidence, replace(key, quantity=TIME), row)
    yield from _ship_time(evidence, replace(key, quantity=SHIP_TIME), row)
    held = None if row.stops is None else row.stops == "held"
    yield from tried(evidence, replace(key, quantity=STOPS), held, row.stops or "", at)
    steered = None if row.emergency is None else row.emergency == "steered her"
    yield from tried(evidence, replace(key, quantity=EMERGENCY), steered, row.emergency or "", at)


def _angle(evidence: Evidence, key: Key, row: Steering, side: str) -> Iterable[Finding]:
    own = limits(evidence, CHECK, key.quantity, place=row.place).specified
    words = f"{plain_number(row.drawn)}° ± {plain_number(row.tolerance)}° at the stop"
    low, high = row.drawn - row.tolerance, row.drawn + row.tolerance
    wanted = governed(own, Limit("deg", (by_paper(words, row, "drawn"),), low=low, high=high))
    at = About(period=at_once(row.at), at=(row.where,))
    value = getattr(row, side)
    if value is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_READ, at, wanted)
        return
    use = used(evidence, [row], "instrument", "rudder angle", "deg", side)
    about = replace(at, instruments=use.instruments, notes=use.notes, caps=use.caps, method=f"wheel hard to {side}")
    yield from judge(key, Quantity.combined(value, "deg", use.parts), wanted, about)


def _seconds(row: Steering, value: float) -> Quantity:
    return Quantity.combined(value, "s", (Part("time taken by hand", row.time_uncertainty / 2.0),))


def _time(evidence: Evidence, key: Key, row: Steering) -> Iterable[Finding]:
    wanted = limits(evidence, CHECK, TIME, place=row.place)
    about = About(method="one time, taken by hand", period=at_once(row.at), at=(row.where,))
    if row.stop_to_stop is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_READ, about, wanted)
        return
    yield from judge(key, _seconds(row, row.stop_to_stop), wanted, about)


def _ship_time(evidence: Evidence, key: Key, row: Steering) -> Iterable[Finding]:
    """Only beside: the value of ships governs nothing; without a builder's own limit the time is for information."""
    if row.ship_time is None:
        return
    wanted = limits(evidence, CHECK, SHIP_TIME, place=row.place)
    about = About(
        method="from 35° on one side to 30° on the other",
        period=at_once(row.at),
        at=(row.where,),
        notes=(BENCHMARK,),
    )
    measured = _seconds(row, row.ship_time)
    yield from judge(key, measured, Limits(wanted.specified), about)
    yield from judge(replace(key, role=Role.REFERENCE), measured, Limits(wanted.reference), about)
