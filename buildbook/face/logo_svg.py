"""A builder's drawn logo, brought down to shapes and paints: what is left can load nothing and run nothing.

Editors leave notes of their own in a file; those go without a word. What would load, run, move or set type is refused
by name, since a logo without it would not be the builder's any more.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.face.refusal import EFFECT
from buildbook.render.svg_clean import LINK, SVG

MOST_BYTES = 200_000
MOST_ELEMENTS, MOST_DEEP, MOST_USES = 5_000, 40, 100
LONGEST_SIDE, LONGEST_SIDE_RATIO = 100_000.0, 10.0
SHAPES = frozenset(
    [
        "svg",
        "g",
        "defs",
        "symbol",
        "use",
        "path",
        "rect",
        "circle",
        "ellipse",
        "line",
        "polyline",
        "polygon",
        "linearGradient",
        "radialGradient",
        "stop",
        "clipPath",
        "mask",
        "style",
    ]
)
LEFT_OUT = frozenset({"metadata", "title", "desc"})
PAINTS = frozenset(
    [
        "fill",
        "fill-rule",
        "fill-opacity",
        "stroke",
        "stroke-width",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-miterlimit",
        "stroke-dasharray",
        "stroke-dashoffset",
        "stroke-opacity",
        "opacity",
        "clip-path",
        "clip-rule",
        "mask",
        "stop-color",
        "stop-opacity",
        "color",
        "display",
        "visibility",
        "transform",
    ]
)
PLACES = frozenset(
    [
        "id",
        "class",
        "d",
        "x",
        "y",
        "x1",
        "y1",
        "x2",
        "y2",
        "cx",
        "cy",
        "r",
        "rx",
        "ry",
        "fx",
        "fy",
        "width",
        "height",
        "points",
        "offset",
        "gradientUnits",
        "gradientTransform",
        "spreadMethod",
        "clipPathUnits",
        "maskUnits",
        "maskContentUnits",
        "preserveAspectRatio",
        "viewBox",
    ]
)
_PLAIN = r"[^()@\\<>\"';{}]"
_OWN_PART = r"url\(\s*[\"']?#[\w.-]+[\"']?\s*\)"
_FUNCTION = rf"(?:rgba?|hsla?|translate|scale|rotate|skew[XY]|matrix)\({_PLAIN}*\)"
_VALUE = re.compile(rf"(?:{_OWN_PART}|{_FUNCTION}|{_PLAIN})*")
_RULE = re.compile(r"\s*([\w\s.,#*>-]+)\{([^{}]*)\}\s*")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_REAL = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_NUMBER = re.compile(r"\s*([0-9]*\.?[0-9]+)\s*(?:px|pt|mm|cm|in)?\s*")


def cleaned_logo(data: bytes, name: str) -> tuple[bytes, tuple[Fault, ...]]:
    """A logo as an SVG file of its own that holds shapes and paints only.

    Args:
        data: the file as the builder gave it.
        name: its name, for messages.

    Returns:
        The cleaned file and no fault, or nothing and every fault with its line where that can be told.
    """
    faults: dict[Fault, None] = {}
    root, text = _read(data, name, faults)
    if root is None:
        return b"", tuple(faults)
    blame = _Blame(name, text, faults)
    _check_size(root, blame)
    _tidy(root, blame, 1)
    _check_box(root, blame)
    if faults:
        return b"", tuple(faults)
    ElementTree.register_namespace("", SVG)
    ElementTree.register_namespace("xlink", LINK)
    return ElementTree.tostring(root, encoding="utf-8", short_empty_elements=True) + b"\n", ()


class _Blame:
    """Collects faults, each told once, with the first line in which the thing stands."""

    def __init__(self, name: str, text: str, faults: dict[Fault, None]) -> None:
        self._name, self._text, self._faults = name, text, faults

    def __call__(self, expected: str, found: str, seen: str = "") -> None:
        at = self._text.find(seen) if seen else -1
        line = self._text.count("\n", 0, at) + 1 if at >= 0 else None
        self._faults.setdefault(Fault(Where(self._name, line), expected, found, EFFECT))


def _read(data: bytes, name: str, faults: dict[Fault, None]) -> tuple[ElementTree.Element | None, str]:
    """The document, unless it is too large, not XML, or defines words of its own that could unfold without end."""
    blame = _Blame(name, "", faults)
    if len(data) > MOST_BYTES:
        blame(f"an SVG file of at most {MOST_BYTES // 1000} kB", f"{len(data) / 1000:.0f} kB")
        return None, ""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        blame("an SVG file in UTF-8", "another encoding")
        return None, ""
    if "<!ENTITY" in text.upper():
        _Blame(name, text.upper(), faults)("an SVG file without words of its own", "an <!ENTITY>", "<!ENTITY")
        return None, text
    try:
        root = ElementTree.fromstring(text.encode("utf-8") if "<?xml" not in text else _without_declaration(text))
    except (ElementTree.ParseError, ValueError) as error:
        blame("an SVG file", f"a file that cannot be read as one ({error})")
        return None, text
    if root.tag != f"{{{SVG}}}svg":
        blame(f"an SVG file (<svg xmlns='{SVG}'>)", "another document")
        return None, text
    return root, text


def _without_declaration(text: str) -> str:
    return re.sub(r"^\s*<\?xml[^>]*\?>", "", text)


def _check_size(root: ElementTree.Element, blame: _Blame) -> None:
    elements = list(root.iter())
    if len(elements) > MOST_ELEMENTS:
        blame(f"at most {MOST_ELEMENTS} elements", str(len(elements)))
        return
    used = [element for element in elements if element.tag == f"{{{SVG}}}use"]
    if len(used) > MOST_USES:
        blame(f"at most {MOST_USES} elements <use>", str(len(used)), "<use")
    if any(_used_within(element, named=False) for element in root):
        blame("no <use> inside a part that can be used again", "one", "<use")


def _used_within(element: ElementTree.Element, *, named: bool, depth: int = 1) -> bool:
    """Whether a `<use>` stands in, or is, a part with an id; deeper than any logo may be, nothing is looked at."""
    named = named or bool(element.get("id"))
    if named and element.tag == f"{{{SVG}}}use":
        return True
    return depth <= MOST_DEEP and any(_used_within(child, named=named, depth=depth + 1) for child in element)


def _check_box(root: ElementTree.Element, blame: _Blame) -> None:
    """A view box, made from width and height where there is none; from now on it says the size as well."""
    said = root.get("viewBox", "")
    box = [float(number) for number in re.split(r"[\s,]+", said.strip()) if _REAL.fullmatch(number)]
    sides = [_NUMBER.fullmatch(root.get(name, "")) for name in ("width", "height")]
    if len(box) != 4:
        box = [0.0, 0.0, *(float(side[1]) for side in sides if side)]
    if len(box) != 4 or min(box[2:]) <= 0 or max(map(abs, box)) > LONGEST_SIDE:
        blame(f"a viewBox, or a width and a height, of at most {LONGEST_SIDE:.0f}", f"'{said or 'nothing'}'", "<svg")
        return
    if max(box[2:]) / min(box[2:]) > LONGEST_SIDE_RATIO:
        blame(f"a logo at most {LONGEST_SIDE_RATIO:g} times as long as high or as high as long", "a longer one", "<svg")
    root.set("viewBox", " ".join(f"{number:g}" for number in box))
    root.set("width", f"{box[2]:g}")
    root.set("height", f"{box[3]:g}")


def _tidy(element: ElementTree.Element, blame: _Blame, depth: int) -> None:
    """One element and what is in it: editors' notes out, everything that is no shape or paint to blame."""
    if depth > MOST_DEEP:
        blame(f"at most {MOST_DEEP} elements in each other", "more")
        return
    for child in list(element):
        space, _, kind = child.tag.rpartition("}")
        if space != f"{{{SVG}" or kind in LEFT_OUT:
            element.remove(child)
        elif kind not in SHAPES:
            blame("shapes and paints only; letters as outlines", f"<{kind}>", f"<{kind}")
        elif kind == "style":
            if len(child):
                blame("a style sheet without elements in it", f"<{child[0].tag.rpartition('}')[2]}>", "<style")
            child.text, child.tail = _style_sheet(child.text or "", blame), None
            child.attrib.clear()
        else:
            _tidy(child, blame, depth + 1)
    _tidy_attributes(element, blame)
    if not element.tag.endswith("}style"):
        element.text = None
    element.tail = None


