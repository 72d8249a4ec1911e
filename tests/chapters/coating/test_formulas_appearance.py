"""Colour difference and gloss against published pairs, printed values and an independent library."""

from __future__ import annotations

import ast
import inspect
import math
import textwrap
import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.formulas.appearance import ciede2000, fresnel_reflectance, haze_index, ideal_gloss
from buildbook.formulas import OutOfRange
from tests.published_values import rows

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it warns of optional packages that are not there
    import colour.difference.tests.test_delta_e as colour_tests
    from colour.difference import delta_E_CIE2000

PAIRS = rows("ciede2000_pairs")
Lab = tuple[float, float, float]


def ends(row: dict[str, str]) -> tuple[Lab, Lab]:
    first, second = ([float(row[f"{axis}{n}"]) for axis in "Lab"] for n in (1, 2))
    return (first[0], first[1], first[2]), (second[0], second[1], second[2])


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: f"pair {row['pair']}")
def test_sharma_2005_table_1(row):
    assert ciede2000(*ends(row)).delta_e == pytest.approx(float(row["expected"]), abs=1e-4)


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: f"pair {row['pair']}")
def test_sharma_2005_table_1_the_other_way_round(row):
    first, second = ends(row)
    assert ciede2000(second, first).delta_e == pytest.approx(float(row["expected"]), abs=1e-4)


def test_all_34_pairs_are_there():
    assert [int(row["pair"]) for row in PAIRS] == list(range(1, 35))


def published_arrays() -> list[list[list[float]] | list[float]]:
    """The published pairs as the independent library carries them, in its own test; its pair 14 is struck out there."""
    source = inspect.getsource(colour_tests.TestDelta_E_CIE2000.test_delta_E_CIE2000_Sharma2004)
    calls = [node for node in ast.walk(ast.parse(textwrap.dedent(source))) if isinstance(node, ast.Call)]
    arrays = [call for call in calls if isinstance(call.func, ast.Attribute) and call.func.attr == "array"]
    return [ast.literal_eval(call.args[0]) for call in sorted(arrays, key=lambda call: call.lineno)]


def test_pairs_agree_with_the_copy_in_colour_science():
    first, second, expected = published_arrays()
    assert len(first) == len(second) == len(expected) == 33
    ours = [row for row in PAIRS if row["pair"] != "14"]
    assert [list(ends(row)[0]) for row in ours] == first
    assert [list(ends(row)[1]) for row in ours] == second
    assert [float(row["expected"]) for row in ours] == expected


@given(
    st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100)),
    st.tuples(st.floats(-5, 5), st.floats(-5, 5), st.floats(-5, 5)),
)
def test_ciede2000_against_colour_science(first, step):
    second = (min(max(first[0] + step[0], 0.0), 100.0), first[1] + step[1], first[2] + step[2])
    found = ciede2000(first, second)
    if abs(abs(found.h1 - found.h2) - 180.0) > 1e-6:  # opposite hues: the last bit would decide
        assert found.delta_e == pytest.approx(float(delta_E_CIE2000(np.array(first), np.array(second))), abs=1e-8)


@pytest.mark.parametrize("row", rows("ciede2000_steps"), ids=lambda row: row["quantity"])
def test_sharma_2005_table_1_intermediates(row):
    pair = next(pair for pair in PAIRS if pair["pair"] == row["pair"])
    assert getattr(ciede2000(*ends(pair)), row["quantity"]) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def test_parts_of_a_colour_difference():
    """Lightness alone differs: the difference is that step over its weighting, and nothing else."""
    found = ciede2000((60.0, 10.0, -5.0), (62.0, 10.0, -5.0))
    assert found.d_lightness == 2.0
    assert found.d_chroma == found.d_hue == 0.0
    assert found.delta_e == pytest.approx(2.0 / found.s_l)
    assert ciede2000((60.0, 10.0, -5.0), (60.0, 10.0, -5.0)).delta_e == 0.0


@pytest.mark.parametrize("row", rows("reflectance"), ids=lambda row: f"{row['refractive index']} {row['angle [deg]']}")
def test_printed_reflectance(row):
    found = fresnel_reflectance(float(row["refractive index"]), float(row["angle [deg]"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.floats(1.01, 3.0), st.floats(0.1, 89.9))
def test_reflectance_by_way_of_the_angle_of_refraction(index, angle):
    """Fresnel's sine and tangent forms, written out anew."""
    i = math.radians(angle)
    t = math.asin(math.sin(i) / index)
    expected = 0.5 * ((math.sin(i - t) / math.sin(i + t)) ** 2 + (math.tan(i - t) / math.tan(i + t)) ** 2)
    assert fresnel_reflectance(index, angle) == pytest.approx(expected, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("row", rows("gloss"), ids=lambda row: f"{row['refractive index']} {row['angle [deg]']}")
def test_gloss_of_a_smooth_film(row):
    found = ideal_gloss(float(row["refractive index"]), float(row["angle [deg]"]), 1.567)
    assert found == pytest.approx(float(row["expected [GU]"]), abs=float(row["tolerance [GU]"]))


@pytest.mark.parametrize("row", rows("haze"), ids=lambda row: row["example"])
def test_haze_index(row):
    found = haze_index(float(row["gloss 60 [GU]"]), float(row["gloss 20 [GU]"]))
    assert found == float(row["expected [GU]"])


def test_ends_of_the_ranges_belong_to_them():
    assert haze_index(0.0, 0.0) == haze_index(200.0, 200.0) == 0.0
    assert fresnel_reflectance(3.0, 0.0) == pytest.approx(0.25)
    black, white = (0.0, 0.0, 0.0), (100.0, 0.0, 0.0)
    assert ciede2000(black, white).delta_e == pytest.approx(100.0, abs=1e-9)  # S_L is 1 at L* 50


@pytest.mark.parametrize(
    "call",
    [
        lambda: fresnel_reflectance(1.0, 60.0),
        lambda: fresnel_reflectance(1.5, 90.1),
        lambda: ideal_gloss(1.5, 60.0, 1.0),
        lambda: haze_index(201.0, 50.0),
        lambda: haze_index(90.0, -1.0),
        lambda: haze_index(90.0, 200.1),
        lambda: haze_index(-0.1, 0.0),
        lambda: fresnel_reflectance(3.01, 60.0),
        lambda: fresnel_reflectance(1.5, -0.1),
        lambda: ciede2000((-0.1, 0.0, 0.0), (50.0, 0.0, 0.0)),
        lambda: ciede2000((50.0, 0.0, 0.0), (50.0, -160.1, 0.0)),
        lambda: ciede2000((100.1, 0.0, 0.0), (50.0, 0.0, 0.0)),
        lambda: ciede2000((50.0, 0.0, 0.0), (50.0, 0.0, 161.0)),
        lambda: ciede2000((50.0, math.nan, 0.0), (50.0, 0.0, 0.0)),
    ],
)
def test_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
