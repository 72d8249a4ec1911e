"""Sound levels: their mean, and what the background adds."""

from __future__ import annotations

import math
from collections.abc import Sequence

from buildbook.chapters.vibration.rules import rule
from buildbook.formulas import OutOfRange, require_range


def energy_mean(levels: Sequence[float], durations: Sequence[float] | None = None) -> float:
    """Mean of sound levels by energy.

    Args:
        levels: sound levels [dB].
        durations: how long each lasted [s]; all alike where none are given.
    Returns:
        Equivalent level over the whole time: 10 lg(sum of t 10^(L / 10) over sum of t) [dB].
    Range:
        One level or more; durations above zero, as many as levels.
    Source:
        Definition of the equivalent level (from memory).
    Example:
        >>> round(energy_mean([70.0, 65.0, 60.0]), 2)
        66.74
    """
    times = [1.0] * len(levels) if durations is None else list(durations)
    if not levels or len(times) != len(levels):
        raise OutOfRange("number of levels", len(levels), "1 or more, with a duration for each")
    for time in times:
        require_range("duration", time, "s", 0.0, above=True)
    most = max(levels)
    energy = math.fsum(time * 10.0 ** ((one - most) / 10.0) for one, time in zip(levels, times, strict=True))
    return most + 10.0 * math.log10(energy / math.fsum(times))


def without_background(total: float, background: float) -> tuple[float, bool]:
    """A level without what the background adds to it.

    Args:
        total: level with the source running [dB].
        background: level without it [dB].
    Returns:
        The level, 10 lg(10^(total / 10) - 10^(background / 10)) [dB], and whether it is only an upper bound: nothing
        is taken off from 10 dB above the background on, and nothing nearer than 3 dB to it, where the result would
        rest on a small difference. Both figures stand in the printed rules.
    Range:
        Any levels; a total below the background is a bound as well.
    Source:
        Practice of sound measurement (from memory).
    Example:
        >>> level_, bound = without_background(60.0, 55.0)
        >>> round(level_, 2), bound
        (58.35, False)
    """
    above = total - background
    if above >= rule("background that adds nothing"):
        return total, False
    if above < rule("background too near"):
        return total, True
    return 10.0 * math.log10(10.0 ** (total / 10.0) - 10.0 ** (background / 10.0)), False
