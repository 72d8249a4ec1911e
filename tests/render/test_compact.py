"""The short pictures of the site show what the drawings show. The style sheet is read by tinycss2, another reader."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from xml.etree import ElementTree

import pytest
import tinycss2

from buildbook.core.book import Book, Numbered
from buildbook.core.finding import Verdict
from buildbook.core.quantity import Kind
from buildbook.render.compact import compacted
from buildbook.render.figures import SIGNS
from buildbook.render.strip import strip
from buildbook.render.templates import templates_dir
from tests.render.test_strip import fact, judged, unmeasured

GEOMETRY = ("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "d", "width", "height")


@pytest.fixture(scope="module")
def rules() -> dict[str, dict[str, str]]:
    """Every rule of the style sheet: class to declarations."""
    text = (templates_dir() / "site" / "pictures.css").read_text(encoding="utf-8")
    found = {}
    for rule in tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True):
        assert rule.type == "qualified-rule", rule
        name = tinycss2.serialize(rule.prelude).strip()
        told = tinycss2.parse_declaration_list(rule.content, skip_comments=True, skip_whitespace=True)
        found[name.removeprefix(".")] = {one.name: tinycss2.serialize(one.value).strip() for one in told}
    return found


def drawings() -> dict[str, str]:
    """A strip of every form, by its name."""
    measured = judged(56.0, 0.8, low=50.0)
    assert measured.measured is not None
    of = {
        "clear": measured,
        "near": judged(50.5, 0.8, low=50.0),
        "missed": judged(49.0, 0.8, low=50.0),
        "between two": judged(20.0, 1.0, low=10.0, high=35.0),
        "far beyond": judged(500.0, 0.8, low=10.0, high=35.0),
        "nobody stated it": judged(56.0, None, low=50.0),
        "inconclusive": replace(measured, verdict=Verdict.INCONCLUSIVE),
        "at least": replace(measured, measured=replace(measured.measured, kind=Kind.AT_LEAST)),
        "no limit": replace(measured, verdict=Verdict.INFORMATION, limit=None),
        "not measured": unmeasured(Verdict.NOT_MEASURED, low=50.0),
        "no record": unmeasured(Verdict.NO_RECORD, low=50.0),
        "not applicable": unmeasured(Verdict.NOT_APPLICABLE, low=50.0),
        "met": fact(True),
        "not met": fact(False),
        "not settled": fact(None),
        "accepted": replace(fact(True), verdict=Verdict.CONDITIONAL_PASS),
    }
    made = {
        name: strip(finding, None, key=f"k-{n}", words=f"{name} <&>") for n, (name, finding) in enumerate(of.items())
    }
    made["again"] = strip(measured, judged(49.0, 0.8, low=50.0), key="k-again", words="again")
    made["fact again"] = strip(fact(True), fact(False), key="k-fact", words="fact again")
    return made


Painted = tuple[str, dict[str, str], dict[str, str]]


def shared_of(page: str) -> dict[str, ElementTree.Element]:
    """What the drawings of a page use, by its name."""
    (once,) = re.findall(r'<svg class="once".*?</svg>', page)
    return {name: element for element in ElementTree.fromstring(once).iter() if (name := element.get("id"))}


def painted(
    svg: str, rules: Mapping[str, dict[str, str]], shared: Mapping[str, ElementTree.Element] | None = None
) -> list[Painted]:
    """Every element that is drawn: its tag, where it is, how it is painted. A hatched band is one element.

    A use is what it uses, moved by its x (SVG 2, section 5.6); a level path is a line.
    """
    found: list[Painted] = []

    def draw(element: ElementTree.Element, aside: float) -> None:
        tag = element.tag.rpartition("}")[2]
        if tag == "title":
            return
        attributes = {key: value for key, value in element.attrib.items() if key != "id"}
        if tag == "use":
            assert shared is not None
            draw(shared[attributes["href"].removeprefix("#")], float(attributes.get("x", "0")))
            return
        names = attributes.pop("class", "").split()
        look = {key: value for key, value in attributes.items() if key not in GEOMETRY}
        for name in names:
            look |= rules.get(name, {})
        place = {key: value for key, value in attributes.items() if key in GEOMETRY}
        if aside:
            place["cx"] = f"{float(place['cx']) + aside:g}"
        level = re.fullmatch(r"M(\S+) (\S+)H(\S+)", place.get("d", ""))
        if tag == "path" and level:
            start, y, end = level.groups()
            tag, place = "line", {"x1": start, "x2": end, "y1": y, "y2": y}
        if names == ["strip-hatch"] and found and found[-1][2].get("fill-opacity") == "0.06":
            found[-1] = ("rect", found[-1][1], {"fill": "url(#hatch)"})
        elif tag != "svg" and not (tag == "g" and not look):
            found.append((tag, place, look))
        for child in element:
            draw(child, aside)

    draw(ElementTree.fromstring(svg), 0.0)
    return found


def hatching(drawn: list[Painted]) -> list[Painted]:
    return [one for one in drawn if one[2].get("fill") == "url(#hatch)"]


def ends(drawn: Painted) -> tuple[float, float]:
    left = float(drawn[1]["x"])
    return left, left + float(drawn[1]["width"])


@pytest.mark.parametrize("name", drawings())
def test_a_short_strip_is_painted_as_the_drawing_is(name: str, rules: Mapping[str, dict[str, str]]) -> None:
    """Alone on a page, and where what it is drawn on recurs. Hatching comes first: it lies beside forbidden ground."""
    long = drawings()[name]
    page = compacted(f"<body>\n{long}\n{long}")
    strips = re.findall(r'<svg class="strip.*?</svg>', page)
    assert len(strips) == 2
    alone = compacted(f"<body>\n{long}")
    (single,) = re.findall(r'<svg class="strip.*?</svg>', alone)
    drawn = painted(long, {})
    for short, whole in ((single, alone), (strips[0], page), (strips[1], page)):
        shown = painted(short, rules, shared_of(whole) if "once" in whole else {})
        assert [one for one in shown if one not in hatching(shown)] == [
            one for one in drawn if one not in hatching(drawn)
        ]
        assert hatching(shown) == hatching(drawn)
        for band in hatching(drawn):
            forbidden = [one for one in drawn if one[2].get("fill") == "#b4532a"]
            assert all(
                ends(band)[1] <= ends(one)[0] + 0.011 or ends(band)[0] >= ends(one)[1] - 0.011 for one in forbidden
            )
        assert read_name(short) == read_name(long) == name + ("" if name in ("again", "fact again") else " <&>")
        root = ElementTree.fromstring(short)
        assert root.get("role") == "img"
        assert root.get("viewBox") == ElementTree.fromstring(long).get("viewBox")
    assert len(single) < len(long) * 0.85
    assert len(strips[1]) < len(long) * 0.75


def read_name(svg: str) -> str | None:
    """What a picture is called: its title (SVG 2, section 5.7), wherever `aria-labelledby` leads to the same."""
    root = ElementTree.fromstring(svg)
    (title,) = [element for element in root.iter() if element.tag.rpartition("}")[2] == "title"]
    assert root.get("aria-labelledby", title.get("id", "")) == title.get("id", "")
    return title.text


def test_hatching_is_the_same_grid_of_strokes(rules: Mapping[str, dict[str, str]]) -> None:
    """Every stroke of the drawing lies on x + y = a multiple of the tile, and so does every stroke of the tile."""
    long = drawings()["near"]
    page = compacted(f"<body>\n{long}")
    (tile,) = re.findall(r'<pattern id="hatch" width="(\d+)" height="\1" patternUnits="userSpaceOnUse">', page)
    step = int(tile)
    (pattern,) = re.findall(r"<pattern.*?</pattern>", page)
    (drawn,) = re.findall(r'class="strip-hatch" d="([^"]*)"( [^/]*)/>', long)
    (shown,) = re.findall(r'<path d="([^"]*)"( [^/]*)/>', pattern)
    for strokes in (drawn[0], shown[0]):
        for x0, y0, x1, y1 in re.findall(r"M(\S+) (\S+)L(\S+) ([^M]+)", strokes):
            assert float(x0) + float(y0) == pytest.approx(float(x1) + float(y1), abs=0.02)
            assert (float(x0) + float(y0)) % step == pytest.approx(0.0, abs=0.02)
    assert drawn[1] == shown[1]
    (ground,) = re.findall(r'class="strip-guard"[^>]*( fill="[^>]*)/>', long)
    assert f'<rect width="{step}" height="{step}"{ground}/>' in pattern


def test_a_sign_is_drawn_once_and_used_wherever_it_stands() -> None:
    one, other = SIGNS[Verdict.PASS].svg, SIGNS[Verdict.NO_RECORD].svg
    page = compacted(f"<body>\n<p>{one} pass {one} pass {other} no record</p>")
    assert re.findall(r'<symbol id="([^"]*)"', page) == ["sign-no-record", "sign-pass"]
    assert re.findall(r'<use href="#([^"]*)"', page) == ["sign-pass", "sign-pass", "sign-no-record"]
    for svg, name in ((one, "sign-pass"), (other, "sign-no-record")):
        inner = re.sub(r"^<svg[^>]*>|</svg>$", "", str(svg))
        (box,) = re.findall(r'viewBox="([^"]*)"', str(svg))
        assert f'<symbol id="{name}" viewBox="{box}">{inner}</symbol>' in page
    assert page.count('aria-hidden="true"') == 4


def test_the_sign_s_own_ink_is_in_the_style_sheet(rules: Mapping[str, dict[str, str]]) -> None:
    for figure in SIGNS.values():
        root = ElementTree.fromstring(str(figure.svg))
        ink = {key: value for key, value in root.attrib.items() if key in ("fill", "stroke", "stroke-width")}
        assert ink == {key: value for key, value in rules["sign"].items() if key in ink}
        assert (root.get("width"), root.get("height")) == (rules["sign"]["width"], rules["sign"]["height"])


def test_a_look_that_nobody_listed_stays_as_it_is() -> None:
    odd = '<svg class="strip"><rect class="strip-outline" x="1" fill="red"/></svg>'
    assert compacted(odd) == odd


def test_every_look_of_a_strip_is_listed(pages: Mapping[str, str]) -> None:
    left = [
        element
        for name, text in pages.items()
        for svg in re.findall(r'<svg[^>]* class="strip\b.*?</svg>', text, re.DOTALL)
        for element in re.findall(r"<(?:rect|path|line|circle|g)\b[^>]*>", svg)
        if re.search(r" (?:fill|stroke|color)", element) and 'fill="url(#hatch)"' not in element
    ]
    assert left == []
    assert sum(text.count("<symbol") for text in pages.values()) > len(pages) / 2


def test_print_keeps_pictures_that_stand_for_themselves(sample_book: Book) -> None:
    """Each picture file of the PDF carries its own looks: nothing of the site's style sheet is needed."""
    for item in everything(sample_book):
        svg = strip(item.finding, None, key=item.anchor, words=item.sentence)
        assert 'xmlns="http://www.w3.org/2000/svg"' in svg
        assert "s-box" not in svg
        assert "#hatch" not in svg


def everything(book: Book) -> Iterable[Numbered]:
    return (item for chapter in book.chapters for check in chapter.checks for item in check.governing)
