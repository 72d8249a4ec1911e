"""Bytes to cells. Oracle for well-formed text: pandas, told to convert nothing. All tables are synthetic."""

import io

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.fault import Severity
from buildbook.readers import table as table_module
from buildbook.readers.refused import Refused
from buildbook.readers.table import folded, read_table


def read(text, file="t.csv"):
    return read_table(text if isinstance(text, bytes) else text.encode("utf-8"), file)


def cells(text):
    return [(row.line, row.cells) for row in read(text).rows]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_comma_semicolon_and_tab_are_told_from_the_heads(delimiter):
    raw = read("place,air [degC],note\nZ1,19,a\n".replace(",", delimiter))
    assert raw.delimiter == delimiter
    assert raw.rows[0].cells == ("Z1", "19", "a")


def test_delimiters_inside_quotes_and_brackets_do_not_count():
    raw = read('"a, b, c";"d, e";f [1,2]\n1;2;3\n')
    assert raw.delimiter == ";"
    assert [head.text for head in raw.heads] == ["a, b, c", "d, e", "f [1,2]"]


def test_heads_equally_parted_by_two_signs_are_refused():
    with pytest.raises(Refused, match="comma and semicolon equally often"):
        read("a,b;c\n1,2;3\n")


def test_a_separator_line_of_a_spreadsheet_is_skipped_and_lines_still_count():
    raw = read("sep=;\r\na;b\r\n1;2\r\n")
    assert raw.head_line == 2
    assert cells("sep=;\r\na;b\r\n1;2\r\n") == [(3, ("1", "2"))]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_counts_once(end):
    assert cells(end.join(["a,b", "", "1,2", "", "", "3,4", ""])) == [(3, ("1", "2")), (6, ("3", "4"))]


def test_blank_lines_and_rows_of_empty_cells_are_skipped():
    raw = read("\n\na,b\n\n1,2\n,\n  , \n3,4\n")
    assert raw.head_line == 3
    assert [(row.line, row.cells) for row in raw.rows] == [(5, ("1", "2")), (8, ("3", "4"))]


def test_a_cell_over_several_lines_keeps_the_line_the_row_starts_in():
    assert cells('a,b\n"one\ntwo\nthree",2\n3,"say ""so"""\n') == [
        (2, ("one\ntwo\nthree", "2")),
        (5, ("3", 'say "so"')),
    ]


def test_heads_with_units_and_in_one_spelling():
    heads = read("Next-Product,Surface Temp [ degC ],x[mm],plain []\n1,2,3,4\n").heads
    assert [(head.name, head.unit) for head in heads] == [
        ("next_product", None),
        ("surface_temp", "degC"),
        ("x", "mm"),
        ("plain", ""),
    ]
    assert heads[1].text == "Surface Temp [ degC ]"
    assert folded("A  b-_C") == "a_b_c"


def test_byte_order_mark_and_cp1252():
    assert read(b"\xef\xbb\xbfplace,b\n1,2\n").heads[0].name == "place"
    assert read(b"\xef\xbb\xbfplace,b\n1,2\n").faults == ()
    raw = read("name;film [µm]\nMüller;1\n".encode("cp1252"))
    assert (raw.encoding, raw.rows[0].cells, raw.heads[1].unit) == ("cp1252", ("Müller", "1"), "µm")
    assert [fault.severity for fault in raw.faults] == [Severity.NOTICE]


def test_empty_files_and_heads_alone():
    for text in ("", "\n\n", "\ufeff"):
        assert (read(text).heads, read(text).rows) == ((), ())
    raw = read("a,b\n")
    assert len(raw.heads) == 2
    assert raw.rows == ()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"PK\x03\x04rest of a workbook", "name a workbook .xlsx"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old workbook"),
        (b"%PDF-1.7", "PDF"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"\xff\xd8\xff\xe0", "picture"),
        (b"\x1f\x8b\x08", "compressed"),
        ("a,b\n1,2\n".encode("utf-16"), "UTF-16"),
        ("a,b\n1,2\n".encode("utf-16-be"), "zero bytes"),
        ("a,b\n1,2\n".encode("utf-32"), "UTF-32"),
        (b"a,b\n1,\x00\n", "zero bytes"),
        (bytes(range(1, 256)), "neither"),
        (b"\x01\x02\x03\x04\x05,\x06\n\x07", "binary"),
    ],
)
def test_what_is_no_table_as_text_is_refused(data, words):
    with pytest.raises(Refused) as refused:
        read(data)
    assert words in refused.value.fault.found
    assert refused.value.fault.where.file == "t.csv"


