"""The package of the demonstration, unpacked once for all recomputations."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.again.common_rules import Package
from tests.again.package_folder import of_demonstration


@pytest.fixture(scope="session")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the unpacked package."""
    return of_demonstration(tmp_path_factory)


@pytest.fixture(scope="session")
def package(unpacked: Path) -> Package:
    """The same, as the recomputation of propellers, vibration and sound takes it."""
    return Package(unpacked)
