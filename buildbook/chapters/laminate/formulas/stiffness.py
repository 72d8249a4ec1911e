"""Stiffness of a laminate from its fibres, its resin and its stack of plies: classical plate theory."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.formulas import OutOfRange, require_range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Elastic:
    """Stiffness of a thin layer: along and across its fibres, sideways share, in shear [MPa, MPa, 1, MPa]."""

    along: float
    across: float
    poisson: float
    shear: float


@dataclass(frozen=True, slots=True)
class Lamina:
    """One layer of a stack: its stiffness, its thickness [mm], and its fibres against the load [degrees]."""

    elastic: Elastic
    thickness: float
    angle: float


@dataclass(frozen=True, slots=True)
class Solid:
    """A material that is alike in all directions: stiffness [MPa] and sideways share [1]."""

    stiffness: float
    poisson: float

    @property
    def shear(self) -> float:
        """Stiffness in shear [MPa]."""
        return self.stiffness / (2.0 * (1.0 + self.poisson))


def parallel_fibres(volume: float, fibre: Solid, resin: Solid) -> Elastic:
    """Stiffness of a layer whose fibres lie side by side.

    Along the fibres and for the sideways share the rule of mixtures; across them and in shear the equations of Halpin
    and Tsai with the factors 2 and 1.

    Args:
        volume: share of fibres by volume [%].
        fibre: of the fibres [MPa, 1].
        resin: of the cured resin [MPa, 1].
    Returns:
        Elastic constants of the layer [MPa, MPa, 1, MPa].
    Range:
        Volume 0 to 100 %; stiffness above zero.
    Source:
        Halpin-Tsai equations of the composites handbooks (from memory).
    Example:
        >>> layer = parallel_fibres(50.0, Solid(72400.0, 0.22), Solid(3300.0, 0.36))
        >>> round(layer.along), round(layer.across), round(layer.poisson, 3), round(layer.shear)
        (37850, 10995, 0.29, 3286)
    """
    require_range("volume of fibres", volume, "%", 0.0, 100.0)
    for name, solid in (("fibre", fibre), ("resin", resin)):
        require_range(f"stiffness of the {name}", solid.stiffness, "MPa", 0.0, above=True)
    share = volume / 100.0

    def mixed(stiff: float, soft: float, factor: float) -> float:
        ratio = stiff / soft
        reach = (ratio - 1.0) / (ratio + factor)
        return soft * (1.0 + factor * reach * share) / (1.0 - reach * share)

    return Elastic(
        share * fibre.stiffness + (1.0 - share) * resin.stiffness,
        mixed(fibre.stiffness, resin.stiffness, 2.0),
        share * fibre.poisson + (1.0 - share) * resin.poisson,
        mixed(fibre.shear, resin.shear, 1.0),
    )


def random_fibres(layer: Elastic) -> Elastic:
    """Stiffness of a mat: the fibres of a layer turned to all directions of its plane.

    Args:
        layer: the same fibres and resin with the fibres side by side [MPa, MPa, 1, MPa].
    Returns:
        Elastic constants, alike in all directions of the plane [MPa, MPa, 1, MPa].
    Range:
        Constants of `parallel_fibres`.
    Source:
        3/8 of the stiffness along and 5/8 of that across; in shear 1/8 and 1/4 (composites handbooks, from memory).
    Example:
        >>> mat = random_fibres(Elastic(37850.0, 10995.0, 0.29, 3286.0))
        >>> round(mat.along), round(mat.shear), round(mat.poisson, 3)
        (21066, 7480, 0.408)
    """
    stiffness = 3.0 / 8.0 * layer.along + 5.0 / 8.0 * layer.across
    shear = layer.along / 8.0 + layer.across / 4.0
    return Elastic(stiffness, stiffness, stiffness / (2.0 * shear) - 1.0, shear)


def plate(stack: Sequence[Lamina]) -> tuple[Matrix, Matrix, Matrix]:
    """The matrices A, B and D of a stack of layers, the first layer on the face of the mould.

    Args:
        stack: the layers [mm, degrees].
    Returns:
        Stretching A [N/mm], coupling B [N], bending D [N mm], each 3 by 3 in the order x, y, xy.
    Range:
        One layer or more; thickness above zero.
    Source:
        Classical laminated plate theory (composites handbooks, from memory).
    Example:
        >>> ply = Elastic(38000.0, 9000.0, 0.27, 3500.0)
        >>> a, b, d = plate([Lamina(ply, 0.5, angle) for angle in (0.0, 90.0, 90.0, 0.0)])
        >>> [round(float(term), 2) for term in (a[0, 0], d[1, 1], abs(b).max())]
        [47825.75, 8564.54, 0.0]
    """
    import numpy as np

    if not stack:
        raise OutOfRange("number of layers", 0, "1 or more")
    for layer in stack:
        require_range("thickness", layer.thickness, "mm", 0.0, above=True)
    edges = np.cumsum([0.0, *(layer.thickness for layer in stack)])
    edges -= edges[-1] / 2.0
    turned = [_turned(layer) for layer in stack]

    def summed(power: int) -> Matrix:
        pieces = ((edges[i + 1] ** power - edges[i] ** power) / power * q for i, q in enumerate(turned))
        return np.asarray(sum(pieces))

    return summed(1), summed(2), summed(3)


def _turned(layer: Lamina) -> Matrix:
    """The stiffness of one layer in the directions of the load."""
    import numpy as np

    own = layer.elastic
    whole = 1.0 - own.poisson**2 * own.across / own.along
    along, across = own.along / whole, own.across / whole
    q = np.array([[along, own.poisson * across, 0.0], [own.poisson * across, across, 0.0], [0.0, 0.0, own.shear]])
    c, s = math.cos(math.radians(layer.angle)), math.sin(math.radians(layer.angle))
    turn = np.array([[c * c, s * s, c * s], [s * s, c * c, -c * s], [-2.0 * c * s, 2.0 * c * s, c * c - s * s]])
    return np.asarray(turn.T @ q @ turn)


def stretching_stiffness(stack: Sequence[Lamina]) -> float:
    """Stiffness of a strip that is pulled between grips that keep it flat.

    Args:
        stack: the layers [mm, degrees].
    Returns:
        Modulus in the direction of the load [MPa].
    Range:
        One layer or more.
    Source:
        1 over thickness and the first term of the inverse of A; classical laminated plate theory (from memory).
    Example:
        >>> ply = Elastic(38000.0, 9000.0, 0.27, 3500.0)
        >>> round(stretching_stiffness([Lamina(ply, 0.5, angle) for angle in (0.0, 90.0, 90.0, 0.0)]), 2)
        23657.19
    """
    import numpy as np

    stretching, _, _ = plate(stack)
    return float(1.0 / (math.fsum(layer.thickness for layer in stack) * np.linalg.inv(stretching)[0, 0]))


def bending_stiffness(stack: Sequence[Lamina]) -> float:
    """Stiffness of a strip that is bent over two supports and free to stretch.

    Args:
        stack: the layers [mm, degrees].
    Returns:
        Modulus in bending in the direction of the load [MPa].
    Range:
        One layer or more.
    Source:
        12 over the cube of the thickness and the first term of the inverse of D - B A^-1 B (from memory).
    Example:
        >>> ply = Elastic(38000.0, 9000.0, 0.27, 3500.0)
        >>> round(bending_stiffness([Lamina(ply, 0.5, angle) for angle in (0.0, 90.0, 90.0, 0.0)]), 1)
        34503.0
    """
    import numpy as np

    stretching, coupling, bending = plate(stack)
    free = bending - coupling @ np.linalg.inv(stretching) @ coupling
    return float(12.0 / (math.fsum(layer.thickness for layer in stack) ** 3 * np.linalg.inv(free)[0, 0]))
