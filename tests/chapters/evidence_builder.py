"""Builds an Evidence from plain dicts, so that a test names only the columns that matter. All data are synthetic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar, get_args

from pydantic.fields import FieldInfo

from buildbook.core.evidence import Evidence, Unread
from buildbook.core.hull import Hull, Specification
from buildbook.core.record import Record, about
from buildbook.core.where import Where

Cells = Mapping[str, Any]
R = TypeVar("R", bound=Record)
FIRST_LINE = 2  # line 1 of a table holds the heads


def evidence(
    tables: Mapping[type[Record], Sequence[Cells]],
    *,
    hull: Hull | None = None,
    specification: Specification | None = None,
    unread: Mapping[type[Record], Sequence[Cells]] | None = None,
    missing: Mapping[type[Record], str] | None = None,
) -> Evidence:
    """An evidence of these rows; columns that must be filled and are not named take the example of the record.

    `unread` gives what can still be made out of rows that could not be read. An empty table counts as missing.
    """
    absent = dict.fromkeys((kind for kind, rows in tables.items() if not rows), "the table has no rows")
    lost = unread or {}
    return Evidence(
        hull or Hull(),
        specification or Specification(),
        {kind: tuple(record(kind, cells, n) for n, cells in enumerate(rows)) for kind, rows in tables.items()},
        {kind: tuple(_unread(kind, cells, n + 900) for n, cells in enumerate(rows)) for kind, rows in lost.items()},
        {**absent, **(missing or {})},
    )


def record(kind: type[R], cells: Cells, index: int = 0) -> R:
    """One readable row; `index` counts rows from 0."""
    where = Where(kind.table.file, index + FIRST_LINE)
    required = {n: _example(info) for n, info in kind.columns().items() if info.is_required()}
    unknown = set(cells) - set(kind.columns())
    assert not unknown, f"{kind.table.file} has no column {sorted(unknown)}"
    return kind(where=where, **{**required, **cells})


def deleted(given: Evidence, kind: type[Record], index: int) -> Evidence:
    """The same evidence after the yard lost one row."""
    rows = given.records[kind]
    kept = (*rows[:index], *rows[index + 1 :])
    missing = given.missing if kept else {**given.missing, kind: "the table has no rows"}
    return replace(given, records={**given.records, kind: kept}, missing=missing)


def spoiled(given: Evidence, kind: type[Record], index: int, columns: Sequence[str]) -> Evidence:
    """The same evidence after these columns of one row became unreadable."""
    row = given.records[kind][index]
    cells = {name: None if name in columns else getattr(row, name) for name in kind.columns()}
    without = deleted(given, kind, index)
    unread = Unread(kind, row.where, cells, "expected something else; found rubbish")
    return replace(without, unread={**given.unread, kind: (*given.unread.get(kind, ()), unread)})


def _example(info: FieldInfo) -> Any:
    choices = get_args(info.annotation)
    example = about(info, "example")
    return int(example) if choices and all(isinstance(choice, int) for choice in choices) else example


def _unread(kind: type[Record], cells: Cells, index: int) -> Unread:
    every = {**dict.fromkeys(kind.columns()), **cells}
    return Unread(kind, Where(kind.table.file, index + FIRST_LINE), every, "expected something else; found rubbish")
