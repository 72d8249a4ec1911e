"""One build of the demonstration and one browser for the slow tests."""

from __future__ import annotations

from collections.abc import Iterator

import pypdfium2
import pytest
from playwright.sync_api import Browser

from tests.end_to_end.builds import Build, demonstration
from tests.end_to_end.spoiling import tables_remembered
from tests.slow.book_pages import Page, read_pages
from tests.slow.browsing import not_run, program, started


@pytest.fixture(scope="session")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return demonstration(tmp_path_factory)


@pytest.fixture(scope="session")
def chromium(request: pytest.FixtureRequest) -> Iterator[Browser]:
    """The machine's Chromium, once per worker; where there is none, that is said and nothing of it is run."""
    path = program()
    if not path:
        not_run(request, "the site in a browser", "Chromium is not installed; Debian package chromium")
    with started(path) as browser:
        yield browser


@pytest.fixture(scope="module", autouse=True)
def remembered() -> Iterator[None]:
    with tables_remembered():
        yield


@pytest.fixture(scope="session")
def document(build: Build) -> Iterator[pypdfium2.PdfDocument]:
    """The printed book."""
    (path,) = build.out.glob("*-book.pdf")
    document = pypdfium2.PdfDocument(path)
    yield document
    document.close()


@pytest.fixture(scope="session")
def outline(document: pypdfium2.PdfDocument) -> list[tuple[int, int, str]]:
    """Level, page from 1, and words of every bookmark."""
    found = []
    for item in document.get_toc(max_depth=8):
        target = item.get_dest()
        assert target is not None
        found.append((item.level, target.get_index() + 1, item.get_title()))
    return found


@pytest.fixture(scope="session")
def pages(document: pypdfium2.PdfDocument, outline: list[tuple[int, int, str]]) -> list[Page]:
    return read_pages(document, {page for level, page, _ in outline if level == 0})
