"""One cell to one value. Dates are in the forms of ISO 8601 (from memory); all cells are synthetic."""

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.readers.cells import CellError, choice, day, decimal_mark, moment, number, whole_number, yes_or_no


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        *(("12.5", 12.5), ("12,5", 12.5), ("-3.2", -3.2), ("−3,2", -3.2), ("+4", 4.0), (".5", 0.5), (",5", 0.5)),
        *(("0.125", 0.125), ("0,125", 0.125), ("1013.250", 1013.25), ("1013,250", 1013.25), ("007", 7.0)),
        *(("1 250", 1250.0), ("1 250,5", 1250.5), ("1\u00a0250.500", 1250.5), ("1\u202f250\u202f000", 1250000.0)),
        *(("1.234,5", 1234.5), ("1,234.5", 1234.5), ("1.234.567", 1234567.0), ("1,234,567", 1234567.0)),
        *(("1e3", 1000.0), ("1.25E-3", 0.00125), ("1,250e2", 125.0), ("1.250e2", 125.0)),
    ],
)
@pytest.mark.parametrize("mark", [".", ",", ""])
def test_a_number_that_means_one_thing_is_read_in_every_file(cell, value, mark):
    assert number(cell, mark) == value


@pytest.mark.parametrize("cell", ["1,250", "1.250", "-12.345", "999,999", "+1.000"])
def test_a_number_that_could_mean_two_things_is_never_guessed(cell):
    own = "," if "," in cell else "."
    other = "." if own == "," else ","
    assert number(cell, own) == float(cell.replace(",", "."))
    for mark in (other, ""):
        with pytest.raises(CellError, match="one thing only"):
            number(cell, mark)


def test_the_remedy_for_a_doubtful_number_means_one_thing():
    with pytest.raises(CellError) as error:
        number("1,257", "")
    assert "write 1257 or 1,2570" in error.value.found
    assert error.value.expected == "a number that can mean one thing only"  # alike in every row, so told once
    assert number("1257", "") == 1257.0
    assert number("1,2570", "") == 1.257


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        *(("<0.5", "a bound"), ("> 3", "a bound"), ("≤2", "a bound"), ("~5", "a bound")),
        *(("12,5 - 13,0", "a range"), ("12.5–13", "a range"), ("5-7", "a range"), ("5 to 7", "a range")),
        *(("12.5 mm", "unit belongs in the head"), ("54 %", "unit belongs in the head"), ("20°C", "unit belongs")),
        *(("n/a", "leave it empty"), ("N.A.", "leave it empty"), ("-", "leave it empty"), ("?", "leave it empty")),
        *(("NaN", "not a finite"), ("inf", "not a finite"), ("-Infinity", "not a finite"), ("∞", "not a finite")),
        *(("31/03/2026", "like a date"), ("2026-03-31", "like a date"), ("12-Mar", "like a date"), ("12:30", "a date")),
        *(("12.5 ± 0.3", "give the number alone"), ("#DIV/0!", "spreadsheet"), ("=A1+1", "a formula")),
        *(
            ("twelve", "'twelve'"),
            ("1.234.5", "'1.234.5'"),
            ("1.2.3", "'1.2.3'"),
            ("1_000", "'1_000'"),
            ("--5", "'--5'"),
        ),
        *(
            ("1182 190", "'1182 190'"),
            ("٣", "'٣'"),
            ("５", "'５'"),
            ("0x10", ""),
            ("1'250", ""),
            ("5.", ""),
            ("1,,2", ""),
        ),
    ],
)
@pytest.mark.parametrize("mark", [".", ",", ""])
def test_what_is_no_number_is_refused_with_its_remedy(cell, words, mark):
    with pytest.raises(CellError) as error:
        number(cell, mark)
    assert error.value.expected == "a number"
    assert words in error.value.found


def test_an_overflow_is_no_number():
    with pytest.raises(CellError, match="finite"):
        number("1e999", ".")


def test_whole_numbers():
    assert whole_number(number("12", ""), "12") == 12
    assert whole_number(number("12.0", ""), "12.0") == 12
    with pytest.raises(CellError, match="whole"):
        whole_number(number("12.5", ""), "12.5")


