"""COA-01 to COA-16: every finding of the demonstration recomputed from its package."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.again import coating_climate, coating_film, coating_work
from tests.again.common_rules import Package
from tests.again.comparing import by_key, differences

pytestmark = pytest.mark.filterwarnings("ignore")  # the colour library speaks of parts of it that are not installed


def test_every_finding_on_the_paint_is_recomputed_and_agrees(unpacked: Path) -> None:
    package = Package(unpacked)
    own = coating_work.recomputed(package) | coating_climate.recomputed(package) | coating_film.recomputed(package)
    assert differences(by_key(package.findings, "COA"), own) == []
