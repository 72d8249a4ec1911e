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
NOT_TOLD = "None of these rows is used; type all of them as plain numbers of per cent, like 55."
MOST_RUNS = 6  # of hidden rows that are named

_DIGITS = re.compile(r"[-+ 0-9.,]+")
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


def two_forms(columns: Sequence[Column], at: At) -> Iterator[tuple[int, Fault]]:
    """The rows of a column of per cent in which some cells are in that form and some are not, with what is wrong.

    A plain 0.55 may have been meant as 55 % there or as 0.55 %, and nobody can tell which cells are right.
    """
    for column in columns:
        shares, plain = _shares(column), _plain(column)
        if not shares or not plain or column.wish.kind is None:
            continue
        (line, share), (other, cell) = next(iter(shares.items())), next(iter(plain.items()))
        as_shown, as_typed = (f"'{text_of(one, column.wish)[:20]}'" for one in (share, cell))
        found = f"{as_shown} as per cent{_more(shares)}, and {as_typed} in row {other} without it{_more(plain)}"
        fault = Fault(at(line, column.head), "one form for all cells of a column of per cent", found, NOT_TOLD)
        yield from ((each, fault) for each in sorted((*shares, *plain)))


def _shares(column: Column) -> dict[int, SheetCell]:
    """Cells in the form of per cent, in a column of per cent: 0.55 stands there as 55 %."""
    return {line: cell for line, cell in column.cells.items() if column.wish.unit == "%" and in_per_cent(cell)}


def _plain(column: Column) -> dict[int, SheetCell]:
    """The other numbers of a column, typed as numbers or as text; an example or a word is none."""
    return {
        line: cell
        for line, cell in column.cells.items()
        if not in_per_cent(cell)
        and (isinstance(cell.value, float) or (isinstance(cell.value, str) and _DIGITS.fullmatch(cell.value.strip())))
    }


def _of_shares(column: Column, at: At) -> Iterator[Fault]:
    cells = _shares(column)
    if cells and (column.wish.kind is None or not _plain(column)):
        line, cell = next(iter(cells.items()))
        effect = f"It is read as the sheet shows it, {text_of(cell, column.wish)} %."
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
