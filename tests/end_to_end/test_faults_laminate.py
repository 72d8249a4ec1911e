"""The laminate's tables spoiled in a copy of the demonstration: message, file and line, and no better verdict."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from buildbook.core.book import Book
from buildbook.core.finding import Key, Verdict
from tests.end_to_end.spoiling import (
    HULL,
    Sheet,
    Spoil,
    a_fifth,
    cell,
    copied,
    findings,
    in_table,
    made_after,
    reading,
    sound_part,
    told,
    with_limits,
)
from tests.end_to_end.test_faults import with_unit

BURN = "laminate/burn_off.csv"
SHEET = Sheet.read(HULL / BURN)


def row_of(coupon: str, attempt: str = "1") -> int:
    return SHEET.pairs("coupon", "attempt").index((coupon, attempt))


def swapped(row: int, one: str, other: str) -> Callable[[Sheet], None]:
    """Two cells of a row exchanged."""

    def change(sheet: Sheet) -> None:
        cells = sheet.body[row]
        first, second = cells[sheet.index(one)], cells[sheet.index(other)]
        sheet.set(row, one, second)
        sheet.set(row, other, first)

    return change


@pytest.mark.parametrize("coupon", ["C-01", "C-12", "C-17"])
def test_a_residue_heavier_than_the_specimen(spoil: Spoil, coupon: str) -> None:
    row = row_of(coupon)
    full = SHEET.number(row, "full")
    assert full is not None
    made = spoil(BURN, cell(row, "residue", f"{full + 0.5:.4f}"))
    assert told(made, BURN, SHEET.line(row), "lighter than the crucible with the specimen")


@pytest.mark.parametrize(("one", "other"), [("crucible", "full"), ("full", "residue"), ("crucible", "residue")])
@pytest.mark.parametrize("coupon", ["C-03", "C-13"])
def test_weights_swapped(spoil: Spoil, coupon: str, one: str, other: str) -> None:
    row = row_of(coupon)
    assert told(spoil(BURN, in_table(swapped(row, one, other))), BURN, SHEET.line(row))


@pytest.mark.parametrize("column", a_fifth(["crucible", "full", "residue", "reheated", "in_air", "in_water"]))
def test_grams_typed_as_milligrams(spoil: Spoil, column: str) -> None:
    row = row_of("C-12")
    grams = SHEET.number(row, column)
    assert grams is not None
    assert told(spoil(BURN, cell(row, column, f"{1000 * grams:.1f}")), BURN, SHEET.line(row))
    assert told(spoil(BURN, with_unit(column, "mg")), BURN)


@pytest.mark.parametrize("column", a_fifth(["zone", "opening", "skin", "coupon"]))
def test_a_coupon_without_a_zone_or_another_home(spoil: Spoil, column: str) -> None:
    row = row_of("C-12")
    assert told(spoil(BURN, cell(row, column, "")), BURN, SHEET.line(row))


def test_a_zone_without_a_schedule(spoil: Spoil) -> None:
    file = "laminate/schedule.csv"

    def without(sheet: Sheet) -> None:
        sheet.rows[1:] = [row for row in sheet.body if row[sheet.index("zone")] != "L4"]

    made = spoil(file, in_table(without))
    assert told(made, BURN, SHEET.line(row_of("C-12")), "a zone with plies in laminate/schedule.csv")


def test_a_skin_that_the_schedule_does_not_have(spoil: Spoil) -> None:
    row = row_of("C-12")
    made = spoil(BURN, cell(row, "skin", "single skin"))
    assert told(made, BURN, SHEET.line(row), "a skin of L4 in laminate/schedule.csv")


def test_another_skin_that_the_schedule_has_contradicts_the_count(spoil: Spoil) -> None:
    row = row_of("C-12")
    made = spoil(BURN, cell(row, "skin", "inner skin"))
    assert told(made, BURN, SHEET.line(row), "outer skin, as in laminate/ply_counts.csv")


@pytest.mark.parametrize("coupon", ["C-01", "C-05"])
def test_a_coupon_that_was_not_heated_again_shows_nothing(spoil: Spoil, coupon: str) -> None:
    """For the one that was not burned out, a blank would hide that."""
    made = spoil(BURN, cell(SHEET.values("coupon").index(coupon), "reheated", ""))
    mine = [one for key, one in findings(made.book).items() if key.check == "LAM-01" and key.condition == coupon]
    assert mine
    assert any(one.verdict is Verdict.INCONCLUSIVE for one in mine)


def test_a_coupon_burned_before_she_was_laid_up(spoil: Spoil) -> None:
    assert told(spoil(BURN, cell(0, "at", "2025-08-01 15:20")), BURN, 2, "a day after the lay-up was begun")


def test_width_and_thickness_in_each_others_column(spoil: Spoil) -> None:
    strength = "laminate/strength.csv"

    def swap(sheet: Sheet) -> None:
        width, thickness = sheet.values("width")[0], sheet.values("thickness")[0]
        sheet.set(0, "width", thickness)
        sheet.set(0, "thickness", width)

    assert told(spoil(strength, in_table(swap)), strength, 2, "width")


def test_two_coupons_with_one_number(spoil: Spoil) -> None:
    row = row_of("C-13")
    made = spoil(BURN, cell(row, "coupon", "C-12"))
    assert told(made, BURN, SHEET.line(row), f"as in line {SHEET.line(row_of('C-12'))}")


def test_a_decimal_comma_is_understood_or_told(spoil: Spoil, hull: Path, sound: Book) -> None:
    """Four decimals can only be decimals; with three the comma may as well part thousands."""
    row = row_of("C-12")
    text = SHEET.values("crucible")[row].replace(".", ",")
    made = spoil(BURN, cell(row, "crucible", text))
    assert findings(made.book) == findings(sound_part(hull, sound, BURN))
    assert told(spoil(BURN, cell(row, "crucible", text[:-1])), BURN, SHEET.line(row))


def test_a_strength_that_does_not_follow_from_its_force(spoil: Spoil) -> None:
    file = "laminate/strength.csv"
    made = spoil(file, cell(2, "strength", "999"))
    assert told(made, file, Sheet.read(HULL / file).line(2), "from force, width and thickness")


COUNTS, BOND = "laminate/ply_counts.csv", "laminate/core_bond.csv"


def first_of(file: str, column: str, value: str) -> tuple[Sheet, int]:
    """A table of the demonstration, and its first row with this value."""
    sheet = Sheet.read(HULL / file)
    return sheet, [row[sheet.index(column)] for row in sheet.body].index(value)


def test_a_count_of_a_coupon_that_was_never_burned(spoil: Spoil) -> None:
    sheet, row = first_of(COUNTS, "coupon", "C-04")
    made = spoil(COUNTS, cell(row, "coupon", "C-4"))
    assert told(made, COUNTS, sheet.line(row), "a coupon of laminate/burn_off.csv (did you mean")
    assert not any(one.key.condition == "C-4" and one.verdict.met for one in findings(made.book).values())


@pytest.mark.parametrize("by", ["qa kl", "QA  KL", "KL", "LT kl"])
def test_one_reader_under_two_spellings_is_one_reader(spoil: Spoil, by: str) -> None:
    sheet, row = first_of(COUNTS, "coupon", "C-04")
    other = sheet.pairs("coupon", "reader").index(("C-04", "2"))

    def same(table: Sheet) -> None:
        table.set(row, "by", "QA KL")
        table.set(other, "by", by)

    found = [one for one in findings(spoil(COUNTS, in_table(same)).book).values() if one.key.condition == "C-04"]
    counted = [one for one in found if one.key.check == "LAM-04"]
    assert counted
    assert not any(one.verdict.met for one in counted)


def test_plies_counted_before_the_coupon_was_burned(spoil: Spoil) -> None:
    sheet, row = first_of(COUNTS, "coupon", "C-04")
    assert told(spoil(COUNTS, cell(row, "at", "2025-10-01 09:00")), COUNTS, sheet.line(row), "after it was burned")


@pytest.mark.parametrize("words", ["none", "-", "n/a", "thrown away"])
def test_a_word_for_nothing_is_no_place_for_a_witness(spoil: Spoil, words: str) -> None:
    row = row_of("C-12")
    assert told(spoil(BURN, cell(row, "witness", words)), BURN, SHEET.line(row), "empty where none is")


def test_a_coupon_from_a_place_that_is_no_opening(spoil: Spoil) -> None:
    row = row_of("C-12")
    assert told(spoil(BURN, cell(row, "opening", "L1")), BURN, SHEET.line(row), "a place of kind opening")


def test_a_row_copied_under_another_name(spoil: Spoil) -> None:
    row = row_of("C-13")

    def copied(sheet: Sheet) -> None:
        sheet.rows.append(list(sheet.body[row]))
        sheet.set(len(sheet.body) - 1, "coupon", "C-99")

    made = spoil(BURN, in_table(copied))
    assert told(made, BURN, SHEET.line(row), "other weighings than those of C-99")
    met = [one for one in findings(made.book).values() if one.verdict.met and one.key.check.startswith("LAM")]
    assert not [one.key for one in met if one.key.condition in ("C-13", "C-99") and one.key.check != "LAM-04"]


def test_a_second_burn_before_the_first(spoil: Spoil) -> None:
    row = row_of("C-05", "2")
    assert told(spoil(BURN, cell(row, "at", "2025-10-01 09:00")), BURN, SHEET.line(row), "a time after that of")


def test_another_core_than_its_neighbour(spoil: Spoil) -> None:
    sheet, row = first_of(BOND, "specimen", "F-01")
    made = spoil(BOND, cell(row, "core", "PVC-60"))
    assert told(made, BOND, sheet.line(row), "PVC-80, as F-02 of L2")


def test_a_survey_that_found_less_than_is_listed(spoil: Spoil) -> None:
    file = "laminate/bond_survey.csv"
    sheet, row = first_of(file, "zone", "L2")
    assert told(spoil(file, cell(row, "found", "0")), file, sheet.line(row), "2 places or more")


STRENGTH = "laminate/strength.csv"
STIFFNESS = Key("LAM-08", "stiffness", "L2", "T0-dry")


def test_a_blank_skin_of_a_panel_is_a_loss(spoil: Spoil) -> None:
    made = spoil(STRENGTH, cell(0, "skin", ""))
    assert told(made, STRENGTH, Sheet.read(HULL / STRENGTH).line(0), "skin")
    assert findings(made.book)[STIFFNESS].verdict is Verdict.INCONCLUSIVE


@pytest.fixture(scope="module")
def stiffer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy whose designer asks for more stiffness than the panel has."""
    folder = copied(tmp_path_factory.mktemp("stiffer") / "hull")
    with_limits(folder, (STIFFNESS, "MPa", "low = 18000"))
    missed = findings(made_after(folder, STRENGTH, lambda path: None, reading(STRENGTH)).book)
    assert missed[STIFFNESS].verdict is Verdict.FAIL
    return folder


