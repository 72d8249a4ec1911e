"""Units at the edge.

Outside measure: the definitions that the pint library ships (a registry of its own, not the one under test), and
printed factors of NIST Special Publication 811 (2008), appendix B.8 (from memory).
"""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.readers.units import UnitError, accepted, apply, convert, converter

# (given, wanted, factor): NIST SP 811 (2008), appendix B.8, from memory.
PRINTED = [
    ("in", "m", 2.54e-2),
    ("ft", "m", 3.048e-1),
    ("mil", "m", 2.54e-5),
    ("lb", "kg", 4.5359237e-1),
    ("lbf", "N", 4.448222),
    ("psi", "Pa", 6.894757e3),
    ("bar", "Pa", 1e5),
    ("kn", "m/s", 5.144444e-1),
    ("h", "s", 3.6e3),
    ("L", "m3", 1e-3),
    ("deg", "rad", 1.745329e-2),
    ("rpm", "rad/s", 1.047198e-1),
    ("yd", "m", 9.144e-1),
    ("gal", "m3", 3.785412e-3),
    ("floz", "m3", 2.957353e-5),
    ("oz", "kg", 2.834952e-2),
    ("kip", "N", 4.448222e3),
    ("ksi", "Pa", 6.894757e6),
    ("inHg", "Pa", 3.386389e3),
    ("inWC", "Pa", 2.490889e2),
    ("hp", "W", 7.456999e2),
    ("lbf.ft", "Nm", 1.355818),
    ("oz/yd2", "kg/m2", 3.390575e-2),
    ("lb/ft2", "kg/m2", 4.882428),
    ("lb/ft3", "kg/m3", 1.601846e1),
    ("gal/min", "m3/s", 6.309020e-5),
    ("psf", "Pa", 4.788026e1),
]
# The same units in the registry that pint ships.
PINT = [
    ("um", "mm", "micrometer", "millimeter"),
    ("mil", "um", "thou", "micrometer"),
    ("dm2", "m2", "decimeter**2", "meter**2"),
    ("mm^2", "m²", "millimeter**2", "meter**2"),
    ("1/dm2", "1/m2", "1/decimeter**2", "1/meter**2"),
    ("uS/cm", "S/m", "microsiemens/centimeter", "siemens/meter"),
    ("mg/m2", "g/m2", "milligram/meter**2", "gram/meter**2"),
    ("mL", "L", "milliliter", "liter"),
    ("psi", "MPa", "psi", "megapascal"),
    ("N/mm²", "MPa", "newton/millimeter**2", "megapascal"),
    ("kn", "m/s", "knot", "meter/second"),
    ("d", "h", "day", "hour"),
    ("%", "1", "percent", "dimensionless"),
    ("degC/min", "K/h", "delta_degC/minute", "kelvin/hour"),
    ("kg/m3", "g/cm3", "kilogram/meter**3", "gram/centimeter**3"),
    ("t", "kg", "metric_ton", "kilogram"),
    ("kW", "W", "kilowatt", "watt"),
    ("mS/m", "uS/cm", "millisiemens/meter", "microsiemens/centimeter"),
    ("gal", "L", "US_liquid_gallon", "liter"),
    ("floz", "mL", "US_fluid_ounce", "milliliter"),
    ("oz/yd2", "g/m2", "ounce/yard**2", "gram/meter**2"),
    ("lbf.ft", "Nm", "pound_force*foot", "newton*meter"),
    ("ksi", "MPa", "ksi", "megapascal"),
    ("hp", "kW", "horsepower", "kilowatt"),
    ("gph", "L/h", "US_liquid_gallon/hour", "liter/hour"),
    ("in/ft", "mm/m", "inch/foot", "millimeter/meter"),
    ("uin", "um", "microinch", "micrometer"),
]


@pytest.fixture(scope="module")
def shipped():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("given", "wanted", "factor"), PRINTED)
def test_factors_nist_sp_811_appendix_b8(given, wanted, factor):
    scale, offset = converter(given, wanted)
    assert offset == 0.0
    assert scale == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize(("given", "wanted", "pint_given", "pint_wanted"), PINT)
def test_factors_against_the_registry_pint_ships(shipped, given, wanted, pint_given, pint_wanted):
    factor = shipped.Quantity(1.0, pint_given).to(pint_wanted).magnitude
    scale, offset = converter(given, wanted)
    assert offset == 0.0
    assert scale == pytest.approx(factor, rel=1e-14)


@pytest.mark.parametrize(("given", "wanted"), [("degC", "degF"), ("degF", "degC"), ("K", "degF"), ("degC", "K")])
@pytest.mark.parametrize("value", [-40.0, 0.0, 21.7, 100.0])
def test_temperatures_against_the_registry_pint_ships(shipped, given, wanted, value):
    assert convert(value, given, wanted) == pytest.approx(shipped.Quantity(value, given).to(wanted).magnitude, abs=1e-9)


