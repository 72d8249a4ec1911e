"""The readings of any table, as its record declares them: measured columns, series, running numbers, times."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from buildbook.chapters.shared_records import Instrument
from buildbook.core.evidence import Evidence
from buildbook.core.record import InColumn, Record, about


@dataclass(frozen=True, slots=True)
class Measured:
    """A column of readings: its table, its name, the column that names the instrument, and what that measures."""

    kind: type[Record]
    name: str
    by: str
    quantity: str
    unit: str


@dataclass(frozen=True, slots=True)
class Run:
    """The rows of one series in the order of their running numbers, or of the file; `name` says which series."""

    name: str
    rows: tuple[Record, ...]


def kinds_read(evidence: Evidence) -> tuple[type[Record], ...]:
    """Every table that has readable rows, by file."""
    return tuple(sorted((kind for kind, rows in evidence.records.items() if rows), key=lambda kind: kind.table.file))


def measured_columns(kind: type[Record], *, stepped: bool = False) -> tuple[Measured, ...]:
    """The columns of a table that hold what an instrument read; those that were set only where they are asked for."""
    found = []
    for by, info in kind.columns().items():
        if about(info, "refers") is not Instrument:
            continue
        for name, quantity in (about(info, "measures") or {}).items():
            own = kind.model_fields[name]
            if not isinstance(quantity, InColumn) and (stepped or not about(own, "stepped")):
                found.append(Measured(kind, name, by, quantity, about(own, "unit") or "1"))
    return tuple(found)


def taken_one_by_one(evidence: Evidence, *, stepped: bool = False) -> Mapping[type[Record], tuple[Measured, ...]]:
    """Tables whose readings somebody took one by one, with their measured columns; set ones where they are asked for.

    A log that an instrument writes by itself is none: what it shows changes slowly, so it repeats itself by nature.
    """
    tables = {kind: measured_columns(kind, stepped=stepped) for kind in kinds_read(evidence) if not kind.table.logged}
    return {kind: columns for kind, columns in tables.items() if columns}


def runs(evidence: Evidence, kind: type[Record]) -> tuple[Run, ...]:
    """The rows of a table by place, condition, attempt and series, each in order, in the order of the file."""
    table = kind.table
    names = [name for name in dict.fromkeys((table.place, table.condition, table.series or "", table.attempt)) if name]
    found: dict[tuple[Any, ...], list[Record]] = {}
    for row in evidence.of(kind):
        found.setdefault(tuple(getattr(row, name) for name in names), []).append(row)
    made = []
    for values, rows in found.items():
        if table.number:
            rows.sort(key=lambda row: getattr(row, table.number))
        words = [
            (f"attempt {value}" if value != 1 else "") if name == table.attempt else str(value)
            for name, value in zip(names, values, strict=True)
            if value is not None
        ]
        made.append(Run(" ".join(word for word in words if word) or "the table", tuple(rows)))
    return tuple(made)


def numbered(row: Record) -> str:
    """How one row is called within its series: its running number, or else its line."""
    number = row.table.number
    return str(getattr(row, number)) if number else f"line {row.where.line}"


def time_of(row: Record) -> date | None:
    """When a row was taken, to the day or the minute; None where its table or the row does not say."""
    value = getattr(row, row.table.time, None) if row.table.time else None
    return value if isinstance(value, date) else None
