"""Rows of the tests aboard that contradict each other: attempts out of order, days that do not belong together."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from itertools import pairwise
from typing import Any

from buildbook.chapters.systems.records.engine import EngineReading
from buildbook.chapters.systems.records.gas import GasTest
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.records.seacocks import Seacock
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.chapters.systems.records.steering import Steering
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.record import Record

EFFECT = "Neither row is used; what rests on them stays inconclusive."
BY_MOMENT: tuple[type[Record], ...] = (GasTest, Steering, Seacock, EngineReading, ResidualCurrentDevice, Socket)
BY_DAY: tuple[type[Record], ...] = (SafetyDevice, Tried)


def later_attempts_are_later(evidence: Evidence) -> Iterable[Fault]:
    """A second attempt is made after the first, on the same day at the earliest."""
    for kind, column in (*((kind, "at") for kind in BY_MOMENT), *((kind, "on") for kind in BY_DAY)):
        rows: list[Any] = sorted(evidence.of(kind), key=lambda row: (row.place, row.attempt))
        for one, other in pairwise(rows):
            first, second = getattr(one, column), getattr(other, column)
            if one.place == other.place and first is not None and second is not None and second < first:
                for row, twin, words in ((one, other, "not after"), (other, one, "not before")):
                    moment = _said(getattr(twin, column))
                    expected = f"a day {words} {moment}, when attempt {twin.attempt} was made"
                    yield Fault(row.cell(column), expected, _said(getattr(row, column)), EFFECT)


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


def _said(when: date | datetime) -> str:
    return when.isoformat(sep=" ", timespec="minutes") if isinstance(when, datetime) else when.isoformat()


CROSS_CHECKS = (later_attempts_are_later, fuel_on_the_day_of_its_run, coolant_gets_warmer)
