"""Figures of the demonstration told in US units, worked out again by pint's own registry, which knows no pair of ours.

What is printed is read as a reader does: its number, its digits and the unit behind it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import cache

import pint
import pytest

from buildbook.core.book import Numbered
from buildbook.core.chart import Chart
from tests.demonstration import demonstration
from tests.restated.test_pages_in_us_units import told
from tests.restated.test_pairs import LOOSER, PINT
from tests.restated.test_same_figures import NUMBER

# Units as they are printed, by the names that pint knows them by; typed by hand.
PRINTED = {
    "in": "inch",
    "ft": "foot",
    "mil": "thou",
    "µin": "microinch",
    "in²": "inch**2",
    "ft²": "foot**2",
    "ft³": "foot**3",
    "gal": "US_liquid_gallon",
    "gal/min": "US_liquid_gallon/min",
    "gal/h": "US_liquid_gallon/h",
    "lb": "pound",
    "lb/h": "pound/h",
    "oz/yd²": "ounce/yard**2",
    "lb/ft²": "pound/foot**2",
    "lb/ft³": "pound/foot**3",
    "°F": "delta_degF",
    "°F/min": "delta_degF/min",
    "psi": "psi",
    "ksi": "ksi",
    "inHg": "inHg",
    "inHg/min": "inHg/min",
    "lbf": "pound_force",
    "lbf·ft": "pound_force*foot",
    "hp": "horsepower",
    "mil/ft": "thou/foot",
    "per ft²": "1/foot**2",
    "in/s": "inch/s",
    "in/min": "inch/min",
    "ft/s": "foot/s",
    "in/s²": "inch/s**2",
    "ft/s²": "foot/s**2",
}
FIGURE = re.compile(rf"(?P<number>{NUMBER})(?: ± (?P<within>{NUMBER}))?(?: (?P<unit>\S+(?: ft²)?))?")
LEAST = 500  # so many figures are looked at, so that no test passes by finding none


@cache
def registry() -> pint.UnitRegistry:
    made: pint.UnitRegistry = pint.UnitRegistry()
    return made


def by_pint(value: float, unit: str, us: str, *, difference: bool = False) -> float:
    """A number of a column in a US unit, as pint names it; degC without `difference` is read off the scale."""
    scale = unit == "degC" and not difference
    given, wanted = ("degC", "degF") if scale else (PINT.get(unit, unit), us)
    return float(registry().Quantity(value, given).to(wanted).magnitude)


def pairs_of_findings() -> Iterator[tuple[Numbered, Numbered]]:
    before = demonstration().book.findings
    assert [item.number for item in before] == [item.number for item in told().findings]
    return zip(before, told().findings, strict=True)


def number(text: str) -> float:
    return float(text.replace("−", "-").replace(" ", "").replace(",", ""))


def step_of(text: str) -> float:
    """What the last digit of a printed number is worth."""
    return 10.0 ** -len(text.partition(".")[2])


def step_beside(within: str) -> float:
    """The same of a value and its uncertainty, which has two significant digits: 1200 is rounded to hundreds."""
    whole = re.sub("[ ,]", "", within)
    return step_of(within) if "." in whole else 10.0 ** max(0, len(whole) - 2)


def rounded_from(text: str, exact: float, step: float, us: str) -> bool:
    """Whether a printed number is at most half a step from the one worked out."""
    return abs(number(text) - exact) <= 0.5 * step * (1.0 + 1e-9) + LOOSER.get(us, 0.0) * abs(exact)


def test_each_printed_value_and_uncertainty_is_that_of_pint() -> None:
    looked_at, wrong = 0, []
    for before, after in pairs_of_findings():
        measured, found = before.finding.measured, FIGURE.search(after.value)
        if measured is None or found is None or found["unit"] not in PRINTED:
            continue
        looked_at += 1
        text, within, us = found["number"], found["within"], PRINTED[found["unit"]]
        step = step_beside(within) if within else step_of(text)
        right = rounded_from(text, by_pint(measured.value, measured.unit, us), step, us)
        if within:
            assert measured.at_two is not None
            across = by_pint(measured.at_two, measured.unit, us, difference=True)
            right = right and rounded_from(within, across, step, us)
        if not right:
            wrong.append((before.number, before.value, after.value))
    assert not wrong
    assert looked_at > LEAST


def test_each_printed_limit_is_that_of_pint() -> None:
    looked_at, wrong = 0, []
    for before, after in pairs_of_findings():
        limit, ends = before.finding.limit, [(found["number"], found["unit"]) for found in FIGURE.finditer(after.limit)]
        if limit is None or limit.in_words or not ends or ends[-1][1] not in PRINTED:
            continue
        looked_at += 1
        us = PRINTED[ends[-1][1]]
        exact = sorted({by_pint(end, limit.unit, us) for end in (limit.low, limit.high) if end is not None})
        if not all(rounded_from(text, end, step_of(text), us) for (text, _), end in zip(ends, exact, strict=True)):
            wrong.append((before.number, before.limit, after.limit))
    assert not wrong
    assert looked_at > LEAST


def test_each_part_of_an_uncertainty_is_that_of_pint() -> None:
    """As numbers, with all their digits: they are rounded where they are printed."""
    looked_at = 0
    for before, after in ((one.finding, other.finding) for one, other in pairs_of_findings()):
        one, other = before.measured, after.measured
        if one is None or other is None or one.unit == other.unit:
            continue
        us = PINT.get(other.unit, other.unit)
        assert one.coverage == other.coverage
        for part, converted in zip(one.parts, other.parts, strict=True):
            wanted = by_pint(part.standard, one.unit, us, difference=True)
            assert converted.standard == pytest.approx(wanted, rel=LOOSER.get(other.unit, 1e-12)), before.key
            looked_at += 1
    assert looked_at > LEAST


def charts() -> Iterator[tuple[Chart, Chart]]:
    for one, other in zip(demonstration().book.chapters, told().chapters, strict=True):
        for check, same in zip(one.checks, other.checks, strict=True):
            yield from zip(check.charts, same.charts, strict=True)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_each_reading_of_a_chart_is_that_of_pint(axis: str) -> None:
    looked_at = 0
    for before, after in charts():
        unit, us = getattr(before, axis).unit, getattr(after, axis).unit
        if unit == us:
            continue
        for series, same in zip(before.series, after.series, strict=True):
            for one, other in zip(getattr(series, axis), getattr(same, axis), strict=True):
                if isinstance(one, (int, float)) and math.isfinite(one):
                    wanted = by_pint(one, unit, PINT.get(us, us))
                    assert other == pytest.approx(wanted, rel=LOOSER.get(us, 1e-12), abs=1e-12), before.key
                    looked_at += 1
    assert looked_at > 20
