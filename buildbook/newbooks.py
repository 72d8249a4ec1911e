"""`buildbook new --xlsx`: the tables of a hull folder as sheets of workbooks, laid out from the records."""

from __future__ import annotations

import io
import math
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Literal, get_args, get_origin
from xml.etree import ElementTree

from pydantic.fields import FieldInfo

from buildbook.core.chapter import Chapter
from buildbook.core.record import Record, about, head
from buildbook.readers.cells import FIRST_YEAR, LAST_YEAR
from buildbook.readers.choices import base_type
from buildbook.readers.not_readings import EXAMPLE
from buildbook.readers.standing import ABOUT, canonical
from buildbook.reference import kind_of

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

OF_THE_TOP = "register"  # the chapter whose workbook holds the tables at the top of the folder
LONGEST_NAME = 31  # letters that a sheet may be called with
LAST_ROW = 5_000  # to which drop-down lists reach
FIXED = datetime(2000, 1, 1)  # no clock: the same workbook on any day
NARROWEST, BROADEST = 12, 34  # columns, in letters
TEXT, DAY, TIME = "@", "yyyy-mm-dd", "yyyy-mm-dd hh:mm"

HOW = (
    "How this workbook is filled in",
    "One sheet is one table, one row below its heads one thing. Keep the names of the sheets and the heads.",
    f"The first row of a sheet shows how: each of its cells begins '{EXAMPLE}'. Write over every one of them, or leave "
    "the row as it is: it is then not read.",
    "A number goes alone into its cell, in the unit that the head gives in square brackets. Leave a cell empty where "
    "nothing is known; what must be filled in says so below.",
    "Do not merge cells. Keep totals and notes off the sheets; a sheet of another name may hold them, but it is "
    "published with the workbook.",
)
HEADS = ("sheet", "head", "unit", "meaning", "must be filled in", "example", "choices")
WIDTHS = (28, 28, 10, 62, 16, 24, 44)
LISTS = len(HEADS) + 2  # the column from which each choice stands in a cell of its own, for the drop-down lists
LINE = 15.0  # height of a line of text [points]
FONT = "Calibri"  # what a fresh workbook has

Kind = type[Record]


@dataclass(frozen=True, slots=True)
class _Column:
    """One column of a sheet: where it stands, and the cells of the sheet `about` that list its choices."""

    name: str
    info: FieldInfo
    number: int
    choices: str = ""


def books(chapters: Sequence[Chapter], left_out: frozenset[str] = frozenset()) -> dict[str, bytes]:
    """The workbooks of a fresh folder by their name, the same bytes each time.

    Args:
        chapters: the chapters in the order of the book; each table stands in the first that has it, one at the top of
            the folder in that of the register.
        left_out: tables (by their file) that stand in the folder already.
    """
    placed: dict[str, dict[str, Kind]] = {chapter.key: {} for chapter in chapters}
    for chapter in chapters:
        for kind in chapter.tables:
            file = kind.table.file
            if file not in left_out and not any(file in kinds for kinds in placed.values()):
                placed[chapter.key if "/" in file else OF_THE_TOP][file] = kind
    return {f"{key}.xlsx": _book(tuple(kinds.values())) for key, kinds in placed.items() if kinds}


def _book(kinds: Sequence[Kind]) -> bytes:
    from openpyxl import Workbook

    made = Workbook()
    told = made.worksheets[0]
    told.title = ABOUT
    columns = _about(told, kinds)
    for kind in kinds:
        _sheet(made.create_sheet(canonical(kind.table.file)), kind, columns[kind])
    made.active = 1
    told.sheet_view.tabSelected = False
    made.properties.created = made.properties.modified = FIXED
    made.properties.creator = "buildbook"
    return _saved(made)


def _about(sheet: Worksheet, kinds: Sequence[Kind]) -> dict[Kind, list[_Column]]:
    """The sheet that tells of the others: for print, and as the source of the drop-down lists."""
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    first = len(HOW) + 2
    for at, text in enumerate(HOW, start=1):
        sheet.cell(at, 1, text).font = Font(name=FONT, bold=at == 1)
    for number, text in enumerate((*HEADS, "", "each choice, for the lists"), start=1):
        sheet.cell(first, number, text or None).font = Font(name=FONT, bold=True)
    found: dict[Kind, list[_Column]] = {}
    line = first
    for kind in kinds:
        for number, (name, info) in enumerate(kind.columns().items(), start=1):
            line += 1
            _tell(sheet, line, _told(kind, name, info))
            choices = _choices(info)
            for at, choice in enumerate(choices, start=LISTS):
                sheet.cell(line, at, choice)
            start, end = (get_column_letter(LISTS + at) for at in (0, max(len(choices) - 1, 0)))
            source = f"{ABOUT}!${start}${line}:${end}${line}" if choices else ""
            found.setdefault(kind, []).append(_Column(name, info, number, source))
    for at, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions[get_column_letter(at)].width = width
    sheet.freeze_panes = f"A{first + 1}"
    sheet.print_area = f"A1:{get_column_letter(len(HEADS))}{line}"
    sheet.print_title_rows = f"{first}:{first}"
    _on_paper(sheet)
    return found


