"""The pictures of the guide: all are there and no others, small, with words for those who cannot see them."""

from __future__ import annotations

import re
from pathlib import Path

from PIL import Image

from tests.pictures import FORMS, MOST_BYTES, SCENES

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "docs" / "guide"
SHOWN = re.compile(r"!\[([^\]]+)\]\(([^)]+)\)")


def test_every_kind_of_page_is_shown_in_every_form() -> None:
    wanted = {f"{scene.name}-{form.name}.png" for scene in SCENES if scene.page for form in FORMS}
    wanted |= {f"{scene.name}-print.png" for scene in SCENES}
    assert {path.name for path in (GUIDE / "pictures").iterdir()} == wanted
    assert {scene.name for scene in SCENES} == {"first-page", "chapter", "exceptions", "evidence", "where", "spread"}
    assert {form.name for form in FORMS} == {"phone", "desktop", "dark"}
    assert [scene.name for scene in SCENES if not scene.page] == ["spread"], "two facing pages are printed only"


def test_the_page_lists_each_with_words_of_its_own() -> None:
    listed = SHOWN.findall((GUIDE / "pictures.md").read_text(encoding="utf-8"))
    there = {f"pictures/{path.name}" for path in (GUIDE / "pictures").iterdir()}
    assert {address for _, address in listed} == there
    assert len(listed) == len(there)
    assert len({words for words, _ in listed}) == len(listed)
    assert all(len(words) > 60 for words, _ in listed)


def test_no_picture_is_big_or_empty() -> None:
    for path in (GUIDE / "pictures").iterdir():
        assert path.stat().st_size <= MOST_BYTES, path.name
        with Image.open(path) as picture:
            colours = picture.convert("RGB").getcolors(1 << 24)
        assert colours is not None
        assert len(colours) > 8, path.name


def test_the_pictures_of_the_readme_are_there() -> None:
    shown = SHOWN.findall((ROOT / "README.md").read_text(encoding="utf-8"))
    assert shown
    assert all((ROOT / address).is_file() for _, address in shown)
