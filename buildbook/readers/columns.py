"""The columns of a record class as one file has them: which head is which, its unit, how to read a cell of it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record, about, head
from buildbook.core.where import Where
from buildbook.readers import cells
from buildbook.readers.as_typed import in_digits
from buildbook.readers.choices import base_type, is_number, of_numbers
from buildbook.readers.strange_heads import LOST, may_be, undecided
from buildbook.readers.table import Head, RawTable, folded, one_spelling
from buildbook.readers.units import NO_UNIT, UnitError, apply, converter

_YOURS = f"{LOST} If a head of yours is meant, columns.toml can say so; check prints the line at its end."
NEAR = 0.8  # likeness of two names from which one is taken for a misspelling of the other

Parser = Callable[[str], Any]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a record class in one file. `lost` says why no cell of it can be used; empty where they can."""

    name: str
    info: FieldInfo
    head: Head | None
    parse: Parser
    lost: str = ""

    def text(self, row: tuple[str, ...]) -> str:
        """The cell as received, without outer spaces; empty where the file has no such column."""
        return row[self.head.index].strip() if self.head is not None else ""


@dataclass(frozen=True, slots=True)
class Columns:
    """All columns of a record class in one file, with the faults and notices of its heads."""

    columns: tuple[Column, ...]
    faults: tuple[Fault, ...]

    @property
    def lost(self) -> tuple[str, ...]:
        """Why rows of this file cannot be used at all; empty where they can."""
        return tuple(column.lost for column in self.columns if column.lost)


def match_columns(kind: type[Record], raw: RawTable) -> Columns:
    """Find the columns of a record class among the heads of a file.

    A required column that is absent, a head that stands there twice, a unit that is missing, unknown or of another
    kind, and a head that looks like a misspelled column make the rows unusable: a value would be missed otherwise.
    So does an unknown column that may be an absent optional one on which a judgement rests (`strange_heads.may_be`),
    until columns.toml says what it is. Any other of the two is a notice; but where an entry of columns.toml that is
    about such a head cannot be used, any absent column may be the one, and no row can be used.
    """
    fields = kind.columns()
    known = {folded(name) for name in fields}
    strangers = [item for item in raw.heads if item.name and item.name not in known and not item.said]
    doubt = (raw.unknown if strangers else "") or next((item.doubt for item in strangers if item.doubt), "")
    mark = _mark(raw, _number_cells(fields, raw))
    found: list[Column] = []
    faults: list[Fault] = []
    absent: list[str] = []
    held = {} if doubt else _may_be(kind, raw, strangers)
    for name, info in fields.items():
        heads = [item for item in raw.heads if item.name == folded(name)]
        if not heads and doubt and (raw.unknown or not info.is_required()):
            found.append(Column(name, info, None, _nothing, doubt))
            continue
        if name in held:
            found.append(Column(name, info, None, _nothing, _which(name, held[name])))
            continue
        if not heads and not info.is_required() and not _misspelled(name, strangers):
            absent.append(name)
        column, more = _column(kind, name, heads, strangers, raw, mark)
        found.append(column)
        faults.extend(more)
    faults.extend(undecided(kind, raw, held))
    blamed = {fault.where.column for fault in faults}
    told = () if raw.unknown else (item for item in strangers if item.text not in blamed and not item.doubt)
    faults.extend(_unknown(raw, item) for item in told)
    if absent:
        where, named = Where(raw.file, raw.head_line), ", ".join(absent)
        faults.append(Fault(where, f"columns {named}", "none", "They count as left empty.", Severity.NOTICE))
    faults.extend(_other_order(kind, found, raw))
    return Columns(tuple(found), tuple(faults))


def _may_be(kind: type[Record], raw: RawTable, strangers: list[Head]) -> dict[str, list[Head]]:
    """The absent columns that may be left out, each with the strange heads that it may have.

    A head that is taken for a misspelled column is told as such; one that was lost is a stranger too.
    """
    there = {item.name for item in raw.heads}
    absent = [name for name in kind.columns() if folded(name) not in there]
    near = {name: item for name in absent if (item := _misspelled(name, strangers))}
    others = [
        item for item in (*strangers, *(item for item in raw.heads if not item.name)) if item not in near.values()
    ]
    left = [name for name in absent if name not in near and not kind.columns()[name].is_required()]
    return may_be(kind, raw, others, left)


