"""Grit steps and salt against printed values."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.formulas.preparation import (
    grit_size,
    grit_step,
    grit_steps,
    salt_density,
    strictly_finer,
)
from buildbook.formulas import Malformed, OutOfRange
from tests.published_values import rows

SIZES = {row[grade]: float(row[f"size {grade} [um]"]) for row in rows("grit_steps") for grade in ("before", "after")}


@pytest.mark.parametrize("row", rows("grit_steps"), ids=lambda row: f"{row['before']} to {row['after']}")
def test_grit_steps_by_number_and_by_size(row):
    step = grit_step(row["before"], row["after"], SIZES)
    assert step.number_step == int(row["number step"])
    assert step.size_ratio == pytest.approx(float(row["size ratio"]), abs=float(row["tolerance"]))
    assert step.finer


def test_a_sequence_is_read_step_by_step():
    steps = grit_steps(["P36", "P80", "P180", "P400"], SIZES)
    assert [(step.before, step.after) for step in steps] == [("P36", "P80"), ("P80", "P180"), ("P180", "P400")]
    assert grit_steps(["P80"], SIZES) == ()


@pytest.mark.parametrize(
    ("grades", "finer"),
    [(["P36", "P80", "P180"], True), (["P80", "P36"], False), (["P80", "P80"], False), (["P80"], True)],
)
def test_strictly_finer(grades, finer):
    assert strictly_finer(grades, SIZES) is finer


@pytest.mark.parametrize("grade", ["180", "P", "P0180", "p180", "CAMI 180", "P180 "])
def test_a_grade_of_another_scale_is_not_taken_for_fepa(grade):
    with pytest.raises(Malformed, match="FEPA"):
        grit_size(grade, SIZES)


def test_a_grade_the_table_does_not_list():
    with pytest.raises(OutOfRange, match="P999"):
        grit_size("P999", SIZES)
    with pytest.raises(OutOfRange):
        grit_steps(["P999"], SIZES)
    with pytest.raises(OutOfRange):
        grit_steps([], SIZES)


@pytest.mark.parametrize("row", rows("salt"), ids=lambda row: f"{row['example']} {row['volume [mL]']}")
def test_salt_density(row):
    found = salt_density(float(row["rise [uS/cm]"]), float(row["volume [mL]"]), float(row["area [mm2]"]))
    assert found == pytest.approx(float(row["expected [mg/m2]"]), abs=float(row["tolerance [mg/m2]"]))


def test_small_values_are_within_the_range():
    assert salt_density(0.0, 0.5, 0.5, 0.5) == 0.0
    assert salt_density(0.5, 0.5, 0.5, 0.5) == pytest.approx(25.0)  # 0.5 x 5e-7 x 5e-5 / 5e-7 kg/m2
    assert grit_size("P1", {"P1": 0.5}) == 0.5


@pytest.mark.parametrize(
    "call",
    [
        lambda: salt_density(-0.1, 15.0, 1250.0),
        lambda: salt_density(1.0, 0.0, 1250.0),
        lambda: salt_density(1.0, 15.0, 0.0),
        lambda: salt_density(1.0, 15.0, 1250.0, 0.0),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
