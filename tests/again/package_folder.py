"""The demonstration's evidence package, unpacked into a folder: the one module here that runs the program."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import fields
from pathlib import Path

from buildbook.core.book import Book
from buildbook.core.finding import Finding, Key
from buildbook.core.limit import Limit
from buildbook.pipeline import make_book
from buildbook.render.jsonfile import book_json

DEMO = Path(__file__).parents[2] / "demo_build" / "hull"
COLUMNS = (
    *("number", "check", "quantity", "place", "condition", "attempt", "role", "verdict", "value", "unit", "U"),
    *("coverage", "limit_low", "limit_high", "limit_low_strict", "limit_high_strict", "margin", "guard", "observed"),
    "rows",
)


def package_folder(root: Path, hull: Path = DEMO) -> Path:
    """Lay out an evidence package of a hull's folder under `root`, as a surveyor finds it after unpacking.

    Returns:
        The folder that holds `data/`.
    """
    made = make_book(hull)
    data = root / "data"
    for name, content in made.received.items():
        _put(data / "evidence" / "received" / name, content)
    for raw in made.book.raw_files:
        _put(data / "raw" / raw.file, (hull / raw.file).read_bytes())
    (data / "book.json").write_bytes(book_json(made.book))
    _write_findings(data / "findings.csv", made.book)
    return root


def _put(target: Path, content: bytes) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(content)


def _write_findings(path: Path, book: Book) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        for number, finding in _numbered(book):
            writer.writerow(_line(number, finding))


def _numbered(book: Book) -> Iterable[tuple[str, Finding]]:
    for chapter in book.chapters:
        for result in chapter.checks:
            for numbered in (*result.governing, *result.references):
                yield numbered.number, numbered.finding


def _line(number: str, finding: Finding) -> dict[str, object]:
    measured, limit = finding.measured, finding.limit
    key = {part.name: getattr(finding.key, part.name) for part in fields(Key)}
    line: dict[str, object] = {**key, "role": finding.key.role.value, "number": number}
    line |= {"verdict": finding.verdict.value, "observed": finding.observed}
    line |= {"margin": finding.margin, "guard": finding.guard}
    if measured:
        line |= {"value": measured.value, "unit": measured.unit, "U": measured.expanded, "coverage": measured.coverage}
    if limit:
        line |= _limit(limit)
    line["rows"] = "; ".join(f"{where.file}:{where.line}" for where in finding.at)
    return {name: repr(cell) if isinstance(cell, float) else cell for name, cell in line.items()}


def _limit(limit: Limit) -> dict[str, object]:
    return {
        "limit_low": limit.low,
        "limit_high": limit.high,
        "limit_low_strict": limit.low_strict,
        "limit_high_strict": limit.high_strict,
    }
