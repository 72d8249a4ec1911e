"""Makes the pages of the site light: what recurs in their small pictures is written once.

A page has hundreds of strips and signs. In print each is a file that stands for itself; inline in a page

- a sign becomes a use of one symbol,
- the look of an element of a strip becomes a class of `pictures.css`, the name space goes, a title names its picture
  without an id,
- the hatching of a guard band becomes a pattern instead of strokes,
- the ground of a strip that recurs (forbidden sides, edge, limits) and the dot become uses; the hatching, which lies
  beside forbidden ground and under the edge, is drawn before them.

`compact_drawings` does the like for charts and drawings of her, `compact_words` for the words between.

What a picture shows and what it is called stay the same. A look that the style sheet does not list stays as it is.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from buildbook.render.compact_drawings import Look, declared, light_drawings
from buildbook.render.compact_words import light_words
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
RULE = re.compile(r"^\.([sch]-[\w-]+) \{ (.*) \}$", re.MULTILINE)
PAINT = re.compile(r"fill|stroke|color")
TILE = number(HATCH_STEP)
BODY = "<body>\n"
HATCHED = re.compile(r'<rect [^>]*fill="url\(#hatch\)"/>')
GROUND = re.compile(
    r'(?:<(?:rect|line|path) (?:class="s-(?:forbidden|box|dashed|limit|hatch|base)"[^>]*|[^>]*hatch\)")/>)*'
)
SIZE = re.compile(r' strip-(?!fact)[a-z-]+(" viewBox="[^"]*") width="[^"]*" height="[^"]*"')
LEVEL = re.compile(r'<line class="s-whisker" x1="(\S+)" x2="(\S+)" y1="(\S+)" y2="\3"/>')
DOT = '<circle class="s-dot" cx="{}" cy="9" r="3.42"/>'
DOTTED = re.compile(DOT.format('([^"]+)').replace(".42", r"\.42"))


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
        return f'<svg class="sign" aria-hidden="true"><use href="#{name}"/></svg>'

    page = light_words(light_drawings(_strips(SIGN.sub(sign, page), shared), looks()))
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
    return {declared(rule): known for known, rule in RULE.findall(text)}


@dataclass(frozen=True, slots=True)
class Apart:
    """A strip taken apart: its head with the title, the hatching, the ground, the marks."""

    head: str
    hatching: str
    ground: str
    marks: str


def _strips(page: str, shared: dict[str, str]) -> str:
    """The page with short strips; what recurs in them goes to what is shared."""
    found = [_apart(svg) for svg in STRIP.findall(page)]
    names = _recurring(found)
    shared |= {name: f'<g id="{name}">{ground}</g>' for ground, name in names.items()}
    if any("#dot" in one.marks for one in found):
        shared["dot"] = DOT.format("0").replace("<circle", '<circle id="dot"')
    each = iter(found)

    def put_together(_: re.Match[str]) -> str:
        one = next(each)
        ground = f'<use href="#{names[one.ground]}"/>' if one.ground in names else one.ground
        return f"{one.head}{one.hatching}{ground}{one.marks}"

    return STRIP.sub(put_together, page)


def _recurring(found: Sequence[Apart]) -> dict[str, str]:
    """The grounds that stand on a page more than once, with the name of each."""
    often = [ground for ground, number in Counter(one.ground for one in found).items() if ground and number > 1]
    return {ground: f"ground-{number}" for number, ground in enumerate(often, 1)}


def _apart(svg: str) -> Apart:
    svg = NAMED.sub("><title>", svg.replace(NAME_SPACE, "", 1))
    svg = GUARD.sub(r'<rect\1 fill="url(#hatch)"/>', SIZE.sub(r"\1", svg, count=1))
    svg = ELEMENT.sub(_element, svg)
    start = svg.find("</title>") + len("</title>")
    drawn = GROUND.match(svg, start)
    if start < len("</title>") or drawn is None:
        return Apart(svg, "", "", "")
    marks = DOTTED.sub(
        r'<use href="#dot" x="\1"/>', LEVEL.sub(r'<path class="s-whisker" d="M\1 \3H\2"/>', svg[drawn.end() :])
    )
    return Apart(svg[:start], "".join(HATCHED.findall(drawn.group())), HATCHED.sub("", drawn.group()), marks)


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
