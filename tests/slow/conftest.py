"""One build of the demonstration for the slow tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.end_to_end.builds import Build, start
from tests.end_to_end.spoiling import tables_remembered


@pytest.fixture(scope="session")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return start(tmp_path_factory.mktemp("demonstration"), 1).finished()


@pytest.fixture(scope="module", autouse=True)
def remembered() -> Iterator[None]:
    with tables_remembered():
        yield
