"""The evidence package of the demonstration, laid out in a folder: the one module here that runs the program."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from buildbook.core.book import Book, Numbered
from buildbook.pipeline import make_book

HULL = Path("demo_build/hull")
HEADS = (
    *(
        "number",
        "check",
        "quantity",
        "place",
        "condition",
        "attempt",
        "role",
        "verdict",
        "value",
        "unit",
        "U",
        "coverage",
    ),
    *(
        "limit_low",
        "limit_high",
        "limit_low_strict",
        "limit_high_strict",
        "limit_words",
        "margin",
        "guard",
        "observed",
        "rows",
    ),
)


def lay_out(root: Path) -> Path:
    """Write `data/` of the package below a folder and give that folder back."""
    made = make_book(HULL)
    for name, data in made.received.items():
        _write(root / "data/evidence/received" / name, data)
    for raw in made.book.raw_files:
        _write(root / "data/raw" / raw.file, (HULL / raw.file).read_bytes())
    with (root / "data/findings.csv").open("w", encoding="utf-8", newline="") as opened:
        writer = csv.writer(opened, lineterminator="\n")
        writer.writerow(HEADS)
        writer.writerows(_row(one) for one in _numbered(made.book))
    return root


def _write(file: Path, data: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(data)


def _numbered(book: Book) -> Iterator[Numbered]:
    for chapter in book.chapters:
        for check in chapter.checks:
            yield from (*check.governing, *check.references)


def _row(one: Numbered) -> list[str]:
    finding, key = one.finding, one.finding.key
    measured, limit = finding.measured, finding.limit
    numbers = (
        (measured.value, measured.unit, measured.expanded, measured.coverage) if measured else (None, "", None, None)
    )
    ends = (limit.low, limit.high, limit.low_strict, limit.high_strict, limit.words) if limit else (None,) * 4 + ("",)
    rows = "; ".join(dict.fromkeys(f"{where.file}:{where.line}" for where in finding.at))
    about = (
        one.number,
        key.check,
        key.quantity,
        key.place,
        key.condition,
        key.attempt,
        key.role.value,
        finding.verdict.value,
    )
    return [_cell(cell) for cell in (*about, *numbers, *ends, finding.margin, finding.guard, finding.observed, rows)]


def _cell(value: object) -> str:
    if value is None:
        return ""
    return repr(value) if isinstance(value, float) else str(value)
