"""A builder's own theme is read as a build reads it: what a forger adds to it is told, and what nobody can hold."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.face.theme import published_theme, read_theme
from buildbook.pipeline import make_book, write_book
from tests.face.typefaces import typeface
from tests.parcel.small_hull import small_hull
from tests.seal.conftest import IDENTITY
from tests.seal.test_pages_again import UNASKED, checked, listed_too
from tests.seal.test_verify_folder import relisted, run

COLOURS = '[light]\npaper = "#fdfcf8"\nink = "#14262b"\naccent = "#7a2331"\n[dark]\naccent = "#ffb000"\n'
LOGO = '[logo]\nfile = "yard.svg"\nalternative = "The yard & sons"\n'
TYPE = '[headings]\nfamily = "Example Board"\nsemibold = "type/board.woff2"\n'
DRAWN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><rect width="9" height="9"/></svg>'
NO_THEME = "no build takes this theme"
CSS, THEME = "style/theme.css", "style/own/theme.toml"


def folder_of_theme(folder: Path, text: str) -> Path:
    (folder / "type").mkdir(parents=True)
    (folder / "theme.toml").write_text(text, "utf-8")
    (folder / "yard.svg").write_text(DRAWN, "utf-8")
    Image.new("P", (60, 20), 3).save(folder / "yard.png", dpi=(90, 90))
    (folder / "type/board.woff2").write_bytes(typeface("Example Board", 600))
    return folder


@pytest.fixture(scope="module")
def themed_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small hull in colours of her builder's, with his logo and his type for headings."""
    folder = tmp_path_factory.mktemp("themed")
    hull, (face, _) = small_hull(folder / "hull"), read_theme(folder_of_theme(folder / "theme", COLOURS + LOGO + TYPE))
    write_book(make_book(hull), hull, folder / "out", face=face, pdf=False)
    return folder / "out"


@pytest.fixture
def themed(themed_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(themed_once, tmp_path / "themed"))


def put(out: Path, name: str, data: bytes) -> None:
    """A file put into folder and list of the release, as one who hides it."""
    new = not (out / name).exists()
    (out / name).parent.mkdir(parents=True, exist_ok=True)
    (out / name).write_bytes(data)
    if new:
        listed_too(out, name)
    relisted(out, "SHA256SUMS.release")


def more_css(out: Path, text: str) -> None:
    put(out, CSS, (out / CSS).read_bytes() + text.encode("utf-8"))


def test_an_untouched_theme_is_compared_and_what_nobody_can_hold_is_in_the_first_line(themed: Path) -> None:
    found = checked(themed)
    assert (found.changed, found.extra, dict(found.otherwise), found.pages_compared) == ({}, (), {}, True)
    said = "A typeface and a logo of the builder's own are in use: NOT compared; letters may be drawn otherwise."
    for asked in ((), ("--pages",)):
        code, text = run(themed, *asked)
        assert (code, text.splitlines()[0].endswith(said)) == (0, True)


@pytest.mark.slow
def test_who_signs_is_told_what_nobody_can_hold(themed: Path, keys: Callable[..., Path]) -> None:
    done = CliRunner().invoke(app, ["sign", str(themed), "--key", str(keys("yard")), "--as", IDENTITY])
    assert done.exit_code == 0, done.output
    assert "A typeface and a logo of the builder's own are in use: NOT compared" in done.output
    assert checked(themed).changed == {}


@pytest.mark.slow
def test_a_typeface_under_the_name_of_a_shipped_family_is_told(themed: Path) -> None:
    face = '@font-face { font-family: "IBM Plex Serif"; font-weight: 400; font-style: normal; '
    more_css(themed, f'{face}src: url("own/headings-semibold.woff2") format("woff2"); }}\n')
    assert set(checked(themed).changed) == {CSS}
    theme = (themed / THEME).read_bytes().replace(b"Example Board", b"IBM Plex Sans")
    put(themed, THEME, theme)
    assert checked(themed).changed[THEME].startswith(NO_THEME)
    assert "headings.family" in checked(themed).changed[THEME]


