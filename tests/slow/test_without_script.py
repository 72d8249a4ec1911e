"""The site with scripts switched off is used the same; `test_browser.py` holds that it says the same."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from buildbook.chapters import CHAPTERS
from tests.end_to_end.builds import Build
from tests.slow.browsing import all_pages, visit

pytestmark = pytest.mark.slow
# Whether the target of the address lies in the window.
IN_VIEW = """() => { const at = document.querySelector(":target").getBoundingClientRect();
  return at.top > -2 && at.top < innerHeight }"""


def test_every_page_is_turned_to_without_script(chromium: Browser, build: Build) -> None:
    """From the first page, next after next, to the last, and back again."""
    with visit(chromium, build.out, script=False, width=390) as seen:
        seen.go("index.html")
        forth = [seen.at]
        while seen.page.locator("a[rel=next]").count():
            forth.append(seen.click("a[rel=next]").at)
        back = [seen.at]
        while seen.page.locator("a[rel=prev]").count():
            back.append(seen.click("a[rel=prev]").at)
    assert back == forth[::-1]
    top = {name for name in all_pages(build.out) if "/" not in name and not name.endswith("-listing.html")}
    assert set(forth) == top | {"evidence/index.html"}


@pytest.mark.parametrize("width", [390, 1440])
def test_an_anchor_is_gone_to_without_script(chromium: Browser, build: Build, width: int) -> None:
    """On one page, and from one page to a place on another: a finding, and a row of a table."""
    with visit(chromium, build.out, script=False, width=width) as seen:
        seen.go("exceptions.html").click(".standings a")
        assert "#exceptions-" in seen.at
        assert seen.page.evaluate(IN_VIEW)
        seen.go("index.html").click(".matters .shown a")
        assert seen.at.partition(".html#")[0] in {chapter.key for chapter in CHAPTERS}
        assert seen.page.evaluate(IN_VIEW)
        seen.go("exceptions.html").click(".behind .rows a")
        assert seen.at.partition("/")[0] == "evidence"
        assert "#L" in seen.at
        assert seen.page.evaluate(IN_VIEW)


def test_nothing_is_fetched_by_a_page_without_script(chromium: Browser, build: Build) -> None:
    """Only style, faces and pictures are asked for: nothing that a script would have to put in its place."""
    with visit(chromium, build.out, script=False) as seen:
        seen.go("index.html")
        kinds = {Path(url).suffix for url in seen.asked}
    assert kinds <= {".html", ".css", ".woff2", ".jpg", ".png", ".js"}