@pytest.mark.parametrize(
    ("cells", "delimiter", "mark"),
    [
        (["12,5", "1,250"], ";", ","),
        (["12.5", "1.250"], ";", "."),
        (["1.250", "3"], ";", ""),
        (["1.250", "3"], ",", "."),
        (["1,250", "12,5"], ",", ","),
        (["12,5", "12.5"], ",", ""),
        (["1.234,5"], ";", ","),
        (["1.234.567"], ";", ","),
        ([], ",", "."),
        (["abc", "12 mm", "2026-03-18"], ";", ""),
    ],
)
def test_the_convention_of_a_file_comes_from_cells_that_mean_one_thing(cells, delimiter, mark):
    assert decimal_mark(cells, delimiter) == mark


@given(st.decimals(-(10**9), 10**9, allow_nan=False, places=4), st.sampled_from(".,"))
def test_numbers_round_trip_in_both_conventions(value, mark):
    assert number(f"{value:f}".replace(".", mark), mark) == float(value)


@given(st.decimals(-(10**9), 10**9, allow_nan=False, places=2), st.sampled_from([(".", ","), (",", "."), (" ", ",")]))
def test_grouped_numbers_round_trip(value, marks):
    group, mark = marks
    text = f"{value:,.2f}".translate(str.maketrans({",": group, ".": mark}))
    assert number(text, mark) == float(value)


@given(st.text(max_size=30), st.sampled_from([".", ",", ""]))
def test_any_text_is_a_finite_number_or_refused(text, mark):
    try:
        value = number(text, mark)
    except CellError:
        return
    assert abs(value) < float("inf")


def test_days_and_moments():
    assert day("2026-03-18") == date(2026, 3, 18)
    assert day("2024-02-29") == date(2024, 2, 29)
    assert moment("2026-03-18 08:10") == datetime(2026, 3, 18, 8, 10)
    assert moment("2026-03-18T08:10:05") == datetime(2026, 3, 18, 8, 10, 5)
    assert moment("2026-03-18 08:10:05.25") == datetime(2026, 3, 18, 8, 10, 5, 250000)


@pytest.mark.parametrize(
    "cell",
    [
        "31/03/2026",
        "31.03.2026",
        "18-03-2026",
        "2026/03/18",
        "2026-3-18",
        "20260318",
        "2026-03-18 08:00",
        "March 18",
        "46099",
    ],
)
def test_other_forms_of_a_date_are_refused(cell):
    with pytest.raises(CellError, match="YYYY-MM-DD"):
        day(cell)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        *(("2026-03-18", "date and time"), ("2026-03-18 8:10", "date and time"), ("18.03.2026 08:10", "date and time")),
        *(
            ("2026-03-18 08:10Z", "time zone"),
            ("2026-03-18T08:10+01:00", "time zone"),
            ("2026-03-18 08:10 CET", "zone"),
        ),
        *(("2026-03-18 24:00", "23:59"), ("2026-03-18 08:60", "23:59"), ("2026-02-30 08:00", "calendar")),
        *(
            ("2026-03-18 08:10 am", "date and time"),
            ("2062-13-01 08:00", "calendar"),
            ("1066-10-14 09:00", "typing error"),
        ),
    ],
)
def test_other_forms_of_a_moment_are_refused(cell, words):
    with pytest.raises(CellError) as error:
        moment(cell)
    assert words in str(error.value)


def test_a_day_that_is_not_in_the_calendar():
    with pytest.raises(CellError, match="calendar"):
        day("2026-02-29")


@given(st.datetimes(datetime(1950, 1, 1), datetime(2100, 12, 31)), st.sampled_from([" ", "T"]))
def test_moments_round_trip(value, between):
    value = value.replace(microsecond=0)
    assert moment(value.isoformat(sep=between)) == value


def test_yes_and_no():
    assert [yes_or_no(cell) for cell in ("yes", "Y", "TRUE", "no", "n", "False")] == [True] * 3 + [False] * 3
    for cell in ("1", "0", "ja", "x", "maybe"):
        with pytest.raises(CellError, match="yes or no"):
            yes_or_no(cell)


def test_choices():
    assert choice("Use-AS is", ("rework", "use as is")) == "use as is"
    with pytest.raises(CellError, match="did you mean 'rework'"):
        choice("re-wrk", ("rework", "use as is"))
    with pytest.raises(CellError) as error:
        choice("blue", ("rework", "use as is"))
    assert "did you mean" not in error.value.found
