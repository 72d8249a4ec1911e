"""Pull-off and cross-cut against printed tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.formulas.adhesion import (
    ClassRow,
    FractureShare,
    SpacingRow,
    astm_from_iso_rating,
    cross_cut_rating,
    cut_spacing,
    fracture_summary,
    glue_share,
    iso_from_astm_rating,
    parse_fracture,
    pull_off_stress,
)
from buildbook.formulas import Malformed, OutOfRange
from tests.published_values import rows

CLASSES = rows("cross_cut_classes")
CLASS_ROWS = [ClassRow(int(r["class"]), float(r["above [%]"]), float(r["up to [%]"])) for r in CLASSES]
SPACINGS = {
    standard: [
        SpacingRow(
            float(r["above [um]"]), float(r["up to [um]"]), r["substrate"], float(r["spacing [mm]"]), int(r["cuts"])
        )
        for r in rows("cross_cut_spacing_rows")
        if r["standard"] == standard
    ]
    for standard in ("ISO 2409", "ASTM D3359 B")
}


@pytest.mark.parametrize("row", rows("pull_off"), ids=lambda row: row["diameter [mm]"])
def test_stress_under_a_dolly(row):
    found = pull_off_stress(float(row["force [N]"]), float(row["diameter [mm]"]))
    assert found == pytest.approx(float(row["expected [MPa]"]), abs=float(row["tolerance [MPa]"]))


@pytest.mark.parametrize("row", rows("fracture"), ids=lambda row: row["example"])
def test_fracture_lines(row):
    shares = parse_fracture(row["text"])
    found = fracture_summary(shares)
    assert found.cohesive == float(row["cohesive [%]"])
    assert found.adhesive == float(row["adhesive [%]"])
    assert found.glue == glue_share(shares) == float(row["glue [%]"])


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "is not a share and letters"),
        ("all of it in the filler", "is not a share and letters"),
        ("30 % B", "add to 30 %"),
        ("60 % B, 60 % C", "add to 120 %"),
        ("35 % B, 65 % B/C", "35 %, not a step of 10 %"),
        ("12,5 % B, 87,5 % C", "is not a share and letters"),
        ("0 % B, 100 % C", "share of B is 0 %"),
        ("50 % B, 50 % B", "stands there twice"),
        ("100 % B/D", "do not touch"),
        ("100 % C/B", "do not touch"),
        ("100 % Z", "names no layer"),
        ("100 % -", "names no layer"),
        ("100 % C/Y", "do not touch"),
        ("100 % b", "is not a share and letters"),
        ("100 % B,", "is not a share and letters"),
    ],
)
def test_fracture_lines_that_cannot_be_read(text, problem):
    with pytest.raises(Malformed, match=problem):
        parse_fracture(text)


@given(
    st.permutations(["A", "A/B", "B", "B/C", "C", "-/Y", "Y", "Y/Z"]),
    st.lists(st.integers(1, 9), min_size=1, max_size=4),
)
def test_any_line_of_tens_adds_up(letters, weights):
    tens = [*weights, 10 - sum(weights)]
    if tens[-1] <= 0:
        tens = [10]
    text = "; ".join(f"{10 * ten}% {letter}" for ten, letter in zip(tens, letters, strict=False))
    found = fracture_summary(parse_fracture(text))
    assert math.fsum((found.cohesive, found.adhesive, found.glue)) == 100.0


def test_layers_up_to_x_and_no_further():
    assert [share.letters for share in parse_fracture("50 % X, 50 % W/X")] == ["X", "W/X"]
    with pytest.raises(Malformed):
        parse_fracture("100 % X/Y")


def test_small_dollies_and_forces():
    assert pull_off_stress(0.5, 0.5) == pytest.approx(2.546, abs=0.001)
    assert pull_off_stress(0.0, 20.0) == 0.0


def test_shares_that_do_not_add_up_give_no_summary():
    with pytest.raises(OutOfRange, match="sum of shares"):
        fracture_summary([FractureShare("B", 90.0, "cohesive")])


@pytest.mark.parametrize("row", CLASSES, ids=lambda row: row["class"])
def test_iso_2409_and_astm_d3359_run_opposite_ways(row):
    rating, astm = int(row["class"]), int(row["astm"].removesuffix("B"))
    assert astm_from_iso_rating(rating) == astm
    assert iso_from_astm_rating(astm) == rating
    assert cross_cut_rating(float(row["up to [%]"]), CLASS_ROWS) == rating


@pytest.mark.parametrize(("detached", "rating"), [(0, 0), (0.1, 1), (5.1, 2), (15.1, 3), (35.1, 4), (65.1, 5)])
def test_iso_2409_class_just_above_each_edge(detached, rating):
    assert cross_cut_rating(detached, CLASS_ROWS) == rating


@pytest.mark.parametrize(
    "row", rows("cross_cut_spacing"), ids=lambda row: f"{row['standard']} {row['film [um]']} {row['substrate']}"
)
def test_spacing_of_the_cuts(row):
    found = cut_spacing(float(row["film [um]"]), row["substrate"], SPACINGS[row["standard"]])
    assert (found.spacing, found.cuts) == (float(row["spacing [mm]"]), int(row["cuts"]))


@pytest.mark.parametrize(("standard", "film"), [("ISO 2409", 250.1), ("ASTM D3359 B", 125.1)])
def test_film_too_thick_for_a_cross_cut(standard, film):
    with pytest.raises(OutOfRange, match=f"films that the table of cuts lists, up to {math.floor(film)} um"):
        cut_spacing(film, "soft", SPACINGS[standard])


@pytest.mark.parametrize(
    "call",
    [
        lambda: pull_off_stress(-1.0, 20.0),
        lambda: pull_off_stress(1.0, 0.0),
        lambda: astm_from_iso_rating(6),
        lambda: iso_from_astm_rating(-1),
        lambda: cross_cut_rating(101.0, CLASS_ROWS),
        lambda: cross_cut_rating(50.0, CLASS_ROWS[:2]),
        lambda: cut_spacing(0.0, "soft", SPACINGS["ISO 2409"]),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
