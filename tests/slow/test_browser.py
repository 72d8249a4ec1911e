"""Every page of the demonstration in a browser, from the disk, with its policy in force: loaded once with script and
once without.

The measures are Chromium's own console, network log and layout, and the text that it shows.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.end_to_end.builds import Build
from tests.slow.browsing import CHAPTER_PAGES, HEIGHT, WIDTHS, Visit, all_pages, visit

pytestmark = pytest.mark.slow
PHONE = min(WIDTHS)

# What sticks out of the window; what is folded away, or lies in a region that is moved sideways, does not.
STICKING_OUT = """() => [...document.querySelectorAll("body *")]
  .filter(it => !it.closest(".scroll, svg, .skip") && it.checkVisibility())
  .filter(it => it.getBoundingClientRect().right > innerWidth + 1)
  .slice(0, 3).map(it => it.tagName + "." + it.className)"""
SIZES = "() => [innerWidth, document.documentElement.scrollWidth]"
# What a reader can use that only a script could answer.
CONTROLS = (
    """() => document.querySelectorAll(".tools, .reading-out, .needle, main button, main input, main select").length"""
)
# The words that are shown, with everything unfolded and what the script adds taken away.
SHOWN = """() => { document.querySelectorAll("details").forEach(it => it.open = true);
  document.querySelectorAll(".tools, .reading-out, .needle").forEach(it => it.remove());
  return document.body.innerText; }"""


def too_wide(seen: Visit, width: int) -> list[str]:
    """What makes a page wider than its window."""
    seen.page.set_viewport_size({"width": width, "height": HEIGHT})
    inner, whole = seen.page.evaluate(SIZES)
    out: list[str] = seen.page.evaluate(STICKING_OUT)
    return out if inner == width and whole <= width else [f"{whole} px in a window of {inner}", *out]


def differ(one: list[str], other: list[str]) -> str:
    """The first words that two texts do not share; empty where they are the same."""
    at = next((n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    return "" if one == other else f"{' '.join(one[at : at + 6])} | {' '.join(other[at : at + 6])}"


def test_every_page_is_sound_at_every_width_and_says_the_same_without_script(chromium: Browser, build: Build) -> None:
    """No complaint, no request elsewhere, nothing wider than the window, and each word shown that script shows."""
    names = all_pages(build.out)
    wide: dict[str, list[str]] = {}
    unlike: dict[str, str] = {}
    with visit(chromium, build.out) as seen, visit(chromium, build.out, script=False, width=PHONE) as plain:
        for name in names:
            assert seen.go(name).page.title(), name
            found = {f"{width}": too_wide(seen, width) for width in sorted(WIDTHS, reverse=True)}
            assert plain.go(name).page.evaluate(CONTROLS) == 0, name
            told = [tab.page.evaluate(SHOWN).split() for tab in (seen, plain)]
            found |= {f"{PHONE}, unfolded": too_wide(seen, PHONE), "without script": too_wide(plain, PHONE)}
            wide |= {f"{name} at {where}": out for where, out in found.items() if out}
            assert "invented." in told[0], name
            assert len(told[0]) > 60, name
            if difference := differ(*told):
                unlike[name] = difference
        assert wide == {}
        assert unlike == {}
        assert seen.said == plain.said == []
        assert seen.strangers() == plain.strangers() == []
        assert len(seen.asked) > len(names) > 60


LEAST = 9.0  # px: no smaller size of type can be read on a phone at arm's length (common practice, no source)
MARK = 16.0  # px: a mark of a drawing that a finger still finds
# The size of type of the words in drawings, as it is on the screen; the least side of the marks to be tapped.
DRAWN = """() => [[...document.querySelectorAll("main svg text")]
  .filter(it => it.checkVisibility() && it.textContent.trim())
  .map(it => [it.textContent.trim(), it.getScreenCTM().d * parseFloat(getComputedStyle(it).fontSize)]),
  [...document.querySelectorAll("main svg a.mark")].map(it => it.getBoundingClientRect())
  .filter(it => it.width).map(it => Math.min(it.width, it.height))]"""


def test_words_and_marks_in_drawings_are_large_enough_on_a_phone(chromium: Browser, build: Build) -> None:
    """What else can be tapped is held to 24 px, or to that spacing, by axe-core (WCAG 2.2, 2.5.8) at the same width.

    A mark stands where the place is on her: that is the exception of 2.5.8 called essential (from memory), and it
    leads to a row of the same page.
    """
    small: dict[str, list[str]] = {}
    words = marks = 0
    with visit(chromium, build.out, width=PHONE) as seen:
        for name in ("index.html", *CHAPTER_PAGES.values()):
            told, sides = seen.go(name).page.evaluate(DRAWN)
            words, marks = words + len(told), marks + len(sides)
            found = [text for text, size in told if size < LEAST] + [f"a mark of {it} px" for it in sides if it < MARK]
            small |= {name: found} if found else {}
    assert small == {}
    assert words > 500
    assert marks > 100


def test_what_a_page_hides_or_what_sticks_out_would_be_seen(chromium: Browser, build: Build) -> None:
    with visit(chromium, build.out, width=PHONE) as seen:
        before = seen.go("verify.html").page.evaluate(SHOWN).split()
        seen.page.add_style_tag(content="main p:last-child { display: none } h1 { width: 900px }")
        assert differ(before, seen.page.evaluate(SHOWN).split())
        assert any("H1" in out for out in too_wide(seen, PHONE))


CUT = "() => [...document.querySelectorAll('main .scroll')].map(it => it.scrollWidth - it.clientWidth)"


@pytest.mark.parametrize("name", ["said.html", "sources.html"])
def test_a_table_of_plain_words_is_no_wider_than_a_phone(chromium: Browser, build: Build, name: str) -> None:
    """What only has to be read wraps: the end of a line behind the edge is not seen to be missing. 320 px are those of
    WCAG 2.2, 1.4.10 (reflow)."""
    for width in (320, PHONE):
        with visit(chromium, build.out, width=width) as seen:
            frames = seen.go(name).page.evaluate(CUT)
            assert frames == [0], width
            seen.page.add_style_tag(content="main td { white-space: nowrap }")
            assert max(seen.page.evaluate(CUT)) > 100, "what does not wrap would be seen"


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


OVER = """() => [...document.querySelectorAll("table.findings tr.finding")].flatMap((row) => {
  const cells = [...row.children];
  return cells.slice(0, -1).flatMap((cell, at) => {
    const words = document.createRange();
    words.selectNodeContents(cell);
    const over = words.getBoundingClientRect().right - cells[at + 1].getBoundingClientRect().left;
    return words.getBoundingClientRect().width && over > 2 ? [`${cells[0].innerText}: ${cell.innerText}`] : [];
  });
})"""


@pytest.mark.parametrize("width", [width for width in WIDTHS if width > 700])
def test_no_cell_of_a_finding_runs_into_the_next_one(chromium: Browser, build: Build, width: int) -> None:
    """A value keeps its unit beside it; the column has to be as wide as the longest."""
    over, rows = [], 0
    with visit(chromium, build.out, width=width) as seen:
        for name in (*CHAPTER_PAGES.values(), "exceptions.html"):
            page = seen.go(name).page
            over += page.evaluate(OVER)
            rows += page.locator("table.findings tr.finding").count()
    assert over == []
    assert rows > 1000
