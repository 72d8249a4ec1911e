"""One site of the demonstration, one printed book for each paper, and one browser for the slow tests."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Browser

from tests.demonstration import site
from tests.end_to_end.builds import Build, demonstration
from tests.end_to_end.spoiling import HULL
from tests.slow.book_pages import Page, read_pages
from tests.slow.browsing import not_run, program, started
from tests.slow.scripted import Opened, watched


@pytest.fixture(scope="session")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """The demonstration without its printed book, which takes ten times as long; a test of print holds both alike."""
    out = tmp_path_factory.mktemp("site") / "out"
    return Build(HULL, Path(shutil.copytree(site(tmp_path_factory), out)), "")  # a copy: some put a page into it


@pytest.fixture(scope="session", params=["a4", "letter"])
def printed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Build:
    """The demonstration with its printed book, once for each paper."""
    if request.param == "a4":
        return demonstration(tmp_path_factory)
    out = tmp_path_factory.mktemp("printed") / "out"
    command = [sys.executable, "-m", "buildbook", "build", str(HULL), "-o", str(out), "--paper", "letter"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=1800, check=True)
    return Build(HULL, out, done.stdout)


@pytest.fixture
def paper(printed: Build, request: pytest.FixtureRequest) -> str:
    """The paper of the printed book: `a4` or `letter`."""
    name: str = request.node.callspec.params["printed"]
    return name


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The machine's Chromium, once per worker; where there is none, that is said and nothing of it is run."""
    path = program()
    if not path:
        not_run("the site in a browser", "Chromium is not installed; Debian package chromium")
    with started(path) as browser:
        yield browser


@pytest.fixture
def opened(chromium: Browser, build: Build) -> Iterator[Opened]:
    """Opens pages; at the end nothing has complained."""
    with watched(chromium, build.out) as pages:
        yield pages


@pytest.fixture(scope="session")
def document(printed: Build) -> Iterator[pypdfium2.PdfDocument]:
    """The printed book."""
    (path,) = printed.out.glob("*-book.pdf")
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
    return read_pages(document, {(page, title) for level, page, title in outline if level == 0})
