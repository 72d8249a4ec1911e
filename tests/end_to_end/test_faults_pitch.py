"""Readings of the pitch bench spoiled in a copy: message, file and line, and no better verdict."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from buildbook.core.finding import Verdict
from tests.end_to_end.spoiling import HULL, Sheet, Spoil, cell, findings, in_table, told
from tests.end_to_end.test_faults import with_unit
from tests.end_to_end.test_faults_drive import row_of

PITCH, ORDERED, SECTIONS = "propeller/pitch.csv", "propeller/propellers.csv", "propeller/sections.csv"


def rows_of(sheet: Sheet, propeller: str, blade: str, attempt: str, radius: str) -> list[int]:
    """The readings of one section, by their rows from 0."""
    wanted = (propeller, blade, attempt, radius)
    names = ("propeller", "blade", "attempt", "radius")
    columns = [sheet.values(name) for name in names]
    return [row for row, found in enumerate(zip(*columns, strict=True)) if found == wanted]


def of_one_section(change: Callable[[Sheet, int], object], attempt: str = "1") -> Callable[[Sheet], None]:
    """A change of every reading at 70 % on one blade."""

    def each(sheet: Sheet) -> None:
        rows = rows_of(sheet, "P1", "B2", attempt, "70")
        assert len(rows) > 2
        for row in reversed(rows):
            change(sheet, row)

    return each


def test_angles_in_the_wrong_direction(spoil: Spoil) -> None:
    def turned(sheet: Sheet, row: int) -> None:
        sheet.set(row, "angle", f"{-(sheet.number(row, 'angle') or 0.0):.2f}")

    made = spoil(PITCH, in_table(of_one_section(turned)))
    sheet = Sheet.read(HULL / PITCH)
    for row in rows_of(sheet, "P1", "B2", "1", "70"):
        assert told(made, PITCH, sheet.line(row), "runs the other way")


def test_every_angle_of_a_propeller_in_the_wrong_direction(spoil: Spoil) -> None:
    """One encoder mounted the wrong way: told at the bench, and not at speeds that are right."""

    def turned(sheet: Sheet) -> None:
        for row in range(len(sheet.body)):
            if sheet.values("propeller")[row] == "P1":
                sheet.set(row, "angle", f"{-(sheet.number(row, 'angle') or 0.0):.2f}")

    made = spoil(PITCH, in_table(turned))
    assert told(made, PITCH, None, "runs the other way")
    assert told(made, "trial/runs.csv") == []


def test_heights_in_another_unit_are_told_at_their_own_table(spoil: Spoil) -> None:
    made = spoil(PITCH, with_unit("height", "cm"))
    assert told(made, PITCH, None, "since 880 mm were ordered")
    assert told(made, "trial/runs.csv") == []


def test_a_radius_missing_on_one_blade(spoil: Spoil) -> None:
    made = spoil(PITCH, in_table(of_one_section(lambda sheet, row: sheet.rows.pop(row + 1))))
    assert told(made, PITCH)
    whole = [one for key, one in findings(made.book).items() if key.check == "PRO-05" and key.place == "P1"]
    assert whole
    assert not any(one.verdict.met for one in whole)


@pytest.mark.parametrize(
    ("file", "column", "text", "words"),
    [
        (ORDERED, "diameter", "76", "150"),  # centimetres
        (ORDERED, "pitch", "34.6", "50"),  # inches
        (ORDERED, "blades", "4", "4 blades"),
        (PITCH, "height", "30600", "5000"),  # micrometres
        (PITCH, "angle", "east", "'east'"),
    ],
)
def test_a_wrong_word_or_number(spoil: Spoil, file: str, column: str, text: str, words: str) -> None:
    made = spoil(file, cell(0, column, text))
    assert [said for said in told(made, file) if words in said]


def test_a_section_of_the_design_missing(spoil: Spoil) -> None:
    row = row_of(SECTIONS, propeller="P1", radius="70")
    made = spoil(SECTIONS, in_table(lambda sheet: sheet.rows.pop(row + 1)))
    mine = [one for key, one in findings(made.book).items() if key.place == "P1" and "70" in key.condition]
    assert not any(one.verdict is Verdict.PASS for one in mine if one.key.check == "PRO-02")
