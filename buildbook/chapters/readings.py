"""What every chapter asks of the instrument table: how sure a reading is, and whether its instrument can be trusted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from buildbook.chapters.shared_records import Instrument
from buildbook.core.evidence import Evidence
from buildbook.core.finding import CALIBRATION_NOT_SHOWN
from buildbook.core.quantity import Part, effective_degrees
from buildbook.core.where import Where
from buildbook.core.wording import listed, plain_number
from buildbook.formulas.uncertainty import combine, from_certificate, from_repeats, from_resolution, propagate

BELOW_STEP = "stays below its smallest step"  # of readings that the instrument cannot show
OUTSIDE_RANGE = "lie outside its range"  # how the reason ends that readings are beyond what an instrument is for
_CANCELLED = 1e-9  # of what is common: less of it left over is rounding
_ROUNDING = 1e-9  # of the width of the range: conversion of units must not push a value over its end


@dataclass(frozen=True, slots=True)
class InstrumentUse:
    """What the instrument brings to a finding.

    `parts` are standard uncertainties in the unit asked for, empty where none was stated. `notes` are sentences to
    show, `caps` reasons why nothing better than `inconclusive` may be said, `at` the row of the instrument.
    """

    parts: tuple[Part, ...] = ()
    notes: tuple[str, ...] = ()
    caps: tuple[str, ...] = ()
    at: tuple[Where, ...] = ()


def instrument_part(
    evidence: Evidence,
    instrument_id: str | None,
    quantity: str,
    unit: str,
    on: Sequence[datetime | date],
    values: Sequence[float] = (),
) -> InstrumentUse:
    """What one instrument adds to the uncertainty of readings of one quantity.

    Args:
        evidence: the folder, read.
        instrument_id: id of the instrument as the readings name it.
        quantity: what it measured, in the words of the instrument table.
        unit: unit of the readings and of the parts given back.
        on: day of each reading.
        values: the readings [unit]; empty where only their uncertainty matters.
    Returns:
        Parts [unit]: certificate U / k and resolution d / sqrt(12); notes, caps and the row used.
    Range:
        An instrument or unit that is not known gives a cap, never an error.
    Source:
        JCGM 100:2008 (GUM), clauses 4.3.3 and F.2.2.1 (from memory).
    Example:
        >>> from buildbook.core.hull import Hull, Specification
        >>> instrument_part(Evidence(Hull(), Specification()), "TH-01", "air temperature", "degC", []).caps
        ('Instrument TH-01 (air temperature) is not in the instrument table.',)
    """
    if not instrument_id:
        return InstrumentUse(caps=(f"No instrument is named for {quantity}.",))
    name = f"Instrument {instrument_id} ({quantity})"
    row = evidence.one(Instrument, instrument=instrument_id, quantity=quantity)
    if row is None:
        return InstrumentUse(caps=(_absent(evidence, name, instrument_id, quantity),))
    at, notes = (row.where,), calibration_notes(row, on)
    try:
        parts = _parts(row, unit)
        outside = (*_outside(row, unit, values), *_below_step(row, unit, values))
    except ValueError:
        cap = f"{name}: its row is in {row.unit}, the readings are in {unit}: not comparable."
        return InstrumentUse((), notes, (cap,), at)
    if row.uncertainty is None:
        notes = (*notes, f"{name}: no uncertainty is stated in its row.")
    return InstrumentUse(parts, notes, outside, at)


def calibration_notes(row: Instrument, on: Sequence[datetime | date]) -> tuple[str, ...]:
    """The sentence that says why calibration is not shown for these days; empty where it is."""
    why = _not_shown(row, on)
    rests = ". The uncertainty shown rests on its certificate" if row.uncertainty is not None else ""
    return (f"{CALIBRATION_NOT_SHOWN}: {row.instrument} ({row.quantity}) {why}{rests}.",) if why else ()


def outside_calibration(row: Instrument, on: Sequence[datetime | date]) -> tuple[date, ...]:
    """The days before the calibration or after the next one was due, in order; all days where no dates are given."""
    days = sorted({as_day(moment) for moment in on})
    if row.calibrated is None or row.due is None:
        return tuple(days)
    return tuple(day for day in days if not row.calibrated <= day <= row.due)


def as_day(moment: datetime | date) -> date:
    """The calendar day of a moment."""
    return moment.date() if isinstance(moment, datetime) else moment


def range_in(row: Instrument, unit: str) -> tuple[float | None, float | None]:
    """The range of an instrument in another unit; None for an end that is not given. ValueError where it cannot be."""
    from buildbook.readers.units import convert

    low = None if row.range_low is None else convert(row.range_low, row.unit, unit)
    high = None if row.range_high is None else convert(row.range_high, row.unit, unit)
    return low, high


def outside_range(row: Instrument, unit: str, values: Sequence[float]) -> tuple[float, ...]:
    """The values [unit] beyond an end of the instrument's range. ValueError where the units are not comparable."""
    low, high = range_in(row, unit)
    slack = _ROUNDING * max((abs(end) for end in (low, high) if end is not None), default=0.0)
    return tuple(
        value
        for value in values
        if (low is not None and value < low - slack) or (high is not None and value > high + slack)
    )


