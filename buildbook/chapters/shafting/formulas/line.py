"""The line of a shaft: how its taper falls, how its coupling meets, how far its bearings may stand apart."""

from __future__ import annotations

import math

from buildbook.formulas import require_range


def taper_per_metre(large: float, small: float, length: float) -> float:
    """The taper of a cone from two diameters.

    Args:
        large: diameter at the large end [mm].
        small: diameter at the small end [mm].
        length: distance along the shaft between the two [mm].
    Returns:
        1000 (D - d) / L; a taper of one in sixteen is 62.5 [mm/m].
    Range:
        Length above zero, the large end not below the small one.
    Source:
        Geometry: small end = diameter - length x taper (practice).
    Example:
        >>> round(taper_per_metre(2.0, 1.640625, 5.75), 4)
        62.5
    """
    require_range("length of the taper", length, "mm", 0.0, above=True)
    require_range("small end", small, "mm", 0.0, large, above=True)
    return 1000.0 * (large - small) / length


def run_out_per_metre(highest: float, lowest: float, length: float) -> float:
    """How far a shaft turns out of true, for each metre between its supports.

    Args:
        highest: highest reading of the dial indicator in a turn [mm].
        lowest: lowest reading at the same station [mm].
        length: distance between the supports [m].
    Returns:
        (highest - lowest) / length; at a bearing or at the taper the difference alone counts [mm/m].
    Range:
        Readings of either sign, the lowest not above the highest, length above zero.
    Source:
        Total indicator reading (practice).
    Example:
        >>> round(run_out_per_metre(0.08, -0.04, 3.0), 9)
        0.04
    """
    require_range("highest reading", highest, "mm")
    require_range("lowest reading", lowest, "mm", high=highest)
    require_range("length between supports", length, "m", 0.0, above=True)
    return (highest - lowest) / length


def face_mismatch(one: float, other: float, flange: float) -> float:
    """How far two coupling faces gape where they gape most, wherever on the rim that is.

    Args:
        one: gap less the gap opposite, across one diameter [mm].
        other: the same across the diameter at right angles to it; 0 where it was not read [mm].
        flange: diameter at which the gaps were read [mm].
    Returns:
        1000 sqrt(one^2 + other^2) / flange: the tilt of one flat face against the other [mm/m].
    Range:
        Differences of either sign, flange above zero.
    Source:
        Geometry: the slopes of a plane along two lines at right angles add as the sides of a right triangle (practice).
        The measure is that of an engine maker's manual (read): a thousandth of an inch for each inch of the coupling.
    Example:
        >>> round(face_mismatch(0.003, 0.0, 3.0), 9)
        1.0
    """
    require_range("flange diameter", flange, "mm", 0.0, above=True)
    for value in (one, other):
        require_range("difference of two gaps", value, "mm")
    return 1000.0 * math.hypot(one, other) / flange


def bearing_spacing(diameter: float, speed: float, modulus: float, density: float) -> float:
    """The critical distance between two bearings of a shaft: there its first whirling speed is its running speed.

    Args:
        diameter: shaft diameter D [mm].
        speed: speed of the shaft n [rpm].
        modulus: Young's modulus E [MPa].
        density: density of the metal [kg/m3].
    Returns:
        L = (3.21 D / n)^(1/2) (E / rho)^(1/4) feet, D in inches, E in psi, rho in lb/in3; as millimetres [mm].
    Range:
        All above zero.
    Source:
        Two public pages that reproduce a propeller handbook (read); the same in ABYC P-6 (from memory).
    Example:
        >>> round(bearing_spacing(25.4, 2000.0, 110316.1, 8414.7) / 304.8, 2)
        3.41
    """
    for name, value, unit in (
        ("diameter", diameter, "mm"),
        ("speed", speed, "rpm"),
        ("modulus", modulus, "MPa"),
        ("density", density, "kg/m3"),
    ):
        require_range(name, value, unit, 0.0, above=True)
    psi, pounds = modulus * 1e6 / PSI, density / POUNDS_PER_CUBIC_INCH
    return float(304.8 * (3.21 * diameter / 25.4 / speed) ** 0.5 * (psi / pounds) ** 0.25)


PSI = 4.4482216152605 / 0.0254**2  # Pa
POUNDS_PER_CUBIC_INCH = 0.45359237 / 0.0254**3  # kg/m3
