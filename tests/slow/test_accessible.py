"""Every kind of page against the rules of axe-core: WCAG 2.0, 2.1 and 2.2 at A and AA, target size, and best practice.

Run five times a page: all rules but those about colour at 390, 820 and 1440 px, and those about colour on light and on
dark paper in a window so wide that no table is cut off, since axe-core does not judge what is half covered. What is
folded away is opened for a sixth run without colour, on a phone; for colour, the first few of each kind. That
leaves nothing out: no rule of the style sheets that hangs on the width sets a colour, and nothing but colour hangs on
the scheme; two tests below hold the sheets to that. One run takes some 20 s on the longest page, with its fifty
thousand elements.

Two things axe-core cannot decide, and only these are let through: words inside drawings, whose contrast
`tests/render/test_colours.py` works out, and text of one or two signs. Over the shade at the edges of wide
tables it decides nothing, so the shade is taken out; `test_colours.py` works out the contrast upon it.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser

from tests.end_to_end.builds import Build
from tests.slow.browsing import HEIGHT, KINDS, WIDTHS, Visit, all_pages, axe, page_of, tables, visit

pytestmark = pytest.mark.slow
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
COLOUR = ["color-contrast", "link-in-text-block"]
TAGGED = {"type": "tag", "values": TAGS}
SIZE = {"target-size": {"enabled": True}}
EVERY_RULE: dict[str, Any] = {"runOnly": TAGGED, "rules": SIZE}
NO_COLOUR: dict[str, Any] = {"runOnly": TAGGED, "rules": {**SIZE, **{name: {"enabled": False} for name in COLOUR}}}
ONLY_COLOUR: dict[str, Any] = {"runOnly": {"type": "rule", "values": COLOUR}}
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
WIDE = 3000
UNCUT = ".scroll { background: none !important; max-width: none !important; overflow: visible !important }"
# Opens what is folded away: all of it, or the first few under each kind of element; says how many it opened.
UNFOLD = """first => { const seen = {}; let opened = 0;
  for (const it of document.querySelectorAll("details")) {
    const kind = it.parentElement.tagName + "." + it.parentElement.className + " " + it.className;
    seen[kind] = (seen[kind] ?? 0) + 1;
    it.open = first === null || seen[kind] <= first;
    opened += it.open;
  }
  return opened; }"""
FIRST = 3  # of a hundred and more that one template makes
COLOURED = re.compile(r"(?<![-\w])(color|background|background-color|fill|stroke|opacity|filter)\s*:\s*(?!none)")


def undecided(node: dict[str, Any]) -> bool:
    """Whether axe-core leaves this open for one of the two reasons that are known."""
    return node["unsure"] and node["rule"] == "color-contrast" and (node["drawn"] or node["short"])


def complaints(seen: Visit, options: dict[str, Any], where: str) -> list[str]:
    found = [node for node in axe(seen.page, options) if not undecided(node)]
    return [f"{where}: {'unsure, ' if it['unsure'] else ''}{it['rule']}: {it['html']} ({it['why']})" for it in found]


def complaints_of(chromium: Browser, folder: Path, name: str) -> list[str]:
    """What is found on one page with nothing folded away: at each width, and of colour on light and on dark paper."""
    found = []
    with visit(chromium, folder, policy=False) as seen:
        seen.go(name)
        for width in WIDTHS:
            seen.page.set_viewport_size({"width": width, "height": HEIGHT})
            found += complaints(seen, NO_COLOUR, f"{width} px")
        for scheme in SCHEMES:
            seen.page.emulate_media(color_scheme=scheme)
            found += complaints(seen, ONLY_COLOUR, scheme)
    return found


# The longest table has over two thousand rows that are all alike, built by the same template as the widest one.
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "longest table"])
def test_axe_finds_nothing(chromium: Browser, build: Build, kind: str) -> None:
    name = page_of(build.out, kind)
    with visit(chromium, build.out, policy=False) as seen:
        seen.go(name)
        found = []
        for width in WIDTHS:
            seen.page.set_viewport_size({"width": width, "height": HEIGHT})
            found += complaints(seen, NO_COLOUR, f"{width} px")
        if seen.page.evaluate(UNFOLD, None):
            seen.page.set_viewport_size({"width": min(WIDTHS), "height": HEIGHT})
            found += complaints(seen, NO_COLOUR, "unfolded")
        seen.page.evaluate(UNFOLD, FIRST)
        seen.page.set_viewport_size({"width": WIDE, "height": HEIGHT})
        seen.page.add_style_tag(content=UNCUT)
        for scheme in SCHEMES:
            seen.page.emulate_media(color_scheme=scheme)
            found += complaints(seen, ONLY_COLOUR, scheme)
    assert found == [], "\n".join(found[:20])


def test_axe_would_find_something(chromium: Browser, build: Build) -> None:
    """One page spoiled in three ways that no looking at its source shows: pale words, a small target, a lost name."""
    with visit(chromium, build.out, policy=False) as seen:
        seen.go("verify.html").page.add_style_tag(
            content="main p { color: #aaa } .contents a { padding: 0; line-height: 0.9; font-size: 9px }"
        )
        seen.page.evaluate("document.querySelector('.skip').textContent = ''")
        rules = {node["rule"] for node in axe(seen.page, EVERY_RULE)}
    assert {"color-contrast", "target-size", "link-name"} <= rules


def test_every_page_is_of_a_kind_that_is_looked_at(build: Build) -> None:
    looked = {page_of(build.out, kind) for kind in KINDS}
    assert set(all_pages(build.out)) - set(tables(build.out)) - looked == set()
    assert looked <= set(all_pages(build.out))
    assert len(tables(build.out)) > 20


def sheets(out: Path) -> str:
    return "\n".join(path.read_text(encoding="utf-8") for path in sorted((out / "style").glob("*.css")))


def blocks(text: str, condition: str) -> list[str]:
    """The bodies of the media rules with this condition. Media rules start a line and end with a brace that does."""
    return re.findall(rf"^@media [^{{]*{condition}[^{{]*\{{\n(.*?)^\}}", text, flags=re.MULTILINE | re.DOTALL)


def test_no_colour_hangs_on_the_width(build: Build) -> None:
    found = blocks(sheets(build.out), "(?:min|max)-width")
    assert len(found) >= 3
    assert [match.group() for block in found for match in COLOURED.finditer(block)] == []


PAINT = ("color", "fill", "stroke", "fill-opacity", "opacity", "filter")


def test_only_colour_hangs_on_the_scheme(build: Build) -> None:
    found = blocks(sheets(build.out), "prefers-color-scheme")
    assert len(found) >= 3
    declared = re.findall(r"([-\w]+)\s*:\s*([^;}]+)", re.sub(r"/\*.*?\*/|:root", "", "\n".join(found), flags=re.DOTALL))
    others = [(k, v) for k, v in declared if not (k.startswith("--") and v.strip().startswith("#")) and k not in PAINT]
    assert others == []
