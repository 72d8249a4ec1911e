"""LAM-01 to LAM-12: every finding of the demonstration recomputed from its package."""

from __future__ import annotations

from pathlib import Path

from tests.again import laminate_burned, laminate_tested
from tests.again.common_rules import Package
from tests.again.comparing import by_key, differences


def test_every_finding_on_the_laminate_is_recomputed_and_agrees(unpacked: Path) -> None:
    package = Package(unpacked)
    own = laminate_burned.recomputed(package) | laminate_tested.recomputed(package)
    assert differences(by_key(package.findings, "LAM"), own) == []
