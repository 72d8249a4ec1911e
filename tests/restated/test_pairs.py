"""The factors against two other tables of units: pint's own registry and scipy.constants (CODATA and definitions)."""

from __future__ import annotations

import csv
import re
from decimal import Decimal

import pint
import pytest
from scipy import constants

from buildbook.restated.pairs import FOLDER, Pair, pair_of, pairs, printed, staying

# How pint's own registry, which knows nothing of ours, names the units that it calls otherwise.
PINT = {
    "um": "micrometer",
    "mm2": "mm**2",
    "cm2": "cm**2",
    "m2": "m**2",
    "m3": "m**3",
    "g/m2": "g/m**2",
    "kg/m2": "kg/m**2",
    "kg/m3": "kg/m**3",
    "degC": "delta_degC",
    "degC/min": "delta_degC/min",
    "N/mm2": "N/mm**2",
    "Nm": "N*m",
    "micrometres": "micrometer",
    "millimetres": "millimeter",
    "litres": "liter",
    "kilograms": "kilogram",
    "mm for each metre": "mm/m",
    "mm/s2": "mm/s**2",
    "m/s2": "m/s**2",
    "in": "inch",
    "uin": "microinch",
    "mil": "thou",
    "in2": "inch**2",
    "ft2": "foot**2",
    "ft3": "foot**3",
    "oz/yd2": "oz/yard**2",
    "lb/ft2": "lb/foot**2",
    "lb/ft3": "lb/foot**3",
    "degF": "delta_degF",
    "degF/min": "delta_degF/min",
    "lbf.ft": "lbf*foot",
    "in/s": "inch/s",
    "in/min": "inch/min",
    "in/s2": "inch/s**2",
    "ft/s2": "foot/s**2",
    "mil/ft": "thou/foot",
    "mil for each foot": "thou/foot",
    "hp": "horsepower",
    "K": "kelvin",
    "1/dm2": "1/decimeter**2",
    "1/ft2": "1/foot**2",
}
# scipy.constants: the size of a US unit in SI units, and that of ours.
SCIPY = {
    "mm": (constants.inch, 1e-3),
    "m": (constants.foot, 1.0),
    "L": (constants.gallon_US, 1e-3),
    "kg": (constants.pound, 1.0),
    "kPa": (constants.psi, 1e3),
    "bar": (constants.psi, constants.bar),
    "N": (constants.pound_force, 1.0),
    "kW": (constants.horsepower, 1e3),
    "degC": (constants.degree_Fahrenheit, 1.0),
}
# Conventional inch of mercury: NIST SP 811 (2008), appendix B.8, 3.386 389 E+03 Pa (from memory). pint takes mercury of
# 13.5951 g/cm³ at standard gravity, which differs in the eighth digit.
LOOSER = {"inHg": 1e-6, "inHg/min": 1e-6}


@pytest.mark.parametrize("pair", pairs(), ids=lambda pair: f"{pair.unit}-{pair.us}-{pair.where}")
def test_a_factor_is_that_of_pint(pair: Pair) -> None:
    registry: pint.UnitRegistry = pint.UnitRegistry()
    given, wanted = (registry.Quantity(1.0, PINT.get(unit, unit)) for unit in (pair.unit, pair.us))
    assert float(pair.of(Decimal(1), difference=True)) == pytest.approx(
        float((given / wanted).to("dimensionless").magnitude), rel=LOOSER.get(pair.us, 1e-12)
    )


@pytest.mark.parametrize("unit", SCIPY)
def test_a_factor_is_that_of_scipy(unit: str) -> None:
    pair = pair_of(unit)
    assert pair is not None
    theirs, ours = SCIPY[unit]
    assert pair.number(1.0, difference=True) == pytest.approx(ours / theirs, rel=1e-12)


def test_temperatures_are_those_of_the_scales() -> None:
    """Freezing and boiling of water, and where the scales meet: by definition of the degree Fahrenheit."""
    pair = pair_of("degC")
    assert pair is not None
    assert [pair.number(value) for value in (0.0, 100.0, -40.0)] == [32.0, 212.0, -40.0]
    assert [pair.number(value, difference=True) for value in (0.0, 100.0)] == [0.0, 180.0]


def test_each_pair_says_why_and_where_its_factor_is_from() -> None:
    with (FOLDER / "pairs.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            assert None not in row, row
            assert row["reason"], row
            assert row["source"], row
    assert all(staying().values())


def test_every_unit_of_a_column_and_of_a_limit_is_told_or_stays_for_a_reason() -> None:
    from buildbook.chapters import CHECKS, TABLES
    from buildbook.core.record import about

    columns = {about(info, "unit") or "" for table in TABLES for info in table.columns().values()}
    asked = {unit for check in CHECKS for unit in check.quantities.values()}
    undecided = {unit for unit in (columns | asked) - {""} if pair_of(unit) is None and unit not in staying()}
    assert not undecided
    assert not {unit for unit in staying() if pair_of(unit)}, "a unit cannot stay and be told otherwise"


def test_a_reader_is_told_which_metric_units_stay() -> None:
    """Every unit of staying.csv that is metric stands in the list under How readings are judged."""
    from buildbook.render.templates import templates_dir

    told = (templates_dir() / "words" / "us-units.md").read_text("utf-8")
    everywhere = {"GU", "dB", "Hz", "rpm", "deg", "%", "ppm", "s", "min", "h", "d", "kn", "nmi"}
    everywhere |= {"V", "mV", "A", "mA", "W", "ohm", "Mohm", "1"}
    missed = {unit for unit in set(staying()) - everywhere if not re.search(rf"\b{re.escape(printed(unit))}\b", told)}
    assert not missed
