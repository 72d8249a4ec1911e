"""Pressure in the bag: against what it is read, how fast it rises, how long nobody read it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from itertools import pairwise

from buildbook.formulas import require_range

MINUTE = timedelta(minutes=1)


def absolute_pressure(barometer: float, gauge: float) -> float:
    """Absolute pressure in the bag from a gauge that reads how far it lies below the air outside.

    Args:
        barometer: pressure of the air outside on that day [mbar].
        gauge: reading below it [mbar].
    Returns:
        Absolute pressure [mbar].
    Range:
        Barometer 850 to 1100 mbar; gauge from 0 to the barometer.
    Source:
        Definition; a trade article on vacuum bags says the same (read).
    Example:
        >>> round(absolute_pressure(1008.0, 28.9 * 33.8639), 2)
        29.33
    """
    require_range("barometer", barometer, "mbar", 850.0, 1100.0)
    require_range("gauge", gauge, "mbar", 0.0, barometer)
    return barometer - gauge


def rise_rate(first: float, last: float, minutes: float) -> float:
    """How fast the pressure in a bag rises with the pump shut off.

    Args:
        first: absolute pressure at the start of the stretch [mbar].
        last: absolute pressure at its end [mbar].
        minutes: length of the stretch [min].
    Returns:
        Rise [mbar/min]; below zero where it falls.
    Range:
        Pressures 0 to 1100 mbar, time above zero.
    Source:
        Definition (practice).
    Example:
        >>> round(rise_rate(0.0, 0.09 * 33.8639, 5.0), 3)
        0.61
    """
    require_range("pressure at the start", first, "mbar", 0.0, 1100.0)
    require_range("pressure at the end", last, "mbar", 0.0, 1100.0)
    require_range("time", minutes, "min", 0.0, above=True)
    return (last - first) / minutes


def stretches(times: Iterable[datetime], start: datetime, end: datetime) -> tuple[tuple[datetime, datetime], ...]:
    """The stretches between one reading and the next, from a start to an end that count as readings.

    Args:
        times: when readings were taken [date and time].
        start: from when on they were needed [date and time].
        end: until when [date and time].
    Returns:
        Pairs of moments [date and time], in order; the longest is the largest gap of the log.
    Range:
        End after start; readings outside are left out.
    Source:
        Definition (practice).
    Example:
        >>> at = [datetime(2026, 1, 1, 8, m) for m in (5, 15, 45)]
        >>> [(a.minute, b.minute) for a, b in stretches(at, datetime(2026, 1, 1, 8, 0), datetime(2026, 1, 1, 8, 50))]
        [(0, 5), (5, 15), (15, 45), (45, 50)]
    """
    inside = sorted(time for time in times if start <= time <= end)
    return tuple((one, other) for one, other in pairwise((start, *inside, end)) if other > one)