def _tell(sheet: Worksheet, line: int, texts: Sequence[str]) -> None:
    """One row of the sheet that tells of the others, as high as its longest text is."""
    from openpyxl.styles import Alignment

    for at, text in enumerate(texts, start=1):
        told = sheet.cell(line, at, text or None)
        told.number_format, told.alignment = TEXT, Alignment(vertical="top", wrap_text=True)
    lines = max(math.ceil(1.15 * len(text) / width) for text, width in zip(texts, WIDTHS, strict=True))
    sheet.row_dimensions[line].height = LINE * max(lines, 1)


def _on_paper(sheet: Worksheet) -> None:
    """Across the paper, all columns on one page."""
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _told(kind: Kind, name: str, info: FieldInfo) -> tuple[str, ...]:
    words = info.description or ""
    refers = about(info, "refers")
    stands = f"; must stand in the sheet '{canonical(refers.table.file)}'" if refers is not None else ""
    return (
        canonical(kind.table.file),
        head(kind, name),
        about(info, "unit") or "",
        f"{words} ({kind_of(info.annotation)}){stands}" if not _choices(info) else f"{words}{stands}",
        "yes" if info.is_required() else "",
        about(info, "example") or "",
        ", ".join(map(str, _choices(info))),
    )


def _choices(info: FieldInfo) -> tuple[Any, ...]:
    """What a cell may hold, where that is a list."""
    kind = base_type(info)
    if kind is bool:
        return ("yes", "no")
    return get_args(kind) if get_origin(kind) is Literal else ()


def _sheet(sheet: Worksheet, kind: Kind, columns: Sequence[_Column]) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    assert len(sheet.title) <= LONGEST_NAME
    sheet.freeze_panes = "A2"
    for column in columns:
        letter, form = get_column_letter(column.number), _form(base_type(column.info))
        words = head(kind, column.name)
        sheet.cell(1, column.number, words).font = Font(name=FONT, bold=True)
        example = about(column.info, "example")
        if example:
            shown = sheet.cell(2, column.number, f"{EXAMPLE} {example}")
            shown.font, shown.number_format = Font(name=FONT, italic=True, color="808080"), form
        sheet.column_dimensions[letter].width = min(max(len(words) + 2, len(example or "") + 11, NARROWEST), BROADEST)
        sheet.column_dimensions[letter].number_format = form
        _validated(sheet, column, f"{letter}2:{letter}{LAST_ROW}")
    _on_paper(sheet)


def _form(kind: Any) -> str:
    """The form of a column's cells: text stays as it is typed, so that no id becomes a day or loses its zeros."""
    if kind is date:
        return DAY
    if kind is datetime:
        return TIME
    words = kind in (str, bool) or (get_origin(kind) is Literal and isinstance(get_args(kind)[0], str))
    return TEXT if words else "General"


def _validated(sheet: Worksheet, column: _Column, cells: str) -> None:
    """A drop-down list where there are choices; for a day a warning that can be overruled."""
    from openpyxl.worksheet.datavalidation import DataValidation

    kind = base_type(column.info)
    if column.choices:
        rule = DataValidation(type="list", formula1=column.choices, errorStyle="warning", allow_blank=True)
        rule.error = "The list has the words that are read."
    elif kind in (date, datetime):
        first, last = f"DATE({FIRST_YEAR},1,1)", f"DATE({LAST_YEAR},12,31)"
        rule = DataValidation(type="date", operator="between", formula1=first, formula2=last, errorStyle="warning")
        rule.allow_blank = True
        rule.error = "A day, with its time where the head is of a time: 2026-03-18 08:10."
    else:
        return
    rule.showErrorMessage = True
    rule.add(cells)
    sheet.add_data_validation(rule)


def _saved(made: Workbook) -> bytes:
    """The bytes of a workbook: no day of today in it, each part in one spelling whatever library wrote it."""
    from openpyxl.writer.excel import ExcelWriter
    from openpyxl.xml.constants import SHEET_MAIN_NS

    # The library that prints books gives names without a namespace an empty prefix, for the whole process; canonicalize
    # then declares that beside the prefix of the sheets. A new meaning takes its place.
    ElementTree.register_namespace("", SHEET_MAIN_NS)
    first, last = io.BytesIO(), io.BytesIO()
    ExcelWriter(made, zipfile.ZipFile(first, "w", zipfile.ZIP_DEFLATED)).save()
    with zipfile.ZipFile(first) as given, zipfile.ZipFile(last, "w", zipfile.ZIP_DEFLATED) as other:
        for name in given.namelist():
            text = ElementTree.canonicalize(given.read(name).decode("utf-8"))
            declared = f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n{text}'
            part = zipfile.ZipInfo(name, FIXED.timetuple()[:6])
            part.compress_type, part.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            other.writestr(part, declared.encode("utf-8"))
    return last.getvalue()
