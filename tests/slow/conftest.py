"""One build of the demonstration for the slow tests."""

from __future__ import annotations

import pytest

from tests.end_to_end.builds import Build, start


@pytest.fixture(scope="session")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return start(tmp_path_factory.mktemp("demonstration"), 1).finished()
