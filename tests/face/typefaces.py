"""Invented typefaces for the tests: every sign is a box. Made with fontTools, so that no file has to be kept."""

from __future__ import annotations

import io
import string
from functools import cache

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

SIGNS = " " + string.ascii_letters + string.digits + string.punctuation
STAMP = 3_600_000_000  # seconds since 1904, as a font counts them
ITALIC, REGULAR = 0x01, 0x40  # of fsSelection


@cache
def typeface(
    family: str = "Example Box",
    weight: int = 400,
    italic: bool = False,
    signs: str = SIGNS,
    blank: str = "",
    ascent: int = 800,
) -> bytes:
    """A WOFF2 file; `blank` are signs without any ink."""
    names = [".notdef", *(f"uni{ord(sign):04X}" for sign in signs)]
    pen = TTGlyphPen(None)
    for point, move in zip(((50, 0), (450, 0), (450, 700), (50, 700)), ("moveTo", *["lineTo"] * 3), strict=True):
        getattr(pen, move)(point)
    pen.closePath()
    box = pen.glyph()
    made = FontBuilder(1000, isTTF=True)
    made.setupGlyphOrder(names)
    made.setupCharacterMap({ord(sign): name for sign, name in zip(signs, names[1:], strict=True)})
    without_ink = {f"uni{ord(sign):04X}": TTGlyphPen(None).glyph() for sign in blank}
    made.setupGlyf({**dict.fromkeys(names, box), **without_ink})
    made.setupHorizontalMetrics(dict.fromkeys(names, (500, 50)))
    made.setupHorizontalHeader(ascent=ascent, descent=-200)
    style = "Italic" if italic else "Regular"
    own = f"{family.replace(' ', '')}-{weight}{style}"
    made.setupNameTable({"familyName": family, "styleName": style, "psName": own})
    made.setupOS2(sTypoAscender=800, usWeightClass=weight, fsSelection=ITALIC if italic else REGULAR)
    made.setupPost(italicAngle=-12 if italic else 0)
    made.setupHead(unitsPerEm=1000, created=STAMP, modified=STAMP)
    made.font.flavor = "woff2"
    made.font.recalcTimestamp = False
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()
