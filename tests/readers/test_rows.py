"""Rows against a record class: what is read, what is refused, and in which words. All tables are synthetic."""

from datetime import date, datetime

import pytest

from buildbook.core.fault import Severity
from buildbook.fault_remedies import of_fault
from tests.readers.synthetic import BLANK, HEADS, OPTIONAL, ROW, Log, Spot, cells, one_cell, read


def faults(rows):
    return [fault for fault in rows.faults if fault.severity is Severity.FAULT]


def notices(rows):
    return [fault for fault in rows.faults if fault.severity is Severity.NOTICE]


def test_a_whole_row_becomes_a_record_with_its_line():
    rows = read(f"{HEADS}\n\n{ROW}\n")
    (record,) = rows.records
    assert isinstance(record, Log)
    assert (record.where.file, record.where.line) == ("logs/readings.csv", 3)
    assert (record.spot, record.attempt, record.at, record.film) == ("S1", 1, datetime(2026, 3, 18, 8), 182.0)
    assert faults(rows) == []


def test_heads_whatever_their_capitals_and_spaces():
    (row,) = cells(read(f"Spot , ATTEMPT,Number,at, Film [µm]\n{ROW}\n"))
    assert row["film"] == 182.0


@pytest.mark.parametrize(
    ("head", "cell", "name", "value"),
    [
        ("air [degF]", "68", "air", 20.0),
        ("air [K]", "293.15", "air", 20.0),
        ("margin [degC]", "3", "margin", 3.0),
        ("margin [degF]", "5.4", "margin", 3.0),
        ("margin [K]", "3", "margin", 3.0),
        ("angle [deg]", "60", "angle", 60),
        ("angle [°]", "60.0", "angle", 60),
        ("angle [rad]", "1.047197551196598", "angle", 60),
        ("kind", "Top coat", "kind", "top-coat"),
        ("wet", "Y", "wet", True),
        ("day", "2026-03-18", "day", date(2026, 3, 18)),
        ("air [degC]", "", "air", None),
        ("air [degC]", "12,5", "air", 12.5),
        ("by", "  QA KL ", "by", "QA KL"),
    ],
)
def test_cells_are_typed_and_converted_once(head, cell, name, value):
    rows = one_cell(head, cell)
    assert faults(rows) == []
    assert getattr(rows.records[0], name) == value


@pytest.mark.parametrize(
    ("head", "cell", "name", "words"),
    [
        ("air [degC]", "warm", "air", "a number"),
        ("air [degC]", "1,250", "air", "one thing only"),
        ("air [degC]", "<0.5", "air", "a bound"),
        ("air [degC]", "19 °C", "air", "unit belongs in the head"),
        ("air [degC]", "NaN", "air", "finite"),
        ("air [degC]", "194", "air", "from -30 to 60 degC"),
        ("air [degF]", "-40", "air", "typing error"),
        ("angle [deg]", "61", "angle", "20 or 60 or 85"),
        ("kind", "topcoat", "kind", "did you mean 'top-coat'"),
        ("wet", "maybe", "wet", "yes or no"),
        ("day", "31/03/2026", "day", "YYYY-MM-DD"),
    ],
)
def test_a_bad_cell_is_a_fault_with_line_and_column_and_the_rest_is_kept(head, cell, name, words):
    rows = one_cell(head, cell)
    (fault,) = faults(rows)
    assert words in str(fault)
    assert cell in fault.found
    assert (fault.where.line, fault.where.column) == (2, head)
    assert "not used" in fault.effect
    (lost,) = rows.unread
    assert rows.records == ()
    assert lost.where.line == 2
    assert lost.get(name) is None
    assert (lost.get("spot"), lost.get("attempt"), lost.get("number"), lost.get("film")) == ("S1", 1, 1, 182.0)
    assert words in lost.why


def test_all_faults_of_a_row_are_told_at_once():
    rows = read(f"{HEADS},air [degC]\nS1,x,1,2026-03-18,99999,warm\n")
    assert [fault.where.column for fault in faults(rows)] == ["attempt", "at", "air [degC]", "film [um]"]


def test_an_empty_cell_that_must_be_filled():
    rows = read(f"{HEADS}\nS1,1,1,,182\n")
    (fault,) = faults(rows)
    assert "an empty cell" in fault.found
    assert "date and time" in fault.expected
    assert rows.unread[0].get("at") is None


@pytest.mark.parametrize("cell", ["1.250", "-1.250"])
def test_a_doubtful_number_in_a_semicolon_file_is_settled_by_the_others_or_refused(cell):
    head = HEADS.replace(",", ";") + ";air [degC]\n"
    alone = f"S1;1;1;2026-03-18 08:00;182;{cell}\n"
    assert "one thing only" in str(faults(read(head + alone))[0])
    with_point = read(head + alone + "S1;1;2;2026-03-18 08:00;182.5;2\n")
    assert cells(with_point)[0]["air"] == float(cell)
    with_comma = read(head + alone + "S1;1;2;2026-03-18 08:00;182,5;2\n")
    assert len(with_comma.records) == 1
    assert "one thing only" in str(faults(with_comma)[0])


def test_text_columns_say_nothing_about_the_decimal_mark():
    rows = read(HEADS.replace(",", ";") + ";by\nS1;1;1;2026-03-18 08:00;1.250;12,5\n")
    assert "one thing only" in str(faults(rows)[0])


def test_a_column_without_its_unit_is_one_fault_and_no_row_is_used():
    rows = read(f"{HEADS},air\n{ROW},19\n{ROW.replace('S1', 'S2')},20\n")
    (fault,) = faults(rows)
    assert (fault.where.line, fault.where.column) == (1, "air")
    assert "air [degC]" in fault.expected
    assert rows.records == ()
    assert [(row.get("spot"), row.get("air"), row.get("film")) for row in rows.unread] == [
        ("S1", None, 182.0),
        ("S2", None, 182.0),
    ]


