"""A drawn logo: shapes and paints go through, nothing that loads or runs does. All drawings are invented."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from buildbook.face.logo_svg import PAINTS, PLACES, SHAPES, cleaned_logo

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 40 20">'
BOX = '<path d="M0 0h40v20z" fill="#123456"/>'


def clean(inside: str, head: str = HEAD) -> str:
    data, faults = cleaned_logo(f"{head}{inside}</svg>".encode(), "logo.svg")
    assert faults == ()
    return data.decode()


def faults(inside: str, head: str = HEAD) -> list[str]:
    data, found = cleaned_logo(f"{head}\n{inside}</svg>".encode(), "logo.svg")
    assert data == b""
    assert found
    return [str(fault) for fault in found]


def test_shapes_and_paints_go_through() -> None:
    inside = (
        '<defs><linearGradient id="g" x2="1"><stop offset="0" stop-color="#123"/><stop offset="1"/></linearGradient>'
        '<clipPath id="c"><circle cx="9" cy="9" r="9"/></clipPath></defs>'
        '<g transform="translate(1 2) rotate(3)" clip-path="url(#c)"><path d="M0 0h9" fill="url(#g)"/></g>'
        '<symbol id="s"><rect width="3" height="3"/></symbol><use xlink:href="#s" x="3"/><use href="#s"/>'
    )
    root = ElementTree.fromstring(clean(inside))
    kinds = [element.tag.rpartition("}")[2] for element in root.iter()]
    assert " ".join(kinds) == "svg defs linearGradient stop stop clipPath circle g path symbol rect use use"
    assert root.get("width") == "40"
    assert root.find(".//{*}path").get("fill") == "url(#g)"  # type: ignore[union-attr]


def test_style_sheets_are_brought_down_to_paints() -> None:
    inside = (
        "<style>/* made */ .a, .b{fill:#123456;font-family:'Own';-own-x:1} g > path{stroke: rgb(1,2,3)}</style>"
        '<path class="a" d="M0 0h9" style="fill-opacity:.5;-inkscape-stroke:none"/>'
    )
    made = clean(inside)
    assert "<style>.a, .b{fill:#123456}g &gt; path{stroke:rgb(1,2,3)}</style>" in made
    assert 'style="fill-opacity:.5"' in made


def test_notes_of_editors_go_without_a_word() -> None:
    inside = (
        '<metadata><x xmlns="http://example.invalid/rdf" about="http://example.invalid"/></metadata><title>Old</title>'
        '<n:view xmlns:n="http://example.invalid/n" n:path="/home/someone/logo.svg"/><!-- a note -->'
        '<g n:label="one" xmlns:n="http://example.invalid/n" data-x="2" font-family="Own">words<path d="M0 0h1"/></g>'
    )
    made = clean(inside)
    assert not re.search(r"example|someone|note|label|data-x|font|words|Old", made)
    assert "<path" in made


def test_a_declaration_and_a_document_type_go() -> None:
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<?xml-stylesheet href="https://x.invalid/a.css"?>\n'
    kind = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">\n'
    made = clean(BOX, head + kind + HEAD)
    assert "stylesheet" not in made
    assert "DOCTYPE" not in made


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        (
            "<script>alert(1)</script>",
            "logo.svg:2: expected shapes and paints only; letters as outlines; found <scr",
        ),
        ('<SCRIPT href="x"/>', "<SCRIPT>"),
        ("<foreignObject><p/></foreignObject>", "<foreignObject>"),
        ('<image href="https://x.invalid/a.png"/>', "<image>"),
        ('<image href="data:image/png;base64,AAAA"/>', "<image>"),
        ("<text>Yard</text>", "<text>"),
        ('<a href="https://x.invalid"><path d="M0 0"/></a>', "<a>"),
        ('<path d="M0 0"><animate attributeName="d"/></path>', "<animate>"),
        ('<set attributeName="href" to="javascript:alert(1)"/>', "<set>"),
        ('<filter id="f"><feImage href="https://x.invalid"/></filter>', "<filter>"),
        ('<path d="M0 0" onload="alert(1)"/>', "nothing that runs; found onload='…'"),
        ('<g ONCLICK="alert(1)"/>', "ONCLICK"),
        ('<use href="https://x.invalid/a.svg#b"/>', "parts of the same file; found 'https://x.invalid/a.svg#b'"),
        ('<use xlink:href="other.svg#b"/>', "'other.svg#b'"),
        ('<use href="javascript:alert(1)"/>', "'javascript:alert(1)'"),
        ('<path d="M0 0" fill="url(https://x.invalid/a.svg#b)"/>', "values that load nothing"),
        ('<path d="M0 0" fill="url(//x.invalid#b)"/>', "values that load nothing"),
        ('<path d="M0 0" style="fill:url(https://x.invalid)"/>', "paints that load nothing"),
        ('<path d="M0 0" style="cursor:url(https://x.invalid)"/>', "paints that load nothing"),
        ('<path d="M0 0" style="background:image-set(1)"/>', "paints that load nothing"),
        ("<style>@import 'https://x.invalid/a.css';</style>", "plain rules that load nothing"),
        ("<style>@font-face{src:url(https://x.invalid)}</style>", "plain rules that load nothing"),
        ("<style>.a{fill:u\\72l(https://x.invalid)}</style>", "paints that load nothing"),
        ("<style>.a{fill:red}@media print{.a{fill:url(x)}}</style>", "load nothing"),
        ("<style>.a{fill:red}<script>alert(1)</script></style>", "without elements in it; found <script>"),
        ('<style>.a{fill:red}<image href="//x.invalid/p.png" onload="x"/></style>', "without elements in it"),
        ("<style>.a{fill:red}<g/>@import url(//x.invalid/a.css);</style>", "without elements in it"),
        ('<g id="a"><g><path/><use href="#a"/></g></g>', "no <use> inside a part that can be used again"),
        ('<symbol id="a"><use href="#a"/></symbol>', "no <use> inside a part that can be used again"),
        ("<use/>" * 101, "at most 100 elements <use>"),
        ("<path/>" * 5001, "at most 5000 elements"),
        ("<g>" * 60 + "</g>" * 60, "at most 40 elements in each other"),
    ],
)
def test_what_loads_runs_or_moves_is_refused(inside: str, words: str) -> None:
    assert any(words in line for line in faults(inside)), faults(inside)


def test_a_view_box_is_read_as_svg_writes_numbers() -> None:
    """SVG 2, 4.3: a number may have a sign and an exponent with a sign (from memory)."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="+0,-1.5e+1 1E2 .5e2">'
    assert 'viewBox="0 -15 100 50"' in clean(BOX, head)
    lines = faults(BOX, '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 wide 50">')
    assert any("found '0 0 wide 50'" in line for line in lines), lines


