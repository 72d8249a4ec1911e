"""Keeps a number and its unit on one line, and a unit with a stroke whole: `mm/` and `s` never part."""

from __future__ import annotations

import re

# Whatever stands in one of these is not text of the page.
APART = re.compile(r"(<(svg|title|style|script)\b.*?</\2>|<[^>]*>)", re.DOTALL)
OVER = "µm|mm|cm|km|m|mg|kg|g|t|kN|N|µS|kW|W|J|l|r|samples|nautical miles"
UNDER = "mm²|cm²|dm²|m²|cm³|m³|mm|cm|m|min|s²|s|h|kg|kW|l"
ALONE = "µm|mm|cm|km|m²|m³|m|mg|kg|g|t|MPa|GPa|kPa|Pa|kN|N|%|°C|°|K|Hz|kHz|dB|kW|W|kn|min|h|s|GU|l|days|plies|per dm²"
STROKE = rf"(?:{OVER})/(?:{UNDER})"
NUMBER = r"[−-]?(?:[0-9]{1,3}(?: [0-9]{3})+|[0-9]+)(?:[.,][0-9]+)*"
KEPT = re.compile(
    rf"(?<![\w/.])(?:{NUMBER}[ \u00a0](?:{STROKE}|{ALONE})|{STROKE})(?![\w/²³])",
)


def unbroken(page: str) -> str:
    """A page of which no line ends inside a unit, or between a number and its unit.

    Args:
        page: HTML as the templates write it, with `<` and `>` only around tags.

    Returns:
        The same page, its text unchanged: numbers with their units, and units with a stroke, in a `span` of the class
        `unit`. Pictures, titles and styles are left alone.

    >>> unbroken('<p title="2 mm/s">2.46 ± 0.29 mm/s</p>')
    '<p title="2 mm/s">2.46 ± <span class="unit">0.29 mm/s</span></p>'
    >>> unbroken('<p>displacement 34 500 kg</p>')
    '<p>displacement <span class="unit">34 500 kg</span></p>'
    """
    pieces: list[str] = []
    end = 0
    for tag in APART.finditer(page):
        pieces += [_kept(page[end : tag.start()]), tag.group()]
        end = tag.end()
    return "".join((*pieces, _kept(page[end:])))


def _kept(text: str) -> str:
    return KEPT.sub(r'<span class="unit">\g<0></span>', text)
