"""How the torque of a rudder gets from the stock into the blade: through a slot, or through welds alone."""

from __future__ import annotations

import math

from buildbook.formulas import require_range


def slot_pressure(torque: float, diameter: float, length: float) -> float:
    """The greatest side pressure of a blade plate in the slot of a stock: none in the middle, most at the rim.

    Args:
        torque: torque T [Nm].
        diameter: diameter of the stock d [mm].
        length: length L of the slot that the plate fills [mm].
    Returns:
        p = 6 T / (d^2 L) [MPa].
    Range:
        All above zero.
    Source:
        Mechanics: a pressure that grows from the middle to the rim (practice).
    Example:
        >>> round(slot_pressure(3000.0, 70.0, 250.0), 1)
        14.7
    """
    _positive(torque=(torque, "Nm"), diameter=(diameter, "mm"), length=(length, "mm"))
    return 6.0 * torque * 1000.0 / (diameter**2 * length)


def two_welds_stress(torque: float, plate: float, throat: float, length: float) -> float:
    """The stress where a plate is only butted to the stock and held by a fillet weld on either side.

    Args:
        torque: torque T [Nm].
        plate: thickness t of the plate [mm].
        throat: throat a of each weld [mm].
        length: length L of each weld [mm].
    Returns:
        sigma = T / ((t + a) a L) [MPa].
    Range:
        All above zero.
    Source:
        Mechanics: the two welds are a couple across the plate (practice).
    Example:
        >>> round(two_welds_stress(3000.0, 18.0, 6.0, 250.0), 1)
        83.3
    """
    _positive(torque=(torque, "Nm"), plate=(plate, "mm"), throat=(throat, "mm"), length=(length, "mm"))
    return torque * 1000.0 / ((plate + throat) * throat * length)


def ring_weld_stress(torque: float, diameter: float, throat: float) -> float:
    """The stress where the stock is held by one ring of fillet weld.

    Args:
        torque: torque T [Nm].
        diameter: diameter of the stock d [mm].
        throat: throat a of the weld [mm].
    Returns:
        tau = 2 T / (pi d^2 a) [MPa].
    Range:
        All above zero.
    Source:
        Mechanics of a thin ring in torsion (practice).
    Example:
        >>> round(ring_weld_stress(3000.0, 70.0, 6.0), 1)
        65.0
    """
    _positive(torque=(torque, "Nm"), diameter=(diameter, "mm"), throat=(throat, "mm"))
    return 2.0 * torque * 1000.0 / (math.pi * diameter**2 * throat)


def _positive(**given: tuple[float, str]) -> None:
    for name, (value, unit) in given.items():
        require_range(name, value, unit, 0.0, above=True)
