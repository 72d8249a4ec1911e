"""A sheet of a workbook to a table: text cells as a file of text would have them, each with its place.

What a sheet can hold and a file of text cannot is told: formulas, what is hidden, cells that were merged, errors.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from buildbook.core.fault import Fault
from buildbook.core.record import Record
from buildbook.core.stand import Stand
from buildbook.core.where import Where
from buildbook.readers.cell_text import Wish, text_of
from buildbook.readers.cells import beyond_doubt, decimal_mark, two_ways
from buildbook.readers.choices import base_type, is_number
from buildbook.readers.own_columns import NOTHING_OWN, OfTable, our_heads
from buildbook.readers.refused import Refused
from buildbook.readers.sheet_notices import Column, notices, two_forms
from buildbook.readers.table import Head, RawRow, RawTable, column_letters, folded, head_of, heads_of, unfit_cell
from buildbook.readers.xlsx import Merged, Sheet, SheetCell

NOT_USED = "This row is not used."
NO_RESULT = "a formula without a stored result; open and save it in your spreadsheet program"
MERGED = "Nothing that it covers is used; unmerge it and fill in every cell."
LOST = "Nothing in this sheet can be used."


def sheet_table(kind: type[Record], sheet: Sheet, stands: Stand, own: OfTable = NOTHING_OWN) -> RawTable:
    """One sheet as the table of a record class.

    Args:
        kind: the record class; it says which columns want a day, a time, yes or no, per cent.
        sheet: the sheet as it was taken apart.
        stands: the workbook and the sheet.
        own: the yard's own heads, so that a day below one of them is known for a day.
    Errors:
        Refused where cells of its heads are merged.
    """
    file = kind.table.file
    lines = list(sheet.rows)
    if not lines:
        return RawTable(file, "xlsx", ",", 0, (), (), stands=stands)
    width = max(max(row) for row in sheet.rows.values())
    first = lines[0]
    start = RawRow(first, _texts(sheet.rows[first], [Wish()] * width))
    body = [RawRow(line, _texts(sheet.rows[line], [Wish()] * width)) for line in lines[1:]]
    heads, notes = heads_of(start, body, file, in_a_sheet=True)
    named = our_heads(heads, own, kind)
    table = _Sheet(kind, sheet, stands, named, _wishes(kind, named))
    if merged := table.merged_heads(first):
        found = f"{merged.words}, merged"
        raise Refused(Fault(table.at(first), "each head in a cell of its own", found, f"{LOST} Unmerge it."))
    mark = table.mark(lines[1:])
    rows = table.rows(lines[1:], mark)
    told = (*notes, *table.faults(rows), *notices(sheet, table.columns(lines[1:]), table.at))
    return RawTable(file, "xlsx", ",", first, heads, tuple(row for row, _ in rows), told, stands=stands, mark=mark)


def cell_name(line: int, column: int) -> str:
    """The name of a cell, row and column from 1.

    >>> cell_name(7, 4)
    'D7'
    """
    return f"{column_letters(column)}{line}"


def with_cells(faults: Iterable[Fault], tables: Mapping[str, RawTable | None]) -> tuple[Fault, ...]:
    """The same faults; those of a table that stands in a workbook say where in it, with the cell."""
    return tuple(_with_cell(fault, tables.get(fault.where.file)) for fault in faults)


def _with_cell(fault: Fault, table: RawTable | None) -> Fault:
    where = fault.where
    if table is None or not table.stands.workbook or where.part:
        return fault
    name = head_of(where.column, 0).name
    heads = [head for head in table.heads if where.column and where.column in (head.text, head.name)]
    heads = heads or [head for head in table.heads if where.column and head.name == name]
    again = where.line == table.head_line  # of two heads alike the second is meant
    cell = cell_name(where.line, heads[-1 if again else 0].index + 1) if heads and where.line else ""
    return replace(fault, where=replace(where, sheet=table.stands.words, part=cell))


def _wishes(kind: type[Record], heads: Iterable[Head]) -> list[Wish]:
    kinds = {folded(name): base_type(info) for name, info in kind.columns().items()}
    return [Wish(kinds.get(head.name), head.unit or "") for head in heads]


def _texts(row: Mapping[int, SheetCell], wishes: list[Wish]) -> tuple[str, ...]:
    empty = SheetCell(None)
    return tuple(text_of(row.get(number, empty), wish) for number, wish in enumerate(wishes, start=1))


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet with its heads, and what each of its columns wants."""

    kind: type[Record]
    sheet: Sheet
    stands: Stand
    heads: tuple[Head, ...]
    wishes: list[Wish]

    def at(self, line: int, head: Head | None = None) -> Where:
        """The place of a row or a cell."""
        column, cell = (head.text, cell_name(line, head.index + 1)) if head else ("", "")
        return Where(self.kind.table.file, line, column, self.stands.words, cell)

    def merged_heads(self, line: int) -> Merged | None:
        """Merged cells among the heads; a title above them that was merged is told as a title."""
        if not any(head.name in map(folded, self.kind.columns()) for head in self.heads):
            return None
        return next(
            (it for it in self.sheet.merged if it.top <= line <= it.bottom and it.left <= len(self.heads)), None
        )

    def rows(self, lines: list[int], mark: str) -> list[tuple[RawRow, tuple[Fault, ...]]]:
        """The rows below the heads, each with what is wrong with it."""
        merged, mixed = dict(self._merged(lines)), dict(two_forms(self.columns(lines), self.at))
        numbers, empty = self.numbers, SheetCell(None)
        made = []
        for line in lines:
            row = self.sheet.rows[line]
            shares = (mixed[line],) if line in mixed else ()
            wrong = (*merged.get(line, ()), *shares, *self._wrong(line, row))
            texts = _texts(row, self.wishes)
            if mark != ".":
                texts = tuple(
                    beyond_doubt(text) if at in numbers and isinstance(row.get(at + 1, empty).value, float) else text
                    for at, text in enumerate(texts)
                )
            made.append((RawRow(line, texts, wrong[0] if wrong else None), wrong))
        return made

    def mark(self, lines: list[int]) -> str:
        """The decimal mark of what was typed as text into the columns of numbers: number cells have none to show.

        Where no text tells, the point holds, which the number cells are written with; but not over a text that may
        mean two things.
        """
        rows, numbers = [self.sheet.rows[line] for line in lines], self.numbers
        cells = [row[at + 1].value for row in rows for at in numbers if at + 1 in row]
        texts = [cell for cell in cells if isinstance(cell, str)]
        return decimal_mark(texts, "" if any(map(two_ways, texts)) else ",")

    @property
    def numbers(self) -> frozenset[int]:
        """The columns of numbers, by their index."""
        named = {folded(name) for name, info in self.kind.columns().items() if is_number(info)}
        return frozenset(head.index for head in self.heads if head.name in named)

    def _merged(self, lines: list[int]) -> Iterator[tuple[int, list[Fault]]]:
        """The rows that merged cells cover: with what reaches furthest down, and with all that begin to cover there.

        In one pass, since a strange workbook may have thousands of both.
        """
        waiting = sorted((it for it in self.sheet.merged if it.left <= len(self.heads)), key=lambda it: it.top)
        first, at, last = next(iter(self.sheet.rows)), 0, 0
        furthest: list[Fault] = []
        for line in lines:
            begun: list[Fault] = []
            while at < len(waiting) and waiting[at].top <= line:
                it, at = waiting[at], at + 1
                if it.bottom < line:
                    continue
                where = self.at(max(it.top, first), self.heads[it.left - 1])
                begun.append(Fault(where, "one cell for each reading", f"{it.words}, merged", MERGED))
                if it.bottom > last:
                    last, furthest = it.bottom, begun[-1:]
            if line <= last:
                yield line, [*furthest, *begun]

    def _wrong(self, line: int, row: Mapping[int, SheetCell]) -> Iterator[Fault]:
        for head, wish in zip(self.heads, self.wishes, strict=True):
            cell = row.get(head.index + 1)
            if cell is None:
                continue
            if unfit := unfit_cell(text_of(cell, wish)):
                yield Fault(self.at(line, head), *unfit, NOT_USED)
            elif cell.error and wish.kind is not None:
                found = f"'{cell.value}', an error left by a spreadsheet; mend the formula, or type the value"
                yield Fault(self.at(line, head), "a value", found, NOT_USED)
            elif cell.unknown and wish.kind is not None:
                yield Fault(self.at(line, head), "a value", NO_RESULT, NOT_USED)

    def columns(self, lines: list[int]) -> list[Column]:
        """Each column with its cells below the heads that hold something."""
        rows = {line: self.sheet.rows[line] for line in lines}
        return [
            Column(head, wish, {line: row[head.index + 1] for line, row in rows.items() if head.index + 1 in row})
            for head, wish in zip(self.heads, self.wishes, strict=True)
        ]

    @staticmethod
    def faults(rows: Iterable[tuple[RawRow, tuple[Fault, ...]]]) -> tuple[Fault, ...]:
        """What is wrong with the rows, each said once."""
        return tuple(dict.fromkeys(fault for _, wrong in rows for fault in wrong))
