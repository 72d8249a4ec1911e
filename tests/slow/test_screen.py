"""The pages of the synthetic book in a browser, at the widths of a phone, a tablet and a desk.

The outside measure is Chromium's own layout; what sticks out of the window is named.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from buildbook.render.package import contents
from tests.sample_book import book, received
from tests.slow.browsing import WIDTHS, visit
from tests.slow.test_browser import SIZES, STICKING_OUT

pytestmark = pytest.mark.slow
PAGES = ("index", "exceptions", "coverage", "coating", "evidence/index", "evidence/coating-climate", "instruments")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    made, *_ = contents(book(), received(), pdf=False)
    for name, data in made.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return folder


LISTING = "XX-EXY00007H526-listing"


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("page", [*PAGES, "sources", "verify", "glossary", "how-judged", "said", LISTING])
def test_no_page_scrolls_sideways(chromium: Browser, site: Path, page: str, width: int) -> None:
    with visit(chromium, site, width=width) as seen:
        seen.go(f"{page}.html")
        inner, whole = seen.page.evaluate(SIZES)
        assert inner == width
        assert whole <= width, seen.page.evaluate(STICKING_OUT)
        assert seen.page.evaluate(STICKING_OUT) == []
        assert seen.said == []
