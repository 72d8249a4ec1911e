"""A withheld word in columns.toml is found however it is spelled or escaped. Synthetic names."""

from __future__ import annotations

import csv
import unicodedata
from pathlib import Path

import pytest

from buildbook.pipeline import make_book
from tests.parcel.small_hull import small_hull

NAME = "Lackhaus S\u00fcd"
APART = unicodedata.normalize("NFD", NAME)  # the accent as a sign of its own
BATCHES = "coating/batches.csv"


def stopped(root: Path, cell: str, lines: str) -> list[int | None]:
    """The lines of columns.toml for which no book is written, where every supplier is this one and withheld."""
    hull = small_hull(root / "hull", f'withhold = ["{BATCHES}:supplier"]')
    with (hull / BATCHES).open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    at = rows[0].index("supplier")
    for row in rows[1:]:
        row[at] = cell
    with (hull / BATCHES).open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    (hull / "columns.toml").write_text(f'["{BATCHES}".words]\n{lines}\n', "utf-8")
    return [fault.where.line for fault in make_book(hull).not_withheld]


@pytest.mark.parametrize(
    ("cell", "lines", "told"),
    [
        (NAME, f'"{NAME}" = "base"', [2]),
        (APART, f'"{NAME}" = "base"', [2]),
        (NAME, f'"{APART}" = "base"', [2]),
        (NAME, '"Lackhaus S\\u00fcd" = "base"', [2]),
        (APART, '"Lackhaus S\\u00FCd" = "base"', [2]),
        (NAME, '# "Lackhaus S\\u00fcd" = "base"', [2]),
        (NAME, '"weiss" = """Lackhaus \\\n   S\\u00fcd"""', [None]),
        (NAME, '"Lackhaus Nord" = "base"', []),
    ],
)
def test_a_withheld_name_stops_the_build(tmp_path: Path, cell: str, lines: str, told: list[int | None]) -> None:
    assert stopped(tmp_path, cell, lines) == told
