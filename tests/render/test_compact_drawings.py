"""The light charts and drawings of her show what the drawings show, read by an XML reader and by tinycss2."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from xml.etree import ElementTree

import pytest
import tinycss2

from buildbook.render.compact import compacted, looks
from buildbook.render.compact_drawings import light_drawings
from buildbook.render.drawing import chart_svg
from buildbook.render.profile import VIEWS, View, pictures
from buildbook.render.templates import templates_dir
from tests.render.test_drawing import ALL
from tests.render.test_profile import HULL, MARKS

PICTURES, SITE = (templates_dir() / "site" / name for name in ("pictures.css", "site.css"))
GEOMETRY = frozenset(("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "width", "height", "transform"))
LINK = "{http://www.w3.org/1999/xlink}href"
Leaf = tuple[str, tuple[str, ...], Mapping[str, object], Mapping[str, str], str]


def declarations(text: str) -> dict[str, str]:
    told = tinycss2.parse_declaration_list(text, skip_comments=True, skip_whitespace=True)
    return {one.name: tinycss2.serialize(one.value).strip() for one in told}


def rules(path: Path) -> dict[str, dict[str, str]]:
    """Every rule of one class at the top of a style sheet."""
    read = tinycss2.parse_stylesheet(path.read_text(encoding="utf-8"), skip_comments=True, skip_whitespace=True)
    named = ((tinycss2.serialize(rule.prelude).strip(), rule) for rule in read if rule.type == "qualified-rule")
    return {name.removeprefix("."): declarations(tinycss2.serialize(rule.content)) for name, rule in named}


def places(data: str) -> list[tuple[str, float, float]]:
    """Path data as absolute places (SVG 2, section 9.3): only M, L, H, V, C and Z are in use."""
    x = y = 0.0
    found: list[tuple[str, float, float]] = []
    for letter, numbers in re.findall(r"([A-Za-z])([^A-Za-z]*)", data):
        values = [float(one) for one in numbers.split()]
        assert letter in "MLHVCzZ", data
        if letter == "H":
            x = values[0]
        elif letter == "V":
            y = values[0]
        for first, second in zip(values[::2], values[1::2], strict=False) if letter in "MLC" else ():
            x, y = first, second
            found.append((letter, x, y))
        if letter in "HVZz":
            found.append(("L", x, y) if letter in "HV" else ("Z", 0.0, 0.0))
    return found


def leaves(svg: str, known: Mapping[str, Mapping[str, str]]) -> Iterator[Leaf]:
    """What a drawing paints: tag, the names of the groups around it, where it is, how it is painted, its words.

    A name that the drawing itself uses stands for what bears it.
    """
    root = ElementTree.fromstring(svg)
    by_name = {element.get("id", ""): element for element in root.iter() if element.get("id")}

    def told(element: ElementTree.Element) -> str:
        return f"{element.tag.rpartition('}')[2]} {sorted(own(element).items())} {[told(child) for child in element]}"

    def own(element: ElementTree.Element) -> dict[str, object]:
        look: dict[str, object] = dict(declarations(element.get("style", "")))
        for name in element.get("class", "").split():
            look |= known.get(name, {"class": name})
        for key, value in element.attrib.items():
            if key in GEOMETRY:
                look[key] = value
            elif key == "d":
                look["d"] = places(value)
            elif key in ("clip-path", "href", LINK):
                (name,) = re.findall(r"#([^)]+)", value)
                look[key.removeprefix(LINK[:-4])] = told(by_name[name])
            elif key not in ("id", "style", "class"):
                look[key] = value
        named = {key: re.findall(r"^url\(#(.*)\)$", value) for key, value in look.items() if isinstance(value, str)}
        return look | {key: told(by_name[found[0]]) for key, found in named.items() if found}

    def walk(element: ElementTree.Element, around: tuple[str, ...]) -> Iterator[Leaf]:
        tag = element.tag.rpartition("}")[2]
        if tag == "defs":
            return
        if tag == "g":
            said = [element.get("id", ""), *(f"{key} {value}" for key, value in own(element).items())]
            for child in element:
                yield from walk(child, (*around, *filter(None, said)))
            return
        look = own(element)
        where = {key: value for key, value in look.items() if key in GEOMETRY or key in ("d", "href", "clip-path")}
        paint = {key: str(value).replace("'", '"') for key, value in look.items() if key not in where}
        yield tag, around, where, paint, (element.text or "").strip()
        for child in element:
            yield from walk(child, around)

    for child in root:
        yield from walk(child, ())


@pytest.mark.parametrize("name", sorted(ALL))
def test_a_light_chart_paints_what_the_drawing_paints(name: str) -> None:
    long = chart_svg(ALL[name])
    short = light_drawings(long, looks())
    shown, drawn = list(leaves(short, rules(PICTURES))), list(leaves(long, {}))
    assert len(drawn) > 10
    assert shown == drawn
    assert len(short) < 0.75 * len(long)
    assert light_drawings(short, looks()) == short, "once is enough"


def test_series_by_class_have_the_dark_colours_of_series_by_style() -> None:
    """Each class with a colour of its own stands beside the style that says the same colour."""
    sheet = SITE.read_text(encoding="utf-8")
    coloured = {
        name: (kind, value)
        for name, said in rules(PICTURES).items()
        for kind, value in said.items()
        if name.startswith("c-") and kind in ("fill", "stroke") and value.startswith("#") and name != "c-forbidden"
    }
    assert len(coloured) == 9
    for name, (kind, value) in coloured.items():
        assert re.search(
            rf'^ *[^{{]*\.{name}\b[^{{]*\[style\*="{kind}: {value}"\] \{{ {kind}: #', sheet, re.MULTILINE
        ), name


@pytest.mark.parametrize("what", VIEWS)
def test_the_halves_of_a_drawing_share_their_ground_and_keep_their_marks(what: View) -> None:
    made = pictures(HULL, what, MARKS, key="her")
    page = compacted(f"<body>\n{made.aft}{made.forward}")
    aft, forward = re.findall(r'<svg[^>]* class="hull".*?</svg>', page)
    (used,) = re.findall(r'<use href="#([^"]+)"/>', forward)
    assert page.count(f'<g id="{used}">') == aft.count(f'<g id="{used}">') == 1
    for short, long in ((aft, made.aft), (forward, made.forward)):
        assert ElementTree.fromstring(short).get("viewBox") == ElementTree.fromstring(long).get("viewBox")
        marks = [
            re.findall(r'<(?:a|g) (id="her-mark-\d+" class="mark [^>]*)>(<title>.*?</title>)', it)
            for it in (short, long)
        ]
        assert marks[0] == marks[1]
    assert len(re.findall("her-mark-", aft + forward)) == len(re.findall("her-mark-", made.whole))
    ground = re.search(rf'<g id="{used}">(.*?)</g><(?=a|g|/)', aft + "<")
    whole = made.whole.partition("</desc>")[2].partition('<a id="her-mark')[0].partition('<g id="her-mark')[0]
    assert ground is not None
    found = [
        list(leaves(f"<svg>{part}</svg>", known)) for part, known in ((ground.group(1), rules(PICTURES)), (whole, {}))
    ]
    assert [one[:3] for one in found[0]] == [one[:3] for one in found[1]]
    for (*_, short_look, words), (*_, long_look, said) in zip(*found, strict=True):
        assert words == said
        sized = {**long_look, **({"font-size": f"{long_look['font-size']}px"} if "font-size" in long_look else {})}
        assert {**sized, "class": ""} == {**short_look, "class": ""}
