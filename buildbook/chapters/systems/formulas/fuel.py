"""Filling a tank: shares of the capacity that the meter found."""

from __future__ import annotations

from buildbook.formulas import require_range


def share_of_capacity(volume: float, capacity: float) -> float:
    """How full a tank is, by the meter.

    Args:
        volume: litres that ran in since it was empty [L].
        capacity: litres that ran in until it was full [L].
    Returns:
        100 x volume / capacity [%].
    Range:
        Volume from zero, capacity above zero.
    Source:
        The definition of a percentage (practice); the capacity is the measured one.
    Example:
        >>> round(share_of_capacity(950.0, 1000.0), 6)
        95.0
    """
    require_range("volume", volume, "L", 0.0)
    require_range("capacity", capacity, "L", 0.0, above=True)
    return 100.0 * volume / capacity


def off_the_meter(shown: float, volume: float, capacity: float) -> float:
    """How far a sender or a display is off, in either direction.

    Args:
        shown: what it gives [%].
        volume: litres that ran in since the tank was empty [L].
        capacity: litres that ran in until it was full [L].
    Returns:
        The size of its difference from 100 x volume / capacity [%].
    Range:
        Volume from zero, capacity above zero.
    Source:
        The definition of a difference (practice).
    Example:
        >>> round(off_the_meter(52.0, 500.0, 1000.0), 6), round(off_the_meter(47.5, 500.0, 1000.0), 6)
        (2.0, 2.5)
    """
    return abs(shown - share_of_capacity(volume, capacity))