def test_everything_is_told_at_once_with_its_line() -> None:
    found = faults('<path d="M0 0" onload="x"/>\n<script/>\n<text/>')
    assert [line.split(":")[1] for line in found] == ["2", "3", "4"]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"not xml", "cannot be read as one"),
        (b"<html/>", "another document"),
        (b"<svg/>", "another document"),
        ("<svg/>".encode("utf-16"), "another encoding"),
        (
            b"<!DOCTYPE svg [<!ENTITY a 'b'>]>" + HEAD.encode() + b"</svg>",
            "logo.svg:1: expected an SVG file",
        ),
        (b"<!DOCTYPE svg [<!entity a 'b'>]>" + HEAD.encode() + b"</svg>", "<!ENTITY>"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "a viewBox, or a width and a height"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="100%"/>', "a viewBox"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1e9 1e9"/>', "a viewBox"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" width="900" height="2"/>', "at most 10 times as long as high"),
        (HEAD.encode() + b"<path/>" * 40_000 + b"</svg>", "at most 200 kB"),
    ],
)
def test_a_file_that_is_no_logo_is_refused(data: bytes, words: str) -> None:
    made, found = cleaned_logo(data, "logo.svg")
    assert made == b""
    assert any(words in str(fault) for fault in found), found


def test_a_size_in_place_of_a_view_box() -> None:
    made = clean(BOX, '<svg xmlns="http://www.w3.org/2000/svg" width="80px" height="20mm">')
    assert 'viewBox="0 0 80 20"' in made


def test_cleaning_twice_changes_nothing() -> None:
    once = clean(BOX + "<style>.a{fill:red}</style>")
    again, found = cleaned_logo(once.encode(), "logo.svg")
    assert found == ()
    assert again.decode() == once


def test_no_name_that_is_taken_can_load_or_run() -> None:
    loading = {"script", "image", "foreignObject", "a", "animate", "set", "text", "feImage", "filter", "pattern"}
    assert not SHAPES & loading
    assert not [name for name in PAINTS | PLACES if name.startswith("on")]
    assert not {"href", "src", "filter", "cursor"} & (PAINTS | PLACES)