@pytest.mark.parametrize("theme", [b"", b'[light]\nink = "#ffffff"\nsoft = "#ffffff"\npaper = "#ffffff"\n'])
@pytest.mark.slow
def test_words_in_the_colour_of_the_paper_are_told(papers: Path, theme: bytes) -> None:
    """Whether theme.toml asks for them or only the style sheet has them."""
    white = "".join(f"  --{name}: #ffffff;\n" for name in ("paper", "ink", "soft"))
    more_css(papers, f"\n/* The builder's own. */\n:root {{\n{white}}}\n")
    put(papers, THEME, theme)
    changed = checked(papers).changed
    assert CSS in changed
    assert not theme or changed[THEME].startswith(NO_THEME)
    assert run(papers, "--pages")[0] == 1


@pytest.mark.slow
def test_only_what_the_theme_names_belongs_below_its_folder(themed: Path, papers: Path) -> None:
    put(themed, "style/own/certificate.html", (themed / "sources.html").read_bytes())
    put(themed, "style/own/text-regular.woff2", typeface())
    put(themed, "style/own/logo.png", b"another")
    assert checked(themed).changed == {
        f"style/own/{name}": UNASKED for name in ("certificate.html", "text-regular.woff2", "logo.png")
    }
    put(papers, "style/own/logo.svg", DRAWN.encode())
    assert checked(papers).changed == {"style/own/logo.svg": UNASKED}, "no theme.toml, no theme"


def test_a_large_file_that_no_theme_names_hides_no_forged_page(papers: Path, keys: Callable[..., Path]) -> None:
    put(papers, "coverage.html", (papers / "coverage.html").read_bytes().replace(b"</h1>", b".</h1>", 1))
    (papers / "style/own").mkdir()
    with (papers / "style/own/x.woff2").open("wb") as file:
        file.truncate((64 << 20) + 1)
    listed_too(papers, "style/own/x.woff2")
    assert set(checked(papers).changed) == {"coverage.html", "style/own/x.woff2"}


@pytest.mark.slow
def test_a_large_file_that_the_theme_names_is_not_compared_and_no_success(
    themed: Path, keys: Callable[..., Path]
) -> None:
    name = "style/own/headings-semibold.woff2"
    with (themed / name).open("wb") as file:
        file.truncate((64 << 20) + 1)
    relisted(themed, "SHA256SUMS.release")
    found = checked(themed)
    assert (set(found.unreadable), found.pages_compared) == ({name}, False)
    code, said = run(themed, "--pages")
    assert code == 2
    assert f"the pages were NOT compared with the data ({name} cannot be read" in said.splitlines()[0]
    done = CliRunner().invoke(app, ["sign", str(themed), "--key", str(keys("yard")), "--as", IDENTITY])
    assert (done.exit_code, name in done.output, (themed / "SHA256SUMS.release.sig").exists()) == (2, True, False)


def test_a_typeface_without_letters_or_of_another_name_is_told(themed: Path) -> None:
    put(themed, "style/own/headings-semibold.woff2", typeface("Example Other", 600))
    assert "headings.semibold" in checked(themed).changed[THEME]


def test_a_logo_that_a_build_would_not_write_is_told(themed: Path) -> None:
    put(themed, "style/own/logo.svg", DRAWN.replace("<rect", "<text>pass</text><rect").encode())
    assert "yard.svg" in checked(themed).changed[THEME]


@pytest.mark.parametrize("logo", ["yard.svg", "yard.png"])
def test_a_theme_is_the_same_read_from_the_book(tmp_path: Path, logo: str) -> None:
    """A logo's bytes are those of its shapes or pixels, which are made from themselves again."""

    class Files:
        def read(self, name: str, most: int) -> bytes:
            return face.files[f"style/own/{name}"]

    face, _ = read_theme(folder_of_theme(tmp_path / "theme", COLOURS + LOGO.replace("yard.svg", logo) + TYPE))
    assert published_theme(Files()) == face
