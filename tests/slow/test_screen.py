"""The pages in a browser, at the widths of a phone, a tablet and a desk: nothing makes the page scroll sideways.

The outside measure is Chromium's own layout. The policy that forbids scripts is taken out of the copy that is measured.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from buildbook.render.package import contents
from tests.sample_book import book, received

pytestmark = pytest.mark.slow

MEASURE = """<script>
addEventListener("load", () => {
  const body = document.documentElement, found = [];
  for (const element of document.querySelectorAll("main *"))
    if (!element.closest(".scroll, svg") && element.getBoundingClientRect().right > innerWidth + 1)
      found.push(element.tagName + "." + element.className);
  body.dataset.measured = [innerWidth, body.scrollWidth, found.slice(0, 3).join(" ")].join(";");
});
</script></body>"""


@pytest.fixture(scope="module")
def browser() -> str:
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if path := shutil.which(name):
            return path
    pytest.fail("Chromium is not installed, so the pages were not measured (Debian package chromium)")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    made, *_ = contents(book(), received(), pdf=False)
    for name, data in made.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if name.endswith(".html"):
            text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", data.decode("utf-8"))
            data = text.replace("</body>", MEASURE).encode("utf-8")
        path.write_bytes(data)
    return folder


LISTING = "XX-EXY00007H526-listing"
PAGES = ("index", "exceptions", "coverage", "coating", "evidence/index", "evidence/coating-climate", "instruments")


@pytest.mark.parametrize("width", [390, 820, 1440])
@pytest.mark.parametrize("page", [*PAGES, "sources", "verify", "glossary", "how-judged", "said", LISTING])
def test_no_page_scrolls_sideways(browser: str, site: Path, page: str, width: int, tmp_path: Path) -> None:
    # Chromium makes a window no narrower than 500 px; an inner frame has the width that is asked for.
    frame = site / f"frame-{page.replace('/', '-')}-{width}.html"
    frame.write_text(
        f'<!doctype html><body style="margin:0"><iframe id="f" src="{page}.html" style="border:0;width:{width}px;'
        'height:900px"></iframe><script>addEventListener("load", () => { document.body.dataset.measured = '
        'document.getElementById("f").contentDocument.documentElement.dataset.measured })</script>',
        encoding="utf-8",
    )
    command = [browser, "--headless", "--no-sandbox", "--disable-gpu", "--allow-file-access-from-files"]
    command += [f"--user-data-dir={tmp_path}", "--window-size=1600,1000", "--virtual-time-budget=4000", "--dump-dom"]
    done = subprocess.run([*command, frame.as_uri()], capture_output=True, text=True, timeout=120, check=True)
    measured = re.search(r'<body[^>]*data-measured="(\d+);(\d+);([^"]*)"', done.stdout)
    assert measured is not None, done.stdout[-500:]
    assert int(measured.group(1)) == width
    assert int(measured.group(2)) <= width, measured.group(3)