@pytest.mark.parametrize(
    ("unit", "words"),
    [("[mm]", "another kind"), ("[C]", "did you mean 'degC'"), ("[furlong]", "not a unit"), ("[]", "without one")],
)
def test_a_unit_that_does_not_fit_is_one_fault_and_no_row_is_used(unit, words):
    rows = read(f"{HEADS},air {unit}\n{ROW},19\n{ROW},20\n")
    (fault,) = faults(rows)
    assert words in fault.found
    assert rows.records == ()
    assert len(rows.unread) == 2


def test_a_unit_where_the_column_has_none():
    assert faults(read(f"{HEADS},{OPTIONAL},attempt2\n{ROW},{BLANK},1\n")) == []
    rows = read(HEADS.replace("attempt", "attempt [mm]") + f"\n{ROW}\n")
    assert "without a unit" in faults(rows)[0].expected
    assert rows.records == ()
    plain = read(HEADS.replace("attempt", "attempt [1]") + f"\n{ROW}\n")
    assert len(plain.records) == 1
    text = read(f"{HEADS},by [initials]\n{ROW},QA KL\n")
    assert cells(text)[0]["by"] == "QA KL"
    assert [fault.where.column for fault in notices(text) if fault.where.column] == ["by [initials]"]


def test_a_time_zone_in_the_head_of_a_time_is_no_unit():
    rows = read(HEADS.replace("at,", "at [UTC],") + f"\n{ROW}\n")
    assert rows.records == ()
    assert len(faults(rows)) == 1


def test_a_column_that_is_absent():
    rows = read("spot,attempt,number,at\nS1,1,1,2026-03-18 08:00\n")
    (fault,) = faults(rows)
    assert "film [um]" in fault.expected
    assert fault.found == "none"
    assert rows.records == ()
    assert rows.unread[0].get("spot") == "S1"
    optional = [fault for fault in notices(read(f"{HEADS}\n{ROW}\n")) if "left empty" in fault.effect]
    assert "margin" in optional[0].expected


def test_a_misspelled_optional_column_is_a_fault_since_its_values_would_be_missed():
    rows = read(f"{HEADS},margn [K]\n{ROW},3\n")
    (fault,) = faults(rows)
    assert "margin [K]" in fault.expected
    assert "margn" in fault.found
    assert rows.records == ()


def test_two_heads_alike():
    rows = read(f"{HEADS},Air [degC],air [degF]\n{ROW},19,66\n")
    (fault,) = faults(rows)
    assert "twice" in fault.expected
    assert rows.records == ()
    assert rows.unread[0].get("air") is None


def test_an_unknown_column_is_a_notice():
    rows = read(f"{HEADS},{OPTIONAL},weather\n{ROW},{BLANK},fair\n")
    assert len(rows.records) == 1
    assert [fault.where.column for fault in notices(rows) if fault.where.column] == ["weather"]


def test_a_contradiction_inside_a_row_puts_both_cells_in_doubt():
    rows = read(f"{HEADS},day,until\n{ROW},2026-03-18,2026-03-17\n")
    (fault,) = faults(rows)
    assert fault.where.column == "until"
    assert fault.expected == "a date on or after `day`"
    assert "2026-03-17" in fault.found
    assert "2026-03-18" in fault.found
    assert (rows.unread[0].get("day"), rows.unread[0].get("until"), rows.unread[0].get("spot")) == (None, None, "S1")


def test_a_row_whose_cells_cannot_be_told_apart_may_concern_anything():
    rows = read(f"{HEADS}\nS1,1,1,2026-03-18 08:00,182,5\n{ROW}\n")
    assert len(rows.records) == 1
    assert set(rows.unread[0].cells.values()) == {None}
    assert set(rows.unread[0].cells) == set(type(rows.records[0]).columns())


def test_the_unreadable_rows_and_the_records_are_all_rows():
    lines = [ROW.replace("182", cell) for cell in ("182", "x", "190", "-5", "1,2")]
    rows = read(f"{HEADS}\n" + "\n".join(lines) + "\n")
    assert {row.where.line for row in rows.records} | {row.where.line for row in rows.unread} == {2, 3, 4, 5, 6}
    assert len(rows.records) + len(rows.unread) == 5
    assert [row.where.line for row in rows.records] == [2, 4]


def test_formulas_and_markup_in_text_are_kept_as_text():
    (row,) = cells(read("spot\n<script>alert(1)</script>\n", Spot))
    assert row["spot"] == "<script>alert(1)</script>"


@pytest.mark.parametrize("row", ["Signed: T. Reader,,,,", ",,,,185.5"])
def test_a_line_that_is_hardly_filled_is_told_once_and_stays_a_lost_row(row):
    rows = read(f"{HEADS}\n{ROW}\n{row}\n")
    (fault,) = faults(rows)
    assert (fault.where.line, fault.where.column) == (3, "")
    assert "looks like a signature, a mean or a note" in fault.found
    assert fault.expected.startswith("a reading, with a value also in")
    assert of_fault(fault).startswith("Take this line out if it is no reading; else fill in")
    assert [lost.where.line for lost in rows.unread] == [3]
    assert rows.unread[0].get("number") is None, "an empty cell may have been of any reading, so it caps them all"


def test_a_row_with_half_of_its_cells_is_a_reading_that_lacks_some():
    rows = read(f"{HEADS}\nS1,1,1,,\n")
    assert [fault.where.column for fault in faults(rows)] == ["at", "film [um]"]
