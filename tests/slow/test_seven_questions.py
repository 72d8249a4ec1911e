"""The seven questions of a buyer, each walked from the first page by clicking, with the steps counted.

| question | steps allowed from the first page |
|---|---|
| Is anything wrong with her? | 0: it is on it; details 1 |
| What did you not check? | 1 |
| Why is this laminate (propeller, paint ...) good? | 1 to the answer and its strip, 2 to the rows |
| Prove that number. | 1 from any figure to its rows, instrument, formula |
| May I print this sentence? | 1 to the sentences of the listing |
| Is this the same file? | 0: digest in every foot; 1 to how to check |
| Explain it in two minutes. | 0: the first screen |
"""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from playwright.sync_api import Browser

from buildbook.chapters import CHAPTERS
from tests.end_to_end.builds import Build
from tests.render.site_reader import squeezed
from tests.slow.browsing import Visit, all_pages, book, page_of, visit

pytestmark = pytest.mark.slow
# A desk, and what a phone of common size shows between the bars of its browser (common practice, no source).
SCREENS = ((1440, 900), (390, 664))


def shown_at_once(seen: Visit, selector: str) -> str:
    """The text of an element that lies in the window whole, without scrolling; empty where it does not."""
    it = seen.page.locator(selector).first
    box, size = it.bounding_box(), seen.page.viewport_size
    assert size is not None
    inside = box is not None and box["y"] >= 0 and box["y"] + box["height"] <= size["height"] and box["x"] >= 0
    return squeezed(it.inner_text()) if inside else ""


def told(verdict: str, data: dict[str, Any]) -> int:
    return sum(line["verdict"] == verdict for line in data["plan"])


@pytest.mark.parametrize("screen", SCREENS)
def test_is_anything_wrong_with_her(chromium: Browser, build: Build, screen: tuple[int, int]) -> None:
    data = book(build.out)
    with visit(chromium, build.out, width=screen[0], height=screen[1]) as seen:
        seen.go("index.html")
        assert squeezed(data["in_short"]) in shown_at_once(seen, ".cover .answer")
        text = squeezed(seen.page.inner_text("main"))
        assert [it["what"] for it in data["matters"] if squeezed(it["what"]) not in text] == []
        seen.click(".cover .answer a")
        assert (seen.at, seen.steps) == ("exceptions.html", 1)
        shown = set(seen.page.locator("tr.finding").evaluate_all("all => all.map(it => it.dataset.finding)"))
        assert {number for it in data["matters"] for number in it["findings"]} <= shown
        assert seen.page.locator(".report").count() == len(data["reports"])


@pytest.mark.parametrize("screen", SCREENS)
def test_what_did_you_not_check(chromium: Browser, build: Build, screen: tuple[int, int]) -> None:
    """The lines of the plan without a reading on one page; what was measured and has no record, on the first."""
    data = book(build.out)
    without = [it["number"] for it in numbered(data) if it["verdict"] == "no record"]
    with visit(chromium, build.out, width=screen[0], height=screen[1]) as seen:
        seen.go("index.html")
        assert without
        text = squeezed(seen.page.inner_text("main"))
        assert [number for number in without if number not in text] == []
        seen.click("main .all a[href='coverage.html']")
        assert (seen.at, seen.steps) == ("coverage.html", 1)
        assert told("not measured", data) > 0
        assert seen.page.locator(".plan .is-not-measured").count() == told("not measured", data)
        assert seen.page.locator(".plan .is-no-record").count() == told("no record", data)
        assert shown_at_once(seen, "h1")


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("chapter", [chapter.key for chapter in CHAPTERS])
def test_why_is_this_good(chromium: Browser, build: Build, chapter: str, screen: tuple[int, int]) -> None:
    """One step to the answer of a chapter, with its strip where it has a margin to draw; one more to its rows."""
    data = next(it for it in book(build.out)["chapters"] if it["key"] == chapter)
    with visit(chromium, build.out, width=screen[0], height=screen[1]) as seen:
        seen.go("index.html").click(f".chapters h3 a[href='{chapter}.html']")
        assert seen.steps == 1
        assert squeezed(data["in_short"]) in shown_at_once(seen, "main > .answer")
        assert seen.page.locator("main > .nearest svg.strip").count() == (1 if data["nearest"] else 0)
        seen.click("main .tables a")
        assert seen.steps == 2
        assert seen.at.startswith("evidence/")
        assert seen.page.locator("table.raw tbody tr").count() > 0


WRITTEN = ":text-matches('^[A-Z]{3}-[0-9]+/[0-9]+$')"
NUMBER = f":is({WRITTEN}, :has({WRITTEN}))"  # with or without an element that keeps it on one line
ORIGINS = [
    *(("index.html", chapter.key) for chapter in CHAPTERS),
    ("exceptions.html", "propeller"),
    ("exceptions.html", "register"),
    ("listing", "propeller"),
]


