"""A mean of few repeats: degrees of freedom and the factor of Student's t in the place of k = 2."""

from __future__ import annotations

import math

import pytest

from buildbook.chapters.readings import carried, with_scatter
from buildbook.core.quantity import Part, Quantity, effective_degrees, t_factor
from buildbook.core.wording import uncertainty_text
from buildbook.formulas.uncertainty import effective_degrees_of_freedom
from tests.published_values import rows

# JCGM 100:2008, table G.2, column 95.45 % (from memory).
TABLE_G2 = {1: 13.97, 2: 4.53, 3: 3.31, 4: 2.87, 5: 2.65, 6: 2.52, 8: 2.37, 10: 2.28, 16: 2.17, 17: 2.16, 20: 2.13}


@pytest.mark.parametrize(("degrees", "printed"), TABLE_G2.items())
def test_the_factor_is_that_of_table_g_2(degrees, printed):
    assert t_factor(degrees) == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize("degrees", [1, 2, 5, 17, 100, 10_000])
def test_the_factor_is_that_of_an_independent_program(degrees):
    from scipy.stats import t

    assert t_factor(degrees) == pytest.approx(t.ppf(0.97725, degrees), rel=1e-9)


@pytest.mark.parametrize("row", rows("gum_end_gauge"))
def test_the_degrees_of_freedom_of_the_end_gauge(row):
    """JCGM 100:2008, H.1.6: five parts, 16 effective degrees of freedom."""
    degrees = [math.floor(float(text)) for text in row["degrees"].split()]
    parts = [float(text) for text in row["contributions [nm]"].split()]
    found = effective_degrees([Part("", u, nu) for u, nu in zip(parts, degrees, strict=True)])
    assert found == int(row["effective degrees"])
    assert found == effective_degrees_of_freedom(parts, degrees)


def test_parts_that_are_known_leave_k_at_two():
    known = Quantity.combined(5.0, "um", (Part("gauge", 3.0), Part("resolution", 0.3)))
    assert (known.degrees, known.coverage) == (None, 2.0)
    assert Quantity.combined(5.0, "um", (Part("gauge", 3.0), Part("scatter", 0.0, 1))).degrees is None


def test_few_repeats_widen_u_and_judging_uses_the_whole_of_it():
    """u = 5, of it 4 from three readings: nu = 5^4 / (4^4 / 2) = 4.88, cut down to 4: k = 2.87, U = 14.3."""
    mean = Quantity.combined(100.0, "um", (Part("gauge", 3.0), Part("scatter of 3 readings", 4.0, 2)))
    assert mean.degrees == 4
    assert mean.coverage == pytest.approx(2.87, abs=0.006)
    assert mean.expanded == mean.at_two == pytest.approx(5.0 * t_factor(4))
    assert mean.standard == pytest.approx(5.0)
    assert "(k = 2.87, 4 degrees of freedom)" in uncertainty_text(mean)


def test_the_scatter_of_readings_knows_how_many_they_were():
    (_, scatter) = with_scatter((Part("gauge", 0.5),), [88.0, 90.0, 92.0])
    assert scatter.degrees == 2


def test_degrees_of_freedom_go_through_a_formula_with_their_input():
    parts = (Part("gauge", 3.0), Part("scatter", 4.0, 2))
    (doubled,) = carried(lambda x: 2.0 * x, {"x": (10.0, parts, "film")})
    assert doubled.standard == pytest.approx(10.0)
    assert doubled.degrees == 4


def test_numbers_of_any_size_give_no_error():
    assert effective_degrees((Part("gauge", 1e9), Part("scatter", 1e-9, 1))) is None
    assert math.isfinite(Quantity.combined(0.0, "um", (Part("gauge", 1e120, 1), Part("b", 1.0))).expanded or 0.0)
