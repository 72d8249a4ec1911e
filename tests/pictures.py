"""`make pictures`: what the demonstration looks like, as pictures for the guide, with a page that lists them.

Six kinds of pages: on a phone, at a desk, at a desk in the dark, and as printed; the spread is printed only. The site
comes from `out/`, drawn by the machine's Chromium; the printed pages come from the PDF by `pdftoppm`.

    python -m tests.pictures OUT FOLDER
"""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pypdfium2
from PIL import Image
from playwright.sync_api import Browser

from tests.slow.browsing import Visit, program, started, visit

MOST_BYTES = 200_000
COLOURS = (128, 64, 32)  # so many in a picture, fewer where it would be too big
RESOLUTION = 80  # dots per inch of a printed page


@dataclass(frozen=True, slots=True)
class Form:
    """How a page of the site is looked at."""

    name: str
    words: str
    width: int
    height: int
    scheme: str = "light"


@dataclass(frozen=True, slots=True)
class Scene:
    """One kind of page.

    `page` is its name in the output folder with an anchor, empty where it is printed only; `bookmark` the way of heads
    to its printed page; `shows` what can be seen, for those who cannot see it.
    """

    name: str
    title: str
    page: str
    bookmark: tuple[str, ...]
    shows: str
    pages: int = 1


FORMS = (
    Form("phone", "on a phone", 390, 844),
    Form("desktop", "at a desk", 1280, 860),
    Form("dark", "at a desk, dark", 1280, 860, "dark"),
)
SCENES = (
    Scene(
        "first-page",
        "First page",
        "index.html",
        (),
        "her name and hull number, her profile to scale, what the book is and is not, and in one sentence how much is "
        "open, accepted, put right, missing and failed",
    ),
    Scene(
        "chapter",
        "A chapter: vibration and sound",
        "vibration.html#VIB-01",
        ("Vibration and sound",),
        "the question, the answer in one sentence with its counts, and a chart with the limit drawn at the readings",
    ),
    Scene(
        "exceptions",
        "Exceptions and gaps",
        "exceptions.html",
        ("Exceptions and gaps",),
        "what did not simply pass, by what became of it, each finding with its strip, value, limit and verdict",
    ),
    Scene(
        "evidence",
        "A table of evidence",
        "evidence/coating-film-thickness.html",
        ("The evidence, as received",),
        "the rows as the yard sent them, each with its line number, above them the digest of the file",
    ),
    Scene(
        "where",
        "Where on her",
        "index.html#where",
        ("In short", "Where on her"),
        "her profile and plan with numbered marks, whose form tells the worst verdict at that place",
    ),
    Scene(
        "spread",
        "The printed spread: two minutes",
        "",
        ("In short",),
        "two facing pages with everything that went wrong or is missing, before the chapters",
        2,
    ),
)
HEAD = """# Pictures of the demonstration

The yacht, her builder and every number are invented. Made by `make pictures`, from the book that `make demo` builds.
"""


def main(out: Path, folder: Path) -> None:
    """Make every picture anew; pictures that are not made any more are removed."""
    path, pdf = program(), next(iter(sorted(out.glob("*-book.pdf"))), None)
    if not path or not shutil.which("pdftoppm") or pdf is None:
        sys.exit(
            "pictures: needs Chromium, pdftoppm (Debian packages chromium, poppler-utils) and a built book with its PDF"
        )
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.png"):
        old.unlink()
    listed = [HEAD]
    with started(path) as browser:
        for scene in SCENES:
            listed.append(f"\n## {scene.title}\n")
            for form in FORMS if scene.page else ():
                name = save(screen(browser, out, scene, form), folder / f"{scene.name}-{form.name}.png")
                listed.append(entry(scene, form.words, f"{folder.name}/{name}"))
            name = save(printed(pdf, scene), folder / f"{scene.name}-print.png")
            listed.append(entry(scene, "printed", f"{folder.name}/{name}"))
    (folder.parent / f"{folder.name}.md").write_text("".join(listed), encoding="utf-8", newline="\n")


def entry(scene: Scene, words: str, address: str) -> str:
    return f"\n![{scene.title}, {words}: {scene.shows}.]({address})\n\n*{scene.title}, {words}.*\n"


def screen(browser: Browser, out: Path, scene: Scene, form: Form) -> Image.Image:
    """What a window of this size shows."""
    with visit(browser, out, width=form.width, height=form.height, scheme=form.scheme) as seen:
        settled(seen.go(scene.page))
        return Image.open(io.BytesIO(seen.page.screenshot(animations="disabled"))).convert("RGB")


def settled(seen: Visit) -> None:
    """Wait for the faces of the page, then go to the anchor again: with them the lines may have moved."""
    seen.page.evaluate("document.fonts.ready.then(() => true)")
    seen.page.evaluate("location.hash && document.querySelector(location.hash).scrollIntoView()")


def printed(pdf: Path, scene: Scene) -> Image.Image:
    """The printed page of a scene, or its pages side by side."""
    first = page_number(pdf, scene.bookmark)
    pages = [drawn(pdf, first + number) for number in range(scene.pages)]
    whole = Image.new("RGB", (sum(page.width for page in pages), pages[0].height))
    for number, page in enumerate(pages):
        whole.paste(page, (number * pages[0].width, 0))
    return whole


def drawn(pdf: Path, page: int) -> Image.Image:
    command = ["pdftoppm", "-r", str(RESOLUTION), "-f", str(page), "-l", str(page), "-png", str(pdf)]
    return Image.open(io.BytesIO(subprocess.run(command, capture_output=True, check=True).stdout)).convert("RGB")


def page_number(pdf: Path, bookmark: tuple[str, ...]) -> int:
    """The page of the first bookmark that is reached by these headings, from 1; the cover where there are none."""
    if not bookmark:
        return 1
    way: list[str] = []
    for mark in pypdfium2.PdfDocument(pdf).get_toc():
        del way[mark.level :]
        way.append(mark.get_title())
        if tuple(way[-len(bookmark) :]) == bookmark and len(way) >= len(bookmark):
            return int(mark.get_dest().get_index()) + 1
    sys.exit(f"pictures: the PDF has no bookmark {' / '.join(bookmark)}")


def save(picture: Image.Image, path: Path) -> str:
    """Write a picture with as many colours as its size allows."""
    for colours in COLOURS:
        picture.quantize(colours, dither=Image.Dither.NONE).save(path, optimize=True)
        if path.stat().st_size <= MOST_BYTES:
            return path.name
    sys.exit(f"pictures: {path.name} has {path.stat().st_size} bytes, more than {MOST_BYTES}")


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve())
