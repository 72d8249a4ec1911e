"""Where a sheet may stand, and what is told of one that stands elsewhere. All data are synthetic."""

from __future__ import annotations

import pytest

from buildbook.core.fault import Severity
from buildbook.core.record import Record, Table, column
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather
from buildbook.readers.standing import canonical
from tests.as_workbooks import saved, workbook
from tests.readers.books import AT, HEADS, ROW, SPOTS, faults, notices, put, read, rows
from tests.readers.synthetic import Log, Spot

READINGS = [HEADS, ROW]


def book(**sheets) -> bytes:
    return saved(workbook({name.replace("__", "."): rows for name, rows in sheets.items()}))


def named(*pairs) -> bytes:
    return saved(workbook(dict(pairs)))


@pytest.mark.parametrize(
    ("file", "sheet"),
    [
        ("all of it.xlsx", "logs.readings"),
        ("old/more/all.xlsx", "Logs. Readings"),
        ("all.XLSX", "LOGS.READINGS"),
        ("logs.xlsx", "readings"),
        ("Logs.xlsx", "Readings"),
        ("logs/march.xlsx", "readings"),
        ("logs/readings.xlsx", "Sheet1"),
        ("logs/Readings.xlsx", "March 2026"),
    ],
)
def test_a_sheet_is_found(tmp_path, file, sheet):
    put(tmp_path, "spots.csv", "spot\nS1\n")
    put(tmp_path, file, named((sheet, READINGS), ("about", [["what this is"]]), ("Sheet2", [])))
    found = read(tmp_path)
    assert [str(row.where) for row in rows(found)] == [f"{file}[{sheet}]:2"]
    assert (faults(found), notices(found)) == ([], [])


def test_names_fold_spaces_hyphens_and_underscores():
    class Wide(Record):
        table = Table("logs/wide_open.csv", "Wide", "one", ("spot",), "spot")
        spot: str = column("Spot")

    assert canonical(Wide.table.file) == "logs.wide_open"


def test_the_bare_name_is_of_the_folder_of_its_workbook(tmp_path):
    """Both `spots.csv` and `logs/spots.csv` are tables here: in logs.xlsx the bare name is the second."""

    class Own(Record):
        table = Table("logs/spots.csv", "Own", "one", ("spot",), "spot")
        spot: str = column("Spot")

    put(tmp_path, "logs.xlsx", named(("spots", [["spot"], ["L1"]])))
    put(tmp_path, "other.xlsx", named(("spots", SPOTS)))
    found = gather(Folder(tmp_path), (Spot, Own))
    assert [row.spot for row in found.evidence.of(Own)] == ["L1"]
    assert [row.spot for row in found.evidence.of(Spot)] == ["S1"]


@pytest.mark.parametrize("empty", [",".join(HEADS) + "\n", "", "\n"])
def test_heads_alone_are_not_in_the_way(tmp_path, empty):
    put(tmp_path, "logs/readings.csv", empty)
    put(tmp_path, "logs.xlsx", named(("readings", READINGS), ("spots", SPOTS)))
    found = read(tmp_path)
    assert faults(found) == []
    assert len(rows(found)) == 1
    assert found.used == ("logs.xlsx", "logs/readings.csv")


def test_a_sheet_with_heads_and_an_example_is_not_in_the_way_of_a_file(tmp_path):
    put(tmp_path, "logs/readings.csv", f"{','.join(HEADS)}\nS1,1,1,{AT},182\n")
    example = [f"example: {value}" for value in ROW]
    put(tmp_path, "logs.xlsx", named(("readings", [HEADS, example]), ("spots", SPOTS)))
    found = read(tmp_path)
    assert faults(found) == []
    assert [str(row.where) for row in rows(found)] == ["logs/readings.csv:2"]


def test_rows_in_two_places_are_a_fault_that_names_both_and_neither_is_used(tmp_path):
    put(tmp_path, "logs/readings.csv", f"{','.join(HEADS)}\nS1,1,1,{AT},182\n")
    put(tmp_path, "logs.xlsx", named(("readings", READINGS), ("spots", SPOTS)))
    put(tmp_path, "copy.xlsx", named(("logs.readings", READINGS)))
    found = read(tmp_path)
    (fault,) = faults(found)
    both = "logs/readings.csv and in copy.xlsx[logs.readings] and in logs.xlsx[readings]"
    assert fault.found == f"rows of it in {both}"
    assert fault.effect == "Nothing of it is used; take one of them out."
    assert (rows(found), len(found.evidence.unread[Log])) == ([], 1)


