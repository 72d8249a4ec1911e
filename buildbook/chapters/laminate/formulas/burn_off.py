"""Burn-off of a cut-out: glass, resin and voids from weighings and a density."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.formulas import OutOfRange, require_range

_SQUARE_METRE = 1e6  # mm2


@dataclass(frozen=True, slots=True)
class Volumes:
    """Shares of the volume of a laminate [%]. Voids may come out below zero: then a density must be wrong."""

    glass: float
    resin: float
    voids: float


def glass_content(crucible: float, full: float, residue: float) -> float:
    """Glass content by mass of one burned specimen. The empty crucible is part of both differences.

    Args:
        crucible: empty crucible [g].
        full: crucible and dry specimen [g].
        residue: crucible and what is left after burning [g].
    Returns:
        Glass content, from 0 to 100 [%].
    Range:
        Empty lighter than residue, residue lighter than full; no mineral filler.
    Source:
        ISO 1172, method A, definition of the glass content (from memory).
    Example:
        >>> round(glass_content(25.1234, 30.2841, 28.8046), 3)
        71.331
    """
    require_range("empty crucible", crucible, "g", 0.0)
    if not crucible < residue < full:
        raise OutOfRange("crucible with residue", residue, f"above {crucible:g} and below {full:g} g")
    return 100.0 * (residue - crucible) / (full - crucible)


def water_density(temperature: float) -> float:
    """Density of pure water without air, at one atmosphere.

    Args:
        temperature: of the water [degC].
    Returns:
        Density [g/cm3].
    Range:
        0 °C to 40 °C.
    Source:
        Tanaka et al., Metrologia 38 (2001) 301, equation of the CIPM (from memory).
    Example:
        >>> round(water_density(23.0), 4), round(water_density(20.0), 4)
        (0.9975, 0.9982)
    """
    require_range("temperature of the water", temperature, "°C", 0.0, 40.0)
    above = temperature - 3.983035
    return 0.99997495 * (1.0 - above**2 * (temperature + 301.797) / (522528.9 * (temperature + 69.34881)))


def density_by_immersion(in_air: float, in_water: float, water: float, wire: float = 0.0) -> float:
    """Density of a piece that is weighed in air and hanging in water.

    Args:
        in_air: mass in air [g].
        in_water: apparent mass in water, with the wire it hangs on [g].
        water: density of the water [g/cm3].
        wire: apparent mass of the wire alone in water [g].
    Returns:
        Density [g/cm3].
    Range:
        A piece that sinks; density of the water above zero.
    Source:
        ISO 1183-1, method A, and ASTM D792 (from memory).
    Example:
        >>> round(density_by_immersion(6.4365, 2.9836, 0.9975), 4)
        1.8594
    """
    require_range("mass in air", in_air, "g", 0.0, above=True)
    if not 0.0 < in_water - wire < in_air:
        raise OutOfRange("apparent mass in water", in_water - wire, f"above 0 and below {in_air:g} g")
    require_range("density of the water", water, "g/cm3", 0.0, above=True)
    return in_air * water / (in_air + wire - in_water)


def volumes(glass: float, density: float, glass_density: float, resin_density: float) -> Volumes:
    """Shares of the volume: glass, resin, and what is neither.

    Args:
        glass: glass content by mass [%].
        density: of the laminate [g/cm3].
        glass_density: of the glass [g/cm3].
        resin_density: of the cured resin, never the liquid one [g/cm3].
    Returns:
        Glass, resin and voids [% of the volume]; voids below zero are left as they are.
    Range:
        Glass content from 0 to 100 %; densities above zero.
    Source:
        ASTM D3171, method I (from memory). ASTM D2734 gives the same voids with other algebra.
    Example:
        >>> found = volumes(71.98568, 1.787395, 2.600, 1.148)
        >>> round(found.glass, 2), round(found.resin, 2), round(found.voids, 2)
        (49.49, 43.62, 6.9)
    """
    _content("glass content", glass)
    for name, value in (("density", density), ("glass density", glass_density), ("resin density", resin_density)):
        require_range(name, value, "g/cm3", 0.0, above=True)
    of_glass = glass * density / glass_density
    of_resin = (100.0 - glass) * density / resin_density
    return Volumes(of_glass, of_resin, 100.0 - of_glass - of_resin)


def void_content(glass: float, density: float, glass_density: float, resin_density: float) -> float:
    """Void content of a laminate; below zero where a density must be wrong.

    Args:
        glass: glass content by mass [%].
        density: of the laminate [g/cm3].
        glass_density: of the glass [g/cm3].
        resin_density: of the cured resin [g/cm3].
    Returns:
        Voids [% of the volume].
    Range:
        As `volumes`.
    Source:
        ASTM D3171, method I (from memory).
    Example:
        >>> round(void_content(70.0, 1.875, 2.60, 1.15), 3)
        0.606
    """
    return volumes(glass, density, glass_density, resin_density).voids


def void_free_density(glass: float, glass_density: float, resin_density: float) -> float:
    """Density that a laminate would have without voids.

    Args:
        glass: glass content by mass [%].
        glass_density: of the glass [g/cm3].
        resin_density: of the cured resin [g/cm3].
    Returns:
        Theoretical density [g/cm3]. Voids by ASTM D2734 are 100 (this - measured) / this.
    Range:
        Glass content from 0 to 100 %; densities above zero.
    Source:
        ASTM D2734, equation for the theoretical density (read).
    Example:
        >>> round(void_free_density(70.0, 2.60, 1.15), 5)
        1.88644
    """
    _content("glass content", glass)
    require_range("glass density", glass_density, "g/cm3", 0.0, above=True)
    require_range("resin density", resin_density, "g/cm3", 0.0, above=True)
    return 100.0 / ((100.0 - glass) / resin_density + glass / glass_density)


def volume_from_mass(glass: float, glass_density: float, resin_density: float) -> float:
    """Glass content by volume of a laminate without voids.

    Args:
        glass: glass content by mass [%].
        glass_density: of the glass [g/cm3].
        resin_density: of the cured resin [g/cm3].
    Returns:
        Glass content by volume, no voids counted [%].
    Range:
        Glass content from 0 to 100 %; densities above zero.
    Source:
        Identity of mass and volume fractions, computed (practice).
    Example:
        >>> round(volume_from_mass(70.0, 2.50, 1.20), 4)
        52.8302
    """
    return glass * void_free_density(glass, glass_density, resin_density) / glass_density


def residue_per_area(crucible: float, residue: float, length: float, width: float) -> float:
    """Mass of burned-out glass for each square metre of the specimen.

    Args:
        crucible: empty crucible [g].
        residue: crucible and what is left after burning [g].
        length: of the specimen, before burning [mm].
        width: of the specimen, before burning [mm].
    Returns:
        Residue [g/m2].
    Range:
        Empty lighter than residue; sides above zero.
    Source:
        Mass by area, computed (practice).
    Example:
        >>> round(residue_per_area(25.0, 27.94, 25.0, 25.0))
        4704
    """
    require_range("length", length, "mm", 0.0, above=True)
    require_range("width", width, "mm", 0.0, above=True)
    if not residue > crucible:
        raise OutOfRange("crucible with residue", residue, f"above {crucible:g} g")
    return _SQUARE_METRE * (residue - crucible) / (length * width)


def scheduled_residue(plies: Iterable[tuple[float, float]]) -> float:
    """What the plies of a schedule leave after burning: binder, sizing and stitching thread burn with the resin.

    Args:
        plies: areal weight and share of it that burns away, for each ply [g/m2, %].
    Returns:
        Residue to be expected [g/m2].
    Range:
        Areal weights of zero or more; shares from 0 to 100 %.
    Source:
        Sum over the schedule (calculated); the usual shares are common practice.
    Example:
        >>> scheduled_residue([(1200.0, 2.0)] * 4)
        4704.0
    """
    total = 0.0
    for weight, loss in plies:
        require_range("areal weight", weight, "g/m2", 0.0)
        _content("share that burns away", loss)
        total += weight * (1.0 - loss / 100.0)
    return total


def _content(name: str, value: float) -> None:
    require_range(name, value, "%", 0.0, 100.0)
