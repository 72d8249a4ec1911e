"""How far a propeller would carry her if water were solid, and how much of that is lost."""

from __future__ import annotations

from buildbook.formulas import require_range

METRES_IN_A_MILE = 1852.0  # nautical mile, exact by definition
MINUTES_IN_AN_HOUR = 60.0


def no_slip_speed(pitch: float, speed: float) -> float:
    """Speed of a screw that turns in something solid.

    Args:
        pitch: mean pitch of the propeller [m].
        speed: speed of its shaft [r/min].
    Returns:
        Speed: V0 = P n / (1852 / 60) [kn].
    Range:
        Pitch and speed above zero.
    Source:
        Definition of pitch; a nautical mile is 1852 m exactly, so the divisor is 1852 / 60 = 30.8667 (from memory).
    Example:
        >>> round(no_slip_speed(0.96, 1050.0), 2)
        32.66
    """
    require_range("pitch", pitch, "m", 0.0, above=True)
    require_range("speed", speed, "r/min", 0.0, above=True)
    return pitch * speed * MINUTES_IN_AN_HOUR / METRES_IN_A_MILE


def apparent_slip(speed: float, no_slip: float) -> float:
    """How far the ship falls behind the screw, as a share of the screw's own speed.

    Args:
        speed: speed of the ship [kn].
        no_slip: speed of the screw without slip [kn].
    Returns:
        Apparent slip: S = 100 (1 - V / V0) [%]; below zero where she is faster than her screw.
    Range:
        Speed of zero or more; speed without slip above zero.
    Source:
        S = 1 - V / V0, public page on slip (read).
    Example:
        >>> round(apparent_slip(10.0, no_slip_speed(3.8, 87.0)), 1)
        6.6
    """
    require_range("speed", speed, "kn", 0.0)
    require_range("speed without slip", no_slip, "kn", 0.0, above=True)
    return 100.0 * (1.0 - speed / no_slip)
