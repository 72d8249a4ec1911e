"""Hull numbers: form, content, dates, country."""

from __future__ import annotations

import csv
from datetime import date
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

import buildbook
from buildbook.chapters.register.formulas import (
    country_status,
    full_model_year,
    hull_number_notes,
    in_model_year,
    parse_hull_number,
    year_near_model_year,
)
from buildbook.formulas import Malformed, OutOfRange
from tests.published_values import rows

COUNTRIES = files(buildbook).joinpath("sources/tables/iso_3166_1_alpha_2.csv").read_text(encoding="utf-8")
LISTED = {row["code"] for row in csv.DictReader(COUNTRIES.splitlines())} - {"-"}


@pytest.mark.parametrize("row", rows("hull_number"), ids=lambda row: row["number"])
def test_hull_numbers_taken_apart(row):
    number = parse_hull_number(row["number"])
    assert (number.country or "") == row["country"]
    assert number.manufacturer == row["manufacturer"]
    assert number.serial == row["serial"]
    assert number.month == int(row["month"])
    assert str(number.year or "") == row["year"]
    assert number.model_year == int(row["model year"])
    fits = number.year is not None and in_model_year(number.year, number.month, number.model_year)
    assert fits == (row["fits"] == "yes")
    dates = [note for note in hull_number_notes(number, LISTED) if "model year" in note]
    assert bool(dates) == (row["fits"] == "no")


@pytest.mark.parametrize("row", rows("hull_number_wrong"), ids=lambda row: row["number"])
def test_wrong_hull_numbers_are_named_in_words(row):
    with pytest.raises(Malformed, match=row["problem"]):
        parse_hull_number(row["number"])


def test_each_fault_is_named_at_once():
    with pytest.raises(Malformed) as caught:
        parse_hull_number("A1C0O07KZX2Y")
    assert len(caught.value.problems) == 5


def test_one_fault_is_named_once():
    for row in rows("hull_number_wrong"):
        if row["number"] not in ("ABC 0007KE525", "ABC/0007KE525", "GB-ABC00042-A3-99"):
            with pytest.raises(Malformed) as caught:
                parse_hull_number(row["number"])
            assert len(caught.value.problems) == 1, caught.value.problems


@given(st.text(max_size=20))
def test_any_text_is_taken_apart_or_refused_in_words(text):
    try:
        number = parse_hull_number(text)
    except Malformed as error:
        said = error.problems
    else:
        said = (number.text,)
    assert said


SERIAL = st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=5, max_size=5)


@given(
    st.sampled_from(["", "US-", "IT-", "XX-"]),
    st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=3, max_size=3),
    SERIAL,
    st.dates(date(1985, 1, 1), date(2082, 12, 31)),
    st.integers(-1, 1),
)
def test_a_number_put_together_comes_apart_again(prefix, maker, serial, day, shift):
    model_year = day.year + shift
    letter = "ABCDEFGHIJKL"[day.month - 1]
    number = parse_hull_number(f"{prefix}{maker}{serial}{letter}{day.year % 10}{model_year % 100:02d}")
    assert (number.manufacturer, number.serial, number.month) == (maker, serial, day.month)
    assert (number.year, number.model_year) == (day.year, model_year)
    assert number.scheme == ("33 CFR 181" if prefix in ("", "US-") else "ISO 10087")


@pytest.mark.parametrize(
    ("year", "month", "inside"), [(2025, 5, False), (2025, 6, True), (2026, 7, True), (2026, 8, False)]
)
def test_33_cfr_175_3_model_year_ends(year, month, inside):
    assert in_model_year(year, month, 2026) is inside


def test_33_cfr_175_3_model_year_has_fourteen_months():
    months = [(year, month) for year in (2024, 2025, 2026, 2027) for month in range(1, 13)]
    assert sum(in_model_year(*month, 2026) for month in months) == 14


@pytest.mark.parametrize(
    ("code", "status"),
    [
        *[(code, "listed") for code in ("IT", "GB", "US")],
        *[(code, "user-assigned") for code in ("AA", "QM", "QZ", "XA", "XX", "ZZ")],
        *[(code, "unknown") for code in ("QL", "UK", "EU", "AB", "it", "")],
    ],
)
def test_iso_3166_1_country_codes(code, status):
    assert country_status(code, LISTED) == status


def test_iso_3166_1_list_against_the_time_zone_database():
    text = files("tzdata").joinpath("zoneinfo/iso3166.tab").read_text(encoding="utf-8")
    assert {line.split("\t")[0] for line in text.splitlines() if not line.startswith("#")} == LISTED
    assert len(LISTED) == 249


def test_the_demonstration_number_says_so():
    (note,) = hull_number_notes(parse_hull_number("XX-EXY00007H526"), LISTED)
    assert "demonstration" in note


def test_an_unknown_country_is_said():
    (note,) = hull_number_notes(parse_hull_number("UK-ABC0007KE525"), LISTED)
    assert note == "UK is not a country code of ISO 3166-1."


def test_two_digit_model_years_turn_at_1984():
    assert [full_model_year(digits) for digits in (84, 99, 0, 83)] == [1984, 1999, 2000, 2083]


@pytest.mark.parametrize(
    "call",
    [
        lambda: full_model_year(100),
        lambda: year_near_model_year(10, 2026),
        lambda: in_model_year(2026, 13, 2026),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
