"""The demonstration site in a browser, from the disk: no complaint in its console, no page wider than its window.

The measure is Chromium's own. `test_screen.py` does the widths for the synthetic book; these pages are longer.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.end_to_end.builds import Build
from tests.slow.test_screen import MEASURE

pytestmark = pytest.mark.slow
PAGES = (
    "index",
    "coating",
    "register",
    "exceptions",
    "coverage",
    "instruments",
    "evidence/coating-film-thickness",
    "evidence/plan",
    "evidence/hull-toml",
)
OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--allow-file-access-from-files",
    "--virtual-time-budget=5000",
)


@pytest.fixture(scope="module")
def browser(request: pytest.FixtureRequest) -> str:
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if path := shutil.which(name):
            return path
    capture = request.config.pluginmanager.getplugin("capturemanager")
    with capture.global_and_fixture_disabled():
        print("\nNOT RUN: the site in a browser (Chromium is not installed; Debian package chromium)")
    pytest.skip("NOT RUN: Chromium is not installed")


def opened(browser: str, page: Path, profile: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """A page loaded from the disk, its document printed after scripts have run, its log on stderr."""
    command = [browser, *OPTIONS, f"--user-data-dir={profile}", *options, "--dump-dom", page.as_uri()]
    return subprocess.run(command, capture_output=True, text=True, timeout=180, check=True)


def complaints(log: str) -> list[str]:
    """What a console would show: refused by the policy of the page, not found, not understood."""
    return [line for line in log.splitlines() if "CONSOLE" in line or "net::ERR" in line]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_loads_from_the_disk_without_a_complaint(browser: str, build: Build, page: str, tmp_path: Path) -> None:
    done = opened(browser, build.out / f"{page}.html", tmp_path, "--enable-logging=stderr", "--v=0")
    assert complaints(done.stderr) == []
    assert "Demonstration: the yacht, her builder" in done.stdout
    assert "<title>" in done.stdout


def test_a_complaint_would_be_seen(browser: str, build: Build, tmp_path: Path) -> None:
    """A script that is put into a page is refused by the page's own policy, and that is in the log."""
    text = (build.out / "index.html").read_text(encoding="utf-8")
    page = build.out / "spoiled.html"
    page.write_text(text.replace("</body>", "<script>document.title = 'taken'</script></body>"), encoding="utf-8")
    try:
        done = opened(browser, page, tmp_path, "--enable-logging=stderr", "--v=0")
    finally:
        page.unlink()
    assert complaints(done.stderr) != []
    assert "<title>taken" not in done.stdout


@pytest.mark.parametrize("width", [390, 820, 1440])
@pytest.mark.parametrize("page", PAGES)
def test_no_page_of_the_demonstration_scrolls_sideways(
    browser: str, build: Build, page: str, width: int, tmp_path: Path
) -> None:
    """In an inner frame of that width, since a window is never narrower than 500 px; the page's policy is taken out."""
    site = tmp_path / "site"
    shutil.copytree(build.out / "style", site / "style")
    target = site / f"{page}.html"
    target.parent.mkdir(parents=True, exist_ok=True)
    text = (build.out / f"{page}.html").read_text(encoding="utf-8")
    text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text)
    target.write_text(text.replace("</body>", MEASURE), encoding="utf-8")
    frame = site / "frame.html"
    frame.write_text(
        f'<!doctype html><body style="margin:0"><iframe id="f" src="{page}.html" style="border:0;width:{width}px;'
        'height:900px"></iframe><script>addEventListener("load", () => { document.body.dataset.measured = '
        'document.getElementById("f").contentDocument.documentElement.dataset.measured })</script>',
        encoding="utf-8",
    )
    done = opened(browser, frame, tmp_path / "profile", "--window-size=1600,1000")
    measured = re.search(r'<body[^>]*data-measured="(\d+);(\d+);([^"]*)"', done.stdout)
    assert measured is not None, done.stdout[-500:]
    assert int(measured.group(1)) == width
    assert int(measured.group(2)) <= width, measured.group(3)
