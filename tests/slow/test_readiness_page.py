"""The readiness page in a browser: axe-core, three widths without scrolling to the side, light and dark."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from buildbook.ready.page import page_html
from tests.demonstration import demonstration
from tests.growing import moulded
from tests.slow.browsing import TOO_WIDE, WIDTHS, visit
from tests.slow.test_accessible import SCHEMES, complaints_of_a_page

pytestmark = pytest.mark.slow
PAGES = ("demonstration.html", "moulded.html")


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ready")
    books = (demonstration().book, moulded().book)
    for name, book in zip(PAGES, books, strict=True):
        (folder / name).write_text(page_html(book), "utf-8")
    return folder


@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing(chromium: Browser, out: Path, name: str) -> None:
    found = complaints_of_a_page(chromium, out, name)
    assert found == [], "\n".join(found[:20])


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", PAGES)
def test_nothing_scrolls_to_the_side_and_nothing_is_asked_for(
    chromium: Browser, out: Path, name: str, width: int, scheme: str
) -> None:
    with visit(chromium, out, width=width, scheme=scheme) as seen:
        seen.go(name)
        assert seen.page.evaluate(TOO_WIDE) <= 0
        paper = seen.page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (paper == "rgb(21, 25, 30)") == (scheme == "dark")
        assert (seen.said, seen.strangers()) == ([], [])
