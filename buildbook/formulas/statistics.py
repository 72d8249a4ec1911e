"""What is printed beside every set of readings."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from buildbook.formulas import OutOfRange, require_range
from buildbook.formulas.uncertainty import coverage_factor

_ON_THE_LINE = 1e-9  # relative: a reading this near a limit lies on it, whatever binary rounding says


@dataclass(frozen=True, slots=True)
class Summary:
    """Number, mean, sample standard deviation (None for one reading) and extremes [unit of the readings]."""

    n: int
    mean: float
    sd: float | None
    minimum: float
    maximum: float


def summary(readings: Sequence[float]) -> Summary:
    """Number, mean, sample standard deviation, smallest and greatest of a set of readings.

    Args:
        readings: the readings [any unit, the same for all].
    Returns:
        Number [count] and the rest [unit of the readings]; no standard deviation for a single reading.
    Range:
        One reading or more, all finite.
    Source:
        Definitions of mean and sample standard deviation, ISO 3534-1 (from memory).
    Example:
        >>> summary([118.0, 122.0, 120.0])
        Summary(n=3, mean=120.0, sd=2.0, minimum=118.0, maximum=122.0)
    """
    if not readings:
        raise OutOfRange("number of readings", 0, "1 or more")
    for reading in readings:
        require_range("reading", reading, "")
    sd = statistics.stdev(readings) if len(readings) > 1 else None
    return Summary(len(readings), statistics.fmean(readings), sd, min(readings), max(readings))


def t_interval(readings: Sequence[float], confidence: float = 0.95) -> tuple[float, float]:
    """Confidence interval for the mean of the process behind the readings, after Student.

    Args:
        readings: independent readings of one quantity [any unit, the same for all].
        confidence: confidence level, both sides together [1].
    Returns:
        Lower and upper end [unit of the readings].
    Range:
        Two readings or more; confidence between 0 and 1.
    Source:
        ISO 2602:1980, interval for the mean with unknown standard deviation (from memory).
    Example:
        >>> [round(end, 3) for end in t_interval([118.0, 122.0, 120.0])]
        [115.032, 124.968]
    """
    if len(readings) < 2:
        raise OutOfRange("number of readings", len(readings), "2 or more")
    whole = summary(readings)
    half = coverage_factor(whole.n - 1, confidence) * statistics.stdev(readings) / math.sqrt(whole.n)
    return whole.mean - half, whole.mean + half


def count_below(readings: Sequence[float], limit: float) -> int:
    """Number of readings below a limit; one on the limit is not below it.

    Args:
        readings: the readings [unit of the limit].
        limit: the limit [any unit].
    Returns:
        Number of readings below [count].
    Range:
        Any finite limit.
    Source:
        House rule (practice): compared unrounded, with a tolerance of 1e-9 of the limit for binary rounding.
    Example:
        >>> count_below([119.0, 120.0, 121.0], 120.0)
        1
    """
    require_range("limit", limit, "")
    return sum(reading < limit - _ON_THE_LINE * abs(limit) for reading in readings)


def count_above(readings: Sequence[float], limit: float) -> int:
    """Number of readings above a limit; one on the limit is not above it.

    Args:
        readings: the readings [unit of the limit].
        limit: the limit [any unit].
    Returns:
        Number of readings above [count].
    Range:
        Any finite limit.
    Source:
        House rule (practice): compared unrounded, with a tolerance of 1e-9 of the limit for binary rounding.
    Example:
        >>> count_above([119.0, 120.0, 121.0], 120.0)
        1
    """
    require_range("limit", limit, "")
    return sum(reading > limit + _ON_THE_LINE * abs(limit) for reading in readings)


def share_below(readings: Sequence[float], limit: float) -> float:
    """Share of the readings that lie below a limit; one on the limit is not below it.

    Args:
        readings: the readings [unit of the limit].
        limit: the limit [any unit].
    Returns:
        Share from 0 to 1 [1].
    Range:
        One reading or more.
    Source:
        Counting (practice).
    Example:
        >>> share_below([119.0, 120.0, 121.0, 118.0], 120.0)
        0.5
    """
    if not readings:
        raise OutOfRange("number of readings", 0, "1 or more")
    return count_below(readings, limit) / len(readings)
