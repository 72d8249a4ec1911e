"""Mass and centre of a boat from what bears on several load cells."""

from __future__ import annotations

import math
from collections.abc import Sequence


def total_mass(masses: Sequence[float]) -> float:
    """The mass of the whole: the sum of what bears on every cell, and of what is added; less what is taken off.

    Args:
        masses: what each cell reads, and each item; items taken off are negative [kg].
    Returns:
        The mass [kg].
    Range:
        At least one.
    Source:
        Statics; definition of light craft mass in ISO 8666 (from memory).
    Example:
        >>> total_mass([300.0, 100.0, -50.0])
        350.0
    """
    if not masses:
        raise ValueError("a sum of no masses")
    return math.fsum(masses)


def centre_of_mass(masses: Sequence[float], places: Sequence[float]) -> float:
    """Where the centre of several masses lies along one axis: the sum of mass times place over the sum of masses.

    Args:
        masses: what each cell reads, and each item; items taken off are negative [kg].
        places: where each bears along the axis [m].
    Returns:
        The centre along that axis [m].
    Range:
        A sum of masses above zero.
    Source:
        Statics: moments about the origin (common practice in weighing, no source).
    Example:
        >>> centre_of_mass([300.0, 100.0], [2.0, 6.0])
        3.0
    """
    whole = math.fsum(masses)
    if whole <= 0.0 or len(masses) != len(places):
        raise ValueError("masses that add up to something, each with its place")
    return math.fsum(mass * at for mass, at in zip(masses, places, strict=True)) / whole
