"""What the site does with script, and that nothing is missing without: the demonstration in the system's Chromium.

Outside measures: `book.json`, the pages as they are written, and what the browser lays out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from playwright.sync_api import Locator, Page

from tests.end_to_end.builds import Build
from tests.slow.browsing import book as book_data
from tests.slow.scripted import DESK, PHONE, Opened, check, server_of, words_field

pytestmark = pytest.mark.slow
PAGES = ("index", "coating", "vibration", "exceptions", "coverage", "instruments", "evidence/coating-climate")


@pytest.fixture(scope="module")
def book(build: Build) -> dict[str, Any]:
    return book_data(build.out)


@pytest.fixture
def served(build: Build) -> Iterator[str]:
    with server_of(build.out) as address:
        yield address


@pytest.mark.parametrize("name", PAGES)
def test_a_page_runs_its_script_from_the_disk_and_from_a_server(opened: Opened, served: str, name: str) -> None:
    for base in ("", served):
        page = opened(name, base=base)
        assert page.locator(".tools").count() > 0
        assert any(url.endswith("/style/book.js") for url in opened.asked)


def spoiled(opened: Opened, put: str) -> tuple[str, str]:
    """The title of the first page with markup put into it, and what the console said."""
    text = (opened.out / "index.html").read_text(encoding="utf-8")
    place = opened.out / "spoiled.html"
    place.write_text(text.replace("</body>", f"{put}</body>"), encoding="utf-8")
    try:
        page = opened("spoiled")
        page.wait_for_timeout(200)
        said, title = " ".join(opened.said), page.title()
        assert page.locator(".tools").count() > 0, "the book's own script runs all the same"
    finally:
        place.unlink()
    opened.said.clear()
    return title, said


@pytest.mark.parametrize(
    "put",
    [
        "<script>document.title = 'taken'</script>",
        "<img src=nothing onerror=\"document.title = 'taken'\" alt=''>",
        "<script src=\"data:text/javascript,document.title='taken'\"></script>",
        "<script src='http://127.0.0.1:9/taken.js'></script>",
        "<iframe srcdoc=\"<script>parent.document.title = 'taken'</script>\"></iframe>",
    ],
)
def test_a_script_put_into_a_page_is_refused(opened: Opened, put: str) -> None:
    title, said = spoiled(opened, put)
    assert not title.startswith("taken")
    assert "Content Security Policy" in said
    opened.asked = [url for url in opened.asked if url.startswith("file:")]


def test_the_book_s_own_script_can_ask_for_nothing(opened: Opened) -> None:
    page = opened("index")
    answer = page.evaluate("fetch('style/book.js').then(() => 'let through', () => 'refused')")
    assert answer == "refused"
    assert "Content Security Policy" in " ".join(opened.said)
    opened.said.clear()


def test_a_link_opens_what_is_folded_and_brings_back_what_is_filtered(opened: Opened) -> None:
    page = opened("coating")
    number = page.locator("details.full:not([open]) tr.finding:not(.reference)").last.get_attribute("id")
    page = opened(f"coating#{number}")
    row = page.locator(f"#{number}")
    assert row.is_visible()
    assert 0 <= (row.bounding_box() or {"y": -1})["y"] < DESK["height"]
    label = row.locator("xpath=ancestor::*[@role='region']").get_attribute("aria-label") or ""
    words_field(page, label).fill("no row has these words")
    assert not row.is_visible()
    page.evaluate("location.hash = ''")
    page.evaluate(f"location.hash = '{number}'")
    page.wait_for_timeout(100)
    assert row.is_visible()
    assert words_field(page, label).input_value() == ""


def lit(page: Page) -> set[str]:
    return set(page.locator(".lit").evaluate_all("all => all.map(one => one.id)"))


def test_marks_and_rows_light_each_other_up(opened: Opened) -> None:
    page = opened("index")
    marks = page.locator('svg a.mark[href^="#"]')
    assert marks.count() > 5
    folded = page.locator("details.full:not([open]) > summary")  # places where all passed
    while folded.count():
        folded.first.click()
    for n in (0, marks.count() // 2, marks.count() - 1):
        mark = marks.nth(n)
        row = (mark.get_attribute("href") or "")[1:]
        alike = page.locator(f'svg a.mark[href="#{row}"]').evaluate_all("all => all.map(one => one.id)")
        mark.scroll_into_view_if_needed()
        mark.hover()
        assert lit(page) == {row, *alike}
        page.mouse.move(2, 2)
        assert lit(page) == set()
        page.locator(f"#{row}").hover()
        assert lit(page) == {row, *alike}
        page.mouse.move(2, 2)
        page.locator(f"#{row} a").first.focus()
        assert lit(page) == {row, *alike}
        mark.focus()
        assert lit(page) == {row, *alike}
        mark.evaluate("one => one.blur()")
        assert lit(page) == set()


def test_a_touch_keeps_a_row_and_its_marks_lit_until_the_next(opened: Opened) -> None:
    page = opened("index", size=PHONE, has_touch=True, is_mobile=True)
    row = page.locator("table.places tbody tr").nth(3)
    row.locator("td").nth(1).tap()
    name = row.get_attribute("id")
    assert name in lit(page)
    assert len(lit(page)) > 1
    page.locator("h2#where").tap()
    assert lit(page) == set()


def spectrum(book: dict[str, Any]) -> dict[str, Any]:
    charts = [
        c for c in check(book, "VIB-06")["charts"] if c["x"]["unit"] == "Hz" and c["series"][0]["style"] == "line"
    ]
    made: dict[str, Any] = charts[0]
    return made


def rounded(value: float, places: str) -> str:
    """By the decimal library of Python, half away from zero."""
    return str(Decimal(repr(value)).quantize(Decimal(places), ROUND_HALF_UP))


def expected(chart: dict[str, Any], n: int) -> str:
    """The words at a reading: the numbers of `book.json`, the frequency to 0.1 Hz, the level to 0.01 mm/s."""
    (series,) = chart["series"]
    text = f"{rounded(series['x'][n], '0.1')} Hz: {rounded(series['y'][n], '0.01')} mm/s"
    for rule in chart["rules"]:
        nearest = min(range(len(series["x"])), key=lambda k: abs(series["x"][k] - rule["value"]))
        if rule["axis"] == "x" and nearest == n:
            text += f"; line at {rounded(rule['value'], '0.1')} Hz: {rule['words']}"
    return text


def reader(page: Page, chart: dict[str, Any]) -> tuple[Locator, Locator]:
    figure = page.locator("figure[data-curve]", has_text=chart["title"])
    return figure, figure.get_by_role("slider", name="Read the curve at")


def spoken(slider: Locator) -> str:
    """What is read out: the same to the eye and to a reader's program."""
    said = slider.get_attribute("aria-valuetext") or ""
    assert slider.locator("xpath=ancestor::div[@class='reading-out']//output").inner_text() == said
    return said


