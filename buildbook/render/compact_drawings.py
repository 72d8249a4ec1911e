"""Makes the charts and the drawings of her light in the pages of the site; print keeps them as they are drawn.

- A look that `pictures.css` lists becomes its class.
- Groups without meaning go, and so do the spaces of path data and the names that only the drawing itself uses.
- What both halves of a drawing of her show is written in the first and used in the second. The marks are not: they are
  links, and a use has none.

A look that the style sheet does not list stays as it is.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import partial

Look = frozenset[tuple[str, str]]
NAME_SPACE = re.compile(r' xmlns(?::xlink)?="[^"]*"')
CHART = re.compile(r'<svg[^>]* class="chart"[^>]*>.*?</svg>', re.DOTALL)
BETWEEN = re.compile(r">\n<")
GROUP = re.compile(r"<(/?)g\b([^>]*?)\s*(/?)>")
DATA = re.compile(r'(?<= d=")[^"]*')
COMMAND = re.compile(r"\s*([A-Za-z])\s*")
LINE = re.compile(r"([ML])(\S+) (\S+?)(?=[A-Za-z]|$)")
STRAIGHT = re.compile(r"(?:[ML][-\d.]+ [-\d.]+)+[zZ]?")
STYLE = re.compile(r' style="([^"]*)"')
OWN_NAME = re.compile(r'(?:xlink:)?href="#([^"]+)"|url\(#([^)]+)\)')
NAME = re.compile(r' id="([^"]+)"')

HALF = re.compile(
    r'(<svg[^>]* class="hull"[^>]*aria-labelledby="(\S+)-(aft|forward)-title[^>]*>.*?</desc>)(.*?)'
    r'(?=<(?:a|g) id="|</svg>)',
    re.DOTALL,
)
HULL = re.compile(r'<svg[^>]* class="hull".*?</svg>', re.DOTALL)
MARK = re.compile(r"(?<=</title>)(?:<(?:circle|rect|text)[^>]*>[^<]*(?:</text>)?)+(?=</[ag]>)")
COLOUR = re.compile(r' (?:fill|stroke)="#[0-9a-f]{6}"')
ELEMENT = re.compile(r'<(path|line|circle|rect|text)((?: [\w-]+="[^"]*")+)(/?)>')
ATTRIBUTE = re.compile(r' ([\w-]+)="([^"]*)"')
PAINT = re.compile(r"fill|stroke|font|text-anchor")


def light_drawings(page: str, looks: Mapping[Look, str]) -> str:
    """A page with light charts and drawings of her.

    Args:
        page: HTML, with the drawings as they are drawn.
        looks: the classes of `pictures.css` by the declarations that each stands for.
    """
    page = CHART.sub(lambda match: _chart(match.group(), looks), page)
    seen: dict[tuple[str, str], str] = {}
    page = HALF.sub(partial(_half, seen), page)
    return HULL.sub(lambda match: ELEMENT.sub(partial(_element, looks), MARK.sub(_mark, match.group())), page)


def short_path(data: str) -> str:
    """The same path, written short: no needless spaces, level and upright lines by one number.

    >>> short_path("M 27.4 200.17  L 453.7 200.17  L 453.7 0  z ")
    'M27.4 200.17H453.7V0z'
    >>> short_path("M 0 1.5  C 0.4 1.5 0.8 1.3 1.1 1.1")
    'M0 1.5C0.4 1.5 0.8 1.3 1.1 1.1'
    """
    short = COMMAND.sub(r"\1", data.strip())
    if not STRAIGHT.fullmatch(short):
        return short
    pieces: list[str] = []
    before = ("", "")
    for letter, x, y in LINE.findall(short):
        if letter == "L" and y == before[1]:
            pieces.append(f"H{x}")
        elif letter == "L" and x == before[0]:
            pieces.append(f"V{y}")
        else:
            pieces.append(f"{letter}{x} {y}")
        before = (x, y)
    return "".join(pieces) + (short[-1] if short[-1] in "zZ" else "")


def _chart(svg: str, looks: Mapping[Look, str]) -> str:
    svg = BETWEEN.sub("><", NAME_SPACE.sub("", svg)).replace(" />", "/>").replace("xlink:href", "href")
    svg = DATA.sub(lambda match: short_path(match.group()), _grouped(svg))
    svg = STYLE.sub(lambda match: _styled(match, looks), svg)
    return _renamed(svg)


def _grouped(svg: str) -> str:
    """Without groups that are empty, or that say nothing."""
    while (fewer := svg.replace("<g/>", "").replace("<g></g>", "")) != svg:
        svg = fewer
    said: list[bool] = []

    def group(match: re.Match[str]) -> str:
        end, attributes, alone = match.groups()
        if alone:
            return match.group()
        if end:
            return "</g>" if said.pop() else ""
        said.append(bool(attributes))
        return match.group() if attributes else ""

    return GROUP.sub(group, svg)


def _styled(match: re.Match[str], looks: Mapping[Look, str]) -> str:
    known = looks.get(declared(match.group(1)))
    return f' class="{known}"' if known else match.group()


def declared(style: str) -> Look:
    """The declarations of a style attribute or of a rule."""
    return frozenset((name, value) for name, _, value in (one.partition(": ") for one in style.split("; ")))


def _renamed(svg: str) -> str:
    """Names that the drawing uses itself, short: the first letters of its own key and a number."""
    used = list(dict.fromkeys(one or other for one, other in OWN_NAME.findall(svg)))
    key = NAME.search(svg)
    if key is None:
        return svg
    start = key.group(1).removesuffix("-title")
    short = {name: f"{start}-{number}" for number, name in enumerate(used) if name.startswith(f"{start}-")}
    for name, new in short.items():
        svg = svg.replace(f'href="#{name}"', f'href="#{new}"').replace(f"url(#{name})", f"url(#{new})")
        svg = svg.replace(f' id="{name}"', f' id="{new}"')
    return svg


def _half(seen: dict[tuple[str, str], str], match: re.Match[str]) -> str:
    """A half of a drawing of her; what the other half has shown is used."""
    start, key, part, ground = match.groups()
    start = NAME_SPACE.sub("", start)
    name = f"{key}-her"
    if part == "aft":
        seen[key, ground] = name
        return f'{start}<g id="{name}">{ground}</g>'
    if (key, ground) in seen:
        return f'{start}<use href="#{name}"/>'
    return start + ground


def _element(looks: Mapping[Look, str], match: re.Match[str]) -> str:
    """One element of a drawing of her with the class of its look in place of the attributes."""
    tag, written, end = match.groups()
    attributes = dict(ATTRIBUTE.findall(written))
    look = frozenset(
        (key, f"{value}px" if key == "font-size" else value) for key, value in attributes.items() if PAINT.match(key)
    )
    known = looks.get(look)
    if known is None:
        return match.group()
    own = attributes.pop("class", "")
    named = f"{own} {known}" if own and not own.startswith("mark-") else known
    rest = "".join(f' {key}="{value}"' for key, value in attributes.items() if not PAINT.match(key))
    return f'<{tag} class="{named}"{rest}{end}>'


def _mark(match: re.Match[str]) -> str:
    """A mark without colours: on the site its verdict gives them, for light and dark."""
    return COLOUR.sub("", match.group())
