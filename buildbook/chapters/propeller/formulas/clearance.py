"""The room that a class society recommends around a propeller."""

from __future__ import annotations

from buildbook.formulas import require_range


def clearance_factor(screws: float, rule_length: float, block: float, power: float) -> float:
    """The factor K of the recommendation: the more power on a short full hull, the more room.

    Args:
        screws: the constant for single or for twin screws [1].
        rule_length: rule length L_R [m].
        block: block coefficient C_b [1].
        power: power on one shaft P_s [kW].
    Returns:
        K = (0.1 + L_R / 3050) (screws C_b P_s / L_R^2 + 0.3) [1].
    Range:
        All above zero; block coefficient up to 1.
    Source:
        LR rules for special service craft, part 3, chapter 3, table 3.3.2 (read in two public copies).
    Example:
        >>> round(clearance_factor(2.56, 24.0, 0.45, 900.0), 4)
        0.2265
    """
    require_range("constant for the screws", screws, "", 0.0, above=True)
    require_range("rule length", rule_length, "m", 0.0, above=True)
    require_range("block coefficient", block, "", 0.0, 1.0, above=True)
    require_range("power", power, "kW", 0.0, above=True)
    return (0.1 + rule_length / 3050.0) * (screws * block * power / rule_length**2 + 0.3)


def recommended_share(multiple: float, factor: float, least: float) -> float:
    """Recommended clearance as a share of the diameter.

    Args:
        multiple: of K, by the number of blades [1].
        factor: K [1].
        least: the least share, by the number of blades [%].
    Returns:
        Share of the diameter: 100 x multiple x K, or the least share where that is more [%].
    Range:
        All above zero.
    Source:
        LR rules for special service craft, part 3, chapter 3, table 3.3.2 (read in two public copies).
    Example:
        >>> round(recommended_share(1.0, 0.2265, 20.0), 2), recommended_share(0.85, 0.1, 16.0)
        (22.65, 16.0)
    """
    for name, value, unit in (("multiple", multiple, ""), ("factor", factor, ""), ("least share", least, "%")):
        require_range(name, value, unit, 0.0, above=True)
    return max(100.0 * multiple * factor, least)
