"""Keeps on one line what is read as one: a number with its uncertainty and unit, a unit with a stroke, a date, an id.

`mm/` and `s` never part, nor `2026-` and `05-26`, nor `DN-` and `014`, nor `2631-` and `2`.
"""

from __future__ import annotations

import re

from buildbook.core.shown_units import ShownUnits

# Whatever stands in one of these is not text of the page.
APART = re.compile(r"(<(svg|title|style|script)\b.*?</\2>|<[^>]*>)", re.DOTALL)
OVER = "µm|mm|cm|km|m|mg|kg|g|t|kN|N|µS|kW|W|J|l|r|samples|nautical miles"
UNDER = "mm²|cm²|dm²|m²|cm³|m³|mm|cm|m|min|s²|s|h|kg|kW|l"
ALONE = "R|µm|mm|cm|km|m²|m³|m|mg|kg|g|t|MPa|GPa|kPa|Pa|kN|N|%|°C|°|K|Hz|kHz|dB|kW|W|kn|min|h|s|GU|l|days|plies|per dm²"
US_OVER = "lb|oz|gal|in|ft|lbf|inHg|°F"
US_UNDER = "yd²|ft²|ft³|s²|ft|min|s|h"
US_ALONE = "inHg|in²|in|mil|µin|ft²|ft³|ft|gal|lbf·ft|lbf|lb|psi|ksi|hp|°F|per ft²"
NUMBER = r"[−-]?(?:[0-9]{1,3}(?: [0-9]{3})+|[0-9]+)(?:[.,][0-9]+)*"
DATE = r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?: [0-9]{2}:[0-9]{2})?"
ID = r"[A-Z]{1,5}-[A-Z]?[0-9]{1,4}(?:/[0-9]{1,4})?|[A-Z]{2}-[A-Z]{3}[0-9A-Z]{9}"
PART = r"[0-9]{3,5}-[0-9]{1,2}"  # of a standard: ISO 2631-2


def _patterns(over: str, under: str, alone: str) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """What is kept together: values alone, and dates and ids too."""
    stroke = rf"(?:{over})/(?:{under})"
    value = rf"(?:{NUMBER} ± )?{NUMBER}[ \u00a0](?:{stroke}|{alone})|{stroke}"
    return (
        re.compile(rf"(?<![\w/.])(?:{value})(?![\w/²³])"),
        re.compile(rf"(?<![\w/.-])(?:{value}|{NUMBER} ± {NUMBER}|{DATE}|{ID}|{PART})(?![\w/²³]|[.-]\w)"),
    )


PATTERNS = {
    ShownUnits.METRIC: _patterns(OVER, UNDER, ALONE),
    ShownUnits.US: _patterns(f"{OVER}|{US_OVER}", f"{UNDER}|{US_UNDER}", f"{US_ALONE}|{ALONE}"),
}
MAY_HOLD = re.compile(r"[0-9/]")  # every such piece has a digit or a stroke; most texts between two tags have neither
# A span as print takes it; on the site, where some twenty thousand recur, an element without meaning, half as long.
SPAN, SHORT = ('<span class="unit">', "</span>"), ("<n-b>", "</n-b>")

# A space between words and what is set in an element of its own; none after a tag, where the line has just begun.
BEFORE_ELEMENT = re.compile(r"(?<=[^\s>]) (?=<(?:a|b|span|v-t|l-t)\b)")


def spaces_apart(page: str) -> str:
    """A page for print, each space before a link, a unit or other words of their own in an element by itself.

    WeasyPrint 70.0 breaks a line after its first word where the words before such an element fill the line and only
    their last space does not fit.

    >>> spaces_apart("<p>gloss at 60°: <span>86 GU</span></p>")
    '<p>gloss at 60°:<s-p> </s-p><span>86 GU</span></p>'
    """
    return BEFORE_ELEMENT.sub("<s-p> </s-p>", page)


def unbroken(
    page: str,
    *,
    names: bool = True,
    around: tuple[str, str] = SPAN,
    shown: ShownUnits = ShownUnits.METRIC,
) -> str:
    """A page of which no line ends inside a value, a unit, a date or an id.

    Args:
        page: HTML as the templates write it, with `<` and `>` only around tags.
        names: whether dates and ids are kept too; not where a style sheet keeps every cell on its line.
        around: what is written before and after each piece.
        shown: the units that the page tells figures in.

    Returns:
        The same page, its text unchanged, each such piece in an element of its own. Pictures, titles and styles are
        left alone.

    >>> unbroken('<p title="2 mm/s">2.46 ± 0.29 mm/s on 2026-05-20</p>')
    '<p title="2 mm/s"><span class="unit">2.46 ± 0.29 mm/s</span> on <span class="unit">2026-05-20</span></p>'
    >>> unbroken('<p>displacement 34 500 kg</p>')
    '<p>displacement <span class="unit">34 500 kg</span></p>'
    >>> unbroken("<p>ISO 2631-2</p>")
    '<p>ISO <span class="unit">2631-2</span></p>'
    """
    pattern = PATTERNS[shown][names]
    before, after = around

    def kept(text: str) -> str:
        return pattern.sub(lambda piece: f"{before}{piece[0]}{after}", text) if MAY_HOLD.search(text) else text

    pieces: list[str] = []
    end = 0
    for tag in APART.finditer(page):
        pieces += [kept(page[end : tag.start()]), tag.group()]
        end = tag.end()
    return "".join((*pieces, kept(page[end:])))
