"""SYS-16: the engines as they are built in, against the limits of their maker."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buildbook.chapters.subjects import by_paper, limits, used
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
from buildbook.chapters.systems.subjects import Test, at_once, each_test, governed
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number

CHECK = "SYS-16"
EXHAUST, AIR, COOLANT = "exhaust back-pressure", "air intake depression", "coolant temperature difference"
CRANKCASE, FUEL, SPEED = "crankcase pressure", "fuel temperature", "engine speed at full throttle"
NOT_READ = "Not read."
NO_SHEET = "The engine maker's sheet has no usable row for this type, so nothing says what it allows."
ONE_THERMOMETER = "Both temperatures are taken as unsure apart, though one thermometer may err alike in both."


@dataclass(frozen=True, slots=True)
class Asked:
    """One quantity: its unit, its column in the readings and in the sheet, and the instrument that read it.

    A suction is written without its sign; the gauge reads it below zero, and its range has to reach there.
    """

    quantity: str
    unit: str
    column: str
    instrument: str
    measures: str
    never_below_zero: bool = False
    suction: bool = False


ASKED = (
    Asked(EXHAUST, "kPa", "exhaust", "gauge", "engine pressure", never_below_zero=True),
    Asked(AIR, "kPa", "air", "gauge", "engine pressure", never_below_zero=True, suction=True),
    Asked(COOLANT, "K", "coolant", "thermometer", "engine temperature"),
    Asked(CRANKCASE, "kPa", "crankcase", "gauge", "engine pressure"),
    Asked(FUEL, "degC", "fuel", "thermometer", "engine temperature"),
    Asked(SPEED, "rpm", "speed", "tachometer", "engine speed"),
)
UNITS = {one.quantity: one.unit for one in ASKED}
TEST = Test(CHECK, EngineReading, tuple(UNITS), beside=(EngineSheet,))


def engine(evidence: Evidence) -> Iterable[Finding]:
    """SYS-16: every quantity of every engine."""
    return each_test(evidence, TEST, lambda row: (f for asked in ASKED for f in _one(evidence, row, asked)))


def _one(evidence: Evidence, row: EngineReading, asked: Asked) -> Iterable[Finding]:
    key = Key(CHECK, asked.quantity, row.place, "", row.attempt)
    sheet = evidence.one(EngineSheet, model=row.model)
    own = limits(evidence, CHECK, asked.quantity, place=row.place).specified
    wanted = governed(own, _allowed(sheet, asked) if sheet is not None else None)
    at = About(method=_run(row), period=at_once(row.at), at=(row.where,), caps=() if sheet is not None else (NO_SHEET,))
    if asked.quantity == COOLANT:
        yield from _coolant(evidence, key, row, asked, wanted, at)
        return
    value = getattr(row, asked.column)
    if value is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_READ, at, wanted)
        return
    use = used(evidence, [row], asked.instrument, asked.measures, asked.unit, asked.column, suction=asked.suction)
    line = f"one reading, at full throttle: {plain_number(value)} {asked.unit}"
    about = replace(at, instruments=use.instruments, working=(line,), notes=use.notes, caps=(*at.caps, *use.caps))
    yield from judge(key, Quantity.combined(value, asked.unit, use.parts), wanted, about)


def _run(row: EngineReading) -> str:
    """In which run of the trial it was read, where the row says so."""
    return f"run {row.run}" if row.run else ""


def _coolant(
    evidence: Evidence, key: Key, row: EngineReading, asked: Asked, wanted: Limits, at: About
) -> Iterable[Finding]:
    if row.coolant_out is None or row.coolant_in is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_READ, at, wanted)
        return
    ends = [used(evidence, [row], asked.instrument, asked.measures, "degC", f"coolant_{end}") for end in ("out", "in")]
    difference = row.coolant_out - row.coolant_in
    parts = tuple(
        Part(f"{part.name}, {end}", part.standard)
        for use, end in zip(ends, ("out", "in"), strict=True)
        for part in use.parts
    )
    line = f"{plain_number(row.coolant_out)} °C - {plain_number(row.coolant_in)} °C = {fixed(difference, 1)} K"
    about = replace(
        at,
        method="; ".join(words for words in ("coolant out of the engine less coolant into it", _run(row)) if words),
        instruments=ends[0].instruments,
        working=(line,),
        notes=(ONE_THERMOMETER, *ends[0].notes),
        caps=tuple(dict.fromkeys((*at.caps, *ends[0].caps, *ends[1].caps))),
    )
    yield from judge(key, Quantity.combined(difference, "K", parts), wanted, about)


def _allowed(sheet: EngineSheet, asked: Asked) -> Limit | None:
    """What the maker's sheet allows; None where it says nothing."""
    if asked.quantity == SPEED:
        low, high = sheet.speed_low, sheet.speed_high
        column = "speed_low" if low is not None else "speed_high"
    else:
        low, high, column = None, getattr(sheet, asked.column), asked.column
    if low is None and high is None:
        return None
    term = replace(by_paper(f"sheet of {sheet.model}: {asked.quantity}", sheet, column), set_by="engine maker")
    return Limit(asked.unit, (term,), low, high, natural_low=0.0 if asked.never_below_zero else None)
