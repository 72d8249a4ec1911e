"""Formulas of the infusion against published and worked examples; the inch of mercury against pint's registry."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import datetime, timedelta

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.infusion.formulas.flow import fill_time, glass_by_volume
from buildbook.chapters.infusion.formulas.resin import (
    hardener_share,
    laminate_resin,
    resin_in_cuts,
    resin_in_holes,
    zone_resin,
)
from buildbook.chapters.infusion.formulas.vacuum import absolute_pressure, rise_rate, stretches
from buildbook.formulas import OutOfRange
from buildbook.sources import reference_limit
from tests.published_values import numbers, rows

INCH = 33.8639  # mbar: from memory, held against the registry below
FORMULAS: dict[str, Callable[..., float]] = {
    "rise": lambda before, after, minutes: rise_rate(1013.25 - INCH * before, 1013.25 - INCH * after, minutes),
    "absolute": lambda barometer, inches: absolute_pressure(barometer, INCH * inches),
    "fill": lambda *inputs: 60.0 * fill_time(*inputs),
    "cuts": resin_in_cuts,
    "holes": resin_in_holes,
    "plies": laminate_resin,
    "zone": zone_resin,
    "volume": glass_by_volume,
}


@pytest.mark.parametrize("row", rows("infusion"), ids=lambda row: f"{row['example']} {row['what']}")
def test_worked_examples(row: dict[str, str]):
    found = FORMULAS[row["what"]](*numbers(row["inputs"]))
    assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_every_formula_has_a_worked_example():
    assert {row["what"] for row in rows("infusion")} == set(FORMULAS)


def test_the_published_criterion_is_an_inch_of_mercury_in_five_minutes():
    """pint's registry: one inch of mercury (0 degC) is 33.8639 mbar."""
    ureg: pint.UnitRegistry = pint.UnitRegistry()
    inch = ureg.Quantity(1.0, "inch_Hg").to("mbar").magnitude
    assert inch == pytest.approx(INCH, abs=0.0005)
    limit = reference_limit("INF-01", "rise of pressure", "published")
    assert limit is not None
    assert limit.high == pytest.approx(inch / 5.0, abs=0.005)


def test_the_distributors_example_stays_below_his_criterion():
    """W19: 0.09 inHg in 5 minutes is published as good: less than 1 inHg."""
    limit = reference_limit("INF-01", "rise of pressure", "published")
    assert limit is not None
    assert limit.high is not None
    (example,) = [row for row in rows("infusion") if row["what"] == "rise"]
    assert float(example["value"]) < limit.high


def test_hardener_is_of_the_resin_by_mass():
    assert hardener_share(2.25, 150.0) == 1.5  # worked by hand


@given(st.floats(0.1, 60.0), st.floats(1.0, 99.0))
def test_resin_and_glass_make_the_glass_content(weight: float, glass: float):
    resin = laminate_resin(weight, glass)
    assert 100.0 * weight / (weight + resin) == pytest.approx(glass)


@given(st.floats(0.1, 5.0), st.floats(1.1, 10.0))
def test_twice_the_way_takes_four_times_as_long(length: float, factor: float):
    one, other = (fill_time(0.5, 250.0, far, 7e-11, 950.0) for far in (length, factor * length))
    assert other / one == pytest.approx(factor**2)


@given(st.lists(st.integers(-50, 250), max_size=12))
def test_stretches_make_up_the_whole_time(minutes: list[int]):
    start = datetime(2025, 1, 1, 8)
    end = start + timedelta(minutes=200)
    pairs = stretches([start + timedelta(minutes=n) for n in minutes], start, end)
    assert math.fsum((b - a).total_seconds() for a, b in pairs) == 200 * 60


@pytest.mark.parametrize(
    ("formula", "inputs"),
    [
        (rise_rate, (20.0, 21.0, 0.0)),
        (absolute_pressure, (1013.0, 1014.0)),
        (laminate_resin, (1.0, 0.0)),
        (resin_in_cuts, (1.0, 10.0, 2.0, 1.1)),
        (resin_in_holes, (2.0, 20.0, 2.0, 1.1)),
        (zone_resin, (0.0, 1.0, 1.0, 1.0)),
        (hardener_share, (0.0, 1.0)),
        (fill_time, (0.0, 250.0, 1.0, 7e-11, 950.0)),
        (glass_by_volume, (101.0, 2.5, 1.2)),
    ],
)
def test_outside_its_range_a_formula_refuses(formula: Callable[..., float], inputs: tuple[float, ...]):
    with pytest.raises(OutOfRange):
        formula(*inputs)