def test_a_difference_of_temperatures_has_no_offset():
    assert convert(3.0, "degC", "K", difference=True) == 3.0
    assert convert(5.4, "degF", "K", difference=True) == 3.0
    assert convert(3.0, "K", "degC", difference=True) == 3.0
    assert convert(3.0, "degC", "K") == 276.15


@pytest.mark.parametrize(
    ("typed", "column"),
    [
        *(("µm", "um"), ("μm", "um"), ("micron", "um"), ("°C", "degC"), ("deg C", "degC"), ("degc", "degC")),
        *(("%", "percent"), ("% RH", "%"), ("l", "L"), ("ml", "mL"), ("hours", "h"), ("gu", "GU"), ("mils", "mil")),
        *(("dm²", "dm2"), ("dm^2", "dm2"), ("dm**2", "dm2"), ("µS/cm", "uS/cm"), ("1/dm²", "1/dm2"), ("°", "deg")),
        *(("r/min", "rpm"), ("rev/min", "rpm"), ("RPM", "rpm"), ("r/s", "rps"), ("kts", "kn")),
    ],
)
def test_the_ways_a_unit_is_typed_mean_the_same(typed, column):
    assert converter(typed, column) == (1.0, 0.0)


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        *(("mm", "degC"), ("degC", "mm"), ("GU", "%"), ("deg", "%"), ("%", "deg"), ("mm", "mm2"), ("h", "m")),
        *(("GU", "1"), ("deg", "1"), ("", "mm"), ("mm", ""), ("rpm", "Hz"), ("N", "kg"), ("L", "m2")),
    ],
)
def test_another_kind_of_quantity_is_refused_with_what_is_accepted(given, wanted):
    with pytest.raises(UnitError, match="another kind of quantity") as refused:
        converter(given, wanted)
    assert refused.value.accepted


@pytest.mark.parametrize(
    "unit",
    [
        "furlong",
        "C",
        "MM",
        "m**99",
        "m^2^2",
        "m2/",
        "__import__('os')",
        "9**9**9",
        "mm;",
        "µ",
        "a" * 500,
        "m/s/",
        "2 mm",
    ],
)
def test_an_unknown_unit_is_refused_with_what_is_accepted(unit):
    with pytest.raises(UnitError, match="accepted are mm, um"):
        converter(unit, "mm")


def test_speeds_of_a_shaft():
    """One turn a second is 60 a minute, and 2 pi radians a second."""
    assert converter("rps", "rpm") == (60.0, 0.0)
    assert converter("rps", "rad/s")[0] == pytest.approx(2.0 * math.pi)
    assert accepted("rpm") == ("rpm", "rps", "rad/s")


def test_a_near_miss_is_suggested():
    with pytest.raises(UnitError, match="did you mean 'degC'"):
        converter("C", "degC")
    with pytest.raises(UnitError, match="did you mean 'mm'"):
        converter("MM", "mm")


def test_what_is_accepted_is_of_the_same_kind():
    assert accepted("degC") == ("degC", "degF", "K")
    assert accepted("GU") == ("GU",)
    for column in ("um", "degC", "%", "L", "1/dm2", "uS/cm", "MPa", "h"):
        for unit in accepted(column):
            converter(unit, column)


def test_binary_fractions_add_no_digits():
    assert convert(0.12, "mm", "um") == 120.0
    assert convert(32.0, "degF", "degC") == 0.0
    assert convert(7.3, "mil", "um") == 185.42
    assert math.copysign(1.0, convert(32.0, "degF", "degC")) == 1.0


UNITS = [("um", "mil"), ("degC", "degF"), ("degC", "K"), ("m2", "ft2"), ("MPa", "psi"), ("h", "d"), ("%", "ppm")]


@given(st.floats(-1e6, 1e6).filter(lambda value: value == 0 or abs(value) > 1e-6), st.sampled_from(UNITS))
def test_units_round_trip(value, units):
    there = convert(value, *units)
    size = max(abs(value), abs(there), 500.0 if units[0] == "degC" else 0.0)
    assert convert(there, units[1], units[0]) == pytest.approx(value, rel=1e-10, abs=1e-10 * size)


@given(st.floats(-1e6, 1e6), st.sampled_from([("degC", "degF"), ("K", "degF"), ("degC", "K")]))
def test_differences_round_trip(value, units):
    given, wanted = units
    there = convert(value, given, wanted, difference=True)
    assert convert(there, wanted, given, difference=True) == pytest.approx(value, rel=1e-10, abs=1e-12)


def test_nothing_is_touched_where_nothing_is_converted():
    assert apply(0.1 + 0.2, 1.0, 0.0) == 0.1 + 0.2
