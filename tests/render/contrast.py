"""Contrast of colours by the formula of WCAG 2.1 (relative luminance and contrast ratio; quoted from memory)."""

from __future__ import annotations

import re
from pathlib import Path

Colour = str | tuple[float, ...]


def parts(colour: Colour) -> tuple[float, ...]:
    """Red, green, blue from 0 to 255."""
    if isinstance(colour, str):
        return tuple(float(int(colour[index : index + 2], 16)) for index in (1, 3, 5))
    return colour


def luminance(colour: Colour) -> float:
    linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in (c / 255.0 for c in parts(colour))]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Colour, other: Colour) -> float:
    """From 1 (alike) to 21 (black on white)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def blended(colour: Colour, ground: Colour, share: float) -> tuple[float, ...]:
    """What a translucent colour looks like on its ground."""
    return tuple(share * a + (1.0 - share) * b for a, b in zip(parts(colour), parts(ground), strict=True))


def theme_colours(sheet: Path, name: str) -> list[str]:
    """The values of a custom property of the theme: first on light pages, then on dark ones."""
    return re.findall(rf"--{name}: (#[0-9a-f]{{6}});", sheet.read_text(encoding="utf-8"))
