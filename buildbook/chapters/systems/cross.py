"""Rows about systems and tests aboard that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from buildbook.chapters.contradictions import EFFECT, not_later
from buildbook.chapters.systems.records import TABLES
from buildbook.chapters.systems.records.electric import Bonding, Circuit, VoltageDrop
from buildbook.chapters.systems.records.engine import EngineReading
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault

FAR_MORE = 2.0  # times the current of the design, which no fuse of its circuit carries (house rule)


def later_attempts_are_later(evidence: Evidence) -> Iterable[Fault]:
    """A later attempt at the same thing is later; where only days are known, on the same day at the earliest."""
    for kind in TABLES:
        place, column = kind.table.place, kind.table.time
        if not (kind.table.attempt and place and column) or kind.table.number:
            continue
        dated: list[Any] = [row for row in evidence.of(kind) if getattr(row, column) is not None]
        for before, after in pairwise(sorted(dated, key=lambda row: (getattr(row, place), row.attempt))):
            if getattr(before, place) == getattr(after, place):
                yield from not_later(before, after, column)


def no_more_than_full(evidence: Evidence) -> Iterable[Fault]:
    """Sender and display are read while the tank fills: at no more litres than filled it."""
    for row in evidence.of(SenderReading):
        fill = evidence.one(FuelFill, tank=row.tank, attempt=row.attempt)
        if fill is not None and row.metered > fill.full:
            expected = f"at most the {fill.full:g} L that filled the tank, {fill.where}"
            yield Fault(row.cell("metered"), expected, f"{row.metered:g} L", EFFECT)


def ashore_before_she_was_launched(evidence: Evidence) -> Iterable[Fault]:
    """Before she was launched she stood ashore."""
    launched = evidence.hull.date_of("launched")
    for row in evidence.of(Bonding):
        if launched is not None and not row.ashore and row.at.date() < launched:
            expected = f"yes before she was launched, {launched.isoformat()}"
            yield Fault(row.cell("ashore"), expected, f"no, on {row.at.date().isoformat()}", EFFECT)


def fuel_on_the_day_of_its_run(evidence: Evidence) -> Iterable[Fault]:
    """A fuel meter is read while the run lasts."""
    for row in evidence.of(FuelFlow):
        run = evidence.one(TrialRun, run=row.run)
        if run is not None and row.at.date() != run.at.date():
            yield Fault(row.cell("at"), f"the day of its run, {run.at.date()}", f"{row.at.date()}", EFFECT)


def coolant_gets_warmer(evidence: Evidence) -> Iterable[Fault]:
    """Coolant leaves an engine warmer than it enters."""
    for row in evidence.of(EngineReading):
        out, into = row.coolant_out, row.coolant_in
        if out is not None and into is not None and out < into:
            yield Fault(row.cell("coolant_out"), f"{into:g} °C or more, as in `coolant_in`", f"{out:g} °C", EFFECT)


def current_near_the_design(evidence: Evidence) -> Iterable[Fault]:
    """A load draws about the current that its circuit was designed for; far more blows the fuse."""
    for row in evidence.of(VoltageDrop):
        circuit = evidence.one(Circuit, circuit=row.circuit)
        if circuit is None or circuit.current is None or row.current is None:
            continue
        if row.current > FAR_MORE * circuit.current:
            expected = f"at most {FAR_MORE:g} times the {circuit.current:g} A of its design, {circuit.where}"
            yield Fault(row.cell("current"), expected, f"{row.current:g} A (is the decimal point right?)", EFFECT)


CROSS_CHECKS = (
    later_attempts_are_later,
    no_more_than_full,
    ashore_before_she_was_launched,
    fuel_on_the_day_of_its_run,
    coolant_gets_warmer,
    current_near_the_design,
)