def _absent(evidence: Evidence, name: str, instrument_id: str, quantity: str) -> str:
    lost = evidence.lost(Instrument, instrument=instrument_id, quantity=quantity)
    if lost:
        return f"{name}: its row in the instrument table could not be read."
    return f"{name} is not in the instrument table."


def _not_shown(row: Instrument, on: Sequence[datetime | date]) -> str:
    if not row.certificate:
        return "has no certificate number"
    if row.calibrated is None or row.due is None:
        return "has no dates of calibration"
    if not on:
        return "was used on days that are not recorded"
    outside = outside_calibration(row, on)
    if not outside:
        return ""
    days = len({as_day(moment) for moment in on})
    span = f"from {row.calibrated.isoformat()} to {row.due.isoformat()}"
    if days == 1:
        return f"was calibrated {span}. Its one day of use, {outside[0].isoformat()}, lies outside"
    lie = "lies" if len(outside) == 1 else "lie"
    return f"was calibrated {span}. {len(outside)} of {days} days of use {lie} outside, first {outside[0].isoformat()}"


def _parts(row: Instrument, unit: str) -> tuple[Part, ...]:
    """The certificate, then the resolution as standard uncertainties; none where the certificate states no U."""
    from buildbook.readers.units import convert

    if row.uncertainty is None or row.coverage is None:
        return ()
    certificate = f", certificate {row.certificate}" if row.certificate else ""
    stated = convert(row.uncertainty, row.unit, unit, difference=True)
    parts = [Part(f"instrument {row.instrument}{certificate}", from_certificate(stated, row.coverage))]
    if step := _step(row, unit):
        parts.append(Part(f"resolution of {row.instrument}", from_resolution(step)))
    return tuple(parts)


def _step(row: Instrument, unit: str) -> float | None:
    """The smallest step [unit]; None where it is not on record, or 0. `UnitError` for a unit of another kind."""
    from buildbook.readers.units import convert

    return convert(row.resolution, row.unit, unit, difference=True) if row.resolution else None


def _outside(row: Instrument, unit: str, values: Sequence[float]) -> tuple[str, ...]:
    outside = outside_range(row, unit, values)
    if not outside:
        return ()
    name = f"Instrument {row.instrument} ({row.quantity})"
    return (f"{name}: {len(outside)} of {len(values)} readings {OUTSIDE_RANGE}.",)


def _below_step(row: Instrument, unit: str, values: Sequence[float]) -> tuple[str, ...]:
    """That no reading but nought comes near one step of the instrument: it cannot have shown them.

    An instrument shows whole steps, so half a step is shown by none (house rule).
    """
    shown, step = [abs(value) for value in values if value], _step(row, unit)
    if not shown or step is None or max(shown) >= 0.5 * step:
        return ()
    name = f"Instrument {row.instrument} ({row.quantity})"
    told = "The one reading" if len(shown) == 1 else f"Each of {len(shown)} readings"
    return (f"{name}: {told} {BELOW_STEP}, {plain_number(step)} {unit}. Look whether the unit in the head is right.",)


def standard_of(parts: Sequence[Part]) -> float:
    """The standard uncertainty that independent parts make together [unit of the parts]; 0 where there are none.

    Example:
        >>> standard_of((Part("gauge", 3.0), Part("scatter", 4.0)))
        5.0
    """
    return combine([part.standard for part in parts])


def scaled(parts: Iterable[Part], factor: float) -> tuple[Part, ...]:
    """Parts of an uncertainty brought to another unit."""
    return tuple(replace(part, standard=abs(factor) * part.standard) for part in parts)


def smallest_step(evidence: Evidence, name: str, quantity: str, unit: str) -> float | None:
    """The smallest step that an instrument shows [unit]; None where nobody says it in a unit of that kind."""
    from buildbook.readers.units import UnitError

    row = evidence.one(Instrument, instrument=name, quantity=quantity)
    try:
        return _step(row, unit) if row is not None else None
    except UnitError:  # said of the instrument, which caps what rests on it
        return None


def step_unknown(evidence: Evidence, names: Iterable[str], quantity: str) -> str:
    """That an instrument has no smallest step on record, so that U lacks it; an empty word where all have one.

    An instrument that has no usable row at all is said elsewhere.
    """
    rows = (evidence.one(Instrument, instrument=name, quantity=quantity) for name in names)
    without = [row.instrument for row in rows if row is not None and not row.resolution]
    return f"The smallest step of {listed(without)} is not on record, so it is not part of U." if without else ""


