"""Plate theory for LAM-08: what the stiffness of a lay-up should be, from its glass and usual figures.

Sources: Halpin-Tsai equations, the averages for a mat, and classical laminated plate theory, as the handbooks of
composites print them (from memory).
"""

from __future__ import annotations

import math

import numpy as np

from tests.again.common_rules import Package
from tests.again.laminate_burned import material, schedule
from tests.again.published import CURED_RESIN, GLASS_FIBRE

Constants = tuple[float, float, float, float]  # E along, E across, Poisson's ratio, G


def one_direction(volume: float) -> Constants:
    """Constants of a layer with its fibres side by side: mixtures along, Halpin-Tsai with 2 across and 1 in shear."""
    fibre, resin = GLASS_FIBRE, CURED_RESIN
    shear_f, shear_m = fibre[0] / 2 / (1 + fibre[1]), resin[0] / 2 / (1 + resin[1])

    def tsai(of_fibre: float, of_resin: float, shape: float) -> float:
        eta = (of_fibre / of_resin - 1) / (of_fibre / of_resin + shape)
        return of_resin * (1 + shape * eta * volume) / (1 - eta * volume)

    along = volume * fibre[0] + (1 - volume) * resin[0]
    ratio = volume * fibre[1] + (1 - volume) * resin[1]
    return along, tsai(fibre[0], resin[0], 2.0), ratio, tsai(shear_f, shear_m, 1.0)


def mat(layer: Constants) -> Constants:
    """A mat of the same fibres: 3/8 along and 5/8 across, in shear 1/8 and 1/4; alike in all directions."""
    young = 3 / 8 * layer[0] + 5 / 8 * layer[1]
    shear = 1 / 8 * layer[0] + 1 / 4 * layer[1]
    return young, young, young / 2 / shear - 1, shear


def layers(package: Package, zone: str, skin: str, content: float) -> list[tuple[float, float, Constants]]:
    """The layers from the mould on: thickness [any unit], angle [deg], constants; a fabric has one a direction."""
    found = []
    for ply in schedule(package, zone, skin):
        fabric, resin = material(package, ply.text("material")), material(package, ply.text("resin"))
        share = content / 100
        glass, matrix = share / fabric.value("density"), (1 - share) / resin.value("density")
        constants = one_direction(glass / (glass + matrix))
        thick = fabric.value("weight") * (glass + matrix) / share
        if fabric.text("kind") == "mat":
            found.append((thick, 0.0, mat(constants)))
        else:
            angles = [float(angle) for angle in ply.text("angle").split("/")]
            found += [(thick / len(angles), angle, constants) for angle in angles]
    return found


def _rotated(angle: float, constants: Constants) -> np.ndarray:
    along, across, ratio, shear = constants
    other = ratio * across / along
    q = np.array([[along, ratio * across, 0], [ratio * across, across, 0], [0, 0, 0]]) / (1 - ratio * other)
    q[2, 2] = shear
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turn = np.array([[c * c, s * s, 2 * c * s], [s * s, c * c, -2 * c * s], [-c * s, c * s, c * c - s * s]])
    reuter = np.diag([1.0, 1.0, 2.0])
    return np.linalg.inv(turn) @ q @ reuter @ turn @ np.linalg.inv(reuter)


def stiffness(stack: list[tuple[float, float, Constants]], bent: bool) -> float:
    """Modulus of a strip: pulled between grips that keep it flat, or bent and free to stretch."""
    whole = sum(thick for thick, _, _ in stack)
    a, b, d = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
    below = -whole / 2
    for thick, angle, constants in stack:
        q, above = _rotated(angle, constants), below + thick
        a += q * (above - below)
        b += q * (above**2 - below**2) / 2
        d += q * (above**3 - below**3) / 3
        below = above
    if bent:
        return float(12 / whole**3 / np.linalg.inv(d - b @ np.linalg.inv(a) @ b)[0, 0])
    return float(1 / whole / np.linalg.inv(a)[0, 0])
