"""The site by keyboard alone: everything that can be used is reached in order, is seen to be reached, lets go again."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser

from tests.end_to_end.builds import Build
from tests.render.contrast import contrast
from tests.slow.browsing import KINDS, Visit, page_of, visit

pytestmark = pytest.mark.slow

# Whatever a reader may use, in the order of the page; a region that can be moved sideways is one of these things.
# What lies in a closed `details` is used after that is opened.
USABLE = """() => {
  const all = [...document.querySelectorAll("a[href], summary, button, input, select, textarea, [tabindex]")];
  const shown = all.filter(it => it.tabIndex >= 0 && !it.disabled && it.checkVisibility({visibilityProperty: true}));
  shown.forEach((it, number) => it.dataset.stop = number);
  return shown.length;
}"""
# Regions with something to move that are not among them.
UNREACHED = """() => [...document.querySelectorAll("body *")]
  .filter(it => /auto|scroll/.test(getComputedStyle(it).overflowX) && it.scrollWidth > it.clientWidth + 1)
  .filter(it => it.tabIndex < 0 || !(it.ariaLabel || it.getAttribute("aria-labelledby")))
  .map(it => it.outerHTML.slice(0, 120))"""
LISTEN = """() => {
  window.stops = [];
  document.addEventListener("focusin", event => {
    const it = event.target, style = getComputedStyle(it), at = it.getBoundingClientRect();
    window.stops.push([Number(it.dataset.stop ?? -1), it.matches(":focus-visible"), style.outlineStyle,
      parseFloat(style.outlineWidth), style.outlineColor, at.bottom > 0 && at.top < innerHeight,
      it.tagName, it.className]);
  });
}"""


def colour(words: str) -> tuple[float, ...]:
    """`rgb(23, 80, 111)` as numbers."""
    return tuple(float(part) for part in words[words.index("(") + 1 : -1].split(",")[:3])


def tabbed(seen: Visit, times: int, key: str = "Tab") -> list[list[Any]]:
    """What took the focus, one entry per press."""
    seen.page.evaluate(LISTEN)
    for _ in range(times):
        seen.page.keyboard.press(key)
    stops: list[list[Any]] = seen.page.evaluate("window.stops")
    return stops


# The longest table has over two thousand lines, each with one link like the next: the widest table stands for it.
AT_A_DESK = [(kind, 1440) for kind in KINDS if kind != "longest table"]


@pytest.mark.parametrize(("kind", "width"), [*AT_A_DESK, ("first page", 390), ("chapter register", 390)])
def test_tab_reaches_everything_in_order_and_it_is_seen(chromium: Browser, build: Build, kind: str, width: int) -> None:
    """Every stop of the page in its order, none left out, with its outline; after the last the page lets go."""
    name = page_of(build.out, kind)
    with visit(chromium, build.out, width=width) as seen:
        usable = seen.go(name).page.evaluate(USABLE)
        assert seen.page.evaluate(UNREACHED) == []
        stops = tabbed(seen, usable + 1)
        grounds = seen.page.evaluate(
            "() => ['--paper', '--raised'].map(it => getComputedStyle(document.documentElement).getPropertyValue(it))"
        )
    reached = [stop[0] for stop in stops[:usable]]
    assert reached == list(range(usable)), f"{name}: after {max(reached[:1], default=-1)}"
    unseen = [stop for stop in stops[:usable] if not (stop[1] and stop[2] == "solid" and stop[3] >= 2.0 and stop[5])]
    assert unseen == []
    assert min(contrast(colour(stop[4]), ground) for stop in stops[:usable] for ground in grounds) >= 3.0
    # One more press leaves the page, or begins it again.
    assert [stop[0] for stop in stops[usable:]] in ([], [0])


def test_tab_goes_back_as_well(chromium: Browser, build: Build) -> None:
    with visit(chromium, build.out, width=390) as seen:
        usable = seen.go("verify.html").page.evaluate(USABLE)
        stops = tabbed(seen, usable, "Shift+Tab")
    assert [stop[0] for stop in stops] == list(range(usable))[::-1]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_skip_link_comes_first_is_seen_and_leads_to_the_text(chromium: Browser, build: Build, scheme: str) -> None:
    with visit(chromium, build.out, width=390, scheme=scheme) as seen:
        seen.go("coverage.html").page.keyboard.press("Tab")
        box = seen.page.locator(".skip:focus").bounding_box()
        assert box is not None
        assert min(box["x"], box["y"]) >= 0
        assert box["x"] + box["width"] <= 390
        seen.page.keyboard.press("Enter")
        assert seen.at == "coverage.html#main"
        seen.page.keyboard.press("Tab")
        assert seen.page.evaluate("document.querySelector('main').contains(document.activeElement)")
        assert not seen.page.evaluate("document.querySelector('.head').contains(document.activeElement)")


@pytest.mark.parametrize("script", [True, False])
def test_the_working_of_a_finding_is_opened_and_closed_by_keyboard(
    chromium: Browser, build: Build, script: bool
) -> None:
    with visit(chromium, build.out, script=script) as seen:
        working = seen.go("vibration.html").page.locator("tr.more details").first
        inside = working.locator("dl")
        assert not inside.is_visible()
        working.locator("summary").focus()
        for key, open_now in (("Enter", True), ("Space", False), ("Enter", True)):
            seen.page.keyboard.press(key)
            assert inside.is_visible() is open_now, key
        seen.page.keyboard.press("Tab")
        assert seen.page.evaluate("document.activeElement.closest('details') !== null"), "the first link of the working"


def test_a_wide_table_is_moved_by_the_arrow_keys(chromium: Browser, build: Build) -> None:
    with visit(chromium, build.out, width=390) as seen:
        region = seen.go(page_of(build.out, "widest table")).page.locator(".scroll").first
        region.focus()
        for _ in range(5):
            seen.page.keyboard.press("ArrowRight")
        seen.page.wait_for_function("() => document.querySelector('.scroll').scrollLeft > 0")
