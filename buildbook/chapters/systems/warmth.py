"""A pressure that is shut in: how sure its fall is, and what warmth does to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Protocol

from buildbook.chapters.readings import alike_and_apart, instrument_part, scaled, smallest_step
from buildbook.chapters.systems.formulas.gas import warming
from buildbook.core.evidence import Evidence
from buildbook.core.grammar import off_by
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.formulas.uncertainty import from_resolution
from buildbook.readers.units import convert

THERMOMETER = "air temperature"
TENTH = 0.1  # K: the step that the columns ask for
ASSUMED = "No thermometer with a step is on record, so its step is taken as 0.1 K."


class ShutIn(Protocol):
    """A row with the temperature at the start and at the end of a test [degC]."""

    @property
    def at(self) -> datetime: ...
    @property
    def air_start(self) -> float | None: ...
    @property
    def air_end(self) -> float | None: ...
    @property
    def thermometer(self) -> str | None: ...


@dataclass(frozen=True, slots=True)
class Warmth:
    """The change that warmth alone makes [unit], its parts of the uncertainty, and what has to be said of it."""

    change: float
    parts: tuple[Part, ...]
    line: str
    instruments: tuple[str, ...]
    notes: tuple[str, ...]
    caps: tuple[str, ...]


def by_warmth(evidence: Evidence, row: ShutIn, pressure: float, unit: str) -> Warmth | None:
    """What warmth does to `pressure` [unit]; None where a temperature is missing.

    Both temperatures are read on one thermometer, so the rule of `alike_and_apart` holds for them, too.
    """
    if row.air_start is None or row.air_end is None:
        return None
    start, end = row.air_start, row.air_end
    at_start = convert(pressure, unit, "mbar")
    change = convert(warming(at_start, start, end), "mbar", unit)
    each_kelvin = convert(warming(at_start, start, start + 1.0), "mbar", unit)
    step = smallest_step(evidence, row.thermometer, THERMOMETER, "degC") if row.thermometer else None
    step, notes = (TENTH, (ASSUMED,)) if step is None else (step, ())
    caps: tuple[str, ...] = ()
    calibration: tuple[Part, ...] = ()
    if row.thermometer:
        use = instrument_part(evidence, row.thermometer, THERMOMETER, "degC", [row.at], [start, end])
        notes, caps, calibration = (*notes, *use.notes), use.caps, use.parts[:1]
    kelvins = fall_of_one_gauge(row.thermometer or "the thermometer", step, start, end, calibration)
    line = (
        f"{plain_number(start)} °C at the start, {plain_number(end)} °C at the end: "
        f"this alone makes the pressure {off_by(change, 2, unit, 'higher', 'lower')}"
    )
    return Warmth(
        change, scaled(kelvins, each_kelvin), line, (row.thermometer,) if row.thermometer else (), notes, caps
    )


def fall_of_one_gauge(
    gauge: str, step: float, start: float, end: float, calibration: Sequence[Part]
) -> tuple[Part, ...]:
    """What is unsure of a fall that one gauge with this step showed [unit of all], by the rule of `alike_and_apart`."""
    both = {"start": (start, f"resolution of {gauge}, start"), "end": (end, f"resolution of {gauge}, end")}
    return alike_and_apart(lambda start, end: start - end, both, calibration, (Part("step", from_resolution(step)),))


def never_below_nought(limits: Iterable[Limit | None]) -> tuple[Limit | None, ...]:
    """Limits of a loss: a tight thing loses nothing, so there is no room below nought."""
    return tuple(limit if limit is None else replace(limit, natural_low=0.0) for limit in limits)


def rises(row: Any, start: str, end: str, lost: Quantity) -> tuple[str, ...]:
    """Why a loss below nought by more than its U shows nothing: what is shut in does not rise by itself.

    Args:
        row: the row of the test.
        start: the column of the pressure at the start.
        end: the column of the pressure at the end.
        lost: what was lost, with warmth taken out.
    Returns:
        A reason to hold the finding at inconclusive [text]; empty where gauge and thermometer explain the rise.
    """
    if lost.expanded is None or lost.value >= -lost.expanded:
        return ()
    return (
        f"{row.cell(end)}: above `{start}` by {fixed(-lost.value, 2)} {lost.unit} more than warmth explains: "
        "the two are exchanged, or what was shut in got warmer than the thermometer says.",
    )
