"""Stress in a shaft at its keyway: the nominal stress in torsion, and how a corner raises it."""

from __future__ import annotations

import math

from buildbook.formulas import require_range


def shaft_torque(power: float, speed: float) -> float:
    """The torque in a shaft.

    Args:
        power: power on the shaft [kW].
        speed: speed of the shaft [rpm].
    Returns:
        T = 1000 P / (2 pi n / 60) [Nm].
    Range:
        Both above zero.
    Source:
        Mechanics: power is torque times angular speed (practice).
    Example:
        >>> round(shaft_torque(706.0, 1127.0))
        5982
    """
    require_range("power", power, "kW", 0.0, above=True)
    require_range("speed", speed, "rpm", 0.0, above=True)
    return 1000.0 * power / (2.0 * math.pi * speed / 60.0)


def torsional_stress(torque: float, diameter: float) -> float:
    """The nominal stress in torsion at the surface of a solid round shaft.

    Args:
        torque: torque T [Nm].
        diameter: shaft diameter d [mm].
    Returns:
        tau = 16 T / (pi d^3) [MPa].
    Range:
        Both above zero.
    Source:
        Mechanics of a round bar (practice).
    Example:
        >>> round(torsional_stress(5982.0, 70.0), 1)
        88.8
    """
    require_range("torque", torque, "Nm", 0.0, above=True)
    require_range("diameter", diameter, "mm", 0.0, above=True)
    return 16.0 * torque * 1000.0 / (math.pi * diameter**3)


def keyway_torsion_factor(fillet: float, diameter: float) -> float:
    """How much the fillet at the bottom of an end-milled keyway raises the stress in torsion; no key pressure.

    Args:
        fillet: radius r of the fillet [mm].
        diameter: shaft diameter d [mm].
    Returns:
        K = 1.953 + 0.1434 u - 0.0021 u^2, u = 0.1 / (r / d) [1].
    Range:
        r / d from 0.005 to 0.07; keyway a quarter of d wide and an eighth deep.
    Source:
        A handbook of stress concentration factors, 3rd edition, keyway charts (from memory).
    Example:
        >>> round(keyway_torsion_factor(1.4, 70.0), 2), round(keyway_torsion_factor(0.7, 70.0), 2)
        (2.62, 3.18)
    """
    u = _sharpness(fillet, diameter, 0.07)
    return 1.953 + 0.1434 * u - 0.0021 * u**2


def keyway_bending_factor(fillet: float, diameter: float) -> float:
    """How much the fillet at the bottom of an end-milled keyway raises the stress in bending.

    Args:
        fillet: radius r of the fillet [mm].
        diameter: shaft diameter d [mm].
    Returns:
        K = 1.426 + 0.1643 u - 0.0019 u^2, u = 0.1 / (r / d) [1].
    Range:
        r / d from 0.005 to 0.04; keyway a quarter of d wide and an eighth deep.
    Source:
        A handbook of stress concentration factors, 3rd edition, keyway charts (from memory).
    Example:
        >>> round(keyway_bending_factor(1.4, 70.0), 2), round(keyway_bending_factor(0.7, 70.0), 2)
        (2.2, 2.88)
    """
    u = _sharpness(fillet, diameter, 0.04)
    return 1.426 + 0.1643 * u - 0.0019 * u**2


def round_groove_factor(groove: float, diameter: float) -> float:
    """How much a groove whose bottom is a full circle raises the stress in torsion.

    Args:
        groove: radius b of the groove, its centre on the surface of the shaft [mm].
        diameter: shaft diameter, twice its radius a [mm].
    Returns:
        K = 2 - b / a [1].
    Range:
        b above zero and at most half of a.
    Source:
        Classical elasticity: exact solution for a shaft with a circular groove (from memory).
    Example:
        >>> round(round_groove_factor(8.75, 70.0), 2)
        1.75
    """
    require_range("diameter", diameter, "mm", 0.0, above=True)
    require_range("radius of the groove, of the shaft radius", 2.0 * groove / diameter, "", 0.0, 0.5, above=True)
    return 2.0 - 2.0 * groove / diameter


def _sharpness(fillet: float, diameter: float, most: float) -> float:
    require_range("diameter", diameter, "mm", 0.0, above=True)
    require_range("fillet radius, of the diameter", fillet / diameter, "", 0.005, most)
    return 0.1 * diameter / fillet