def _which(name: str, heads: list[Head]) -> str:
    """Why no cell of an absent column can be used."""
    return f"expected to know whether the head '{heads[0].text}' stands for '{name}'; found no line that says so"


def _other_order(kind: type[Record], found: list[Column], raw: RawTable) -> list[Fault]:
    """A notice where columns of one unit stand in another order than in a fresh table.

    Two heads that were swapped stand over numbers as plausible as before; only their order shows it.
    """
    by_unit: dict[str, list[Column]] = {}
    for column in found:
        if column.head is not None and about(column.info, "unit"):
            by_unit.setdefault(about(column.info, "unit"), []).append(column)
    faults = []
    for columns in by_unit.values():
        given = sorted(columns, key=lambda column: column.head.index if column.head else 0)
        if given != columns:
            wanted, order = (" before ".join(column.name for column in some) for some in (columns, given))
            where = Where(raw.file, raw.head_line, given[0].head.text if given[0].head else "")
            effect = "Each is read by its head; look whether the right numbers stand below it."
            faults.append(Fault(where, wanted, order, effect, Severity.NOTICE))
    return faults


def _mark(raw: RawTable, numbers: Iterable[str]) -> str:
    return cells.decimal_mark(numbers, raw.delimiter) if raw.mark is None else raw.mark


def _number_cells(fields: dict[str, FieldInfo], raw: RawTable) -> list[str]:
    numbers = {folded(name) for name, info in fields.items() if is_number(info)}
    indexes = [item.index for item in raw.heads if item.name in numbers]
    return [row.cells[index] for row in raw.rows if row.fault is None for index in indexes]


def _column(
    kind: type[Record], name: str, heads: list[Head], strangers: list[Head], raw: RawTable, mark: str
) -> tuple[Column, list[Fault]]:
    info = kind.columns()[name]
    if len(heads) == 1:
        return _with_unit(kind, name, heads[0], raw, mark)
    if heads:
        fault = _fault(raw, heads[1].text, f"each head once; '{name}' twice cannot be told apart", _again(heads))
    else:
        near = _misspelled(name, strangers)
        if near is None and not info.is_required():
            return Column(name, info, None, _nothing), []
        doubt = "write the unit in square brackets" if near and _in_round(near) == folded(name) else "a misspelling?"
        found = f"'{near.text}' ({doubt})" if near else "none"
        fault = _fault(raw, near.text if near else head(kind, name), f"a column '{head(kind, name)}'", found)
        fault = replace(fault, effect=_YOURS) if strangers else fault
    return _lost(name, info, heads[0] if heads else None, fault), [fault]


def _again(heads: list[Head]) -> str:
    """What was found where a column has two heads."""
    first, second = heads[:2]
    said = next((item for item in (second, first) if item.said), None)
    if said is None:
        return f"'{second.text}' again"
    return f"'{first.text}' and '{second.text}' ({said.said} calls '{said.text}' so; take one of the two columns out)"


def as_column(kind: type[Record], name: str, item: Head, raw: RawTable) -> Column:
    """A column of a record class as it would be if this head of a file were its head; `lost` as in `Column`."""
    return _with_unit(kind, name, item, raw, _mark(raw, (cell for _, cell in raw.below(item))))[0]


def _with_unit(kind: type[Record], name: str, item: Head, raw: RawTable, mark: str) -> tuple[Column, list[Fault]]:
    info = kind.columns()[name]
    unit = about(info, "unit") or ""
    if not unit:
        return _without_unit(name, info, item, raw, mark)
    if item.given is not None and item.unit != item.given:
        fault = _fault(raw, item.text, "one unit", f"[{item.unit}] here and [{item.given}] in {item.said}")
        return _lost(name, info, item, fault), [fault]
    if not item.unit:
        either = f', or in columns.toml: "{item.text}" = "{head(kind, name)}"' if item.said else ""
        expected = f"the unit in the head, like '{head(kind, name)}'{either}"
        fault = _fault(raw, item.text, expected, f"'{item.text}' without one")
        return _lost(name, info, item, fault), [fault]
    try:
        scale, offset = converter(item.unit, unit, bool(about(info, "difference")))
    except UnitError as error:
        expected = f"a unit for '{head(kind, name)}' ({error.accepted})"
        fault = _fault(raw, item.text, expected, error.found)
        return _lost(name, info, item, fault), [fault]
    column = Column(name, info, item, _parser(info, mark, scale, offset))
    return column, [] if (scale, offset) == (1.0, 0.0) else _converted(kind, column, item, raw)