@pytest.mark.parametrize("sheet", ["reading", "readings 2026", "logs.readngs"])
def test_a_sheet_under_a_changed_name_of_a_missing_table_is_a_fault(tmp_path, sheet):
    put(tmp_path, "logs.xlsx", named((sheet, READINGS), ("spots", SPOTS)))
    found = read(tmp_path)
    (fault,) = faults(found)
    assert str(fault.where) == f"logs.xlsx[{sheet}]"
    assert (fault.expected, fault.found) == ("a sheet 'logs.readings'", f"'{sheet}'")
    assert "Name the sheet 'logs.readings': that is logs/readings.csv." in fault.effect
    assert found.evidence.missing[Log] == f"is not in the folder (there is 'logs.xlsx[{sheet}]')"


def test_a_sheet_is_known_by_its_heads_where_its_name_says_nothing(tmp_path):
    put(tmp_path, "measured.xlsx", named(("Sheet1", READINGS), ("spots", SPOTS)))
    (fault,) = faults(read(tmp_path))
    assert str(fault).startswith("measured.xlsx[Sheet1]: expected a sheet 'logs.readings'; found 'Sheet1'.")


def test_another_sheet_is_asked_about_and_its_being_published_is_said(tmp_path):
    put(tmp_path, "logs.xlsx", named(("readings", READINGS), ("spots", SPOTS), ("prices", [["item"], ["x"]])))
    (told,) = notices(read(tmp_path))
    assert str(told) == (
        "logs.xlsx[prices]: expected the name of a table; found 'prices', which is none. "
        "It is not read, but published with its workbook."
    )


def test_a_second_sheet_like_one_that_is_read_is_asked_about(tmp_path):
    put(tmp_path, "logs.xlsx", named(("readings", READINGS), ("spots", SPOTS), ("readings (2)", READINGS)))
    (told,) = notices(read(tmp_path))
    assert "Did you mean 'logs.readings'? That is logs/readings.csv." in told.effect


def test_a_workbook_without_a_table_is_told_once(tmp_path):
    put(tmp_path, "prices.xlsx", named(("May", [["item"], ["x"]]), ("June", [["item"], ["x"]])))
    put(tmp_path, "spots.csv", "spot\nS1\n")
    found = read(tmp_path)
    (told,) = notices(found)
    assert (told.severity, str(told.where), told.found) == (Severity.NOTICE, "prices.xlsx", "only 'May', 'June'")


def test_what_a_spreadsheet_program_leaves_while_it_is_open_is_not_read(tmp_path):
    put(tmp_path, "~$logs.xlsx", b"\x05owner")
    put(tmp_path, "spots.csv", "spot\nS1\n")
    found = read(tmp_path)
    assert (faults(found), notices(found)) == ([], [])


def test_a_workbook_with_a_colon_in_its_name_is_told_to_be_renamed(tmp_path):
    """It could not be published under that name: see `render.names.stays_inside`."""
    put(tmp_path, "logs of 2026: all.xlsx", named(("logs.readings", READINGS), ("spots", SPOTS)))
    (fault,) = faults(read(tmp_path))
    assert (fault.expected, "rename it" in fault.found) == ("a name without a colon", True)


@pytest.mark.parametrize("file", ["logs (2).xlsx", "old/Copy of logs.xlsx", "logs - Kopie.xlsx", "logs_copy2.xlsx"])
def test_a_workbook_called_like_a_copy_is_read_and_told(tmp_path, file):
    put(tmp_path, "spots.csv", "spot\nS1\n")
    put(tmp_path, file, book(logs__readings=READINGS))
    found = read(tmp_path)
    assert len(rows(found)) == 1
    (told,) = notices(found)
    assert str(told).startswith(f"{file}: expected the workbook that you go on with, not a copy of it; found a name as")


@pytest.mark.parametrize("file", ["logs 2026.xlsx", "photocopying.xlsx", "copy/logs.xlsx", "hull (07) outside.xlsx"])
def test_other_names_are_not_taken_for_those_of_copies(tmp_path, file):
    put(tmp_path, "spots.csv", "spot\nS1\n")
    put(tmp_path, file, book(logs__readings=READINGS))
    found = read(tmp_path)
    assert (len(rows(found)), notices(found)) == (1, [])


def test_a_copy_without_a_table_is_not_told_as_one_that_is_read(tmp_path):
    put(tmp_path, "spots.csv", "spot\nS1\n")
    put(tmp_path, "prices (2).xlsx", book(Sheet1=[["item", "price"], ["rope", 12]]))
    assert not any("not a copy of it" in str(told) for told in notices(read(tmp_path)))
