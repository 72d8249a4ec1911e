"""How well one colour can be told from another."""

from __future__ import annotations


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour.

    Args:
        colour: `#rrggbb`.

    Returns:
        From 0 (black) to 1 (white).

    Source:
        WCAG 2.2, definition of relative luminance, with the threshold 0.04045 that stands there since May 2021.

    Example:
        >>> round(luminance("#808080"), 4)
        0.2159
    """
    red, green, blue = (_linear(int(colour[place : place + 2], 16) / 255) for place in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours.

    Args:
        one: `#rrggbb`.
        other: `#rrggbb`; the order does not matter.

    Returns:
        From 1 (alike) to 21 (black on white).

    Source:
        WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05), L1 the lighter one.

    Example:
        >>> contrast("#000000", "#ffffff")
        21.0
    """
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def mixed(colour: str, ground: str, share: float) -> str:
    """A colour laid on a ground so that `share` (0 to 1) of it covers, in sRGB as a browser does it.

    >>> mixed("#000000", "#ffffff", 0.2)
    '#cccccc'
    """
    pairs = [(int(colour[at : at + 2], 16), int(ground[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(share * over + (1 - share) * under):02x}" for over, under in pairs)


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
