"""The pressure that a tank is tested with."""

from __future__ import annotations

from buildbook.formulas import require_range

GRAVITY = 9.80665  # m/s2, standard gravity


def head_pressure(head: float, density: float) -> float:
    """The pressure of a standing column of liquid.

    Args:
        head: height of the column [m].
        density: density of the liquid [kg/m3].
    Returns:
        density x 9.80665 m/s2 x head, in thousands of pascals [kPa].
    Range:
        Both above zero.
    Source:
        Hydrostatics; standard gravity is 9.80665 m/s2 (ISO 80000-3, from memory).
    Example:
        >>> round(head_pressure(10.0, 1000.0), 3)
        98.067
    """
    require_range("head", head, "m", 0.0, above=True)
    require_range("density", density, "kg/m3", 0.0, above=True)
    return density * GRAVITY * head / 1000.0


def least_test_pressure(least: float, times: float, head: float, density: float) -> float:
    """The pressure that a fuel tank is tested with at least.

    Args:
        least: the pressure that is asked for in any case [kPa].
        times: how many times the pressure of the head is asked for [1].
        head: height of the overflow above the bottom of the tank [m].
        density: density of what the tank will hold [kg/m3].
    Returns:
        The greater of the two [kPa].
    Range:
        All above zero.
    Source:
        33 CFR 183.542 (read).
    Example:
        >>> round(least_test_pressure(20.7, 1.5, 1.0, 840.0), 2), round(least_test_pressure(20.7, 1.5, 2.0, 840.0), 2)
        (20.7, 24.71)
    """
    require_range("least pressure", least, "kPa", 0.0, above=True)
    require_range("times the head", times, "", 0.0, above=True)
    return max(least, times * head_pressure(head, density))