def _converted(kind: type[Record], column: Column, item: Head, raw: RawTable) -> list[Fault]:
    """A notice with the first number before and after: a unit that stands over the wrong numbers is seen at once."""
    for row in raw.rows:
        if row.fault is not None or not column.text(row.cells):
            continue
        try:
            number = column.parse(column.text(row.cells))
        except cells.CellError:
            continue
        own = about(column.info, "unit")
        typed = f"{column.text(row.cells)} {item.unit} in line {row.line}"
        effect = f"Its numbers are converted: {typed} is {in_digits(number)} {own}."
        expected = f"'{head(kind, column.name)}', or numbers in the unit that the head gives"
        return [Fault(Where(raw.file, raw.head_line, item.text), expected, f"'{item.text}'", effect, Severity.NOTICE)]
    return []


def _without_unit(name: str, info: FieldInfo, item: Head, raw: RawTable, mark: str) -> tuple[Column, list[Fault]]:
    parse = _in_our_words(_parser(info, mark, 1.0, 0.0), dict(item.words))
    if item.unit is None or item.unit in NO_UNIT:
        return Column(name, info, item, parse), []
    fault = _fault(raw, item.text, f"'{name}' without a unit in the head", f"'{item.text}'")
    if base_type(info) is str:
        effect = "The text is taken as it is."
        return Column(name, info, item, parse), [
            Fault(fault.where, fault.expected, fault.found, effect, Severity.NOTICE)
        ]
    return _lost(name, info, item, fault), [fault]


def _lost(name: str, info: FieldInfo, item: Head | None, fault: Fault) -> Column:
    return Column(name, info, item, _nothing, f"expected {fault.expected}; found {fault.found}")


def _nothing(_text: str) -> None:
    return None


def _misspelled(name: str, strangers: list[Head]) -> Head | None:
    near = difflib.get_close_matches(folded(name), [item.name for item in strangers], 1, NEAR)
    near = near or [item.name for item in strangers if _in_round(item) == folded(name)]
    return next((item for item in strangers if near and item.name == near[0]), None)


def _in_round(item: Head) -> str:
    """The name before round brackets, as in `air (degC)`; nothing without them."""
    before, bracket, _ = item.text.partition("(")
    return folded(before) if bracket else ""


def _fault(raw: RawTable, column: str, expected: str, found: str) -> Fault:
    return Fault(Where(raw.file, raw.head_line, column), expected, found, LOST)


def _unknown(raw: RawTable, item: Head) -> Fault:
    where = Where(raw.file, raw.head_line, item.text)
    effect = "It is kept as received and not used."
    return Fault(where, "columns of this table", f"'{item.text}', which is none", effect, Severity.NOTICE)


def _in_our_words(parse: Parser, words: Mapping[str, str]) -> Parser:
    """The same, for cells in which the yard's own words may stand."""
    return (lambda text: parse(words.get(one_spelling(text), text))) if words else parse


def _parser(info: FieldInfo, mark: str, scale: float, offset: float) -> Parser:
    """How to read a cell of this column, in the column's own unit."""
    kind = base_type(info)
    simple: dict[Any, Parser] = {bool: cells.yes_or_no, date: cells.day, datetime: cells.moment, str: str.strip}
    if kind in simple:
        return simple[kind]
    if get_origin(kind) is Literal and not of_numbers(kind):
        return partial(cells.choice, choices=get_args(kind))

    def convert(text: str) -> float:
        try:
            return apply(cells.number(text, mark), scale, offset)
        except cells.CellError as error:
            if about(info, "unit"):
                raise
            found = error.found.replace(cells.UNIT_ASIDE, "give the number alone")
            raise cells.CellError(error.expected, found) from None

    if get_origin(kind) is Literal:
        return lambda text: _one_of(convert(text), get_args(kind), text)
    return convert if kind is float else lambda text: cells.whole_number(convert(text), text)


def _one_of(value: float, choices: tuple[Any, ...], text: str) -> Any:
    for known in choices:
        if math.isclose(value, known, rel_tol=1e-9):
            return known
    raise cells.CellError(" or ".join(map(str, choices)), f"'{text}'")
