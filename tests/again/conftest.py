"""The package of the demonstration, laid out once for all recomputations."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.again.package_folder import package_folder


@pytest.fixture(scope="session")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the unpacked package."""
    return package_folder(tmp_path_factory.mktemp("package"))
