"""The demonstration book, built twice at once in circumstances as different as one machine allows."""

from __future__ import annotations

import pytest

from tests.end_to_end.builds import Build, start


@pytest.fixture(scope="session")
def builds(tmp_path_factory: pytest.TempPathFactory) -> tuple[Build, Build]:
    """The same hull in two places, time zones, locales, hash seeds and file times, built in two processes."""
    first, second = (start(tmp_path_factory.mktemp(f"place{number}"), number) for number in range(2))
    return first.finished(), second.finished()


@pytest.fixture(scope="session")
def build(builds: tuple[Build, Build]) -> Build:
    """One of them."""
    return builds[0]
