"""From the SVG that the chart library writes to one that can stand in a page, twice, in light and dark, and named."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from buildbook.render.svg import legible, name_of

SVG = "http://www.w3.org/2000/svg"
LINK = "http://www.w3.org/1999/xlink"
INK = "#000000"
OWN_ID = re.compile(r"(series|rule|span|label|tick|plot)(-\w+)*")
LONG_NUMBER = re.compile(r"-?\d+\.\d{3,}")
GEOMETRY = ("d", "x", "y", "x1", "x2", "y1", "y2", "width", "height", "points", "transform", "viewBox", "cx", "cy", "r")
REFERENCE = re.compile(r"url\(#([^)]+)\)")
ROOT = {"fill": "currentColor", "stroke-linejoin": "round", "stroke-linecap": "butt", "role": "img"}


def cleaned(svg: str, *, key: str, title: str, description: str, kind: str) -> str:
    """One drawing made fit for page and print.

    Fixed sizes go (the viewBox stays), black becomes `currentColor`, the style sheet that would leak into the page
    becomes attributes, ids are dropped where nothing refers to them and else prefixed, coordinates are rounded to 0.01,
    title and description are put in and named by `aria-labelledby`.

    Args:
        svg: the document the chart library wrote.
        key: prefix of every id that stays, unique on the page.
        title: what the figure says.
        description: its text alternative.
        kind: class of the root element.

    Returns:
        An `<svg>` element without declaration and document type.
    """
    ElementTree.register_namespace("", SVG)
    ElementTree.register_namespace("xlink", LINK)
    key = name_of(key)
    root = ElementTree.fromstring(legible(svg))
    for name in ("width", "height", "version"):
        root.attrib.pop(name, None)
    _without(root, {f"{{{SVG}}}metadata", f"{{{SVG}}}style"})
    wanted = {reference for element in root.iter() for reference in _references(element)}
    for element in root.iter():
        _tidy(element, key, wanted)
    root.attrib |= ROOT | {"class": kind, "aria-labelledby": f"{key}-title {key}-description"}
    for name, words in (("desc", description), ("title", title)):
        label = ElementTree.Element(
            f"{{{SVG}}}{name}", {"id": f"{key}-{'title' if name == 'title' else 'description'}"}
        )
        label.text = legible(words)
        root.insert(0, label)
    ElementTree.indent(root, space="")
    return ElementTree.tostring(root, encoding="unicode", short_empty_elements=True)


def _without(element: ElementTree.Element, names: set[str]) -> None:
    for child in list(element):
        if child.tag in names:
            element.remove(child)
        else:
            _without(child, names)
            if child.tag == f"{{{SVG}}}defs" and not len(child):
                element.remove(child)


def _references(element: ElementTree.Element) -> list[str]:
    found = [match for value in element.attrib.values() for match in REFERENCE.findall(value)]
    target = element.get(f"{{{LINK}}}href", element.get("href", ""))
    return [*found, target[1:]] if target.startswith("#") else found


def _tidy(element: ElementTree.Element, key: str, wanted: set[str]) -> None:
    """One element: its ids and references, its ink, its coordinates."""
    name = element.attrib.pop("id", "")
    if name and (name in wanted or OWN_ID.fullmatch(name)):
        element.set("id", f"{key}-{name}")
    target = element.attrib.pop(f"{{{LINK}}}href", element.attrib.pop("href", ""))
    if target:
        element.set("href" if not target.startswith("#") else f"{{{LINK}}}href", target.replace("#", f"#{key}-", 1))
    for attribute, value in element.attrib.items():
        if attribute in GEOMETRY:
            value = LONG_NUMBER.sub(_rounded, value)
        value = REFERENCE.sub(rf"url(#{key}-\1)", value).replace(INK, "currentColor")
        element.set(attribute, value)
    if element.tag == f"{{{SVG}}}text" and "fill" not in element.get("style", ""):
        element.set("fill", "currentColor")


def _rounded(match: re.Match[str]) -> str:
    text = f"{float(match.group()):.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
