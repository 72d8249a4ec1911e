"""Shaft diameters by three rules, each for a service of its own."""

from __future__ import annotations

import math

from buildbook.formulas import require_range

HIGHEST_CLASS_STRENGTH = 600.0  # N/mm2: the class rule credits no more


def yacht_diameter(power: float, factor: float, torsional_yield: float, speed: float) -> float:
    """The shaft diameter of the simple rule for yachts: torque, a service factor, and the yield in torsion.

    Args:
        power: power on the shaft [kW].
        factor: service factor SF, which holds the keyway too [1].
        torsional_yield: torsional yield St of the shaft metal [MPa].
        speed: speed of the shaft at that power [rpm].
    Returns:
        d = 1000 (48.634 P SF / (St n))^(1/3), P in W, St in Pa; 48.634 is 480 / pi^2 [mm].
    Range:
        All above zero.
    Source:
        ABYC P-6 and a handbook of boat systems, chapter 1, formula 1-2 (read).
    Example:
        >>> round(yacht_diameter(300.0, 3.0, 482.0, 1050.0), 2)
        44.22
    """
    _positive(power=(power, "kW"), factor=(factor, ""), torsional_yield=(torsional_yield, "MPa"), speed=(speed, "rpm"))
    return float(1000.0 * (480.0 / math.pi**2 * power * 1e3 * factor / (torsional_yield * 1e6 * speed)) ** (1.0 / 3.0))


def torsional_yield(tensile_yield: float) -> float:
    """The yield in torsion of nickel and steel alloys from that in tension.

    Args:
        tensile_yield: yield in tension [MPa].
    Returns:
        Two thirds of it [MPa].
    Range:
        Above zero.
    Source:
        ABYC P-6, extract of 2002 (read).
    Example:
        >>> round(torsional_yield(723.0), 1)
        482.0
    """
    _positive(tensile_yield=(tensile_yield, "MPa"))
    return 2.0 / 3.0 * tensile_yield


def passenger_diameter(power: float, speed: float, strength: float, propeller: float, protection: float) -> float:
    """The shaft diameter of a rule for small passenger vessels.

    Args:
        power: power on the shaft H [kW].
        speed: speed of the shaft R [rpm].
        strength: tensile strength S [MPa].
        propeller: diameter of the propeller P [mm].
        protection: constant C, by how the shaft resists corrosion [1].
    Returns:
        d = 106.41 (H / R)^(1/3) max((414 / S)^(1/3), 0.85) + K P / C, K = min(0.0008 P, 1) [mm].
    Range:
        All above zero.
    Source:
        TP 11717, as a consulting engineers' published calculation sheet gives it (read there).
    Example:
        >>> round(passenger_diameter(309.0, 1100.92, 655.0, 762.0, 144.0), 2)
        63.02
    """
    _positive(power=(power, "kW"), speed=(speed, "rpm"), strength=(strength, "MPa"), propeller=(propeller, "mm"),
              protection=(protection, ""))  # fmt: skip
    metal = max((414.0 / strength) ** (1.0 / 3.0), 0.85)
    overhang = min(0.0008 * propeller, 1.0) * propeller / protection
    return float(106.41 * (power / speed) ** (1.0 / 3.0) * metal + overhang)


def class_diameter(power: float, speed: float, strength: float, keyed: float = 1.26) -> float:
    """The propeller shaft diameter of a class rule for seagoing ships; solid shaft, engine drive.

    Args:
        power: power on the shaft P [kW].
        speed: speed of the shaft n [rpm].
        strength: tensile strength R_m [MPa]; above 600 the rule credits 600.
        keyed: factor k for how the propeller is held [1].
    Returns:
        d = 100 k (P / n x 560 / (R_m + 160))^(1/3) [mm].
    Range:
        All above zero.
    Source:
        Class rule of the IACS M68 type, as a public design report works it (read there); the cap of the strength read
        in the text of another class.
    Example:
        >>> round(class_diameter(1324.0, 412.8, 600.0), 1)
        167.8
    """
    _positive(power=(power, "kW"), speed=(speed, "rpm"), strength=(strength, "MPa"), keyed=(keyed, ""))
    credited = min(strength, HIGHEST_CLASS_STRENGTH)
    return float(100.0 * keyed * (power / speed * 560.0 / (credited + 160.0)) ** (1.0 / 3.0))


def _positive(**given: tuple[float, str]) -> None:
    for name, (value, unit) in given.items():
        require_range(name.replace("_", " "), value, unit, 0.0, above=True)
