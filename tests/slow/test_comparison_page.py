"""The comparison in a browser: axe-core, a phone without scrolling to the side, dark pages; and its print."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Browser

from buildbook.core.face import Paper
from buildbook.second.write import Done, write_comparison
from tests.slow.browsing import WIDTHS, visit
from tests.slow.test_accessible import complaints_of

pytestmark = pytest.mark.slow
DEMO = Path(__file__).parents[2] / "demo_build"
PAGE = "comparison.html"
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("compared") / "out"
    done: Done = write_comparison(DEMO / "hull", DEMO / "survey", folder, Paper.LETTER)
    assert done.notices == ()
    return folder


def test_axe_finds_nothing(chromium: Browser, out: Path) -> None:
    found = complaints_of(chromium, out, PAGE)
    assert found == [], "\n".join(found[:20])


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_scrolls_to_the_side_and_nothing_is_asked_for_elsewhere(
    chromium: Browser, out: Path, width: int
) -> None:
    with visit(chromium, out, width=width) as seen:
        seen.go(PAGE)
        assert seen.page.evaluate(TOO_WIDE) <= 0
        assert seen.page.locator("section.pair").count() > 40
        assert (seen.said, seen.strangers()) == ([], [])


def test_dark_pages_are_dark(chromium: Browser, out: Path) -> None:
    with visit(chromium, out, scheme="dark") as seen:
        seen.go(PAGE)
        assert seen.page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(21, 25, 30)"
        diamond = seen.page.locator(".strip-second").first.evaluate("it => getComputedStyle(it).fill")
        assert diamond == "rgb(21, 25, 30)"


def test_the_printed_comparison_has_every_pair(out: Path) -> None:
    document = pypdfium2.PdfDocument(out / "comparison.pdf")
    assert document[0].get_size() == (612.0, 792.0)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    assert "It does not say who is right" in " ".join(text.split())
    assert text.count("√(") > 80  # the combined uncertainty of every pair that has one
    assert len(document) < 24


WORDS_IN_TWO = """
() => [...document.querySelectorAll(".sides, .words, .matrix")].flatMap(block => {
  const walker = document.createTreeWalker(block, NodeFilter.SHOW_TEXT);
  const broken = [];
  while (walker.nextNode()) {
    const node = walker.currentNode;
    for (const found of node.data.matchAll(/[A-Za-z]{4,}/g)) {
      const range = document.createRange();
      range.setStart(node, found.index);
      range.setEnd(node, found.index + found[0].length);
      const tops = new Set([...range.getClientRects()].map(box => Math.round(box.top)));
      if (tops.size > 1) broken.push(found[0]);
    }
  }
  return broken;
})
"""


@pytest.mark.parametrize("width", WIDTHS)
def test_no_word_of_a_pair_is_broken_in_two(chromium: Browser, out: Path, width: int) -> None:
    with visit(chromium, out, width=width) as seen:
        seen.go(PAGE)
        assert seen.page.evaluate(WORDS_IN_TWO) == []
