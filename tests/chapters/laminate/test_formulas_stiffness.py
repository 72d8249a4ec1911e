"""Plate theory against a worked example and another library; fibres and resin against the bounds they cannot pass."""

from __future__ import annotations

import math

import numpy as np
import pytest
from composipy import LaminateProperty, OrthotropicMaterial
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.laminate.checks.stiff import default_strength
from buildbook.chapters.laminate.formulas.stiffness import (
    Elastic,
    Lamina,
    Solid,
    bending_stiffness,
    parallel_fibres,
    plate,
    random_fibres,
    stretching_stiffness,
)
from buildbook.formulas import OutOfRange
from tests.published_values import numbers, rows

GLASS, RESIN = Solid(72400.0, 0.22), Solid(3300.0, 0.36)


def stack_of(row):
    """The layers of a worked example."""
    heads = ("along [MPa]", "across [MPa]", "poisson", "shear [MPa]")
    layer = Elastic(*(float(row[head]) for head in heads))
    return [Lamina(layer, float(row["ply [mm]"]), angle) for angle in numbers(row["stack [deg]"])]


@pytest.mark.parametrize("row", rows("laminate_stiffness"), ids=lambda row: row["example"])
def test_worked_example(row):
    a, b, d = plate(stack_of(row))
    found = [a[0, 0], a[0, 1], a[2, 2], d[0, 0], d[1, 1]]
    heads = ("A11 [N/mm]", "A12 [N/mm]", "A66 [N/mm]", "D11 [N mm]", "D22 [N mm]")
    assert found == pytest.approx([float(row[head]) for head in heads], abs=0.006)
    assert np.abs(b).max() < 1e-6
    assert stretching_stiffness(stack_of(row)) == pytest.approx(float(row["pulled [MPa]"]), abs=0.006)
    assert bending_stiffness(stack_of(row)) == pytest.approx(float(row["bent [MPa]"]), abs=0.06)


angles = st.lists(st.sampled_from([0.0, 30.0, 45.0, -45.0, 90.0, 17.0]), min_size=1, max_size=7)


@given(angles, st.floats(15000, 45000), st.floats(5000, 14000), st.floats(0.2, 0.35), st.floats(2500, 6000))
def test_another_library_stacks_alike(turned, along, across, poisson, shear):
    """composipy, an independent library; it counts its plies from the other face, so the coupling changes sign."""
    layer = Elastic(along, across, poisson, shear)
    mine = plate([Lamina(layer, 0.4, angle) for angle in turned])
    theirs = LaminateProperty(turned, OrthotropicMaterial(along, across, poisson, shear, 0.4))
    for own, other in ((mine[0], theirs.A), (mine[2], theirs.D)):
        assert own == pytest.approx(np.asarray(other), rel=1e-9, abs=1e-4)
    assert np.abs(mine[1]) == pytest.approx(np.abs(np.asarray(theirs.B)), rel=1e-9, abs=1e-4)


@given(st.floats(0.0, 90.0))
def test_layers_of_four_directions_are_alike_in_all(load):
    """0, 45, 90 and -45 degrees in equal parts: the stiffness in the plane does not change with the direction."""
    layer = parallel_fibres(46.0, GLASS, RESIN)
    turned = [Lamina(layer, 0.25, angle - load) for angle in (0.0, 45.0, 90.0, -45.0)]
    straight = [Lamina(layer, 0.25, angle) for angle in (0.0, 45.0, 90.0, -45.0)]
    assert stretching_stiffness(turned) == pytest.approx(stretching_stiffness(straight), rel=1e-9)


@given(st.floats(0.0, 100.0))
def test_no_mixture_is_stiffer_than_side_by_side_or_softer_than_one_behind_the_other(volume):
    """The bounds of Voigt and Reuss, which hold for every mixture (textbooks of mechanics, from memory)."""
    share = volume / 100.0
    found = parallel_fibres(volume, GLASS, RESIN)
    stiffest = share * GLASS.stiffness + (1.0 - share) * RESIN.stiffness
    softest = 1.0 / (share / GLASS.stiffness + (1.0 - share) / RESIN.stiffness)
    assert found.along == pytest.approx(stiffest)
    assert softest - 1e-6 <= found.across <= stiffest + 1e-6
    in_shear = 1.0 / (share / GLASS.shear + (1.0 - share) / RESIN.shear)
    assert in_shear - 1e-6 <= found.shear <= share * GLASS.shear + (1.0 - share) * RESIN.shear + 1e-6


def test_resin_alone_and_glass_alone():
    for volume, solid in ((0.0, RESIN), (100.0, GLASS)):
        found = parallel_fibres(volume, GLASS, RESIN)
        wanted = [solid.stiffness, solid.stiffness, solid.poisson, solid.shear]
        assert [found.along, found.across, found.poisson, found.shear] == pytest.approx(wanted)


def test_a_mat_is_near_what_the_small_craft_standard_prints_for_it():
    """ISO 12215-5:2008, table C.4 a), mat: E = 38000 psi - 5000 and G = 1700 psi + 2240 (second-hand), here at 36 %.

    36 % by mass are 20.2 % by volume of glass of 2.56 in resin of 1.20 g/cm3. The printed figures are for polyester
    and a little low on purpose, so that a fifth of difference is no surprise; half would be.
    """
    found = random_fibres(parallel_fibres(20.2, GLASS, Solid(3300.0, 0.36)))
    assert found.along == pytest.approx(38000 * 0.36 - 5000, rel=0.25)
    assert found.shear == pytest.approx(1700 * 0.36 + 2240, rel=0.25)


@pytest.mark.parametrize("row", rows("laminate_defaults"), ids=lambda row: f"{row['example']} {row['kind']}")
def test_strength_without_any_test(row):
    found = float(row["share"]) * default_strength(row["kind"], float(row["glass [%]"]))
    assert found == pytest.approx(float(row["expected [MPa]"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("stack", [[], [Lamina(Elastic(38000.0, 9000.0, 0.27, 3500.0), 0.0, 0.0)]])
def test_no_layers_or_no_thickness_are_refused(stack):
    with pytest.raises(OutOfRange):
        plate(stack)


@pytest.mark.parametrize(
    ("volume", "resin"), [(-1.0, RESIN), (101.0, RESIN), (math.nan, RESIN), (50.0, Solid(0.0, 0.36))]
)
def test_mixtures_that_cannot_be_are_refused(volume, resin):
    with pytest.raises(OutOfRange):
        parallel_fibres(volume, GLASS, resin)
