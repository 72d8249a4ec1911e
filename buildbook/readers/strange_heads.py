"""Heads that are none of ours, beside columns that may be left out and are missing: which may be which."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from pydantic.fields import FieldInfo

from buildbook.core.fault import Fault
from buildbook.core.record import Record, about, head
from buildbook.core.where import Where
from buildbook.readers import cells
from buildbook.readers.alike_heads import likeness
from buildbook.readers.choices import base_type, is_number
from buildbook.readers.own_columns import NOT_OURS
from buildbook.readers.table import Head, RawTable, column_letters, folded
from buildbook.readers.toml_reading import quoted
from buildbook.readers.units import NO_UNIT, UnitError, converter

LOST = "No row of this table can be used; what rests on it stays inconclusive."


def may_be(
    kind: type[Record], raw: RawTable, strangers: Iterable[Head], absent: Sequence[str]
) -> dict[str, list[Head]]:
    """The strange heads that each absent column may have; nothing for a column on which no judgement rests.

    A head may be a column where something stands below it and its unit and one cell at least could be the column's.
    Nothing is asked of the words: without columns.toml nobody can tell what a yard calls its columns.

    Args:
        kind: the record class.
        raw: the table.
        strangers: its heads that are no column of it.
        absent: the columns that may be left out and have no head.
    """
    if not kind.table.judged:
        return {}
    below = {item: _below(item, raw) for item in strangers}
    asked = {name: info for name, info in kind.columns().items() if name in absent and not about(info, "withholdable")}
    found = {
        name: [item for item, texts in below.items() if _unit_fits(item, info) and _cell_fits(info, texts, raw)]
        for name, info in asked.items()
    }
    return {name: items for name, items in found.items() if items}


def _below(item: Head, raw: RawTable) -> tuple[str, ...]:
    """The different cells below a head that hold something."""
    return tuple(dict.fromkeys(cell for _, cell in raw.below(item)))


def _unit_fits(item: Head, info: FieldInfo) -> bool:
    """Whether a unit in the head is one of the column; a head without one may get it in columns.toml."""
    unit = about(info, "unit") or ""
    if item.unit is None or item.unit in NO_UNIT or base_type(info) is str:
        return True
    try:
        return bool(unit) and bool(converter(item.unit or "", unit, bool(about(info, "difference"))))
    except UnitError:
        return False


def _cell_fits(info: FieldInfo, texts: Sequence[str], raw: RawTable) -> bool:
    """Whether one cell at least could be read; a word may be any other one, since columns.toml maps words too."""
    mark = cells.decimal_mark(texts, raw.delimiter)

    def number(text: str) -> float:
        return cells.number(text, mark)

    parsers: Mapping[Any, cells.Parser] = {date: cells.day, datetime: cells.moment}
    kind = base_type(info)
    if kind is str:
        return bool(texts)
    if is_number(info):
        return any(cells.readable(number, text) for text in texts)
    if kind in parsers:
        return any(cells.readable(parsers[kind], text) for text in texts)
    return any(not cells.readable(number, text) for text in texts)


def undecided(kind: type[Record], raw: RawTable, found: Mapping[str, Sequence[Head]]) -> list[Fault]:
    """One fault for each strange head that may be an absent column, with the two lines that would settle it."""
    names: dict[Head, list[str]] = {}
    for name, items in found.items():
        for item in items:
            names.setdefault(item, []).append(name)
    return [_undecided(kind, raw, item, its) for item, its in sorted(names.items(), key=lambda pair: pair[0].index)]


def _most_alike(kind: type[Record], raw: RawTable, item: Head) -> str:
    """The column without a head that a strange head looks most like, one that must be there too; empty for none."""
    there = {item.name for item in raw.heads}
    alike = {name: likeness(item.text, name).degree for name in kind.columns() if folded(name) not in there}
    most = max(alike.values(), default=0.0)
    best = [name for name, degree in alike.items() if degree == most > 0.0]
    return best[0] if len(best) == 1 else ""


def _undecided(kind: type[Record], raw: RawTable, item: Head, names: Sequence[str]) -> Fault:
    where = Where(raw.file, raw.head_line, item.text)
    missing = f"which may be one of those missing ({', '.join(names)})" if names[1:] else f"which may be '{names[0]}'"
    if not item.text:
        expected = "a head over every column"
        column = column_letters(item.index + 1) if raw.stands.workbook else item.index + 1
        return Fault(where, expected, f"none over column {column}, {missing}", f"{LOST} Write its head above it.")
    meant = _most_alike(kind, raw, item) or (names[0] if not names[1:] else "")
    ours = (head(kind, meant) if item.unit is None else meant) if meant else "…"
    theirs = quoted(item.text)
    remedy = f'Say in columns.toml below ["{raw.file}".heads] which it is: {theirs} = "{ours}", '
    remedy += f'or {theirs} = "{NOT_OURS}".'
    return Fault(where, "columns of this table", f"'{item.text}', {missing}", f"{LOST} {remedy}")