def _tidy_attributes(element: ElementTree.Element, blame: _Blame) -> None:
    for name, value in list(element.attrib.items()):
        plain = name.rpartition("}")[2]
        if plain.lower().startswith("on"):
            blame("nothing that runs", f"{plain}='…'", plain)
        elif plain == "href":
            if not re.fullmatch(r"#[\w.-]+", value):
                blame("references to parts of the same file", f"'{value[:60]}'", "href")
        elif name == "style":
            element.set(name, _declarations(value, blame))
        elif name not in PLACES | PAINTS:
            del element.attrib[name]
        elif not _VALUE.fullmatch(value):
            blame("values that load nothing", f"{name}='{value[:60]}'", value[:60])


def _style_sheet(text: str, blame: _Blame) -> str:
    """A style sheet inside the file, as rules of paints."""
    plain, at, made = _COMMENT.sub("", text).strip(), 0, []
    while at < len(plain):
        rule = _RULE.match(plain, at)
        if rule is None:
            blame("a style sheet of plain rules that load nothing", f"'{plain[at : at + 40]}'", plain[at : at + 20])
            break
        made.append(f"{rule[1].strip()}{{{_declarations(rule[2], blame)}}}")
        at = rule.end()
    return "".join(made)


def _declarations(text: str, blame: _Blame) -> str:
    return ";".join(_kept(text, blame))


def _kept(text: str, blame: _Blame) -> Iterator[str]:
    """The declarations that paint something; the others change nothing in shapes and go."""
    for declaration in text.split(";"):
        name, _, value = (part.strip() for part in declaration.partition(":"))
        if name in PAINTS:
            if _VALUE.fullmatch(value):
                yield f"{name}:{value}"
                continue
        elif not re.search(r"url|image|import|expression|[@\\]", value, re.IGNORECASE):
            continue
        blame("paints that load nothing", f"'{declaration.strip()[:60]}'", declaration.strip()[:20])
