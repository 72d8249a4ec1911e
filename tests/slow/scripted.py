"""The pages of the demonstration in the system's Chromium, driven as a reader would, for the tests of the script."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

from playwright.sync_api import Browser, ConsoleMessage, Locator, Page

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}


class Opened:
    """Opens pages, each in a fresh window; keeps what their consoles said and what they asked for."""

    def __init__(self, browser: Browser, out: Path) -> None:
        self.browser, self.out = browser, out
        self.said: list[str] = []
        self.asked: list[str] = []

    def __call__(self, name: str, *, base: str = "", size: dict[str, int] = DESK, **context: Any) -> Page:
        page = self.browser.new_context(viewport=size, **context).new_page()  # type: ignore[arg-type]
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("request", lambda request: self.asked.append(request.url))
        file, mark, at = name.partition("#")
        page.goto(f"{base or self.out.as_uri()}/{file}.html{mark}{at}")
        return page

    def _hear(self, message: ConsoleMessage) -> None:
        # A browser asks every server for this picture by itself; no page names it.
        if not message.location["url"].endswith("/favicon.ico"):
            self.said.append(message.text)


@contextmanager
def watched(browser: Browser, out: Path) -> Iterator[Opened]:
    """Opens pages; at the end nothing has complained, and nothing but files of the book has been asked for."""
    pages = Opened(browser, out)
    yield pages
    for context in browser.contexts:
        context.close()
    assert pages.said == []
    assert [url for url in pages.asked if not url.startswith((out.as_uri(), "http://127.0.0.1:"))] == []


@contextmanager
def server_of(folder: Path) -> Iterator[str]:
    """A folder behind a server of this machine; gives its address."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}"
    server.shutdown()
    server.server_close()


def check(book: dict[str, Any], wanted: str) -> dict[str, Any]:
    """One check of the book as data."""
    found = [check for chapter in book["chapters"] for check in chapter["checks"] if check["id"] == wanted]
    made: dict[str, Any] = found[0]
    return made


def tools(page: Page, label: str) -> Locator:
    """The tools above the table of this name."""
    return page.get_by_role("group", name=f"Find rows: {label}", exact=True)


def words_field(page: Page, label: str) -> Locator:
    """Where words are typed to find rows of the table of this name."""
    return tools(page, label).get_by_role("searchbox", name="Words in a row", exact=True)


def main_rows(page: Page, label: str) -> Locator:
    """The rows of a table without those that belong to another row."""
    return page.get_by_role("region", name=label, exact=True).locator(
        "table:not(.facts) > tbody > tr:not(.more, .reference)"
    )


def numbers(rows: Locator) -> list[str]:
    """The numbers of findings in these rows."""
    return [text.strip() for text in rows.locator("td.number").all_text_contents()]


def shown(page: Page, label: str) -> list[str]:
    """The numbers of the findings that a table shows."""
    return numbers(main_rows(page, label).locator("visible=true"))
