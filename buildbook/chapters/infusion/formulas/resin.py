"""How much resin a part takes: in the glass, in the cuts and holes of the core, in mesh and lines."""

from __future__ import annotations

import math

from buildbook.formulas import require_range


def laminate_resin(areal_weight: float, glass: float) -> float:
    """Resin in a stack of plies from its dry glass and its glass content.

    Args:
        areal_weight: dry glass of all plies [kg/m2].
        glass: glass content by mass [%].
    Returns:
        Resin [kg/m2].
    Range:
        Areal weight 0 or more; glass content above 0 and up to 100 %.
    Source:
        Definition of the glass content by mass, w (1 - psi) / psi (practice).
    Example:
        >>> round(laminate_resin(4.8 + 3.6, 60.0), 3)
        5.6
    """
    require_range("areal weight", areal_weight, "kg/m2", 0.0)
    require_range("glass content", glass, "%", 0.0, 100.0, above=True)
    share = glass / 100.0
    return areal_weight * (1.0 - share) / share


def resin_in_cuts(width: float, depth: float, spacing: float, resin_density: float) -> float:
    """Resin that fills the cuts (kerfs) of a core that is cut both ways.

    Args:
        width: of a cut [mm].
        depth: of a cut [mm].
        spacing: from cut to cut [mm].
        resin_density: of the cured resin [g/cm3].
    Returns:
        Resin [kg/m2].
    Range:
        All above zero; spacing above twice the width. Crossings are counted twice, so it is an upper value.
    Source:
        Geometry of the cuts, 2 w d / s (practice).
    Example:
        >>> round(resin_in_cuts(1.0, 20.0, 30.0, 1.15), 3)
        1.533
    """
    for name, value in (("width", width), ("depth", depth)):
        require_range(f"{name} of the cuts", value, "mm", 0.0, above=True)
    require_range("spacing of the cuts", spacing, "mm", 2.0 * width, above=True)
    require_range("resin density", resin_density, "g/cm3", 0.0, above=True)
    return 2.0 * width * depth / spacing * resin_density


def resin_in_holes(diameter: float, thickness: float, pitch: float, resin_density: float) -> float:
    """Resin that fills the holes of a perforated core.

    Args:
        diameter: of a hole [mm].
        thickness: of the core [mm].
        pitch: from hole to hole, both ways [mm].
        resin_density: of the cured resin [g/cm3].
    Returns:
        Resin [kg/m2].
    Range:
        All above zero; pitch above the diameter.
    Source:
        Geometry of the holes, (pi / 4) D^2 t / p^2 (practice).
    Example:
        >>> round(resin_in_holes(2.0, 20.0, 40.0, 1.15), 3)
        0.045
    """
    require_range("diameter of the holes", diameter, "mm", 0.0, above=True)
    require_range("thickness of the core", thickness, "mm", 0.0, above=True)
    require_range("pitch of the holes", pitch, "mm", diameter, above=True)
    require_range("resin density", resin_density, "g/cm3", 0.0, above=True)
    return math.pi / 4.0 * diameter**2 * thickness / pitch**2 * resin_density


def hardener_share(hardener: float, resin: float) -> float:
    """Hardener of a mix, of its resin by mass.

    Args:
        hardener: mass of the hardener [kg].
        resin: mass of the resin [kg].
    Returns:
        Share [%].
    Range:
        Both above zero.
    Source:
        Definition, as data sheets state it (practice).
    Example:
        >>> hardener_share(2.25, 150.0)
        1.5
    """
    require_range("mass of the hardener", hardener, "kg", 0.0, above=True)
    require_range("mass of the resin", resin, "kg", 0.0, above=True)
    return 100.0 * hardener / resin


def zone_resin(area: float, laminate: float, core: float, media: float) -> float:
    """Resin that one zone takes.

    Args:
        area: of the zone [m2].
        laminate: resin in its plies [kg/m2].
        core: resin in cuts, holes and open cells of its core [kg/m2].
        media: resin in flow mesh and peel ply [kg/m2].
    Returns:
        Resin [kg].
    Range:
        Area above zero, the others 0 or more.
    Source:
        Sum of what takes resin (practice).
    Example:
        >>> round(zone_resin(38.0, 5.6, 1.5785, 0.4), 2)
        287.98
    """
    require_range("area", area, "m2", 0.0, above=True)
    for name, value in (("resin in the plies", laminate), ("resin in the core", core), ("resin in the mesh", media)):
        require_range(name, value, "kg/m2", 0.0)
    return area * (laminate + core + media)
