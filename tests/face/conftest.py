"""A theme folder and a folder of texts that are right; each test spoils one thing. The yard is invented."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.face.typefaces import typeface

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "docs" / "guide" / "example-face"
TYPE = """
[text]
family = "Example Box"
regular = "type/regular.woff2"
italic = "type/italic.woff2"
semibold = "type/semibold.woff2"

[headings]
family = "Example Board"
semibold = "type/board.woff2"
"""


@pytest.fixture
def theme(tmp_path: Path) -> Path:
    """The example of the guide, with typefaces."""
    folder = tmp_path / "theme"
    shutil.copytree(EXAMPLE / "theme", folder)
    with (folder / "theme.toml").open("a", encoding="utf-8") as file:
        file.write(TYPE)
    (folder / "type").mkdir()
    (folder / "type/regular.woff2").write_bytes(typeface())
    (folder / "type/italic.woff2").write_bytes(typeface(italic=True))
    (folder / "type/semibold.woff2").write_bytes(typeface(weight=600))
    (folder / "type/board.woff2").write_bytes(typeface("Example Board", 600))
    return folder


@pytest.fixture
def texts(tmp_path: Path) -> Path:
    """The example of the guide."""
    folder = tmp_path / "texts"
    shutil.copytree(EXAMPLE / "texts", folder)
    return folder
