"""One package for all recomputations."""

from __future__ import annotations

import pytest

from tests.again.drive_rules import Package
from tests.again.package_folder import lay_out


@pytest.fixture(scope="session")
def package(tmp_path_factory: pytest.TempPathFactory) -> Package:
    """The evidence package of the demonstration, unpacked."""
    return Package(lay_out(tmp_path_factory.mktemp("package")))
