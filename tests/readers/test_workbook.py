"""Sheets of workbooks as tables: what each kind of cell is read as, and what is told of it. All data are synthetic.

The workbooks are written by openpyxl, another program than the one that reads them here. How a spreadsheet stores
values is from ECMA-376-1:2016, 18.3.1 (cells, rows), 18.8.30 (number forms), 18.17.4 (dates).
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import ClassVar

import pytest
from openpyxl.utils.cell import get_column_letter

from buildbook.core.record import Record, Table, column
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather
from tests.as_workbooks import saved, workbook
from tests.readers.books import AT, HEADS, ROW, WHERE, faults, logs, notices, put, read, received, rows, spoiled
from tests.readers.synthetic import OPTIONAL, Log

SHEET = "xl/worksheets/sheet1.xml"


def one(folder, head, value, form="", **more):
    """The folder with one whole row but for one more column with this cell."""

    def change(sheet):
        if form:
            sheet.cell(2, len(HEADS) + 1).number_format = form

    data = logs([*ROW, value], heads=[*HEADS, head], change=more.get("change", change))
    return read(folder, logs_xlsx=data)


def test_rows_of_a_sheet_are_records_with_their_place(tmp_path):
    found = read(tmp_path, logs_xlsx=logs())
    (row,) = rows(found)
    assert faults(found) == []
    assert (row.spot, row.attempt, row.at, row.film) == ("S1", 1, datetime(2026, 3, 18, 8), 182.0)
    assert (row.where.file, str(row.where)) == ("logs/readings.csv", f"{WHERE}:2")
    assert found.used == ("logs.xlsx",)


def test_a_fault_names_the_cell(tmp_path):
    found = read(tmp_path, logs_xlsx=logs(["S1", 1, 1, AT, "many"]))
    (fault,) = faults(found)
    assert str(fault).startswith(f"{WHERE} E2, column 'film [um]': expected a number; found 'many', a word")
    assert rows(found) == []


@pytest.mark.parametrize(
    ("head", "value", "form", "name", "expected"),
    [
        ("day", date(2026, 3, 18), "", "day", date(2026, 3, 18)),
        ("day", datetime(2026, 3, 18), "yyyy-mm-dd hh:mm", "day", date(2026, 3, 18)),
        ("day", datetime(2026, 3, 18), "d. mmmm yyyy", "day", date(2026, 3, 18)),
        ("day", "2026-03-18", "", "day", date(2026, 3, 18)),
        ("wet", True, "", "wet", True),
        ("wet", False, "", "wet", False),
        ("wet", "Yes", "", "wet", True),
        ("air [degC]", 19.4, "", "air", 19.4),
        ("air [degC]", "19.4", "", "air", 19.4),
        ("air [degC]", "19,4", "", "air", 19.4),
        ("air [degC]", 0.1 + 0.2, "", "air", 0.3),
        ("air [degC]", 19.4, "0", "air", 19.4),
        ("angle [deg]", 60.0, "", "angle", 60),
        ("kind", "Top coat", "", "kind", "top-coat"),
        ("by", 42, "0000", "by", "0042"),
        ("by", 42, "", "by", "42"),
    ],
)  # fmt: skip
def test_what_a_cell_is_read_as(tmp_path, head, value, form, name, expected):
    found = one(tmp_path, head, value, form)
    assert faults(found) == []
    assert getattr(rows(found)[0], name) == expected


def test_a_time_without_seconds_and_with(tmp_path):
    found = read(
        tmp_path,
        logs_xlsx=logs(
            ["S1", 1, 1, datetime(2026, 3, 18, 8, 10), 1],
            ["S1", 1, 2, datetime(2026, 3, 18, 8, 10, 7), 1],
            ["S1", 1, 3, date(2026, 3, 18), 1],
        ),
    )
    assert [row.at for row in rows(found)] == [
        datetime(2026, 3, 18, 8, 10),
        datetime(2026, 3, 18, 8, 10, 7),
        datetime(2026, 3, 18),
    ]
    assert received(found)[0][3] == "2026-03-18 08:10"


def test_a_workbook_that_counts_its_days_from_1904(tmp_path):
    """ECMA-376-1, 18.17.4.1: day 0 of the 1904 base is 1904-01-01; day 44637 is 2026-03-18 (1462 days after)."""
    data = logs([*ROW, date(2026, 3, 18)], heads=[*HEADS, "day"])
    data = spoiled(data, "xl/workbook.xml", "<workbookPr", '<workbookPr date1904="1"')
    assert (date(2026, 3, 18) - date(1899, 12, 30)).days == 46099
    data = spoiled(data, SHEET, "<v>46099</v>", "<v>44637</v>")
    assert rows(read(tmp_path, logs_xlsx=data))[0].day == date(2026, 3, 18)


@pytest.mark.parametrize(
    ("head", "value", "form", "words"),
    [
        ("day", 45678, "", "a date as a spreadsheet counts days"),
        ("day", "18.03.2026", "", "write 2026-03-18"),
        ("day", datetime(2026, 3, 18, 8, 10), "", "the day alone, without a time: write 2026-03-18"),
        ("day", time(8, 10), "", "the year first"),
        ("air [degC]", date(2026, 5, 1), "", "something like a date (a spreadsheet may have changed it)"),
        ("air [degC]", 0.5, "0 %", "the unit belongs in the head"),
        ("air [degC]", "1,250", "", "which may be 1250 or 1.250"),
        ("air [degC]", True, "", "a word; write the number in digits"),
        ("wet", 1, "", "expected yes or no; found '1'"),
    ],
)  # fmt: skip
def test_what_a_cell_cannot_be(tmp_path, head, value, form, words):
    found = one(tmp_path, head, value, form)
    (fault,) = faults(found)
    assert words in str(fault)
    assert str(fault).startswith(f"{WHERE} F2, column '{head}'")
    assert rows(found) == []


def test_a_number_of_three_decimals_stays_beside_a_text_with_a_comma(tmp_path):
    """Else 1.125 would be taken for 1125, since the comma of the other says which mark the table has."""
    found = read(tmp_path, logs_xlsx=logs(["S1", 1, 1, AT, 1.125], ["S1", 1, 2, AT, "12,5"]))
    assert [row.film for row in rows(found)] == [1.125, 12.5]
    assert faults(found) == []


def test_per_cent_is_read_as_shown_in_a_column_of_per_cent(tmp_path):
    from buildbook.core.stand import Stand
    from buildbook.readers.cell_text import Wish, text_of
    from buildbook.readers.xlsx import SheetCell

    assert Stand().words == ""
    share = SheetCell(0.55, "0.0%")
    assert [text_of(share, Wish(float, unit)) for unit in ("%", "1", "", "mm")] == ["55", "0.55", "0.55", "55 %"]
    assert text_of(SheetCell(0.07, "0 %"), Wish(float, "%")) == "7"  # in binary 0.07 × 100 is 7.000000000000001
    assert text_of(SheetCell(55.0), Wish(float, "%")) == "55"


@pytest.mark.parametrize("error", ["#DIV/0!", "#N/A", "#REF!"])
def test_an_error_of_the_spreadsheet_is_a_fault_also_in_a_column_of_text(tmp_path, error):
    found = one(tmp_path, "by", error)
    (fault,) = faults(found)
    assert str(fault).startswith(
        f"{WHERE} F2, column 'by': expected a value; found '{error}', an error left by a spread"
    )
    assert rows(found) == []


def test_an_error_in_a_column_that_is_none_of_the_table_loses_nothing(tmp_path):
    optional = OPTIONAL.split(",")
    row = [*ROW, *([None] * len(optional)), "#DIV/0!"]
    found = read(tmp_path, logs_xlsx=logs(row, heads=[*HEADS, *optional, "yield"]))
    assert faults(found) == []
    assert len(rows(found)) == 1


def test_a_formula_without_its_value_says_what_to_do(tmp_path):
    found = read(tmp_path, logs_xlsx=logs(["S1", 1, 1, AT, "=91*2"], ["S1", 1, 2, AT, 5]))
    (fault,) = faults(found)
    assert str(fault).startswith(f"{WHERE} E2, column 'film [um]': expected a value; found a formula without")
    assert "open and save it in your spreadsheet program" in str(fault)
    assert [row.number for row in rows(found)] == [2]


def test_the_stored_value_of_a_formula_is_used_and_said_once_for_its_column(tmp_path):
    data = logs(["S1", 1, 1, AT, "=91*2"], ["S1", 1, 2, AT, "=[1]Sheet1!A1"])
    data = spoiled(data, SHEET, r"<f>91\*2</f><v[^>]*>(</v>)?", "<f>91*2</f><v>182</v>")
    data = spoiled(data, SHEET, r"<f>\[1\]Sheet1!A1</f><v[^>]*>(</v>)?", "<f>[1]Sheet1!A1</f><v>7</v>")
    found = read(tmp_path, logs_xlsx=data)
    assert [row.film for row in rows(found)] == [182.0, 7.0]
    (told,) = notices(found)
    assert str(told).startswith(
        f"{WHERE} E2, column 'film [um]': expected values that were typed; found a formula ('=91*2'), and 1 more"
    )
    assert "Some comes from another workbook, which is not opened." in told.effect


def test_merged_cells_over_readings_are_refused_with_their_range(tmp_path):
    found = read(
        tmp_path,
        logs_xlsx=logs(ROW, ["S1", 1, 2, AT, 5], ["S1", 1, 3, AT, 6], change=lambda it: it.merge_cells("A2:A3")),
    )
    (fault,) = [fault for fault in faults(found) if "merged" in fault.found]
    assert (str(fault.where), fault.found) == (f"{WHERE} A2, column 'spot'", "A2:A3, merged")
    assert "unmerge it and fill in every cell" in fault.effect
    assert [row.number for row in rows(found)] == [3]


def test_merged_heads_lose_the_table_and_a_merged_title_is_told_as_a_title(tmp_path):
    found = read(tmp_path, logs_xlsx=logs(change=lambda it: it.merge_cells("D1:E1")))
    assert any("D1:E1, merged" in fault.found and "Unmerge it" in fault.effect for fault in faults(found))
    assert rows(found) == []

    def titled(sheet):
        sheet.insert_rows(1)
        sheet["A1"] = "Readings of March"
        sheet.merge_cells("A1:E1")

    found = read(tmp_path, logs_xlsx=logs(change=titled))
    (fault,) = [fault for fault in faults(found) if fault.where.file == "logs/readings.csv"]
    assert str(fault).startswith(
        f"{WHERE}:1: expected the heads in the first line; found 'Readings of March', and the heads"
    )
    assert "take out what stands above line 2" in fault.effect


@pytest.mark.parametrize("by", ["hand", "filter"])
def test_hidden_rows_are_read_and_said(tmp_path, by):
    def hide(sheet):
        sheet.row_dimensions[3].hidden = True
        sheet.row_dimensions[4].hidden = True
        if by == "filter":
            sheet.auto_filter.ref = "A1:E4"
            sheet.auto_filter.add_filter_column(2, ["1"])

    found = read(tmp_path, logs_xlsx=logs(ROW, ["S1", 1, 2, AT, 5], ["S1", 1, 3, AT, 6], change=hide))
    (told,) = notices(found)
    assert told.found == "rows 3 to 4, hidden" + (" by a filter" if by == "filter" else "")
    assert str(told.where) == f"{WHERE}:3"
    assert len(rows(found)) == 3


def test_hidden_columns_and_a_hidden_sheet_are_read_and_said(tmp_path):
    def hide(sheet):
        sheet.column_dimensions["E"].hidden = True
        sheet.sheet_state = "hidden"

    found = read(tmp_path, logs_xlsx=logs(change=hide))
    assert {told.found for told in notices(found)} == {"film [um], hidden", "a hidden one"}
    assert len(rows(found)) == 1


def test_empty_rows_totals_and_a_second_table_on_the_sheet(tmp_path):
    found = read(tmp_path, logs_xlsx=logs(ROW, [], ["Total", None, None, None, 182]))
    (fault,) = faults(found)
    assert str(fault).startswith(f"{WHERE}:4: expected a row of this table; found 'Total', a line that sums up others")
    found = read(tmp_path, logs_xlsx=logs(ROW, [], ["spot", "height [m]"], ["S1", 2.0]))
    (fault,) = faults(found)
    assert str(fault).startswith(f"{WHERE}:4: expected a row of this table; found heads")
    assert [row.number for row in rows(found)] == [1]


def test_rows_that_are_examples_are_left_out_and_half_of_one_is_told(tmp_path):
    example = [f"example: {value}" for value in ROW]
    found = read(tmp_path, logs_xlsx=logs(example, ROW))
    assert (faults(found), len(rows(found)), len(received(found))) == ([], 1, 1)
    found = read(tmp_path, logs_xlsx=logs([*ROW[:4], "example: 182"], ["S1", 1, 2, AT, 5]))
    (fault,) = faults(found)
    assert str(fault).startswith(
        f"{WHERE} E2, column 'film [um]': expected every cell of a row your own; found 'example: 182'"
    )
    assert "overwrite each cell that begins 'example:', or empty it" in fault.effect
    assert [row.number for row in rows(found)] == [2]


def test_a_sheet_with_an_example_alone_has_no_rows(tmp_path):
    found = read(tmp_path, logs_xlsx=logs([f"example: {value}" for value in ROW]))
    assert found.evidence.missing[Log] == "has heads and no rows"


def test_a_table_that_does_not_begin_in_the_first_column(tmp_path):
    def shift(sheet):
        sheet.insert_cols(1)

    found = read(tmp_path, logs_xlsx=logs(["S1", 1, 1, AT, "many"], change=shift))
    (fault,) = faults(found)
    assert str(fault.where) == f"{WHERE} F2, column 'film [um]'"


def test_cells_beside_the_heads_are_told_and_kept(tmp_path):
    optional = OPTIONAL.split(",")
    row = [*ROW, *([None] * len(optional)), "see me"]
    letter = get_column_letter(len(row))
    found = read(tmp_path, logs_xlsx=logs(row, heads=[*HEADS, *optional]))
    assert [told.found for told in notices(found)] == [f"none over column {letter}, where {letter}2 is filled in"]
    assert received(found)[0][-1] == "see me"
    assert len(rows(found)) == 1


def test_cells_without_a_head_hold_the_table_where_a_column_is_missing_that_they_may_be(tmp_path):
    found = read(tmp_path, logs_xlsx=logs([*ROW, "see me"]))
    (fault,) = faults(found)
    assert fault.found.startswith("none over column F, which may be one of those missing (wet, kind, by)")
    assert "Write its head above it." in fault.effect
    assert rows(found) == []


class Share(Record):
    table: ClassVar[Table] = Table("shares.csv", "Shares", "one share", ("spot",), "spot")

    spot: str = column("Id of the spot", example="S1")
    share: float = column("Share", unit="%", low=0, high=100, example="55")


def shares(folder, *values, shown):
    """The folder with these shares, those of the rows in `shown` (from 2) in the form of per cent."""
    book = workbook({"shares": [["spot", "share [%]"], *([f"S{at}", value] for at, value in enumerate(values, 1))]})
    for line in shown:
        book["shares"].cell(line, 2).number_format = "0.0%"
    put(folder, "shares.xlsx", saved(book))
    return gather(Folder(folder), (Share,))


def test_cells_in_the_form_of_per_cent_are_told_once_with_how_they_are_read(tmp_path):
    found = shares(tmp_path, 0.55, 0.0705, shown=(2, 3))
    assert [row.share for row in found.evidence.of(Share)] == [55.0, 7.05]
    (told,) = found.faults
    assert str(told).startswith("shares.xlsx[shares] B2, column 'share [%]': expected numbers of per cent")
    assert "It is read as the sheet shows it, 55 %." in told.effect


@pytest.mark.parametrize("plain", [0.55, 55, "0.55"])
def test_per_cent_in_two_forms_in_one_column_loses_the_rows_of_both(tmp_path, plain):
    """A plain 0.55 beside 55 % may be 0.55 % or 55 %; a row without a number there stays out of it."""
    found = shares(tmp_path, 0.6, plain, 0.07, "example: 55", shown=(2, 4))
    assert found.evidence.of(Share) == ()
    told = [fault for fault in found.faults if "one form" in fault.expected]
    assert [str(fault.where) for fault in told] == ["shares.xlsx[shares] B2, column 'share [%]'"]
    assert told[0].found == f"'60' as per cent, and 1 more in this column, and '{plain}' in row 3 without it"
    assert len({row.where.line for row in found.evidence.unread[Share]} & {2, 3, 4}) == 3


@pytest.mark.parametrize(
    ("texts", "read_as"),
    [(["1.125"], None), (["1,125"], None), (["1.125", "12.5"], 1.125), (["1,125", "12,5"], 1.125)],
)
def test_a_text_that_may_mean_two_things_is_no_number_as_in_a_file_of_text(tmp_path, texts, read_as):
    """Number cells have no mark to show, so they do not tell how a text beside them is meant."""
    found = read(tmp_path, logs_xlsx=logs(*(["S1", 1, at, AT, text] for at, text in enumerate([2.375, *texts], 1))))
    films = {row.number: row.film for row in rows(found)}
    assert (films[1], films.get(2)) == (2.375, read_as)
    assert len(faults(found)) == (read_as is None)


def test_a_number_in_a_column_of_text_stays_as_it_is_beside_a_decimal_comma(tmp_path):
    data = logs(["S1", 1, 1, AT, "12,5", 7.125], heads=[*HEADS, "by"])
    (row,) = rows(read(tmp_path, logs_xlsx=data))
    assert (row.film, row.by) == (12.5, "7.125")


def test_merged_cells_beside_and_over_each_other_are_all_told(tmp_path):
    """Also where two begin in one row, or one lies in the rows of another; a row below them all is read."""

    def merge(sheet):
        for cells in ("A2:A3", "B2:B4", "C3:C3", "D5:E5"):
            sheet.merge_cells(cells)

    lines = (["S1", 1, number, AT, 5] for number in range(1, 6))
    found = read(tmp_path, logs_xlsx=logs(*lines, change=merge))
    told = {fault.found for fault in faults(found) if "merged" in fault.found}
    assert told >= {"A2:A3, merged", "B2:B4, merged", "D5:E5, merged"}
    assert [row.number for row in rows(found)] == [5]
