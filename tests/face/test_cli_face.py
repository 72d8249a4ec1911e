"""The options of `build`: all faults before the long part, on the right stream, with exit 2, and nothing written."""

from __future__ import annotations

import re
import shutil
from functools import partial
from pathlib import Path

import pypdfium2
import pytest
from typer.testing import CliRunner

from buildbook import pipeline
from buildbook.chapters import CHAPTERS
from buildbook.cli import app
from tests.end_to_end.spoiling import HULL
from tests.face.conftest import EXAMPLE


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A folder whose book is quickly printed: her own file and the number in three places."""
    folder = tmp_path / "hull"
    folder.mkdir()
    shutil.copy(HULL / "hull_number.csv", folder)
    text = (HULL / "hull.toml").read_text(encoding="utf-8")
    (folder / "hull.toml").write_text(re.sub(r"withhold = .*", "withhold = []", text), encoding="utf-8")
    return folder


@pytest.mark.slow
def test_a_book_in_an_own_face_and_own_words(small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    two = tuple(chapter for chapter in CHAPTERS if chapter.key in ("coating", "register"))
    monkeypatch.setattr(pipeline, "make_book", partial(pipeline.make_book, judged=two))  # a third of the print
    theme = tmp_path / "theme"
    shutil.copytree(EXAMPLE / "theme", theme)
    for name in ("old.css", *(f"z{number:02}.txt" for number in range(12))):
        (theme / name).write_text("", encoding="utf-8")
    out = tmp_path / "out"
    words = ["build", small, "-o", out, "--theme", theme, "--texts", EXAMPLE / "texts", "--paper", "letter"]
    done = CliRunner().invoke(app, [str(word) for word in words])
    assert done.exit_code == 0, done.output
    assert f"{theme}/old.css: not named in theme.toml, not used" in done.stdout
    assert f"{theme}/z08.txt: not named" in done.stdout
    assert f"{theme}: 3 more files are not used" in done.stdout
    (sheet,) = out.glob("*-listing.pdf")
    for path in (sheet, *out.glob("*-book.pdf")):
        document = pypdfium2.PdfDocument(path)
        assert {tuple(sorted(page.get_size())) for page in document} == {(612.0, 792.0)}, path.name
    assert "Made with buildbook" in document[0].get_textpage().get_text_range()  # the whole cover, logo and all
    document.close()
    assert "In the builder's words" in (out / "coating.html").read_text(encoding="utf-8")
    assert "7a2331" in (out / "style/theme.css").read_text(encoding="utf-8")


def test_faults_of_theme_and_texts_are_told_together_and_nothing_is_written(tmp_path: Path) -> None:
    theme, texts, out = tmp_path / "theme", tmp_path / "texts", tmp_path / "out"
    (texts / "coating").mkdir(parents=True)
    theme.mkdir()
    (theme / "theme.toml").write_text('[verdicts]\nfail = "#00ff00"\n[light]\nink = "#777777"\n', encoding="utf-8")
    (texts / "coating/COA-04.md").write_text("# The best\n", encoding="utf-8")
    words = ["build", HULL, "-o", out, "--theme", theme, "--texts", texts]
    done = CliRunner().invoke(app, [str(word) for word in words])
    assert done.exit_code == 2
    assert done.stdout == ""
    assert f"{theme}/theme.toml:1, verdicts: expected one of: logo, light, dark, text, headings" in done.stderr
    assert f"{texts}/coating/COA-04.md:1: expected words that records can bear; found 'best'" in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()


@pytest.mark.parametrize("option", ["--theme", "--texts"])
def test_a_folder_that_is_not_there(small: Path, tmp_path: Path, option: str) -> None:
    done = CliRunner().invoke(
        app, ["build", str(small), "-o", str(tmp_path / "out"), option, str(tmp_path / "nowhere")]
    )
    assert done.exit_code == 2
    assert "expected a folder; found nothing of that name" in done.stderr
    assert not (tmp_path / "out").exists()


def test_no_other_paper(small: Path) -> None:
    done = CliRunner().invoke(app, ["build", str(small), "--paper", "a3"])
    assert done.exit_code == 2
    assert "'a4', 'letter'" in done.stderr
