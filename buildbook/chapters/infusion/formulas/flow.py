"""How long resin takes to flow through dry glass, to an order of magnitude."""

from __future__ import annotations

from buildbook.formulas import require_range


def fill_time(porosity: float, viscosity: float, length: float, permeability: float, pressure: float) -> float:
    """Time for resin to flow through a stiff stack from a straight feed at constant pressure (Darcy's law).

    Args:
        porosity: share of the stack that is not glass, by volume [1].
        viscosity: of the mixed resin [mPa.s].
        length: way of the resin [m].
        permeability: of the stack [m2].
        pressure: difference between feed and vent [mbar].
    Returns:
        Time [min].
    Range:
        All above zero, porosity below 1. In a bag the stack relaxes behind the front: the form stays, the number moves.
    Source:
        Darcy's law in one direction, integrated (from memory).
    Example:
        >>> round(60.0 * fill_time(0.5, 250.0, 0.30, 7.3628e-11, 950.0), 1)
        804.2
    """
    require_range("porosity", porosity, "", 0.0, 1.0, above=True)
    require_range("viscosity", viscosity, "mPa.s", 0.0, above=True)
    require_range("length", length, "m", 0.0, above=True)
    require_range("permeability", permeability, "m2", 0.0, above=True)
    require_range("pressure difference", pressure, "mbar", 0.0, above=True)
    seconds = porosity * (viscosity / 1000.0) * length**2 / (2.0 * permeability * (pressure * 100.0))
    return seconds / 60.0


def glass_by_volume(glass: float, glass_density: float, resin_density: float) -> float:
    """Glass content by volume from that by mass, without voids.

    Args:
        glass: glass content by mass [%].
        glass_density: of the glass [g/cm3].
        resin_density: of the cured resin [g/cm3].
    Returns:
        Glass content by volume [%].
    Range:
        Glass content 0 to 100 %; densities above zero.
    Source:
        Textbook identity (practice).
    Example:
        >>> round(glass_by_volume(70.0, 2.50, 1.20), 4)
        52.8302
    """
    require_range("glass content", glass, "%", 0.0, 100.0)
    require_range("glass density", glass_density, "g/cm3", 0.0, above=True)
    require_range("resin density", resin_density, "g/cm3", 0.0, above=True)
    of_glass, of_resin = glass / glass_density, (100.0 - glass) / resin_density
    return 100.0 * of_glass / (of_glass + of_resin)
