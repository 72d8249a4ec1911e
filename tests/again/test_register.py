"""REG-01 to REG-07: every finding of the demonstration recomputed from its package."""

from __future__ import annotations

from pathlib import Path

from tests.again import register_instruments, register_looks, register_plan
from tests.again.common_rules import Package
from tests.again.comparing import by_key, differences


def test_every_finding_of_the_register_is_recomputed_and_agrees(unpacked: Path) -> None:
    package = Package(unpacked)
    own = register_instruments.recomputed(package) | register_plan.recomputed(package)
    own |= register_looks.recomputed(package)
    assert differences(by_key(package.findings, "REG"), own) == []
