"""VIB-10: how much the machines themselves shake: broadband velocity against the zones of their class."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.subjects import absent, by_paper, planned_places
from buildbook.chapters.vibration.checks.quality import faults_of
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.subjects import (
    NO_RECORD,
    PERCENT,
    Analysed,
    analysed,
    chain,
    condition_of,
    of_lost_records,
    position_of,
    unmeasured_axes,
    without_a_record,
)
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import fixed
from buildbook.sources import table, term

LEVEL, UNIT = "machine vibration", "mm/s"
ZONES = {"A": "ab", "B": "bc", "C": "cd"}  # the column with the upper end of each zone; D lies above the last
LAST_ZONE = "D"
NEW_ZONE = "A"  # ISO 10816-1:1995, 5.3.1, from memory: newly commissioned machines normally fall within zone A
NO_CLASS = "The class of this machine by size and seating was not given, so no zone belongs to it."
NOT_FOR_PISTONS = "The zones are for machines that turn; engines with pistons have a standard of their own."
NOT_AS_NEW = "New machines lie in zone A; this one lies in zone {zone}."
LOST_POSITION = "The row that says what kind of position this is cannot be read; it may be on a machine."
STRONGEST = "A machine is judged by the strongest direction."
NO_MACHINE = "No position on a machine was chosen."


def machines(evidence: Evidence) -> Iterable[Finding]:
    """VIB-10: every record on a machine."""
    for row in evidence.of(VibrationRecord):
        position = position_of(evidence, row.position)
        if position is not None and position.space == "machine":
            yield from _record(evidence, row, position)
        elif position is None and evidence.lost(Position, position=row.position):
            key = Key("VIB-10", LEVEL, row.position, condition_of(evidence, row), row.attempt)
            yield unjudged(key, Verdict.INCONCLUSIVE, LOST_POSITION, About(at=(row.where,)))
    yield from of_lost_records(evidence, "VIB-10", LEVEL, lambda gone: _on_a_machine(evidence, gone))
    mine = [one.position for one in evidence.of(Position) if one.space == "machine"]
    places = dict.fromkeys((*mine, *planned_places(evidence, "VIB-10", VibrationRecord.table.file)))
    yield from without_a_record(
        evidence, "VIB-10", LEVEL, places, lambda place: limits_of(evidence, position_of(evidence, place), place)
    )
    if not places:
        yield absent(evidence, Position, Key("VIB-10", LEVEL), Verdict.NOT_APPLICABLE, NO_MACHINE)


def _on_a_machine(evidence: Evidence, gone: Unread) -> bool:
    position = position_of(evidence, gone.get("position") or "")
    return position is None or position.space == "machine"


def _record(evidence: Evidence, row: VibrationRecord, position: Position) -> Iterable[Finding]:
    key = Key("VIB-10", LEVEL, row.position, condition_of(evidence, row), row.attempt)
    wanted = limits_of(evidence, position, row.position)
    at = About(period=Period(row.at, row.at), at=(row.where,))
    found = analysed(evidence, row)
    if found is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_RECORD, at, wanted)
        return
    top, asked = top_of(found), rule("top of the machine band")
    value = broadband(found)
    use, parts = chain(evidence, [row], value)
    kind = Kind.MEASURED if top >= asked else Kind.AT_LEAST
    short = (f"The record speaks of frequencies up to {fixed(top, 0)} Hz only; what lies above is not in the value.",)
    about = replace(
        at,
        method=f"record {row.record}: unweighted velocity from {rule('foot of the machine band'):g} Hz to {top:g} Hz",
        instruments=use.instruments,
        notes=(
            *(short if kind is Kind.AT_LEAST else ()),
            *_notes(position, value, kind),
            *unmeasured_axes(evidence, row, STRONGEST),
            *use.notes,
        ),
        caps=(*use.caps, *faults_of(found)),
    )
    measured = Quantity.combined(value, UNIT, parts, kind=kind)
    yield from judge(key, measured, wanted, about, observed=_zone_words(position, value, kind))


def top_of(found: Analysed) -> float:
    """The highest frequency that counts, as far as the record reaches [Hz]."""
    return min(rule("top of the machine band"), rule("share of the rate") / PERCENT * found.signal.rate)


def broadband(found: Analysed) -> float:
    """Unweighted r.m.s. velocity over the band for machines, as far as the record reaches [mm/s]."""
    return math.sqrt(found.velocity.between(rule("foot of the machine band"), top_of(found)))


def _notes(position: Position, value: float, kind: Kind) -> tuple[str, ...]:
    machine_class = _class_of(position)
    if machine_class is None:
        return (NO_CLASS,)
    zone = f"{zone_of(machine_class, value)}{' or worse' if kind is Kind.AT_LEAST else ''}"
    return (NOT_FOR_PISTONS,) if zone == NEW_ZONE else (NOT_FOR_PISTONS, NOT_AS_NEW.format(zone=zone))


def _class_of(position: Position) -> str | None:
    """The class that was agreed; None where the table says that there is none."""
    return None if position.machine_class == "none" else position.machine_class


def _zone_words(position: Position, value: float, kind: Kind) -> str:
    machine_class = _class_of(position)
    if machine_class is None:
        return ""
    found = f"zone {zone_of(machine_class, value)} of class {machine_class}"
    return f"{found} or worse" if kind is Kind.AT_LEAST else found


def zone_of(machine_class: str, value: float) -> str:
    """The zone of a level [mm/s]; on a boundary the better one."""
    level = Quantity.count(value, UNIT)
    ends = {zone: _end(machine_class, column) for zone, column in ZONES.items()}
    return next((zone for zone, end in ends.items() if decide(level, end).verdict.met), LAST_ZONE)


def _end(machine_class: str, column: str) -> Limit:
    row = next(row for row in table("vibration_machines") if row["class"] == machine_class)
    return Limit(UNIT, (term(row),), high=float(row[column]))


def limits_of(evidence: Evidence, position: Position | None, place: str) -> Limits:
    """What the maker or the builder allows; else, or beside it, the upper end of the zone for long service."""
    specified = evidence.specification.limit("VIB-10", LEVEL, place=place)
    machine_class = _class_of(position) if position is not None else None
    if position is None or machine_class is None:
        return Limits(specified)
    end = _end(machine_class, ZONES["B"])
    words = f"machine of class {machine_class}, as agreed"
    agreed = by_paper(words, position, "machine_class")
    return Limits(specified, replace(end, terms=(agreed, *end.terms)))
