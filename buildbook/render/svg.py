"""Small pieces of SVG that more than one drawing needs."""

from __future__ import annotations

import math
import re
from html import escape

NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def legible(words: str) -> str:
    """Words without the characters that XML 1.0 forbids (section 2.2, from memory); each becomes a replacement sign.

    >>> legible("a\x07b")
    'a\ufffdb'
    """
    return NOT_XML.sub("\ufffd", words)


def told(words: str) -> str:
    """Words made fit to stand in SVG, in text and in attributes."""
    return escape(legible(words), quote=True)


def name_of(key: str) -> str:
    """A key as it may stand in an id.

    >>> name_of("COA-04/7 a")
    'COA-04-7-a'
    """
    return re.sub(r"[^A-Za-z0-9_-]+", "-", key)


def number(value: float) -> str:
    """A coordinate: at most two decimals, no trailing zeros, never `-0`.

    >>> number(12.50), number(-0.001), number(3)
    ('12.5', '0', '3')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def hatch(x0: float, y0: float, x1: float, y1: float, *, step: float) -> str:
    """Path data of strokes rising to the right at 45°, clipped by computation to a box.

    The strokes lie on one grid through the origin, so that boxes side by side are hatched as one.

    Args:
        x0, y0: the corner with the smaller coordinates [picture units].
        x1, y1: the opposite corner.
        step: distance between strokes along x.

    >>> hatch(0, 0, 4, 4, step=4)
    'M0 4L4 0'
    """
    strokes = []
    for index in range(math.floor((x0 + y0) / step) + 1, math.ceil((x1 + y1) / step)):
        total = index * step  # on a stroke x + y is constant
        left, right = max(x0, total - y1), min(x1, total - y0)
        if right > left:
            strokes.append(f"M{number(left)} {number(total - left)}L{number(right)} {number(total - right)}")
    return "".join(strokes)


def inked(svg: str, colour: str) -> str:
    """The same picture with its ink fixed, for programs that do not inherit the colour of the text around it.

    The PDF library paints `currentColor` black unless the root element carries a colour; in a web page the attribute
    would stand in the way of the dark scheme, so the drawings leave it out.

    Args:
        svg: an `<svg>` element as text.
        colour: the ink, as `#1d2733`.

    >>> inked('<svg viewBox="0 0 1 1"/>', "#1d2733")
    '<svg color="#1d2733" viewBox="0 0 1 1"/>'
    """
    return svg.replace("<svg ", f'<svg color="{colour}" ', 1)


def untold(svg: str) -> str:
    """The same picture without its own words, for a place that names it: equal drawings are then equal files.

    Args:
        svg: an `<svg>` element as text, named by a `<title>` that stands first in it.

    >>> untold('<svg role="img" aria-labelledby="a-strip"><title id="a-strip">56 %: pass</title><path/></svg>')
    '<svg role="img"><path/></svg>'
    """
    return re.sub(r' aria-labelledby="[^"]*"><title id="[^"]*">[^<]*</title>', ">", svg, count=1)
