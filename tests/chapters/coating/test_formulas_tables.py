"""The formulas fed with the tables that ship give the printed numbers too, not only with the tests' own rows."""

from __future__ import annotations

import math

import pytest

from buildbook.chapters.coating.formulas.adhesion import (
    ClassRow,
    SpacingRow,
    cross_cut_rating,
    cut_spacing,
    parse_fracture,
)
from buildbook.chapters.coating.formulas.film import SamplingRow, required_number, required_spots
from buildbook.chapters.coating.formulas.preparation import grit_step
from buildbook.chapters.coating.formulas.schedule import WindowRow, overcoat_window
from buildbook.sources import number, table
from tests.published_values import rows


def cell(text: str, empty: float = 0.0) -> float:
    found = number(text)
    return empty if found is None else found


def iso_19840() -> list[SamplingRow]:
    return [
        SamplingRow(
            above=cell(row["above"]),
            up_to=cell(row["up_to"], math.inf),
            number=int(row["least_readings"]),
            repeats=int(row["most_repeats"]) if row["most_repeats"] else None,
            repeats_share=cell(row["most_repeats_share"]),
            each_further=number(row["per_further"]),
            further_number=int(cell(row["added_readings"])),
        )
        for row in table("film_sampling")
    ]


def pa_2() -> list[SamplingRow]:
    """Where the table names no number of areas, each piece of its size is one."""
    return [
        SamplingRow(
            above=cell(row["above"]),
            up_to=cell(row["up_to"], math.inf),
            number=int(cell(row["areas"])),
            each_further=number(row["per_further"] if row["areas"] else row["area_size"]),
            further_number=int(cell(row["added_areas"])) if row["areas"] else 1,
        )
        for row in table("pa2_sampling")
    ]


@pytest.mark.parametrize(
    "row",
    [row for row in rows("film_sampling") if row["plan"] != "IMO PSPC"],
    ids=lambda row: f"{row['example']} {row['plan']} {row['area [m2]']}",
)
def test_printed_sampling_numbers_from_the_shipped_plans(row):
    area = float(row["area [m2]"])
    if row["plan"] == "ISO 19840":
        assert required_number(area, iso_19840()).number == int(row["expected"])
    else:
        assert required_spots(area, pa_2(), int(table("pa2_sampling")[0]["spots_per_area"])) == int(row["expected"])


@pytest.mark.parametrize(
    "row", rows("overcoat_window"), ids=lambda row: f"{row['lowest [degC]']}-{row['highest [degC]']}"
)
def test_ufgs_09971_window_from_the_shipped_table(row):
    shipped = [
        WindowRow(float(r["surface_from"]), float(r["surface_to"]), float(r["shortest"]), number(r["longest"]))
        for r in table("overcoat_ufgs_09971")
    ]
    window = overcoat_window(float(row["lowest [degC]"]), float(row["highest [degC]"]), shipped)
    assert (window.minimum, window.maximum) == (float(row["shortest [h]"]), float(row["longest [h]"]))


@pytest.mark.parametrize("row", rows("grit_steps"), ids=lambda row: f"{row['before']} to {row['after']}")
def test_grit_steps_from_the_shipped_sizes(row):
    sizes = {r["grade"]: float(r["mean_size"]) for r in table("grit_sizes")}
    step = grit_step(row["before"], row["after"], sizes)
    assert step.size_ratio == pytest.approx(float(row["size ratio"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("cross_cut_classes"), ids=lambda row: row["class"])
def test_classes_from_the_shipped_table(row):
    shipped = [
        ClassRow(int(r["class"]), cell(r["detached_above"]), float(r["detached_up_to"]))
        for r in table("cross_cut_classes")
    ]
    assert cross_cut_rating(float(row["up to [%]"]), shipped) == int(row["class"])


@pytest.mark.parametrize(
    "row", rows("cross_cut_spacing"), ids=lambda row: f"{row['standard']} {row['film [um]']} {row['substrate']}"
)
def test_spacing_from_the_shipped_table(row):
    shipped = [
        SpacingRow(float(r["film_above"]), float(r["film_up_to"]), r["substrate"], float(r["spacing"]), int(r["cuts"]))
        for r in table("cross_cut_spacing")
        if r["method"] == row["standard"]
    ]
    found = cut_spacing(float(row["film [um]"]), row["substrate"], shipped)
    assert (found.spacing, found.cuts) == (float(row["spacing [mm]"]), int(row["cuts"]))


@pytest.mark.parametrize("row", table("fracture_letters"), ids=lambda row: row["letters"])
def test_letters_of_the_shipped_table_are_read_as_it_says(row):
    (share,) = parse_fracture(f"100 % {row['letters']}")
    assert share.kind == row["kind"]


@pytest.mark.parametrize("row", rows("pa2_level_limits"), ids=lambda row: row["example"])
def test_spot_limits_of_pa_2_from_the_shipped_rules(row):
    shipped = {r["quantity"]: float(r["factor"]) for r in table("film_rules") if r["rule"] == "pa-2-level-3"}
    assert shipped["smallest spot mean"] * float(row["least"]) == pytest.approx(float(row["expected low"]))
    assert shipped["largest spot mean"] * float(row["greatest"]) == pytest.approx(float(row["expected high"]))
