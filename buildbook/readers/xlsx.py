"""A workbook to its sheets: every cell with its value, its form and its formula, and what is hidden, merged, filtered.

Everything is taken in one pass and without a copy in between, so that a workbook may be held to its caps while it is
read, and so that a formula is seen beside the value that was stored for it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Any, cast

from buildbook.readers.refused import Refused
from buildbook.readers.table import MOST_COLUMNS, MOST_ROWS
from buildbook.readers.xlsx_package import Package, local, package, refused

MOST_SHEETS = 200
MOST_CELLS = 2_000_000  # of one workbook
MOST_STRINGS = 1_000_000  # that its cells share
MOST_MERGED = 20_000  # ranges of merged cells in one workbook
LAST_ROW = 1_048_576  # ECMA-376-1, 18.3.1.73
GENERAL = "General"

Value = str | float | bool | datetime | date | time | timedelta | None

_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_WHOLE = re.compile(r"[0-9]{1,9}")
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One cell: the value that is stored for it, how it is shown (`form`), its formula (empty where it was typed).

    `error` where the value is one of `#DIV/0!`, `#N/A` …; `unknown` where no value is stored for the formula.
    """

    value: Value
    form: str = GENERAL
    formula: str = ""
    error: bool = False
    unknown: bool = False

    @property
    def filled(self) -> bool:
        """Whether anything stands in it."""
        return self.unknown or (
            self.value is not None and (not isinstance(self.value, str) or bool(self.value.strip()))
        )


