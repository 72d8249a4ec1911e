"""Pages that the guide names are pages that a build writes."""

from __future__ import annotations

import re
from pathlib import Path, PurePosixPath

import pytest

from tests.demonstration import site

GUIDE = Path(__file__).parents[1] / "docs" / "guide"
NAMED = re.compile(r"`([\w./-]+\.html)`")
BESIDE = {"comparison.html"}  # written by `compare`, not by `build`


def test_every_page_that_the_guide_names_is_there(tmp_path_factory: pytest.TempPathFactory) -> None:
    """The last part of a name in backticks; one that begins with a hyphen is the end of a name."""
    out = site(tmp_path_factory)
    there = [path.name for path in out.rglob("*.html")]
    named = {
        (page.name, PurePosixPath(name).name)
        for page in sorted(GUIDE.glob("*.md"))
        for name in NAMED.findall(page.read_text("utf-8"))
    }
    assert len(named) > 8
    lost = [
        (page, name)
        for page, name in sorted(named)
        if name not in BESIDE and not any(it == name or (name[0] == "-" and it.endswith(name)) for it in there)
    ]
    assert lost == []
