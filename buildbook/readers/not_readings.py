"""Lines of a table that are no row of it: a title above the heads, heads again, units below the heads, totals.

None of them is a reading and none is used. Each is told once, with what to do about it; until that is done it counts
as a row that cannot be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

from buildbook.core.fault import Fault
from buildbook.core.record import Record, head
from buildbook.readers.summing_lines import summing_word
from buildbook.readers.table import MOST_TITLE_LINES, Head, RawRow, RawTable, folded, head_of

_ROW = "a row of this table"
_NOT_USED = "Nothing of it is used; what rests on this table stays inconclusive until it is gone."
LONGEST_HEAD = 40  # characters
_OWN_PLACE = "No row below is used; put it into a file or a sheet of its own."
EXAMPLE = "example:"  # how each cell of an example row begins
_OR_RENAME = " (a row of yours that is called so needs another name)"
_HALF = "This row is not used; overwrite each cell that begins 'example:', or empty it."


def without_examples(raw: RawTable) -> RawTable:
    """The table without the rows of `buildbook new` that show how one is filled in: all they hold begins `example:`.

    A row of which some cells do and others do not was half overwritten: it is told, and not used.
    """
    rows: list[RawRow] = []
    faults: list[Fault] = []
    for row in raw.rows:
        filled = [at for at, cell in enumerate(row.cells) if cell.strip()]
        left = [at for at in filled if row.cells[at].strip().casefold().startswith(EXAMPLE)]
        if left and len(left) == len(filled):
            continue
        if left and row.fault is None:
            column = raw.heads[left[0]].text if left[0] < len(raw.heads) else ""
            found = f"'{row.cells[left[0]].strip()[:60]}' beside other cells, left of the example"
            fault = Fault(raw.where(row.line, column), "every cell of a row your own", found, _HALF)
            row = replace(row, fault=fault)
            faults.append(fault)
        rows.append(row)
    if len(rows) == len(raw.rows) and not faults:
        return raw
    kept = {row.line for row in rows} | {raw.head_line, None}
    return replace(raw, rows=tuple(rows), faults=(*(it for it in raw.faults if it.where.line in kept), *faults))


def titled(kind: type[Record], raw: RawTable) -> Fault | None:
    """The fault of a table without heads, or with heads below a title; None where its first line holds any."""
    names = _names(kind, raw)
    if any(item.name in names for item in raw.heads):
        return None
    for row in raw.rows[:MOST_TITLE_LINES]:
        if _are_heads(row.cells, names):
            first = raw.heads[0].text if raw.heads else ""
            expected = "the heads in the first line"
            found = f"'{first[:60]}', and the heads in line {row.line}"
            effect = f"Nothing in this file can be used; take out what stands above line {row.line}."
            return Fault(raw.where(raw.head_line), expected, found, effect)
    if raw.heads and raw.rows:
        wanted = ", ".join(head(kind, name) for name, info in kind.columns().items() if info.is_required())
        effect = "Nothing in this file can be used; write a first line with the heads above the rows. If these are "
        effect += "heads of yours, columns.toml can say so; check prints the lines at its end."
        found = f"'{raw.heads[0].text[:60]}' and nothing that is a head of it"
        return Fault(raw.where(raw.head_line), f"the heads in the first line ({wanted})", found, effect)
    return None


def without_odd_rows(kind: type[Record], raw: RawTable) -> RawTable:
    """The table with the fault of each row that is none; below other heads no row can be used."""
    names = _names(kind, raw)
    rows: list[RawRow] = []
    faults: list[Fault] = []
    below: RawRow | None = None
    starts = _starts(raw, names)
    for row in raw.rows:
        fault = _below(raw, row, below) or _odd(kind, raw, row, names, last=row is raw.rows[-1])
        if fault is None and row.line in starts:
            fault = Fault(raw.where(row.line), _ROW, "heads of another table", _OWN_PLACE)
        if fault is None:
            rows.append(row)
            continue
        rows.append(replace(row, fault=fault))
        if below is None:
            faults.append(fault)
        if below is None and row.line in starts:
            below = row
    own = [fault for fault in raw.faults if fault.where.line not in {row.line for row in rows if row.fault in faults}]
    return replace(raw, rows=tuple(rows), faults=(*own, *faults)) if faults else raw


def _names(kind: type[Record], raw: RawTable) -> set[str]:
    """What a head may be called: as we call it, or as columns.toml says that the yard does."""
    return {*map(folded, kind.columns()), *raw.aliases}


def _starts(raw: RawTable, names: set[str]) -> frozenset[int]:
    """The lines in which other heads stand: names of columns in another order, or new heads below an empty line."""
    lines = {row.line for row in raw.rows}
    return frozenset(
        row.line
        for row in raw.rows
        if (_are_heads(row.cells, names) and not _same_heads(raw.heads, row.cells))
        or (row.line - 1 not in lines | {raw.head_line} and _look_like_heads(row.cells))
    )


def _look_like_heads(cells: Sequence[str]) -> bool:
    """Whether a line holds nothing but short words, one of them with a unit in brackets."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    words = all(len(cell) <= LONGEST_HEAD and not cell[0].isdigit() for cell in filled)
    units = any(head_of(cell, 0).unit in _UNITS for cell in filled)
    return len(filled) >= 2 and words and units and len(set(filled)) == len(filled)