@dataclass(frozen=True, slots=True)
class Merged:
    """Cells that were merged into one: `A5:A7`, rows and columns from 1."""

    words: str
    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its rows that hold something, by number and then by column, both from 1, in order."""

    name: str
    hidden: bool
    rows: Mapping[int, Mapping[int, SheetCell]]
    merged: tuple[Merged, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    filtered: bool = False


@dataclass(frozen=True, slots=True)
class Workbook:
    """A workbook taken apart: its sheets in their order, their cells that hold something, the bytes read for them."""

    sheets: tuple[Sheet, ...]
    cells: int
    read: int


def taken_apart(data: bytes, file: str) -> Workbook:
    """A workbook with every sheet.

    Args:
        data: the bytes of the file.
        file: its name, for messages.
    Errors:
        Refused where it is no workbook that can be read, or holds too much.
    """
    from defusedxml.common import DefusedXmlException

    try:
        with package(data, file) as parts:
            sheets = _sheets(parts)
            cells = sum(len(row) for sheet in sheets for row in sheet.rows.values())
            return Workbook(sheets, cells, parts.read)
    except Refused:
        raise
    except DefusedXmlException:
        raise refused(file, "a workbook (.xlsx)", "one that defines entities, which no workbook needs") from None
    except Exception as error:  # whatever a broken part makes of itself
        why = f"one that is damaged ({type(error).__name__}); open it in your spreadsheet program and save it anew"
        raise refused(file, "a workbook (.xlsx)", why) from None


def _sheets(parts: Package) -> tuple[Sheet, ...]:
    related = parts.related(parts.main)
    known = _Known(parts.file, _strings(parts, related), _forms(parts, related))
    listed: list[tuple[str, bool, str]] = []
    for element in parts.elements(parts.main):
        if local(element) == "workbookPr":
            known.from_1904 = element.get("date1904", "0") in ("1", "true")
        if local(element) == "sheet":
            id_ = next((value for key, value in element.attrib.items() if key.endswith("}id")), "")
            kind, part = related.get(id_, ("", ""))
            if kind == "worksheet":
                listed.append((element.get("name", ""), element.get("state", "visible") != "visible", part))
    if len(listed) > MOST_SHEETS:
        raise refused(parts.file, f"at most {MOST_SHEETS} sheets in a workbook", f"{len(listed)}")
    if len({part for _, _, part in listed}) < len(listed):
        raise refused(parts.file, "each sheet of a workbook by itself", "two sheets that are one; save it anew")
    return tuple(_sheet(parts, part, name, hidden, known) for name, hidden, part in listed)


def _strings(parts: Package, related: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
    """The texts that cells share."""
    part = next((part for kind, part in related.values() if kind == "sharedStrings"), "")
    if not part:
        return ()
    found: list[str] = []
    for element in parts.elements(part):
        if local(element) == "si":
            found.append(_text(element))
            if len(found) > MOST_STRINGS:
                raise refused(parts.file, f"at most {MOST_STRINGS} texts in a workbook", "more; part it into several")
    return tuple(found)


def _text(element: Any) -> str:
    """The text of a string, whole or in runs; what is only a reading aid for a script is left out."""
    found: list[str] = []
    for part in element:
        if local(part) == "t":
            found.append(part.text or "")
        elif local(part) == "r":
            found += [each.text or "" for each in part if local(each) == "t"]
    text = "".join(found)
    return _unescaped(text).replace("\r\n", "\n").replace("\r", "\n")


def _unescaped(text: str) -> str:
    """A text with its escaped signs (`_x000A_`); half of a sign of two halves stays as it is written."""
    return _ESCAPED.sub(
        lambda match: match[0] if 0xD800 <= int(match[1], 16) <= 0xDFFF else chr(int(match[1], 16)), text
    )


def _forms(parts: Package, related: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
    """The number form of each style of a cell, by its number."""
    from openpyxl.styles.numbers import BUILTIN_FORMATS

    part = next((part for kind, part in related.values() if kind == "styles"), "")
    if not part:
        return ()
    own: dict[int, str] = dict(BUILTIN_FORMATS)
    found: list[int] = []
    for element in parts.elements(part):
        if local(element) == "numFmt":
            own[_whole(element.get("numFmtId", "0"))] = element.get("formatCode", GENERAL)
        if local(element) == "cellXfs":
            found = [_whole(each.get("numFmtId", "0")) for each in element if local(each) == "xf"]
    return tuple(own.get(number, GENERAL) for number in found)


@dataclass(slots=True)
class _Known:
    """What all sheets of a workbook share, and how many cells and merged ranges were read so far."""

    file: str
    strings: tuple[str, ...]
    forms: tuple[str, ...]
    from_1904: bool = False
    cells: int = 0
    merged: int = 0


@dataclass(slots=True)
class _Taken:
    """A sheet while it is read; `lines` are the numbers of all its rows, `out_of_sight` first and last column each."""

    name: str
    rows: dict[int, dict[int, SheetCell]] = field(default_factory=dict)
    merged: list[Merged] = field(default_factory=list)
    lines: set[int] = field(default_factory=set)
    hidden_rows: set[int] = field(default_factory=set)
    out_of_sight: list[tuple[int, int]] = field(default_factory=list)
    filtered: bool = False
    last: int = 0

    @property
    def hidden_columns(self) -> frozenset[int]:
        """The hidden columns, each looked at once however often it is named."""
        found: list[int] = []
        for first, last in sorted(self.out_of_sight):
            found.extend(range(max(first, found[-1] + 1 if found else 1), min(last, MOST_COLUMNS + 1) + 1))
        return frozenset(found)


def _sheet(parts: Package, part: str, name: str, hidden: bool, known: _Known) -> Sheet:
    taken = _Taken(name)
    for element in parts.elements(part, whole=2):
        kind = local(element)
        if kind == "row":
            _take_row(element, known, taken)
        elif kind == "c":
            known.cells += 1
            if known.cells > MOST_CELLS:
                raise refused(known.file, f"at most {MOST_CELLS} cells in a workbook", f"more, in sheet '{name}'")
        elif kind in ("mergeCell", "col", "filterColumn"):
            _take_around(kind, element, known, taken)
    rows = {line: dict(sorted(taken.rows[line].items())) for line in sorted(taken.rows)}
    hidden_rows = frozenset(taken.hidden_rows)
    return Sheet(name, hidden, rows, tuple(taken.merged), hidden_rows, taken.hidden_columns, taken.filtered)


def _take_around(kind: str, element: Any, known: _Known, taken: _Taken) -> None:
    """What a sheet says beside its rows."""
    if kind == "filterColumn":
        taken.filtered = True
    elif kind == "col":
        if element.get("hidden") in ("1", "true"):
            taken.out_of_sight.append((_whole(element.get("min", "1")), _whole(element.get("max", "0"))))
    else:
        words = element.get("ref", "")
        first, _, last_cell = words.partition(":")
        (top, left), (bottom, right) = _place(first), _place(last_cell or first)
        taken.merged.append(Merged(words, top, left, bottom, right))
        known.merged += 1
        if known.merged > MOST_MERGED:
            found = f"more, in sheet '{taken.name}'; unmerge them"
            raise refused(known.file, f"at most {MOST_MERGED} ranges of merged cells", found)


def _take_row(element: Any, known: _Known, taken: _Taken) -> None:
    line = taken.last = _line(element, known, taken)
    if element.get("hidden") in ("1", "true"):
        taken.hidden_rows.add(line)
    cells: dict[int, SheetCell] = {}
    seen: set[int] = set()
    column = 0
    for each in element:
        if local(each) != "c":
            continue
        column = _column(each, line, column, known, taken)
        if column in seen:
            raise refused(known.file, "each cell of a sheet once", _at(f"two in column {column}", line, taken))
        seen.add(column)
        cell = _cell(each, known)
        if not cell.filled:
            continue
        if column > MOST_COLUMNS:
            found = _at(f"something in column {column}", line, taken)
            raise refused(known.file, f"at most {MOST_COLUMNS} columns", f"{found}; empty what lies that far right")
        cells[column] = cell
    if cells:
        taken.rows[line] = cells
    if len(taken.rows) > MOST_ROWS + 1:
        raise refused(known.file, f"at most {MOST_ROWS} rows", f"more, in sheet '{taken.name}'")


def _line(element: Any, known: _Known, taken: _Taken) -> int:
    """The number of a row; where none is given, the one after the row before it."""
    words = element.get("r")
    line = _whole(words) if words else taken.last + 1
    if not 1 <= line <= LAST_ROW or line in taken.lines:
        found = f"row {line}{' again' if line in taken.lines else ''}, in sheet '{taken.name}'; save it anew"
        raise refused(known.file, f"each row of a sheet once, from 1 to {LAST_ROW}", found)
    taken.lines.add(line)
    return line


def _column(element: Any, line: int, before: int, known: _Known, taken: _Taken) -> int:
    """The column of a cell; where none is given, the one after the cell before it."""
    words = element.get("r")
    if not words:
        return before + 1
    row, column = _place(words)
    if row != line:
        raise refused(known.file, "each cell in the row that it names", _at(f"cell {words}", line, taken))
    return column


def _at(found: str, line: int, taken: _Taken) -> str:
    return f"{found}, in row {line} of sheet '{taken.name}'"


def _whole(words: str) -> int:
    """A whole number as a workbook writes it: digits alone."""
    if not _WHOLE.fullmatch(words):
        raise ValueError(words)
    return int(words)


def _place(words: str) -> tuple[int, int]:
    """Row and column, from 1, of a cell like `D7`."""
    match = _REFERENCE.fullmatch(words.upper())
    if match is None:
        raise ValueError(words)
    column = 0
    for letter in match[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(match[2]), column


def _cell(element: Any, known: _Known) -> SheetCell:
    kind, style = element.get("t", "n"), _whole(element.get("s", "0"))
    form = known.forms[style] if style < len(known.forms) else GENERAL
    parts = {local(each): each for each in element}
    formula = "=" + (parts["f"].text or "…") if "f" in parts else ""
    if kind == "inlineStr":
        return SheetCell(_text(parts["is"]) if "is" in parts else None, form, formula)
    stored = parts["v"].text if "v" in parts else None
    if not stored:
        unknown = bool(formula) and kind != "str"
        return SheetCell(None, form, formula, unknown=unknown)
    if kind == "s":
        return SheetCell(known.strings[_whole(stored.strip())], form, formula)
    if kind == "e":
        return SheetCell(stored, form, formula, error=True)
    return SheetCell(_stored(kind, stored, form, known.from_1904), form, formula)


def _stored(kind: str, stored: str, form: str, from_1904: bool) -> Value:
    if kind == "str":
        return _unescaped(stored)
    if kind == "b":
        return stored in ("1", "true")
    if kind == "d":
        return datetime.fromisoformat(stored.removesuffix("Z"))
    if not _NUMBER.fullmatch(stored.strip()):
        raise ValueError(stored)
    return _dated(float(stored), form, from_1904)


def _dated(number: float, form: str, from_1904: bool) -> Value:
    """A number as the day or the time that its form shows; as it is where it shows none, or none of the calendar."""
    from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH, from_excel

    of_day, of_time = _shows(form)
    if not of_day:
        return number
    try:
        made = from_excel(number, MAC_EPOCH if from_1904 else WINDOWS_EPOCH, of_time)
    except (ValueError, OverflowError):
        return number
    return cast(Value, made)


@lru_cache(maxsize=1_000)
def _shows(form: str) -> tuple[bool, bool]:
    """Whether a number form shows a day or a time, and whether that is a span of time."""
    from openpyxl.styles.numbers import is_date_format, is_timedelta_format

    return bool(is_date_format(form)), bool(is_timedelta_format(form))
