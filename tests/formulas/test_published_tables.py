"""Each table of printed values names a source in every row, and no row is torn."""

from __future__ import annotations

import csv

import pytest

from tests.published_values import FOLDER


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.csv")), ids=lambda path: path.stem)
def test_every_row_is_whole_and_has_a_source(path):
    with path.open(encoding="utf-8", newline="") as file:
        head, *body = list(csv.reader(file))
    assert "source" in head
    assert body
    for row in body:
        assert len(row) == len(head), row
        assert row[head.index("source")].strip(), row