def _below(raw: RawTable, row: RawRow, heads: RawRow | None) -> Fault | None:
    if heads is None:
        return None
    return Fault(raw.where(row.line), "rows below one line of heads", f"other heads in line {heads.line}", _NOT_USED)


def _odd(kind: type[Record], raw: RawTable, row: RawRow, names: set[str], *, last: bool) -> Fault | None:
    """Why a line is no row of its table; None where it may be one."""
    where = raw.where(row.line)
    if _are_heads(row.cells, names):
        if _same_heads(raw.heads, row.cells):
            return Fault(where, _ROW, "the heads again; take this line out", _NOT_USED)
        return Fault(
            where, _ROW, "heads again, and not the same as above", f"{_OWN_PLACE[:-1]}, or into the same columns."
        )
    if row is raw.rows[0] and _are_units(raw.heads, row.cells):
        return Fault(where, _ROW, "units below the heads; write them into the heads, like 'air [degC]'", _NOT_USED)
    word = summing_word(kind, raw, row, last=last)
    if word:
        return Fault(where, _ROW, f"'{word}', a line that sums up others; take it out{_OR_RENAME}", _NOT_USED)
    return None


def _are_heads(cells: Sequence[str], names: Iterable[str]) -> bool:
    """Whether most cells of a line are names of columns."""
    found = [_name(cell) for cell in cells if cell.strip()]
    known = [name for name in found if name in names]
    return len(known) >= 2 and 3 * len(known) >= 2 * len(found)


@lru_cache(maxsize=10_000)
def _name(cell: str) -> str:
    """The name that a cell would have as a head; most cells of a long table stand in it many times."""
    return head_of(cell, 0).name


def _same_heads(heads: Sequence[Head], cells: Sequence[str]) -> bool:
    given, received = ([head_of(cell, 0) for cell in some] for some in (cells, (one.text for one in heads)))
    return [(one.name, one.unit) for one in received] == [(one.name, one.unit) for one in given[: len(heads)]]


def _are_units(heads: Sequence[Head], cells: Sequence[str]) -> bool:
    """Whether a line holds nothing but units: of columns without one in their head, or in brackets."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    units = [cell for cell in filled if cell.strip("[]()") in _UNITS or (cell.startswith("[") and cell.endswith("]"))]
    return any(cell not in ("-", "1") for cell in units) and len(units) == len(filled) and len(heads) > 1


_UNITS_WORDS = (
    "- 1 % °C degC °F degF K g kg um µm μm mm cm m mil mm2 mm² m2 m² L l mL ml s min h d N kN MPa N/mm2 N/mm² "
    "bar psi GU deg ° uS/cm µS/cm 1/dm2 mg/m2 mg/m²"
)
_UNITS = frozenset(_UNITS_WORDS.split())
