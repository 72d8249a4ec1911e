"""What somebody with a spreadsheet and no time does to a workbook of burned coupons.

Each slip is told with its cell (or its row, its sheet) and its remedy, and nothing in the book became better by it.
A copy of the demonstration of which one table stands in a workbook; only the chapters that it bears upon are judged.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from buildbook.chapters import TABLES
from buildbook.core.book import Book
from buildbook.core.fault import Severity
from buildbook.core.finding import Verdict
from buildbook.pipeline import make_book
from buildbook.readers.table import read_table
from tests.as_workbooks import empty, fill, saved
from tests.end_to_end.spoiling import HULL, better, copied, reading, sound_part

FILE, SHEET = "laminate/burn_off.csv", "laminate.burn_off"
WHERE = f"laminate.xlsx[{SHEET}]"
KIND = {kind.table.file: kind for kind in TABLES}[FILE]
DATA = (HULL / FILE).read_bytes()
HEADS = {head.name: head.index + 1 for head in read_table(DATA, FILE).heads}
LAST = read_table(DATA, FILE).rows[-1].line
UNIT = "the unit belongs in the head"
NOTHING = "leave it empty where that is allowed"

Change = Callable[[Any], object]  # of a sheet


def typed(column: str, value: Any, line: int = 2, form: str = "") -> Change:
    """Another value in one cell, row 2 being the first below the heads."""

    def change(sheet: Any) -> None:
        cell = sheet.cell(line, HEADS[column], value)
        cell.number_format = form or cell.number_format

    return change


def head(column: str, text: str) -> Change:
    return typed(column, text, 1)


def renamed(name: str) -> Change:
    return lambda sheet: setattr(sheet, "title", name)


def at(column: str, line: int = 2) -> str:
    """A cell as a message names it."""
    return f"{WHERE} {'ABCDEFGHIJKLMNOPQRSTUVWXYZ'[HEADS[column] - 1]}{line}"


def shifted(sheet: Any) -> None:
    """The cells of one row one column to the right, from the times on."""
    for column in range(HEADS["by"], HEADS["at"], -1):
        sheet.cell(2, column).value = sheet.cell(2, column - 1).value
    sheet.cell(2, HEADS["at"]).value = None


def second_table(sheet: Any) -> None:
    for number, text in enumerate(("zone", "reading [1]", "hardness of the day"), start=1):
        sheet.cell(LAST + 2, number, text)
    for number, value in enumerate(("L1", 41, "x"), start=1):
        sheet.cell(LAST + 3, number, value)


def totals(sheet: Any) -> None:
    sheet.cell(LAST + 1, 1, "Mean")
    sheet.cell(LAST + 1, HEADS["crucible"], 25.1)


def units_below(sheet: Any) -> None:
    sheet.insert_rows(2)
    for column in ("crucible", "full", "residue"):
        sheet.cell(2, HEADS[column], "g")
    sheet.cell(2, HEADS["length"], "mm")


def title_above(sheet: Any) -> None:
    sheet.insert_rows(1)
    sheet.cell(1, 1, "Burned coupons of hull 7")
    sheet.merge_cells("A1:F1")


def half_example(sheet: Any) -> None:
    sheet.insert_rows(2)
    for number in range(1, len(HEADS) + 1):
        sheet.cell(2, number, sheet.cell(3, number).value)
    sheet.cell(2, HEADS["coupon"], "C-99")
    sheet.cell(2, HEADS["residue"], "example: 28.8044")


def hidden(sheet: Any) -> None:
    sheet.row_dimensions[4].hidden = True


# What was done, where it is told, what the message says, and whether it is a notice.
SLIPS: list[tuple[Change, str, tuple[str, ...], bool]] = [
    (renamed("burnoff"), "laminate.xlsx[burnoff]", (f"Name the sheet '{SHEET}'",), False),
    (renamed("Table 1"), "laminate.xlsx[Table 1]", (f"Name the sheet '{SHEET}'",), False),
    (shifted, at("at"), ("an empty cell",), False),
    (typed("at", "31.10.2025 15:00"), at("at"), ("write 2025-10-31 15:00",), False),
    (typed("at", 45961.6, form="General"), at("at"), ("a spreadsheet counts days", "give its cells the form"), False),
    (typed("at", datetime(2025, 10, 31), form="yyyy-mm-dd"), "", (), True),
    (typed("full", "34,0228"), "", (), True),
    (typed("full", "1,250"), at("full"), ("write 1250 or 1,2500",), False),
    (typed("full", "30.28 g"), at("full"), (UNIT,), False),
    (typed("residue", "n/a"), at("residue"), (NOTHING,), False),
    (typed("residue", "<0.5"), at("residue"), ("give the reading itself",), False),
    (typed("residue", "12,5 - 13,0"), at("residue"), ("a range; one number per row",), False),
    (typed("residue", "#DIV/0!"), at("residue"), ("mend the formula, or type the value",), False),
    (typed("residue", "=K2-J2"), at("residue"), ("a formula without", "open and save it in your spreadsheet"), False),
    (typed("residue", 0.95, form="0%"), at("residue"), ("'95 %'", UNIT), False),
    (typed("residue", datetime(2026, 5, 1), form="d mmm"), at("residue"), ("may have changed it",), False),
    (typed("gelcoat", True), at("gelcoat"), ("'TRUE'",), False),
    (typed("zone", "L 1"), at("zone"), ("did you mean 'L1'?",), False),
    (second_table, f"{WHERE}:{LAST + 2}", ("heads of another table", "a file or a sheet of its own"), False),
    (totals, f"{WHERE}:{LAST + 1}", ("'Mean', a line that sums up others; take it out",), False),
    (units_below, f"{WHERE}:2", ("units below the heads; write them into the heads",), False),
    (title_above, f"{WHERE}:1", ("take out what stands above line 2",), False),
    (lambda sheet: sheet.merge_cells("C2:C4"), f"{WHERE} C2, column 'zone'", ("C2:C4, merged", "unmerge it"), False),
    (hidden, f"{WHERE}:4", ("row 4, hidden", "show it, or take out what is not meant"), True),
    (head("residue", "full [g]"), at("residue", 1), ("'full' twice",), False),
    (head("full", "full"), at("full", 1), ("the unit in the head, like 'full [g]'",), False),
    (head("full", "full (g)"), at("full", 1), ("write the unit in square brackets",), False),
    (head("residue", "residu [g]"), at("residue", 1), ("a misspelling?",), False),
    (half_example, at("residue"), ("overwrite each cell that begins 'example:'",), False),
    (lambda sheet: setattr(sheet, "sheet_state", "hidden"), f"{WHERE}:1", ("a hidden one", "show it"), True),
]  # fmt: skip


def laid(hull: Path, change: Change) -> None:
    """The table in a workbook instead of its file, with something done to it."""
    book = empty()
    sheet = book.create_sheet(SHEET)
    fill(sheet, KIND, DATA)
    book.create_sheet("about")
    change(sheet)
    (hull / "laminate.xlsx").write_bytes(saved(book))
    (hull / FILE).unlink(missing_ok=True)


@pytest.fixture(autouse=True)
def _as_before(hull: Path) -> Any:
    yield
    (hull / "laminate.xlsx").unlink(missing_ok=True)
    (hull / "copy.xlsx").unlink(missing_ok=True)
    (hull / FILE).write_bytes(DATA)


def made(hull: Path, sound: Book) -> Book:
    """The book after something was done; nothing in it is better than in the sound one."""
    book = make_book(hull, judged=reading(FILE)).book
    assert better(sound_part(hull, sound, FILE), book) == []
    return book


@pytest.mark.parametrize(("change", "place", "words", "notice"), SLIPS, ids=range(len(SLIPS)))
def test_a_slip_is_told_with_its_cell_and_its_remedy(
    hull: Path, sound: Book, change: Change, place: str, words: tuple[str, ...], notice: bool
) -> None:
    sound_part(hull, sound, FILE)
    laid(hull, change)
    told = [fault for fault in made(hull, sound).faults if ".xlsx" in str(fault.where)]
    faults = [fault for fault in told if fault.severity is Severity.FAULT]
    assert bool(faults) is not notice, "\n".join(map(str, told))
    if place:
        fitting = [str(fault) for fault in told if str(fault).startswith((f"{place}:", f"{place},"))]
        assert any(all(word in text for word in words) for text in fitting), "\n".join(map(str, told))


def test_one_table_in_two_places(hull: Path, sound: Book) -> None:
    sound_part(hull, sound, FILE)
    laid(hull, lambda _: None)
    (hull / FILE).write_bytes(DATA)
    told = [str(fault) for fault in made(hull, sound).faults if fault.severity is Severity.FAULT]
    assert [text for text in told if f"rows of it in {FILE} and in {WHERE}. Nothing of it is used; take one" in text]


def test_the_sound_workbook_is_told_of_nothing(hull: Path, sound: Book) -> None:
    before = sound_part(hull, sound, FILE)
    laid(hull, lambda _: None)
    after = made(hull, sound)
    assert [fault for fault in after.faults if ".xlsx" in str(fault.where)] == []
    assert better(after, before) == []


def test_of_a_workbook_that_cannot_be_read_nobody_says_what_it_holds(tmp_path: Path) -> None:
    """It may list places found open, or reports; so those questions are undecided, and it is no fail by itself."""
    hull = copied(tmp_path / "hull")
    (hull / "messung.xlsx").write_bytes(b"PK\x03\x04 and nothing that can be unpacked")
    every = [item.finding for item in make_book(hull).book.governing]
    of_it = {it.key.check: it.verdict for it in every if "messung.xlsx" in (it.key.place, it.key.condition)}
    assert {"LAM-11", "REG-04"} <= set(of_it)
    assert Verdict.FAIL not in of_it.values()
