"""Unbalance, the grade it makes at a speed, and what a class leaves at the blade tip."""

from __future__ import annotations

import math

from buildbook.formulas import require_range


def angular_speed(speed: float) -> float:
    """Angular speed of a shaft.

    Args:
        speed: speed of the shaft [r/min].
    Returns:
        Angular speed [rad/s].
    Range:
        Speed above zero.
    Source:
        Definition: one turn is 2 pi radians, one minute 60 seconds (from memory).
    Example:
        >>> round(angular_speed(60.0), 6)
        6.283185
    """
    require_range("speed", speed, "r/min", 0.0, above=True)
    return 2.0 * math.pi * speed / 60.0


def balance_grade(unbalance: float, mass: float, speed: float) -> float:
    """The grade that an unbalance makes at a speed: how fast the centre of mass runs round the axis.

    Args:
        unbalance: residual mass times its radius [g mm].
        mass: mass of the whole propeller [kg].
        speed: speed of the shaft [r/min].
    Returns:
        Grade: G = U Omega / (1000 m), Omega = 2 pi n / 60 [mm/s].
    Range:
        Unbalance of zero or more; mass and speed above zero. A grade says nothing without its speed.
    Source:
        ISO 21940-11, e = 1000 G / Omega (as a public tool catalogue prints it from ISO 1940-1; read), solved for G.
    Example:
        >>> round(balance_grade(12.03, 2.0, 10000.0), 1)
        6.3
    """
    require_range("unbalance", unbalance, "g mm", 0.0)
    require_range("mass", mass, "kg", 0.0, above=True)
    return unbalance * angular_speed(speed) / (1000.0 * mass)


def permissible_unbalance(grade: float, mass: float, speed: float) -> float:
    """The unbalance that a grade leaves a propeller at a speed.

    Args:
        grade: grade G [mm/s].
        mass: mass of the whole propeller [kg].
        speed: speed of the shaft [r/min].
    Returns:
        Unbalance: U = 1000 G m / Omega, Omega = 2 pi n / 60 [g mm].
    Range:
        Grade, mass and speed above zero.
    Source:
        ISO 21940-11, e = 1000 G / Omega and U = m e (as a public tool catalogue prints it from ISO 1940-1; read).
    Example:
        >>> round(permissible_unbalance(6.3, 2.0, 10000.0))
        12
    """
    require_range("grade", grade, "mm/s", 0.0, above=True)
    require_range("mass", mass, "kg", 0.0, above=True)
    return 1000.0 * grade * mass / angular_speed(speed)


def tip_mass(residual: float, radius: float, tip_radius: float) -> float:
    """A residual mass brought to the blade tip: the mass there that turns the propeller as much.

    Args:
        residual: residual mass [g].
        radius: radius at which it stands [mm].
        tip_radius: half the diameter of the propeller [mm].
    Returns:
        Mass at the tip: residual x radius / tip radius [g].
    Range:
        Residual of zero or more; both radii above zero.
    Source:
        Equal moments about the axis (elementary mechanics, from memory).
    Example:
        >>> tip_mass(6.0, 200.0, 400.0)
        3.0
    """
    require_range("residual", residual, "g", 0.0)
    require_range("radius", radius, "mm", 0.0, above=True)
    require_range("tip radius", tip_radius, "mm", 0.0, above=True)
    return residual * radius / tip_radius


def static_allowance(speed_constant: float, mass_share: float, mass: float, tip_radius: float, speed: float) -> float:
    """The mass at the blade tip that a class of accuracy allows: the smaller of two figures.

    Args:
        speed_constant: C of the class, so that C m / (R N^2) is in kilograms [1].
        mass_share: K of the class, a share of the mass [1].
        mass: mass of the propeller [kg].
        tip_radius: half its diameter [m].
        speed: speed of the shaft [r/min].
    Returns:
        Mass at the tip: 1000 times the smaller of C m / (R N^2) and K m [g].
    Range:
        All above zero.
    Source:
        ISO 484-2, static balance, p <= C m / (R N^2) and p <= K m (from memory).
    Example:
        >>> round(static_allowance(25.0, 0.001, 85.0, 0.40, 900.0), 2)
        6.56
    """
    for name, value, unit in (("C", speed_constant, ""), ("K", mass_share, ""), ("mass", mass, "kg"),
                              ("tip radius", tip_radius, "m"), ("speed", speed, "r/min")):  # fmt: skip
        require_range(name, value, unit, 0.0, above=True)
    return 1000.0 * min(speed_constant * mass / (tip_radius * speed**2), mass_share * mass)
