"""A table as received to records: each row is checked against the record class, in the words of the yard."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from buildbook.core.evidence import Unread
from buildbook.core.fault import Fault
from buildbook.core.record import Record, about
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.cells import CellError, readable
from buildbook.readers.columns import Column, match_columns
from buildbook.readers.other_unit import in_another_unit, span
from buildbook.readers.table import RawRow, RawTable

_RANGE_ERRORS = ("greater_than_equal", "less_than_equal", "greater_than", "less_than")
FEWEST_EMPTY, MOST_SHOWN = 3, 3  # cells of a row that is told as none; cells of it that are named
A_READING = "a reading, with a value also in"
_NAMED = re.compile(r"`(\w+)`")


@dataclass(frozen=True, slots=True)
class Rows:
    """The records of a table, its unreadable rows and its faults and notices, each in the order of the file."""

    records: tuple[Record, ...] = ()
    unread: tuple[Unread, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(slots=True)
class _Texts:
    """What stands in the columns of a table, each column gathered once, when it is asked for."""

    rows: tuple[RawRow, ...]
    _found: dict[str, set[str]] = field(default_factory=dict)

    def of(self, column: Column) -> set[str]:
        if column.name not in self._found:
            self._found[column.name] = {column.text(row.cells) for row in self.rows if row.fault is None}
        return self._found[column.name]


@dataclass(slots=True)
class _Reading:
    """One row while it is read: the values made out, the columns in doubt, what was wrong."""

    row: RawRow
    where: Where
    effect: str
    values: dict[str, Any] = field(default_factory=dict)
    doubtful: set[str] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)
    texts: _Texts = field(default_factory=lambda: _Texts(()))

    def blame(self, column: Column | None, expected: str, found: str, *doubtful: str) -> None:
        name = _head_text(column) if column else ""
        self.faults.append(Fault(replace(self.where, column=name), expected, found, self.effect))
        self.doubtful.update(doubtful)


def validate(kind: type[Record], raw: RawTable) -> Rows:
    """Bring the rows of a table to records.

    Args:
        kind: the record class of the table.
        raw: the table as received.
    Returns:
        Records; rows that cannot be used, with every cell that could be made out; the faults of heads and cells. The
        faults that `raw` carries itself are not repeated.
    Range:
        Units are converted once, by column; plausible ranges are those of the record class, in its own units.
    """
    found = match_columns(kind, raw)
    by_name = {column.name: column for column in found.columns}
    records: list[Record] = []
    unread: list[Unread] = []
    faults, texts = list(found.faults), _Texts(raw.rows)
    for row in raw.rows:
        where = raw.where(row.line)
        if row.fault is not None:
            why = f"expected {row.fault.expected}; found {row.fault.found}"
            unread.append(Unread(kind, where, dict.fromkeys(by_name), why))
            continue
        reading = _Reading(row, where, kind.table.row_lost, texts=texts)
        record = _read(kind, reading, by_name)
        faults.extend(reading.faults)
        if record is not None and not found.lost:
            records.append(record)
        else:
            unread.append(_unread(kind, reading, by_name, found.lost))
    return Rows(tuple(records), tuple(unread), tuple(faults))


def _read(kind: type[Record], reading: _Reading, columns: Mapping[str, Column]) -> Record | None:
    """The record of one row, or None with the reasons in `reading`."""
    for name, column in columns.items():
        if not column.lost:
            _take(reading, name, column, columns)
    record = _made(kind, reading, columns)
    if words := _hardly_filled(reading, columns):
        reading.faults.clear()
        reading.blame(None, *words)
    return record


def _made(kind: type[Record], reading: _Reading, columns: Mapping[str, Column]) -> Record | None:
    try:
        record = kind.model_validate({**reading.values, "where": reading.where})
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            _translate(reading, detail, columns)
        return None
    return record if not reading.doubtful else None


def _hardly_filled(reading: _Reading, columns: Mapping[str, Column]) -> tuple[str, str] | None:
    """What was expected and found of a row of which most cells that must be filled in are empty, told once for all.

    It is likely a signature, a mean or a note below the rows; it may be a reading as well, so it is lost like one.
    """
    texts = {column: column.text(reading.row.cells) for column in columns.values() if column.head and not column.lost}
    wanted = [column for column in texts if column.info.is_required()]
    empty = [_head_text(column) for column in wanted if not texts[column]]
    if len(empty) < FEWEST_EMPTY or 2 * len(empty) <= len(wanted):
        return None
    filled = [f"'{text[:60]}' in column '{_head_text(column)}'" for column, text in texts.items() if text]
    shown = listed(filled) if len(filled) <= MOST_SHOWN else f"{', '.join(filled[:MOST_SHOWN])} and some more"
    return f"{A_READING} {listed(empty)}", f"only {shown}: it looks like a signature, a mean or a note"


def _take(reading: _Reading, name: str, column: Column, columns: Mapping[str, Column]) -> None:
    text = column.text(reading.row.cells)
    if not text:
        if column.info.is_required():
            reading.blame(column, f"a value for {_meaning(column.info)}", "an empty cell", name)
        else:
            reading.values[name] = None
        return
    try:
        reading.values[name] = column.parse(text)
    except CellError as error:
        other = _exchanged_with(column, columns, reading)
        if other is None:
            reading.blame(column, error.expected, error.found, name)
            return
        beside = f"'{other.text(reading.row.cells)}' in column '{_head_text(other)}'"
        reading.blame(column, error.expected, f"'{text}', and {beside} (are the two exchanged?)", name, other.name)


def _exchanged_with(column: Column, columns: Mapping[str, Column], reading: _Reading) -> Column | None:
    """The one column that must be filled in and whose cell would fit here, while the cell from here would fit there."""
    cells, texts = reading.row.cells, reading.texts
    here = column.text(cells)
    fit = [
        other
        for other in columns.values()
        if other is not column and not other.lost and other.info.is_required() and (there := other.text(cells))
        if _fits(column, there, texts) and _fits(other, here, texts)
    ]
    return fit[0] if len(fit) == 1 else None


def _fits(column: Column, text: str, texts: _Texts) -> bool:
    """Whether a text can stand in a column; where any text can, one that stands there in another row of the table."""
    if column.info.annotation is str:
        return text in texts.of(column)
    return readable(column.parse, text)


def _translate(reading: _Reading, detail: ErrorDetails, columns: Mapping[str, Column]) -> None:
    """One complaint of the record class in the words of the yard."""
    message = detail["msg"].removeprefix("Value error, ")
    first, _, rest = message.partition(":")
    name = str(detail["loc"][0]) if detail["loc"] else first.strip()
    column = columns.get(name)
    whole_row = not detail["loc"]
    if column is not None and (column.lost or name in reading.doubtful):
        return
    if whole_row and (reading.doubtful or any(item.lost for item in columns.values())):
        return
    if column is None:
        reading.blame(None, message, "another thing", *columns)
        return
    shown = f"'{column.text(reading.row.cells)}'" if column.text(reading.row.cells) else "an empty cell"
    if detail["type"] in _RANGE_ERRORS:
        found = f"{shown}{_unit(column)} (is this a typing error?{in_another_unit(column, reading.values[name])})"
        reading.blame(column, _range_words(column.info), found, name)
        return
    expected = rest.strip() if rest and first.strip() == name else message
    others = [other for other in _NAMED.findall(expected) if other in columns]
    beside = "".join(f", {other} '{columns[other].text(reading.row.cells)}'" for other in others)
    reading.blame(column, expected, shown + beside, name, *others)


def _unread(kind: type[Record], reading: _Reading, columns: Mapping[str, Column], lost: tuple[str, ...]) -> Unread:
    cells = {name: None if name in reading.doubtful else reading.values.get(name) for name in columns}
    reasons = [f"expected {fault.expected}; found {fault.found}" for fault in reading.faults]
    return Unread(kind, reading.where, cells, " | ".join(dict.fromkeys([*lost, *reasons])))


def _head_text(column: Column) -> str:
    return column.head.text if column.head is not None else column.name


def _meaning(info: FieldInfo) -> str:
    meaning = info.description or "this column"
    return meaning[:1].lower() + meaning[1:] if meaning[1:2].islower() else meaning


def _unit(column: Column) -> str:
    return f" {column.head.unit}" if column.head is not None and column.head.unit else ""


def _range_words(info: FieldInfo) -> str:
    """The plausible range of a column, in its own unit."""
    low, high = span(info)
    unit = f" {about(info, 'unit')}" if about(info, "unit") else ""
    if low is not None and high is not None:
        return f"a value from {low:g} to {high:g}{unit}"
    return f"a value of at least {low:g}{unit}" if low is not None else f"a value of at most {high:g}{unit}"