def of_series(how: Callable[[Sheet, int], object]) -> Callable[[Path], None]:
    """Something done to every row of the series, from the last to the first."""

    def change(sheet: Sheet) -> None:
        for row in reversed(range(len(sheet.body))):
            if sheet.values("series")[row] == STIFFNESS.condition:
                how(sheet, row)

    return in_table(change)


def no_stiffness(sheet: Sheet, row: int) -> None:
    for column in ("modulus", "modulus_uncertainty"):
        sheet.set(row, column, "")


def alone(sheet: Sheet, row: int) -> None:
    no_stiffness(sheet, row)
    if row:
        sheet.rows.pop(row + 1)


@pytest.mark.parametrize(
    ("how", "verdict"),
    [
        (of_series(no_stiffness), Verdict.NOT_MEASURED),
        (of_series(alone), Verdict.NOT_MEASURED),
        (of_series(lambda sheet, row: sheet.set(row, "force", "strong")), Verdict.INCONCLUSIVE),
    ],
    ids=["blank", "blank, one specimen", "no row to be read"],
)
def test_a_stiffness_that_the_designer_limits_does_not_vanish(
    stiffer: Path, how: Callable[[Path], object], verdict: Verdict
) -> None:
    """Without a report nothing can know of the fail; that a stiffness is asked for stays to be seen."""
    left = findings(made_after(stiffer, STRENGTH, how, reading(STRENGTH)).book)[STIFFNESS]
    assert left.verdict is verdict
    assert left.limit is not None


@pytest.mark.parametrize("text", ["9.5 m", "nan", "jes"])
def test_a_place_that_cannot_be_read_makes_no_new_pass(spoil: Spoil, sound: Book, text: str) -> None:
    """Z1 is painted: its hardness is not that of her laminate, whatever is wrong with its row of the places."""
    sheet = Sheet.read(HULL / "places.csv")
    row = sheet.values("place").index("Z1")
    made = spoil("places.csv", cell(row, "painted" if text == "jes" else "x", text))
    before, after = findings(sound), findings(made.book)
    new = [key for key in after if key not in before and after[key].verdict is Verdict.PASS]
    assert new == []
