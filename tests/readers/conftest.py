"""The readers are tested as they are: no table is remembered from an earlier test."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.end_to_end.spoiling import tables_anew


@pytest.fixture(autouse=True)
def _each_table_anew() -> Iterator[None]:
    with tables_anew():
        yield