@given(st.binary(max_size=400))
def test_any_bytes_are_a_table_or_refused(data):
    try:
        raw = read(data)
    except Refused:
        return
    for row in raw.rows:
        assert row.fault is not None or len(row.cells) == len(raw.heads)


def test_rows_with_too_many_or_too_few_cells_never_shift():
    raw = read("a,b,c\n1,2,3\n1,2\n12,5,2,3\n4,5,6\n")
    assert [row.fault is None for row in raw.rows] == [True, False, False, True]
    assert [fault.where.line for fault in raw.faults] == [3, 4]
    assert "needs quotes" in raw.faults[1].found
    assert raw.rows[1].cells == ("1", "2")


def test_empty_columns_at_the_end_are_tolerated():
    raw = read("a,b,,\n1,2,,\n3,4\n5,6,,,,\n")
    assert [head.text for head in raw.heads] == ["a", "b"]
    assert [row.cells for row in raw.rows] == [("1", "2"), ("3", "4"), ("5", "6")]
    assert raw.faults == ()


def test_cells_without_a_head_are_told():
    raw = read("a,,c\n1,x,3\n")
    assert [fault.severity for fault in raw.faults] == [Severity.NOTICE]
    assert "column 2" in raw.faults[0].found
    assert read("a,b,\n1,2,x\n").rows[0].cells == ("1", "2", "x")


@pytest.mark.parametrize("text", ['a,b\n1,2\n3,"open\n5,6\n', 'a,b\n1,2\n3,"x"y\n5,6\n'])
def test_after_an_open_quote_nothing_is_believed(text):
    raw = read(text)
    assert [row.fault is None for row in raw.rows] == [True, False]
    assert raw.faults[0].where.line == 3
    assert "cannot be read" in raw.faults[0].effect


def test_a_quote_that_swallows_whole_rows_is_found():
    raw = read('a,b,note\n1,2,"open\n3,4,x\n5,6,closed"\n7,8,y\n')
    assert [(row.line, row.fault is None) for row in raw.rows] == [(2, False), (5, True)]
    assert "whole rows" in raw.faults[0].found


def test_an_open_quote_in_the_heads_is_refused():
    with pytest.raises(Refused, match="not closed"):
        read('a,"b\n1,2\n')


def test_inch_marks_inside_a_cell_are_text():
    assert read('a,b\n3/4" pipe,2\n').rows[0].cells == ('3/4" pipe', "2")


def test_caps(monkeypatch):
    monkeypatch.setattr(table_module, "MOST_ROWS", 2)
    assert len(read("a\n1\n2\n").rows) == 2
    with pytest.raises(Refused, match="at most 2 rows"):
        read("a\n1\n2\n3\n")
    monkeypatch.setattr(table_module, "MOST_COLUMNS", 3)
    with pytest.raises(Refused, match="at most 3 columns"):
        read("a,b,c,d\n1,2,3,4\n")


def test_a_cell_that_is_too_long_or_has_control_signs_is_a_fault_of_its_row():
    long = "x" * (table_module.LONGEST_CELL + 1)
    raw = read(f"a,b\n1,{long}\n2,\x07\n3,ok\n" + "4,ok\n" * 500)
    assert [row.line for row in raw.rows if row.fault] == [2, 3]
    assert read(f"a,b\n1,{'y' * 200_000}\n2,3\n").rows[0].fault is not None


TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufeff\u2028\u2029\x85"), max_size=8)
CELL = TEXT.filter(lambda text: text.strip())


@given(st.lists(st.tuples(CELL, CELL, CELL), min_size=1, max_size=8), st.sampled_from([",", ";", "\t"]))
def test_well_formed_tables_as_pandas_reads_them(rows, delimiter):
    frame = pd.DataFrame(rows, columns=["a", "b", "c"])
    text = frame.to_csv(index=False, sep=delimiter, quoting=1)
    oracle = pd.read_csv(io.StringIO(text), sep=delimiter, dtype=str, keep_default_na=False)
    assert [row.cells for row in read(text).rows] == [tuple(row) for row in oracle.itertuples(index=False)]
