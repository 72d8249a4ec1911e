"""One Chromium for the tests of the site: pages from the disk, what they complained of and asked for, and their kinds.

The browser is the machine's own (Debian package chromium); none is ever fetched. The outside authority is Chromium: its
layout, its console, its keyboard handling and its policy checks; for accessibility the rules of axe-core.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, NoReturn

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from buildbook.chapters import CHAPTERS

WIDTHS = (390, 820, 1440)
HEIGHT = 900
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
PROGRAMS = ("chromium", "chromium-browser", "google-chrome")
OPTIONS = (
    "--no-sandbox",
    "--disable-gpu",
)  # no sandbox: as root, which CI often is, Chromium refuses to start with one
LOOK = 60_000.0  # ms; the longest page has fifty thousand elements and the machine may be busy


def program() -> str:
    """Where the machine's Chromium is; empty where there is none."""
    return next((path for name in PROGRAMS if (path := shutil.which(name))), "")


def not_run(what: str, why: str) -> NoReturn:
    """Skip; `tests/conftest.py` says aloud at the end of the run what was not tested."""
    pytest.skip(f"NOT RUN: {what}: {why}")


@contextmanager
def started(path: str) -> Iterator[Browser]:
    """The browser, for as long as the block lasts."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(OPTIONS))
        try:
            yield browser
        finally:
            browser.close()


@dataclass(slots=True)
class Visit:
    """One tab: its page, what its console said, what it asked for, and how often something was clicked."""

    page: Page
    out: Path
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    steps: int = 0

    def go(self, name: str) -> Visit:
        """Open a file of the output folder by its name, perhaps with an anchor."""
        path, _, anchor = name.partition("#")
        address = (self.out / path).as_uri() + (f"#{anchor}" if anchor else "")
        if self.page.url.partition("#")[0] == address.partition("#")[0]:
            self.page.goto("about:blank")  # else only the anchor would change, and nothing be loaded
        self.page.goto(address)
        return self

    def click(self, selector: str) -> Visit:
        """Click the first visible element that fits: one step of a reader."""
        self.page.locator(selector).locator("visible=true").first.click()
        self.page.wait_for_load_state()
        self.steps += 1
        return self

    @property
    def at(self) -> str:
        """Where the tab is: the file below the output folder, and the anchor."""
        return self.page.url.removeprefix(self.out.as_uri() + "/")

    def strangers(self) -> list[str]:
        """What was asked for outside the output folder."""
        return [url for url in self.asked if not url.startswith((self.out.as_uri() + "/", "data:", "about:"))]


@contextmanager
def visit(
    browser: Browser,
    out: Path,
    *,
    width: int = 1440,
    height: int = HEIGHT,
    scheme: str = "light",
    script: bool = True,
    policy: bool = True,
) -> Iterator[Visit]:
    """A tab of its own, with the page's policy in force unless said otherwise."""
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if scheme == "dark" else "light",
        java_script_enabled=script,
        bypass_csp=not policy,
        offline=True,
    )
    context.set_default_timeout(LOOK)
    page = context.new_page()
    made = Visit(page, out)
    page.on("console", lambda message: made.said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: made.said.append(f"error: {error}"))
    page.on("requestfailed", lambda request: made.said.append(f"not loaded: {request.url}"))
    page.on("request", lambda request: made.asked.append(request.url))
    try:
        yield made
    finally:
        context.close()


# Kinds of pages: each chapter once, one or two of the many tables.
CHAPTER_PAGES = {f"chapter {chapter.key}": f"{chapter.key}.html" for chapter in CHAPTERS}
KINDS = {
    "first page": "index.html",
    "exceptions": "exceptions.html",
    "coverage": "coverage.html",
    "what may be said": "said.html",
    **CHAPTER_PAGES,
    "evidence index": "evidence/index.html",
    "longest table": "",
    "widest table": "",
    "lines of hull.toml": "evidence/hull-toml.html",
    "instruments": "instruments.html",
    "how judged": "how-judged.html",
    "glossary": "glossary.html",
    "sources": "sources.html",
    "verify": "verify.html",
    "listing": "",
}
BIG = tuple(CHAPTER_PAGES)


def page_of(out: Path, kind: str) -> str:
    """The page that stands for a kind, by its name below the output folder; the demonstration has them all."""
    if kind == "listing":
        (name,) = (path.name for path in out.glob("*-listing.html"))
    elif kind == "longest table":
        name = max(tables(out), key=lambda name: (out / name).stat().st_size)
    elif kind == "widest table":
        name = max(tables(out), key=lambda name: columns(out / name))
    else:
        name = KINDS[kind]
    assert (out / name).is_file(), f"the demonstration has no {kind}"
    return name


def tables(out: Path) -> tuple[str, ...]:
    """The pages of single tables."""
    others = {KINDS["evidence index"], KINDS["lines of hull.toml"]}
    return tuple(name for name in all_pages(out) if name.startswith("evidence/") and name not in others)


def all_pages(out: Path) -> tuple[str, ...]:
    """Every page of the folder."""
    return tuple(sorted(path.relative_to(out).as_posix() for path in out.rglob("*.html")))


def columns(path: Path) -> int:
    """How many columns the first table of a page has."""
    return re.split("</tr>", path.read_text(encoding="utf-8"), maxsplit=1)[0].count("<th")


@cache
def axe_source() -> str:
    """The rules of axe-core (MPL 2.0), as its package carries them; used by these tests only."""
    return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


LOOKED = """options => axe.run(document, options).then(result => [result.violations, result.incomplete].map(
  (rules, unsure) => rules.flatMap(rule => rule.nodes.map(node => ({
    rule: rule.id,
    unsure: Boolean(unsure),
    drawn: Boolean(node.element.closest("svg")),
    short: node.any.some(it => it.data && it.data.messageKey === "shortTextContent"),
    html: node.html.slice(0, 160),
    why: node.any.concat(node.all, node.none).map(it => it.message).join("; "),
  })))).flat())"""


def axe(page: Page, options: Mapping[str, Any]) -> list[dict[str, Any]]:
    """What axe-core found, one entry per element; what it could not decide is marked as unsure."""
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(axe_source())
    found: list[dict[str, Any]] = page.evaluate(
        LOOKED,
        {
            "preload": False,  # it would ask for the style sheets again, which a page from the disk may not
            "elementRef": True,
            "resultTypes": ["violations", "incomplete"],
            **options,
        },
    )
    return found


def book(out: Path) -> dict[str, Any]:
    """What the renderers knew."""
    read: dict[str, Any] = json.loads((out / "book.json").read_text(encoding="utf-8"))
    return read