def carried(formula: Callable[..., float], inputs: Mapping[str, tuple[float, Sequence[Part], str]]) -> tuple[Part, ...]:
    """What the parts of some inputs become in the result of a formula, one part for each input.

    Args:
        formula: the formula; what is known without doubt is already filled in.
        inputs: argument name to (value, parts, label) [unit of each argument].
    Returns:
        Parts in the unit of the result, largest first.
    Source:
        JCGM 100:2008 (GUM), clause 5.1.2 (from memory).
    """
    known = {name: (value, standard_of(parts), label) for name, (value, parts, label) in inputs.items()}
    pieces = propagate(formula, known).contributions
    return tuple(Part(it.label, abs(it.in_result), effective_degrees(inputs[it.name][1])) for it in pieces)


def alike_and_apart(
    formula: Callable[..., float],
    readings: Mapping[str, tuple[float, str]],
    alike: Sequence[Part],
    apart: Sequence[Part],
) -> tuple[Part, ...]:
    """What several readings of one instrument bring to the result of a formula.

    A certificate says how far an instrument may be off, not how: by the same amount all along its scale (an offset), or
    in proportion to the reading (an error of gain). The first cancels in a difference, the second in a ratio. Nobody
    knows which it is, so the larger of what the two leave counts (house rule). Of readings that are nearly equal next
    to nothing is left either way; of readings far apart on the scale nearly all.

    Args:
        formula: the formula; what is known without doubt is already filled in.
        readings: argument name to (value, label) [one unit for all].
        alike: what one error of the instrument moves, as its calibration does [that unit].
        apart: what is unsure of each reading by itself, as a step is [that unit].
    Returns:
        Parts in the unit of the result: one for each reading, and one for what they have in common: u times the larger
        of |sum of the slopes| (offset) and |sum of slope x reading| / largest |reading| (gain). Left out where nothing
        is left of it.
    Source:
        JCGM 100:2008 (GUM), clause 5.2.2, note 1: estimates that are wholly correlated (from memory).
    Example:
        >>> two = {"a": (1.16, "with the leads"), "b": (0.18, "the leads")}
        >>> parts = alike_and_apart(lambda a, b: a - b, two, [Part("meter", 0.015)], [Part("step", 0.003)])
        >>> sorted((part.name, round(part.standard, 4)) for part in parts)
        [('meter, alike in all readings', 0.0127), ('the leads', 0.003), ('with the leads', 0.003)]
    """
    each = carried(formula, {name: (value, apart, label) for name, (value, label) in readings.items()})
    common = standard_of(alike)
    moved = propagate(formula, {name: (value, common, label) for name, (value, label) in readings.items()})
    largest = max(abs(value) for value, _ in readings.values())
    offset = abs(math.fsum(it.in_result for it in moved.contributions))
    gain = abs(math.fsum(it.in_result * it.value for it in moved.contributions)) / largest if largest else 0.0
    together = max(offset, gain)
    if together <= _CANCELLED * common:
        return each
    return (*each, Part(f"{alike[0].name}, alike in all readings", together))


def by_one_instrument(
    formula: Callable[..., float],
    readings: Mapping[str, tuple[float, str]],
    parts: Sequence[Part],
    more: Sequence[Part] = (),
) -> tuple[Part, ...]:
    """The same for an instrument as `instrument_part` gives its parts: the calibration is alike, the step is not.

    `more` is unsure of each reading besides. Where the step is not on record nothing tells by how much two readings
    differ that the instrument shows alike, so everything then counts for each reading by itself; `step_unknown` is
    then said. Empty where the instrument states no uncertainty.
    """
    if not parts:
        return ()
    calibration, steps = parts[:1], parts[1:]
    if steps:
        return alike_and_apart(formula, readings, calibration, (*steps, *more))
    return carried(formula, {name: (value, (*parts, *more), label) for name, (value, label) in readings.items()})


def with_scatter(parts: tuple[Part, ...], values: Sequence[float], name: str = "readings") -> tuple[Part, ...]:
    """The parts of a mean: those of the instrument, and the scatter of its readings divided by the root of their
    number.

    Args:
        parts: standard uncertainties of one reading [unit of the readings]; empty where none was stated.
        values: the readings the mean was taken of [same unit].
        name: what they are called in the name of the part.
    Returns:
        The parts of the mean [same unit]; empty where the instrument states none, since scatter alone is not all.
    Source:
        JCGM 100:2008 (GUM), clause 4.2.3 (from memory).
    Example:
        >>> [round(part.standard, 3) for part in with_scatter((Part("gauge", 0.5),), [88.0, 90.0])]
        [0.5, 1.0]
    """
    if not parts or len(values) < 2:
        return parts
    return (*parts, Part(f"scatter of {len(values)} {name}", from_repeats(values), len(values) - 1))
