"""The demonstration site in a browser, from the disk, with its policy in force.

No complaint, no request elsewhere, no page wider than its window. The measures are Chromium's own console, network log
and layout. `test_screen.py` does the widths for the synthetic book.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.end_to_end.builds import Build
from tests.slow.browsing import KINDS, WIDTHS, all_pages, not_run, page_of, visit

pytestmark = pytest.mark.slow

# What sticks out of the window; what lies in a region that is moved sideways does not.
STICKING_OUT = """() => [...document.querySelectorAll("body *")]
  .filter(it => !it.closest(".scroll, svg, .skip") && it.getBoundingClientRect().right > innerWidth + 1)
  .slice(0, 3).map(it => it.tagName + "." + it.className)"""
SIZES = "() => [innerWidth, document.documentElement.scrollWidth]"


def test_every_page_loads_from_the_disk_without_a_complaint(chromium: Browser, build: Build) -> None:
    """All of them: whatever a page asks for lies in the output folder, and its console stays empty."""
    with visit(chromium, build.out) as seen:
        for name in all_pages(build.out):
            seen.go(name)
            assert seen.page.title(), name
            assert "invented" in seen.page.inner_text("body"), name
        assert seen.said == []
        assert seen.strangers() == []
        assert len(seen.asked) > len(all_pages(build.out))


def test_a_complaint_and_a_stranger_would_be_seen(chromium: Browser, build: Build) -> None:
    """A script that is put into a page is refused by the page's own policy; a picture from elsewhere is noticed."""
    text = (build.out / "index.html").read_text(encoding="utf-8")
    page = build.out / "spoiled.html"
    bad = "<script>document.title = 'taken'</script><img src='https://elsewhere.invalid/x.png' alt=''></body>"
    page.write_text(text.replace("</body>", bad), encoding="utf-8")
    try:
        with visit(chromium, build.out) as seen:
            seen.go("spoiled.html")
            assert any("Content Security Policy" in line for line in seen.said), seen.said
            assert "taken" not in seen.page.title()
            assert seen.strangers() == ["https://elsewhere.invalid/x.png"]
    finally:
        page.unlink()


@pytest.mark.parametrize("kind", KINDS)
def test_no_page_of_the_demonstration_scrolls_sideways(
    chromium: Browser, build: Build, request: pytest.FixtureRequest, kind: str
) -> None:
    name = page_of(build.out, kind)
    if not name:
        not_run(f"width of the {kind}", "this build writes none")
    with visit(chromium, build.out) as seen:
        seen.go(name)
        for width in WIDTHS:
            seen.page.set_viewport_size({"width": width, "height": 900})
            inner, whole = seen.page.evaluate(SIZES)
            assert inner == width
            assert whole <= width, seen.page.evaluate(STICKING_OUT)
            assert seen.page.evaluate(STICKING_OUT) == []
