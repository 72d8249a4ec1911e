"""Thickness of a skin from its glass, and glass content of a stack of plies."""

from __future__ import annotations

from collections.abc import Sequence

from buildbook.formulas import OutOfRange, require_range


def nominal_thickness(areal_weight: float, glass: float) -> float:
    """Thickness that ISO 12215-5 gives a laminate of E-glass and polyester: no voids, densities 2.56 and 1.20.

    Args:
        areal_weight: dry glass of all plies [kg/m2].
        glass: glass content by mass [%].
    Returns:
        Thickness [mm].
    Range:
        Areal weight above zero; glass content above 0 and up to 100 %.
    Source:
        ISO 12215-5:2008, annex C, equation C.1 (second-hand).
    Example:
        >>> [round(nominal_thickness(1.0, glass), 2) for glass in (30.0, 50.0, 66.0)]
        [2.34, 1.22, 0.82]
    """
    require_range("areal weight", areal_weight, "kg/m2", 0.0, above=True)
    require_range("glass content", glass, "%", 0.0, 100.0, above=True)
    return areal_weight / 3.072 * (2.56 / (glass / 100.0) - 1.36)


def skin_thickness(
    areal_weight: float, glass: float, glass_density: float, resin_density: float, voids: float = 0.0
) -> float:
    """Thickness of a laminate from its glass, its densities and its voids.

    Args:
        areal_weight: glass of all plies [kg/m2].
        glass: glass content by mass [%].
        glass_density: of the glass [g/cm3].
        resin_density: of the cured resin [g/cm3].
        voids: void content by volume [%].
    Returns:
        Thickness [mm].
    Range:
        Areal weight and densities above zero; glass content above 0 and up to 100 %; voids below 100 %.
    Source:
        General form of ISO 12215-5:2008, equation C.1 (second-hand), computed.
    Example:
        >>> round(skin_thickness(1.0, 50.0, 2.56, 1.20), 4)  # equation C.1 gives the same
        1.224
    """
    require_range("areal weight", areal_weight, "kg/m2", 0.0, above=True)
    require_range("glass content", glass, "%", 0.0, 100.0, above=True)
    require_range("glass density", glass_density, "g/cm3", 0.0, above=True)
    require_range("resin density", resin_density, "g/cm3", 0.0, above=True)
    if not voids < 100.0:
        raise OutOfRange("void content", voids, "below 100 %")
    share = glass / 100.0
    return areal_weight * (1.0 / glass_density + (1.0 - share) / (share * resin_density)) / (1.0 - voids / 100.0)


def overall_glass_content(plies: Sequence[tuple[float, float]]) -> float:
    """Glass content by mass of a stack of plies of different kinds.

    Args:
        plies: dry areal weight and glass content by mass of each ply [kg/m2, %].
    Returns:
        Glass content by mass of the whole [%].
    Range:
        One ply or more; areal weights above zero; contents above 0 and up to 100 %.
    Source:
        ISO 12215-5:2008, example C.3.2 (second-hand): sum of the glass over sum of the laminate.
    Example:
        >>> round(overall_glass_content([(0.45, 30.0), (2.40, 39.0), (0.50, 48.0)]), 1)
        38.5
    """
    if not plies:
        raise OutOfRange("number of plies", 0, "1 or more")
    for weight, glass in plies:
        require_range("areal weight", weight, "kg/m2", 0.0, above=True)
        require_range("glass content", glass, "%", 0.0, 100.0, above=True)
    return sum(weight for weight, _ in plies) / sum(weight / glass for weight, glass in plies)
