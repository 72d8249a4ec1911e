"""The same scripts on a hull with other limits and other certificates: verdicts move, and both still agree."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.again import (
    coating_climate,
    coating_film,
    coating_work,
    laminate_burned,
    laminate_tested,
    register_instruments,
    register_looks,
    register_plan,
)
from tests.again.common_rules import Key, Own, Package
from tests.again.comparing import by_key, differences
from tests.again.package_folder import DEMO, foreign_package, package_folder

SCRIPTS = (
    laminate_burned,
    laminate_tested,
    coating_climate,
    coating_film,
    coating_work,
    register_instruments,
    register_looks,
    register_plan,
)
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]  # the colour library warns of what it lacks


def lower_limits(hull: Path) -> None:
    """Every limit of hull.toml 7 % lower; none becomes impossible by that."""
    path = hull / "hull.toml"
    text = path.read_text(encoding="utf-8")
    at = text.index("[[limits]]")
    lowered = re.sub(r"^(low|high) = ([\d.]+)", lambda m: f"{m[1]} = {0.93 * float(m[2]):g}", text[at:], flags=re.M)
    path.write_text(text[:at] + lowered, encoding="utf-8")


def other_coverage(hull: Path) -> None:
    """Every certificate states its U for k = 3."""
    path = hull / "instruments.csv"
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([head, *(re.sub(r",2,([^,]*)$", r",3,\1", row) for row in rows), ""]), encoding="utf-8")


def recomputed(package: Package) -> dict[Key, Own]:
    """Everything that is recomputed here."""
    own: dict[Key, Own] = {}
    for script in SCRIPTS:
        own |= script.recomputed(package)
    return own


@pytest.mark.parametrize("change", [lower_limits, other_coverage], ids=lambda change: change.__name__)
def test_book_and_recomputation_agree_on_a_changed_hull(change, unpacked: Path, tmp_path: Path) -> None:
    hull = tmp_path / "hull"
    shutil.copytree(DEMO, hull)
    change(hull)
    package = Package(package_folder(tmp_path / "package", hull))
    own, before = recomputed(package), recomputed(Package(unpacked))
    moved = [
        key
        for key in own
        if key in before and (own[key].guard, own[key].margin) != (before[key].guard, before[key].margin)
    ]
    assert len(moved) > 100, "the change must reach the findings"
    book = {key: line for chapter in ("LAM", "COA", "REG") for key, line in by_key(package.findings, chapter).items()}
    assert differences(book, own) == []


def test_book_and_recomputation_agree_on_a_hull_with_heads_and_words_of_its_own(unpacked: Path, tmp_path: Path) -> None:
    """The tables as received are read by the columns.toml of the package, and nothing comes out otherwise."""
    package = Package(foreign_package(tmp_path))
    assert package.said.columns
    own = recomputed(package)
    assert own == recomputed(Package(unpacked))
    book = {key: line for chapter in ("LAM", "COA", "REG") for key, line in by_key(package.findings, chapter).items()}
    assert differences(book, own) == []
