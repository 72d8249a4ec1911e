"""Makes the pages of the site light: what recurs in their small pictures is written once.

A page has hundreds of strips and signs. In print each is a file that stands for itself; inline in a page

- a sign becomes a use of one symbol,
- the look of an element of a strip becomes a class of `pictures.css`, the name space goes, a title names its picture
  without an id,
- the hatching of a guard band becomes a pattern instead of strokes.

What a picture shows and what it is called stay the same. A look that the style sheet does not list stays as it is.
"""

from __future__ import annotations

import re
from functools import lru_cache

from buildbook.render.strip_marks import HATCH_STEP
from buildbook.render.svg import number
from buildbook.render.templates import templates_dir

PICTURES = "site/pictures.css"
NAME_SPACE = ' xmlns="http://www.w3.org/2000/svg"'
SIGN = re.compile(r'<svg[^>]* class="sign (sign-[\w-]+)" viewBox="([^"]*)"[^>]* aria-hidden="true"[^>]*>(.*?)</svg>')
STRIP = re.compile(r'<svg[^>]* class="strip\b.*?</svg>', re.DOTALL)
NAMED = re.compile(r' aria-labelledby="([^"]*)"><title id="\1">')
GUARD = re.compile(
    r'<rect class="strip-guard"( [^>]*?) (fill="[^"]*" fill-opacity="[^"]*")/><path class="strip-hatch"[^>]*/>'
)
ELEMENT = re.compile(r'<(rect|path|line|circle|g)((?: [\w-]+="[^"]*")+)(/?)>')
ATTRIBUTE = re.compile(r' ([\w-]+)="([^"]*)"')
RULE = re.compile(r"^\.(s-[\w-]+) \{ (.*) \}$", re.MULTILINE)
PAINT = re.compile(r"fill|stroke|color")
TILE = number(HATCH_STEP)
BODY = "<body>\n"

Look = frozenset[tuple[str, str]]


def compacted(page: str) -> str:
    """The same page with what recurs in its strips and signs written once.

    Args:
        page: HTML as the templates write it, with strips and signs as they are drawn.

    Returns:
        The page with short pictures, and with the symbols that they use after `<body>`.

    >>> compacted('<svg xmlns="http://www.w3.org/2000/svg" class="strip x"><g color="#0077bb"></g></svg>')
    '<svg class="strip x"><g class="s-marks"></g></svg>'
    """
    shared: dict[str, str] = {}

    def sign(match: re.Match[str]) -> str:
        name, box, drawn = match.groups()
        shared[name] = f'<symbol id="{name}" viewBox="{box}">{drawn}</symbol>'
        width, height = box.split()[2:]
        size = f'width="{width}" height="{height}"'
        return f'<svg class="sign" {size} aria-hidden="true"><use href="#{name}"/></svg>'

    page = STRIP.sub(lambda match: _strip(match.group()), SIGN.sub(sign, page))
    if 'fill="url(#hatch)"' in page:
        shared["hatch"] = _hatch()
    if not shared:
        return page
    symbols = "".join(shared[name] for name in sorted(shared))
    once = f'<svg class="once" width="0" height="0" aria-hidden="true"><defs>{symbols}</defs></svg>\n'
    return page.replace(BODY, BODY + once, 1)


@lru_cache(maxsize=1)
def looks() -> dict[Look, str]:
    """The classes of `pictures.css` by the attributes that each stands for."""
    text = (templates_dir() / PICTURES).read_text(encoding="utf-8")
    return {
        frozenset((name, value) for name, _, value in (one.partition(": ") for one in rule.split("; "))): known
        for known, rule in RULE.findall(text)
    }


def _strip(svg: str) -> str:
    svg = NAMED.sub("><title>", svg.replace(NAME_SPACE, "", 1))
    svg = GUARD.sub(r'<rect\1 fill="url(#hatch)"/>', svg)
    return ELEMENT.sub(_element, svg)


def _element(match: re.Match[str]) -> str:
    """One element with the class of its look in place of its own class and of the attributes."""
    name, written, end = match.groups()
    attributes = dict(ATTRIBUTE.findall(written))
    paint = {key: value for key, value in attributes.items() if PAINT.match(key)}
    known = looks().get(frozenset(paint.items()))
    if known is None:
        return match.group()
    rest = "".join(f' {key}="{value}"' for key, value in attributes.items() if key not in paint and key != "class")
    return f'<{name} class="{known}"{rest}{end}>'


def _hatch() -> str:
    """A guard band as `strip_marks.guard_band` draws it: strokes on one grid through the origin, on tinted ground."""
    far = number(HATCH_STEP + 1.0)
    near = number(HATCH_STEP - 1.0)
    strokes = f"M-1 1L1 -1M0 {TILE}L{TILE} 0M{near} {far}L{far} {near}"
    look = 'fill="none" stroke="currentColor" stroke-width="0.7" stroke-opacity="0.6"'
    box = f'width="{TILE}" height="{TILE}" patternUnits="userSpaceOnUse"'
    ground = f'<rect width="{TILE}" height="{TILE}" fill="currentColor" fill-opacity="0.06"/>'
    return f'<pattern id="hatch" {box}>{ground}<path d="{strokes}" {look}/></pattern>'
