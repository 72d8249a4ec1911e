"""Cited documents and printed tables: data with a source, read once."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from pathlib import Path

from buildbook.core.check import Span
from buildbook.core.limit import Limit, Term
from buildbook.core.source import Source, Standing

FOLDER = Path(__file__).parent
HOUSE_RULE = "house-rule"  # the source of what this book asks for itself


@cache
def all_sources() -> dict[str, Source]:
    """Every cited document by its key."""
    text = (FOLDER / "sources.toml").read_text(encoding="utf-8")
    fields = ("title", "edition", "publisher", "kind", "note", "designation")
    return {
        key: Source(key=key, **{name: str(entry.get(name, "")) for name in fields})
        for key, entry in tomllib.loads(text).items()
    }


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one printed table as text, its units row left out. `name` has no ending."""
    with (FOLDER / "tables" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return tuple(rows[1:])


@cache
def printed_rule(name: str, rule: str) -> dict[str, str]:
    """One row of a printed table of single figures: that of this `rule`."""
    return next(row for row in table(name) if row["rule"] == rule)


@cache
def figure(name: str, rule: str) -> float:
    """The figure of one row of such a table, in the unit of the row."""
    return float(printed_rule(name, rule)["value"])


def rule_limit(name: str, low: str = "", high: str = "") -> Limit:
    """Rows of such a table as a limit without words, so that a condition or a remark is decided as a verdict is."""
    rows = [printed_rule(name, rule) for rule in (low, high) if rule]
    ends = {end: figure(name, rule) for end, rule in (("low", low), ("high", high)) if rule}
    return Limit(rows[0]["unit"], tuple(term(row) for row in rows), ends.get("low"), ends.get("high"))


def rule_words(name: str, rule: str) -> str:
    """What one row of such a table says, as a sentence of a finding that tells how well it is known."""
    row = printed_rule(name, rule)
    known = {"practice": "common practice, no source", "second-hand": "second-hand", "memory": "quoted from memory"}
    whose = "this book's own rule" if row["source"] == HOUSE_RULE else known.get(row["standing"], "read")
    return f"{row['words'].removesuffix('.')} ({whose})."


def number(cell: str | None) -> float | None:
    """A cell of a printed table as a number, None where it is empty."""
    return float(cell) if cell else None


@cache
def limit_spans(check: str) -> dict[str, Span]:
    """The plausible range of every limit that a specification may set for a check, by quantity."""
    rows = [row for row in table("limit_ranges") if row["check"] == check]
    return {row["quantity"]: _span(row, tuple(row["ends"].split())) for row in rows}


@cache
def hull_spans() -> dict[str, Span]:
    """The plausible range of the numbers in hull.toml that are no limits, by entry."""
    return {row["entry"]: _span(row, ("low", "high")) for row in table("hull_ranges")}


def _span(row: dict[str, str], ends: tuple[str, ...]) -> Span:
    return Span(float(row["low"]), float(row["high"]), row["unit"], ends)


def term(row: dict[str, str]) -> Term:
    """The source, clause and standing of one row of a printed table."""
    return Term(
        words=row.get("words", ""),
        standing=Standing(row["standing"]),
        clause=row.get("clause", ""),
        source=row["source"],
        set_by="published reference",
    )


def limit_tables() -> tuple[str, ...]:
    """The names of the tables of limits, one for each chapter: `<chapter>_limits`."""
    return tuple(sorted(path.stem for path in (FOLDER / "tables").glob("*_limits.csv")))


@cache
def printed_limits() -> tuple[dict[str, str], ...]:
    """The rows of every table of limits."""
    return tuple(row for name in limit_tables() for row in table(name))


@cache
def reference_limit(check: str, quantity: str, condition: str = "") -> Limit | None:
    """The published limit for a quantity: of this condition, else the general one."""
    rows = [row for row in printed_limits() if row["check"] == check and row["quantity"] == quantity]
    fitting = [row for row in rows if row["condition"] == condition] or [row for row in rows if not row["condition"]]
    return _limit(fitting[0]) if fitting else None


def _limit(row: dict[str, str]) -> Limit:
    return Limit(
        unit=row["unit"],
        terms=(term(row),),
        low=number(row["low"]),
        high=number(row["high"]),
        low_strict=row["low_strict"] == "yes",
        high_strict=row["high_strict"] == "yes",
        natural_low=number(row["natural_low"]),
        natural_high=number(row["natural_high"]),
        guard=1.0 if row["guard"] == "" else float(row["guard"]),
        words=row["words"],
    )
