"""A builder's own typeface: whether a file is one, and the one that is meant."""

from __future__ import annotations

import io
import logging
import struct
from collections.abc import Mapping
from typing import Any

FULL = frozenset(range(0x20, 0x7F))
MOST_BYTES = 1_000_000
MOST_REACH = 3.0  # of the ascent or the descent, in sizes of the type (chosen here, no source)
MOST_UNPACKED = 12_000_000
_HEAD = struct.Struct(">4s4sIHHI")  # signature, flavour, length, tables, reserved, size unpacked
_NAMES = (1, 16)  # family, and family as typographers group it
_DRAWN_OTHERWISE = ("SVG ", "CBDT", "sbix", "COLR")


def font_faults(data: bytes, family: str, *, italic: bool, weight: int) -> tuple[tuple[str, str], ...]:
    """What is wrong with a font file.

    Args:
        data: the file.
        family: the name it is to be called by, which must be its own.
        italic: whether it is to be the italic.
        weight: the weight it is to have, 400 or 600.

    Returns:
        Pairs of what was expected and what was found; none where it can be used.

    Source:
        WOFF2 header: W3C, WOFF File Format 2.0, section 4.1. Tables `name`, `OS/2`, `cmap`: OpenType.
    """
    if len(data) > MOST_BYTES:
        return ((f"at most {MOST_BYTES // 1000} kB", f"{len(data) / 1000:.0f} kB"),)
    if len(data) < _HEAD.size or data[:4] != b"wOF2":
        return (("a WOFF2 file", "another file"),)
    _, flavour, length, _, _, unpacked = _HEAD.unpack_from(data)
    if length != len(data) or flavour == b"ttcf" or unpacked > MOST_UNPACKED:
        return (("one whole font, at most 12 MB unpacked", "another file"),)
    return _inside(data, family, italic, weight)


def _inside(data: bytes, family: str, italic: bool, weight: int) -> tuple[tuple[str, str], ...]:
    from fontTools.ttLib import TTFont

    logging.getLogger("fontTools").setLevel(logging.CRITICAL)  # what is wrong is told here, in words
    try:
        with TTFont(io.BytesIO(data), lazy=False) as font:
            tables = [name.strip() for name in _DRAWN_OTHERWISE if name in font]
            own = sorted({str(name) for name in font["name"].names if name.nameID in _NAMES})
            signs, measures, slanted = font.getBestCmap() or {}, font["OS/2"], bool(font["OS/2"].fsSelection & 1)
            heavy = int(measures.usWeightClass)
            blank = _blank(font, signs)
            reach = max(abs(int(font["hhea"].ascent)), abs(int(font["hhea"].descent))) / int(font["head"].unitsPerEm)
    except Exception:  # whatever a damaged file makes of the library: it is no font
        return (("a font that can be read", "a damaged one"),)
    wrong = []
    if family not in own:
        wrong.append((f"a font of the family '{family}'", f"one called {' or '.join(map(repr, own)) or 'nothing'}"))
    if FULL - signs.keys():
        missing = "".join(chr(sign) for sign in sorted(FULL - signs.keys()))
        wrong.append(("a font with all letters, figures and signs of ASCII", f"one without {missing[:40]}"))
    elif blank:
        wrong.append(("a font that draws all letters, figures and signs of ASCII", f"nothing for {blank[:40]}"))
    if reach > MOST_REACH:
        wrong.append((f"lines at most {MOST_REACH:g} times as high as the letters", f"{reach:.3g} times"))
    if slanted != italic:
        wrong.append(("an italic" if italic else "an upright font", "an italic" if slanted else "an upright one"))
    if abs(heavy - weight) > 100:
        wrong.append((f"a weight of about {weight}", str(heavy)))
    if tables:
        wrong.append(("a font of plain outlines", f"one with pictures in it ({', '.join(tables)})"))
    return tuple(wrong)


def _blank(font: Any, signs: Mapping[int, str]) -> str:
    """The signs of ASCII that the font has and draws without any ink, but for the space."""
    from fontTools.pens.boundsPen import ControlBoundsPen

    glyphs, blank = font.getGlyphSet(), ""
    for sign in sorted((FULL & signs.keys()) - {0x20}):
        pen = ControlBoundsPen(glyphs)
        glyphs[signs[sign]].draw(pen)
        left, low, right, high = pen.bounds or (0, 0, 0, 0)
        blank += "" if right > left or high > low else chr(sign)
    return blank
