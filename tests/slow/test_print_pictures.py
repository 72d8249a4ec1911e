"""`make pictures` on the built demonstration: one kind of page in every form, by the code that makes them all."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PIL import Image

from tests import pictures
from tests.end_to_end.builds import Build
from tests.slow.browsing import not_run, program

pytestmark = [pytest.mark.slow, pytest.mark.parametrize("printed", ["a4"], indirect=True)]


@pytest.fixture(scope="session")
def drawing_programs() -> None:
    if not (program() and shutil.which("pdftoppm")):
        not_run("pictures of the guide", "needs Chromium and pdftoppm; Debian packages chromium and poppler-utils")


def test_the_pictures_of_one_kind_of_page_are_made_in_every_form(
    drawing_programs: None, printed: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (scene,) = [scene for scene in pictures.SCENES if scene.name == "where"]
    monkeypatch.setattr(pictures, "SCENES", (scene,))
    folder = tmp_path / "pictures"
    folder.mkdir()
    (folder / "gone.png").write_bytes(b"of an earlier run")
    pictures.main(printed.out, folder)
    names = [*(f"where-{form.name}.png" for form in pictures.FORMS), "where-print.png"]
    assert sorted(path.name for path in folder.iterdir()) == sorted(names)
    listed = (tmp_path / "pictures.md").read_text(encoding="utf-8")
    assert [name for name in names if f"](pictures/{name})" not in listed] == []
    for form in pictures.FORMS:
        with Image.open(folder / f"where-{form.name}.png") as picture:
            assert picture.size == (form.width, form.height)
    light, dark = (_brightness(folder / f"where-{name}.png") for name in ("desktop", "dark"))
    assert dark < 0.5 * light


def _brightness(path: Path) -> float:
    with Image.open(path) as picture:
        grey = picture.convert("L")
        return sum(level * count for level, count in enumerate(grey.histogram())) / (grey.width * grey.height)
