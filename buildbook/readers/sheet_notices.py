"""What is read from a sheet and should be known all the same: formulas, shares in per cent, what is hidden."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.readers.cell_text import Wish, in_per_cent, text_of
from buildbook.readers.table import Head
from buildbook.readers.xlsx import Sheet, SheetCell

AS_STORED = "What your spreadsheet program stored as the result is read. Nothing is worked out anew."
READ_TOO = "What is hidden is read like all else; show it, or take out what is not meant."
MOST_RUNS = 6  # of hidden rows that are named

At = Callable[[int, Head | None], Where]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet: its head, what it wants, and its cells below the heads by their row."""

    head: Head
    wish: Wish
    cells: Mapping[int, SheetCell]


def notices(sheet: Sheet, columns: Sequence[Column], at: At) -> Iterator[Fault]:
    """The notices of one sheet; `at` gives the place of a row, or of a cell of it."""
    for column in columns:
        yield from _of_formulas(column, at)
        yield from _of_shares(column, at)
    first = min(sheet.rows)
    if sheet.hidden:
        yield _notice(at(first, None), "a sheet that is shown", "a hidden one", READ_TOO)
    rows = {line for column in columns for line in column.cells}
    if hidden := sorted(rows & sheet.hidden_rows):
        how = f"{_runs(hidden)}, hidden" + (" by a filter" if sheet.filtered else "")
        yield _notice(at(hidden[0], None), "rows that are shown", how, READ_TOO)
    out_of_sight = [column.head for column in columns if column.head.index + 1 in sheet.hidden_columns]
    if out_of_sight:
        named = ", ".join(head.text or "one without a head" for head in out_of_sight)
        yield _notice(at(first, out_of_sight[0]), "columns that are shown", f"{named}, hidden", READ_TOO)


def _of_formulas(column: Column, at: At) -> Iterator[Fault]:
    cells = {line: cell for line, cell in column.cells.items() if cell.formula and not cell.unknown}
    if cells:
        line, cell = next(iter(cells.items()))
        linked = any(re.search(r"\[[^\]]+\]", one.formula) for one in cells.values())
        other = " Some comes from another workbook, which is not opened." if linked else ""
        found = f"a formula ('{cell.formula[:40]}'){_more(cells)}"
        yield _notice(at(line, column.head), "values that were typed", found, f"{AS_STORED}{other}")


def _of_shares(column: Column, at: At) -> Iterator[Fault]:
    """Cells in the form of per cent, in a column of per cent: 0.55 stands there as 55 %."""
    cells = {line: cell for line, cell in column.cells.items() if in_per_cent(cell)}
    if column.wish.unit != "%" or not cells:
        return
    line, cell = next(iter(cells.items()))
    effect = f"It is read as the sheet shows it, {text_of(cell, column.wish)} %."
    beside = sum(isinstance(cell.value, float) for cell in column.cells.values()) - len(cells)
    if beside:
        effect += f" Other cells of this column ({beside}) are not in that form and are read as they are; look at both."
    found = f"a cell in the form of per cent{_more(cells)}"
    yield _notice(at(line, column.head), "numbers of per cent without that form", found, effect)


def _more(cells: Mapping[int, SheetCell]) -> str:
    return f", and {len(cells) - 1} more in this column" if len(cells) > 1 else ""


def _notice(where: Where, expected: str, found: str, effect: str) -> Fault:
    return Fault(where, expected, found, effect, Severity.NOTICE)


def _runs(lines: Sequence[int]) -> str:
    """Rows in words, neighbours joined.

    >>> _runs([5, 6, 7, 9]), _runs([4])
    ('rows 5 to 7, 9', 'row 4')
    """
    made: list[list[int]] = []
    for line in lines:
        if made and line == made[-1][1] + 1:
            made[-1][1] = line
        else:
            made.append([line, line])
    shown = [str(one) if one == other else f"{one} to {other}" for one, other in made[:MOST_RUNS]]
    more = " …" if len(made) > MOST_RUNS else ""
    return f"row{'s' if len(lines) > 1 else ''} {', '.join(shown)}{more}"
