"""Strength of test coupons from force and size, after the methods for fibre-reinforced plastics."""

from __future__ import annotations

from buildbook.formulas import require_range


def tensile_strength(force: float, width: float, thickness: float) -> float:
    """Stress in a strip that is pulled: force over cross-section.

    Args:
        force: at first failure [N].
        width: of the strip [mm].
        thickness: of the strip [mm].
    Returns:
        Strength [MPa].
    Range:
        Sizes above zero.
    Source:
        ISO 527-4 (from memory).
    Example:
        >>> tensile_strength(40000.0, 25.0, 4.0)
        400.0
    """
    _positive(force=force, width=width, thickness=thickness)
    return force / (width * thickness)


def flexural_strength(force: float, span: float, width: float, thickness: float) -> float:
    """Stress at the surface of a strip that is bent over two supports by a load in the middle.

    Args:
        force: at first failure [N].
        span: between the supports [mm].
        width: of the strip [mm].
        thickness: of the strip [mm].
    Returns:
        Strength [MPa].
    Range:
        Sizes above zero; deflection small against the span.
    Source:
        ISO 14125, method A (from memory).
    Example:
        >>> flexural_strength(610.0, 64.0, 15.0, 4.0)
        244.0
    """
    _positive(force=force, span=span, width=width, thickness=thickness)
    return 3.0 * force * span / (2.0 * width * thickness**2)


def short_beam_strength(force: float, width: float, thickness: float) -> float:
    """Apparent interlaminar shear strength of a short beam; depends on its size, and only for failure between layers.

    Args:
        force: at first failure [N].
        width: of the beam [mm].
        thickness: of the beam [mm].
    Returns:
        Apparent strength [MPa].
    Range:
        Sizes above zero.
    Source:
        ISO 14130 (from memory).
    Example:
        >>> round(short_beam_strength(1520.0, 20.1, 4.02), 3)
        14.109
    """
    _positive(force=force, width=width, thickness=thickness)
    return 3.0 * force / (4.0 * width * thickness)


def flatwise_strength(force: float, length: float, width: float) -> float:
    """Stress that pulls the skins of a sandwich off its core: force over area.

    Args:
        force: at failure [N].
        length: of the piece [mm].
        width: of the piece [mm].
    Returns:
        Strength [MPa].
    Range:
        Sizes above zero.
    Source:
        ASTM C297 (from memory).
    Example:
        >>> flatwise_strength(4500.0, 50.0, 50.0)
        1.8
    """
    _positive(force=force, length=length, width=width)
    return force / (length * width)


def _positive(**sizes: float) -> None:
    for name, value in sizes.items():
        require_range(name, value, "N" if name == "force" else "mm", 0.0, above=True)
