"""Every page of the demonstration told in US units: no metric unit is left but in what was received and what stays."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

import pytest

from buildbook.core.book import Book
from buildbook.core.shown_units import ShownUnits
from buildbook.render.html import Facts, site
from buildbook.render.listing import listing_html
from buildbook.render.package import assets
from buildbook.render.templates import templates_dir
from buildbook.restated.book import AS_JUDGED, restated
from tests.demonstration import demonstration
from tests.page_texts import texts_of

PLAIN = "µm|mm²|mm|cm²|cm|km|m²|m³|m|kg|t|kN|N|Nm|kW|kJ|J|L|l|K|MPa|GPa|kPa|Pa|bar|mbar|°C|degC"
OVER = "mm²|cm²|m²|cm³|m³|mm|cm|m|min|s²|s|h|kg|l|L"
UNIT = rf"(?:{PLAIN}|g)/(?:{OVER})|{PLAIN}"
WORDS = (
    r"(?:milli|centi|deci|kilo|micro)?metres?|(?:milli)?litres?|kilograms?|[Cc]elsius|kelvin|"
    r"(?:kilo|mega)?pascals?|newtons?|(?:milli)?bars?"
)
METRIC = re.compile(rf"\d[ \u00a0](?:{UNIT})(?![\w²³/-])|\[(?:{UNIT})\]|(?<![\w-])(?:{WORDS})(?![\w-])")
# What stays although it looks metric, each with its reason and the pages on which it may; see also staying.csv.
ALL = ""
STAYS = (
    (r"\d mm/s|\[mm/s\]", "the grades of balance are named so", "propeller index exceptions listing"),
    (r"square decimetres?|ten by ten centimetres", "the frame through which grains are counted", ALL),
    (r"in millimetres a second", "the grades of balance are named so", "propeller index glossary how-judged"),
    (r"as many millimetres as per cent", "the standard is metric, and the rule is one of its numbers", "propeller"),
    (r"One inch of mercury is taken as 33\.8639 mbar", "it is the sum that is told", "infusion"),
    (r"works in millimetres only", "what stays, and why", "how-judged"),
    (r"\d+(?:\.\d+)? (?:mm exactly|µm|mbar|L|g/m²)(?=\.| exactly)|one of 5 °C|One MPa", "what the unit is", "glossary"),
    (r"10 cm by 10 cm", "the frame through which grains are counted", ALL),
    (r"per square metre, by ISO 8502-9", "salt, as the standard names it", "coating"),
    (r"kelvin|megapascal|micrometre|one (?:degree Celsius|newton)", "what the unit means", "glossary"),
    (r"square millimetre|of a millimetre", "what the unit means", "glossary"),
    (r"column '[^']*'", "the name of a column as received", ALL),
    (r"0\.85 K of the diameter", "a factor of that name", ALL),
    (r"bars?", "a bar of a chart, a bar of metal", ALL),
)


SHEET = "listing.html"
NAMES = (
    *("index.html", "exceptions.html", "coverage.html", "said.html", "laminate.html", "infusion.html", "parts.html"),
    *("propeller.html", "shafting.html", "vibration.html", "coating.html", "systems.html", "register.html"),
    *("instruments.html", "how-judged.html", "glossary.html", "sources.html", "verify.html"),
    SHEET,
)


@cache
def us() -> Book:
    return replace(demonstration().book, shown=ShownUnits.US)


@cache
def told() -> Book:
    return restated(us())


@cache
def facts() -> Facts:
    return Facts("0" * 64, demonstration().received, "", sheets=(SHEET,))


def sheet_of(book: Book) -> str:
    return listing_html(book, facts(), {}, assets(templates_dir()) | {"style/theme.css": b""})


def pages_of(book: Book) -> dict[str, str]:
    return {**dict(site(book, facts(), lambda _: None)), SHEET: sheet_of(book)}


@cache
def pages() -> dict[str, str]:
    return pages_of(told())


@cache
def metric_pages() -> dict[str, str]:
    return pages_of(demonstration().book)


def strings(value: Any) -> Iterator[str]:
    """Every text of a value of the book."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from strings(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from strings(getattr(value, field.name))


@cache
def as_received() -> re.Pattern[str]:
    """Texts of the folder and of cited documents that hold a metric unit; our own have another first letter at most."""
    book = us()
    cells = (cell for table in book.tables for row in table.rows for cell in row.cells)
    theirs = (book.reports, book.plan, book.photographs, book.sources, book.documents, book.hull)
    found = {text for text in (*cells, *strings(theirs)) if METRIC.search(text) and len(text.split()) > 2}
    longest = sorted(found, key=lambda text: (-len(text), text))
    return re.compile("|".join(f"[{re.escape(text[0].swapcase() + text[0])}]{re.escape(text[1:])}" for text in longest))


def own_words(page: str) -> Iterator[str]:
    """The texts of a page without its working, and without the cells of tables as received."""
    read, working = texts_of(re.sub(r"</?(?:n-b|v-t|l-t|s-p)\b[^>]*>", "", page)), False
    for block in read.blocks:
        if block.around[-1].startswith("dt"):
            working = block.text == "Working, in the units of the rows"
        if not (working and block.inside("dd")):
            yield block.text
    yield from read.spoken


def left_metric(name: str, text: str) -> list[str]:
    text = as_received().sub("", text)
    text = re.sub(rf"{AS_JUDGED}[^.;]*(?:\.\d[^.;]*)*", "", text, flags=re.IGNORECASE)
    for pattern, _, where in STAYS:
        if not where or name.removesuffix(".html") in where.split():
            text = re.sub(pattern, "", text)
    return METRIC.findall(text)


@pytest.mark.parametrize("name", NAMES)
def test_no_metric_unit_is_left_on_a_page(name: str) -> None:
    left = [(found, text) for text in own_words(pages()[name]) if (found := left_metric(name, text))]
    assert not left


def test_every_page_but_rows_as_received_is_looked_at() -> None:
    assert {name for name in pages() if not name.startswith("evidence/")} == set(NAMES)


@pytest.mark.slow
def test_the_same_search_finds_metric_units_in_the_metric_book() -> None:
    """So that it cannot pass by finding nothing; of one small page: below."""
    metric = metric_pages()
    for name in ("index.html", "laminate.html", "coating.html", "vibration.html", "systems.html", "shafting.html"):
        assert any(left_metric(name, text) for text in own_words(metric[name])), name


def test_the_same_search_finds_metric_units_in_the_metric_listing_sheet() -> None:
    """The one page that is made by itself."""
    left = {found for text in own_words(sheet_of(demonstration().book)) for found in left_metric(SHEET, text)}
    assert {found[2:] for found in left} >= {"mm", "µm", "mm/m", "kg", "L", "L/min", "K", "kPa", "MPa"}
