"""The shipped fonts are whole and have the figures and signs that the pages rely on.

The outside measure is the font files themselves, read by fontTools.
"""

import hashlib
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from buildbook.render.templates import fonts_dir

WEB_FONTS = tuple(
    f"IBMPlex{family}-{style}.woff2" for family in ("Sans", "Serif") for style in ("Regular", "Italic", "SemiBold")
)
CHART_FONTS = ("IBMPlexSans-Regular.ttf", "IBMPlexSans-SemiBold.ttf")
WEIGHTS = {"Regular": 400, "Italic": 400, "SemiBold": 600}
SIGNS = "0123456789+-.,;:%/()°µ±×≤≥−–—→←ΩσΔ≈√″′\u2011✓²³·…§‰∞αβλμÄÖÜäöüßéèàçñøåæœ€\u00a0"

# sha256 of the files inside the npm packages @ibm/plex-sans 1.1.0 and @ibm/plex-serif 2.0.0, fonts/complete/woff2.
# The licence reserves the name: a changed file must not carry it.
PUBLISHED = {
    "IBMPlexSans-Italic.woff2": "13284fab1821ba6e3652c1580fcf2bbfd8c9309520c69b3d1224dab40b37c597",
    "IBMPlexSans-Regular.woff2": "ba711a3085ff9f27440b6b9c4550cfc47c97bf36591d5da958b975bb3add8c1a",
    "IBMPlexSans-SemiBold.woff2": "f78048030eab62e860efa39a0df79e2e5581bf122eb95b9bc42c0b8a4988d205",
    "IBMPlexSerif-Italic.woff2": "ba5feed9ebae36e3b6ae3486052c90f4f42a294fa67a7c9415985175d19c4c82",
    "IBMPlexSerif-Regular.woff2": "024ebce13cec984b46e350dd85fa7c01105c777e116bfe95f097ad7fa93f39f2",
    "IBMPlexSerif-SemiBold.woff2": "030d808e82f99ebe5c21d50745bd06e5ce16ad9e94b360f5adcc19362beb5344",
}


def font(name: str) -> TTFont:
    return TTFont(fonts_dir() / name)


def glyphs_of_feature(face: TTFont, tag: str) -> dict[str, str]:
    """Glyph to glyph, for the single substitutions of an OpenType feature."""
    table = face["GSUB"].table
    wanted = {
        index
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == tag
        for index in record.Feature.LookupListIndex
    }
    swaps: dict[str, str] = {}
    for index in wanted:
        for subtable in table.LookupList.Lookup[index].SubTable:
            swaps |= getattr(getattr(subtable, "ExtSubTable", subtable), "mapping", {})
    return swaps


@pytest.mark.parametrize("name", WEB_FONTS)
def test_web_font_is_the_published_file(name: str) -> None:
    assert hashlib.sha256((fonts_dir() / name).read_bytes()).hexdigest() == PUBLISHED[name]


@pytest.mark.parametrize("name", WEB_FONTS + CHART_FONTS)
def test_weight_and_slope_are_real_and_not_made_up(name: str) -> None:
    face = font(name)
    style = Path(name).stem.split("-")[1]
    assert face["OS/2"].usWeightClass == WEIGHTS[style]
    assert (face["post"].italicAngle != 0) == (style == "Italic")


@pytest.mark.parametrize("name", WEB_FONTS + CHART_FONTS)
def test_digits_share_one_width(name: str) -> None:
    face = font(name)
    glyphs = face.getBestCmap()
    assert len({face["hmtx"][glyphs[ord(digit)]][0] for digit in "0123456789"}) == 1


@pytest.mark.parametrize("name", WEB_FONTS)
def test_every_digit_has_an_old_style_form_of_the_same_width(name: str) -> None:
    face = font(name)
    glyphs, swaps = face.getBestCmap(), glyphs_of_feature(face, "onum")
    for digit in "0123456789":
        lining = glyphs[ord(digit)]
        assert swaps[lining] != lining
        assert face["hmtx"][swaps[lining]][0] == face["hmtx"][lining][0]


@pytest.mark.parametrize("name", WEB_FONTS + CHART_FONTS)
def test_signs_of_the_trade_are_there(name: str) -> None:
    glyphs = font(name).getBestCmap()
    assert [sign for sign in SIGNS if ord(sign) not in glyphs] == []


@pytest.mark.parametrize("name", CHART_FONTS)
def test_chart_font_has_the_metrics_of_the_web_font(name: str) -> None:
    assert font(name)["hmtx"].metrics == font(name.replace(".ttf", ".woff2"))["hmtx"].metrics


def test_chart_library_finds_both_weights_under_one_family() -> None:
    from matplotlib.font_manager import FontProperties, fontManager

    for name in CHART_FONTS:
        fontManager.addfont(str(fonts_dir() / name))
    for name, weight in zip(CHART_FONTS, (400, 600), strict=True):
        wanted = FontProperties(family="IBM Plex Sans", weight=weight)
        assert Path(fontManager.findfont(wanted, fallback_to_default=False)) == fonts_dir() / name


def test_every_family_has_its_licence_beside_it() -> None:
    for family in ("Sans", "Serif"):
        text = (fonts_dir() / f"OFL-IBMPlex{family}.txt").read_text(encoding="utf-8")
        assert "SIL OPEN FONT LICENSE Version 1.1" in text
        assert "IBM Corp." in text
