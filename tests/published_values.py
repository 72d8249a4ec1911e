"""Reads the printed values in `published/`: one CSV for each subject, a source beside every row."""

from __future__ import annotations

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "published"


def rows(name: str) -> list[dict[str, str]]:
    """All rows of one table; an empty or missing table is an error, so that no test passes for want of rows."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    assert found, f"{name}.csv holds no rows"
    return found


def numbers(text: str) -> list[float]:
    """Numbers in one cell, separated by blanks."""
    return [float(part) for part in text.split()]