def test_a_spectrum_is_read_out_by_keyboard(opened: Opened, book: dict[str, Any]) -> None:
    chart = spectrum(book)
    (series,) = chart["series"]
    last = len(series["x"]) - 1
    page = opened("vibration")
    _, slider = reader(page, chart)
    highest = max(range(last + 1), key=lambda n: series["y"][n])
    assert spoken(slider) == expected(chart, highest)
    assert "blade rate" in spoken(slider)
    slider.focus()
    for key, place in (("Home", 0), ("ArrowRight", 1), ("ArrowRight", 2), ("ArrowLeft", 1), ("End", last)):
        slider.press(key)
        assert spoken(slider) == expected(chart, place), key


def tick(figure: Locator, words: str) -> float:
    """Where a tick of the lower axis stands on the screen: the middle of its number, the lowest of these words."""
    found = [text.bounding_box() for text in figure.locator("svg text", has_text=re.compile(f"^{words}$")).all()]
    box = max((box for box in found if box), key=lambda box: box["y"])
    return box["x"] + box["width"] / 2.0


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_spectrum_is_read_out_at_the_pointer(opened: Opened, book: dict[str, Any], scheme: Any) -> None:
    """The pointer goes where the ticks of the drawn axis say that a frequency is."""
    chart = spectrum(book)
    (series,) = chart["series"]
    page = opened("vibration", color_scheme=scheme)
    figure, slider = reader(page, chart)
    figure.scroll_into_view_if_needed()
    zero, hundred = tick(figure, "0"), tick(figure, "100")
    box = figure.locator("svg").bounding_box()
    assert box is not None
    for n in (3, 40, len(series["x"]) // 2, len(series["x"]) - 20):
        page.mouse.move(zero + (hundred - zero) * series["x"][n] / 100.0, box["y"] + box["height"] / 2.0)
        assert spoken(slider) in {expected(chart, k) for k in (n - 1, n, n + 1)}
        needle = figure.locator(".needle path").bounding_box()
        assert needle is not None
        assert needle["x"] == pytest.approx(zero + (hundred - zero) * series["x"][n] / 100.0, abs=4.0)
    page.mouse.down()
    page.mouse.up()
    before = spoken(slider)
    page.keyboard.press("ArrowRight")
    assert spoken(slider) != before, "after a click the keys go on from there"
    ink = figure.locator(".needle").evaluate("one => getComputedStyle(one).stroke")
    assert ink == page.evaluate("getComputedStyle(document.body).color")


def test_every_curve_of_the_book_can_be_read_out(opened: Opened, book: dict[str, Any]) -> None:
    for chapter in book["chapters"]:
        curves = [c for check in chapter["checks"] for c in check["charts"] if lines(c)]
        page = opened(chapter["key"])
        assert page.get_by_role("slider", name="Read the curve at").count() == len(curves)


def lines(chart: dict[str, Any]) -> Sequence[Any]:
    """The curves of a chart: named lines over a measured axis, whose x only grows."""
    return [
        one
        for one in chart["series"]
        if one["style"] in ("line", "line and dots")
        and one["name"]
        and "category" not in (chart["x"]["kind"], chart["y"]["kind"])
        and one["x"] == sorted(set(one["x"]))
    ]
