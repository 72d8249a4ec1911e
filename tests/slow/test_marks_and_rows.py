"""The marks on the drawings of her lead to their rows in the list, and the rows back to their marks."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.end_to_end.builds import Build
from tests.slow.browsing import book, visit
from tests.slow.test_without_script import IN_VIEW

pytestmark = pytest.mark.slow
# For each mark: whether the row that it leads to exists, and whether a link in it comes back to a mark of that number.
PAIRS = """() => [...document.querySelectorAll(".where svg a.mark")].map(mark => {
  const row = document.querySelector(".places " + mark.getAttribute("href"));
  const number = mark.querySelector("text").textContent.trim();
  const back = row && [...row.querySelectorAll("a[href^='#']")].map(it => document.getElementById(it.hash.slice(1)));
  return [number, Boolean(row), Boolean(back && back.some(it => it && it.closest(".where svg") &&
    it.querySelector("text").textContent.trim() === number))];
})"""


@pytest.mark.parametrize("name", ["index.html", "laminate.html"])
def test_every_mark_has_a_row_and_every_such_row_leads_back(chromium: Browser, build: Build, name: str) -> None:
    with visit(chromium, build.out) as seen:
        pairs = seen.go(name).page.evaluate(PAIRS)
    assert len({number for number, *_ in pairs}) > 10
    assert [pair for pair in pairs if not (pair[1] and pair[2])] == []
    if name == "index.html":
        lines = [line for one in book(build.out)["drawings"] if one["key"].startswith("where") for line in one["lines"]]
        assert len({number for number, *_ in pairs}) <= len(lines)


@pytest.mark.parametrize(
    ("name", "width", "script"),
    [
        ("index.html", 390, True),
        ("index.html", 1440, True),
        ("index.html", 390, False),
        ("index.html", 1440, False),
        ("laminate.html", 390, True),
        ("laminate.html", 1440, False),
    ],
)
def test_a_reader_goes_from_mark_to_row_and_back(
    chromium: Browser, build: Build, name: str, width: int, script: bool
) -> None:
    with visit(chromium, build.out, width=width, script=script) as seen:
        seen.go(name).click(".where svg a.mark")
        there = seen.at
        assert seen.page.evaluate(IN_VIEW)
        assert seen.page.evaluate("document.querySelector(':target').closest('.places') !== null")
        seen.click(".places :target a[href*='mark']")
        assert seen.at != there
        assert seen.page.evaluate("document.querySelector(':target').closest('.where svg') !== null")
        assert seen.page.evaluate(IN_VIEW)