@pytest.mark.parametrize("screen", SCREENS)
def test_prove_that_number(chromium: Browser, build: Build, screen: tuple[int, int]) -> None:
    """One step from a number to its working, which stands open; its row is one more.

    From the first page into each chapter; from the exceptions and the listing, which tell a number in the same way.
    """
    findings = {it["number"]: it for it in numbered(book(build.out))}
    with visit(chromium, build.out, width=screen[0], height=screen[1]) as seen:
        for origin, chapter in ORIGINS:
            seen.steps = 0
            seen.go(page_of(build.out, "listing") if origin == "listing" else origin)
            number = f"a[href^='{chapter}.html#']{NUMBER}"
            finding = findings[seen.page.locator(number).locator("visible=true").first.inner_text()]
            seen.click(number)
            assert seen.steps == 1
            working = seen.page.locator("tr.finding:target + tr.more .facts")
            assert working.is_visible(), (origin, chapter)
            assert lacking(finding, set(working.locator("dt").all_inner_texts())) == set(), finding["number"]
            if finding["verdict"] not in UNREAD:
                seen.click("tr.finding:target + tr.more .facts a[href^=evidence]")
                assert seen.at.partition("/")[0] == "evidence", (origin, chapter)
                assert "#L" in seen.at
                assert seen.page.locator(":target").is_visible()


UNREAD = ("not measured", "no record")


def lacking(finding: dict[str, Any], heads: set[str]) -> set[str]:
    """What the working of a finding does not say.

    What has an uncertainty was measured: its working, and its instrument or else how it was read and what its
    uncertainty comes from.
    """
    wanted = {"Limit", "Rows"}
    if finding["uncertainty"]:
        wanted |= {"Working"} if "Instrument" in heads else {"Working", "Method", "Uncertainty"}
    return wanted - heads


def test_every_number_on_the_first_page_has_its_working_and_every_measured_one_its_instrument(build: Build) -> None:
    """All of them, in the data that the page is made from: what the walk above sees of one holds for each."""
    data = book(build.out)
    findings = {it["number"]: it for it in numbered(data)}
    asked = {number for it in data["matters"] for number in it["findings"]} | {
        it["nearest"]["number"] for it in data["chapters"] if it["nearest"]
    }
    assert asked <= set(findings)
    without_rows = [number for number in asked if not findings[number]["finding"]["at"]]
    assert {findings[number]["finding"]["verdict"] for number in without_rows} <= set(UNREAD)
    read = [it for number, it in findings.items() if number in asked and it["uncertainty"]]
    assert len(read) > 10
    assert [it["number"] for it in read if not it["finding"]["working"]] == []
    assert [it["number"] for it in read if not (it["finding"]["instruments"] or it["finding"]["method"])] == []


def numbered(data: dict[str, Any]) -> list[dict[str, Any]]:
    """Every finding of the book as data."""
    return [it for chapter in data["chapters"] for check in chapter["checks"] for it in check["governing"]]


@pytest.mark.parametrize("screen", SCREENS)
def test_may_i_print_this_sentence(chromium: Browser, build: Build, screen: tuple[int, int]) -> None:
    """One step to the sentences of the listing, with what is open before them; one more to the file to attach."""
    listing = book(build.out)["listing"]
    with visit(chromium, build.out, width=screen[0], height=screen[1]) as seen:
        seen.go("index.html").click("a.to-listing")
        assert (seen.at, seen.steps) == ("said.html", 1)
        text = squeezed(seen.page.inner_text("main"))
        assert listing["sayings"]
        assert [one["text"] for one in listing["sayings"] if squeezed(one["text"]) not in text] == []
        assert text.index(squeezed(listing["exceptions"])) < text.index(squeezed(listing["sayings"][0]["text"]))
        seen.click(f'main a[href="{page_of(build.out, "listing")}"]')
        assert (seen.at, seen.steps) == (page_of(build.out, "listing"), 2)
        assert "not a survey" in squeezed(seen.page.inner_text("body"))


@pytest.mark.parametrize("screen", SCREENS)
def test_is_this_the_same_file(chromium: Browser, build: Build, screen: tuple[int, int]) -> None:
    """The digest in the foot of every page is that of the list as the disk holds it."""
    digest = hashlib.sha256((build.out / "SHA256SUMS").read_bytes()).hexdigest()
    for name in all_pages(build.out):
        text = (build.out / name).read_text(encoding="utf-8")
        foot = text if name == page_of(build.out, "listing") else text.rpartition('<footer class="foot">')[2]
        assert digest[:12] in foot, name
    with visit(chromium, build.out, width=screen[0], height=screen[1]) as seen:
        assert digest[:12] in seen.go("index.html").page.inner_text(".foot")
        seen.go("index.html").click(".foot a")
        assert (seen.at, seen.steps) == ("verify.html", 1)
        text = seen.page.inner_text("main")
        assert digest in text
        assert "sha256sum -c --strict SHA256SUMS SHA256SUMS.release" in squeezed(text)


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_explain_it_in_two_minutes(chromium: Browser, build: Build, screen: tuple[int, int], scheme: str) -> None:
    """The first screen: who she is, what the book is and is not, whether anything is wrong; a desk shows her too."""
    data = book(build.out)
    with visit(chromium, build.out, width=screen[0], height=screen[1], scheme=scheme) as seen:
        seen.go("index.html")
        assert shown_at_once(seen, "h1") == data["hull"]["name"]
        assert data["hull"]["number"] in shown_at_once(seen, ".hull-number")
        lead = shown_at_once(seen, ".cover .lead-in")
        assert "records of one hull" in lead
        assert "not a survey and not a certificate" in lead
        assert squeezed(data["in_short"]) in shown_at_once(seen, ".cover .answer")
        assert "invented" in shown_at_once(seen, ".demonstration")
        profile = seen.page.locator(".profile svg").bounding_box()
        assert profile is not None
        # On a phone what went wrong comes before her: she is on the second screen at the latest.
        assert profile["y"] + profile["height"] <= (2 if screen[0] == 390 else 1) * screen[1]
