"""Units at the edge: a column is converted once, by a scale and an offset.

The units are the ones below and no others, so that what is accepted can be listed and a short word never means a unit
nobody thought of. Angles, gloss units, decibels and plain numbers are kept apart: 60 degrees are not 105 per cent.
Decibels are of sound, A-weighted or not as the column says, and stay what they are.
"""

from __future__ import annotations

import difflib
import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pint import UnitRegistry

# Gallons and fluid ounces are those of the United States, inches of mercury and of water the conventional ones (NIST SP
# 811, 2008, appendix B). All others are exact by definition (BIPM SI Brochure 9th ed. 2019; NIST SP 811). All from
# memory, checked in the tests against the registry that pint ships.
_DEFINITIONS = """
nano- = 1e-9 = n-
micro- = 1e-6 = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
deci- = 1e-1 = d-
hecto- = 1e2 = h-
kilo- = 1e3 = k-
mega- = 1e6 = M-
giga- = 1e9 = G-
meter = [length] = m
second = [time] = s
gram = [mass] = g
ampere = [current] = A
mole = [substance] = mol
candela = [luminosity] = cd
radian = [plane_angle] = rad
gloss_unit = [gloss] = GU
decibel = [sound_level] = dB
kelvin = [temperature]; offset: 0 = K
degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
percent = 0.01 = percent
ppm = 1e-6 = ppm
degree = 3.141592653589793 / 180 * radian = deg
turn = 2 * 3.141592653589793 * radian = turn
minute = 60 * second = min
hour = 60 * minute = h
day = 24 * hour = d
week = 7 * day = week
inch = 0.0254 * meter = in
foot = 12 * inch = ft
yard = 3 * foot = yd
mil = 0.001 * inch = mil
nautical_mile = 1852 * meter = nmi
liter = 0.001 * meter ** 3 = L
gallon = 231 * inch ** 3 = gal
fluid_ounce = gallon / 128 = floz
tonne = 1000 * kilogram = t
pound = 0.45359237 * kilogram = lb
ounce = pound / 16 = oz
newton = kilogram * meter / second ** 2 = N
pound_force = 4.4482216152605 * newton = lbf
pascal = newton / meter ** 2 = Pa
bar = 1e5 * pascal = bar
psi = pound_force / inch ** 2 = psi
kip = 1000 * pound_force = kip
ksi = kip / inch ** 2 = ksi
inch_of_mercury = 3386.389 * pascal = inHg
inch_of_water = 249.0889 * pascal = inWC
joule = newton * meter = J
watt = joule / second = W
horsepower = 550 * foot * pound_force / second = hp
hertz = 1 / second = Hz
volt = watt / ampere = V
ohm = volt / ampere = ohm
siemens = ampere / volt = S
knot = nautical_mile / hour = kn
poise = 0.1 * pascal * second = P
standard_gravity = 9.80665 * meter / second ** 2 = gn
rpm = turn / minute = rpm
rps = turn / second = rps
"""

# What a message offers, in this order, when it says which units a column takes.
_OFFERED = (
    *("degC", "degF", "K", "um", "mm", "cm", "m", "mil", "in", "ft", "mm2", "cm2", "dm2", "m2", "ft2"),
    *("mL", "L", "m3", "%", "ppm", "deg", "rad", "GU", "s", "min", "h", "d", "g", "kg", "t", "lb", "N", "kN", "lbf"),
    *("Pa", "kPa", "MPa", "N/mm2", "bar", "psi", "uS/cm", "mS/m", "1/dm2", "1/m2", "1/cm2", "g/m2", "kg/m2", "mg/m2"),
    *("g/cm3", "kg/m3", "m/s", "kn", "m/s2", "mm/s2", "gn", "mm/s", "Hz", "rpm", "V", "mV", "A", "mA", "ohm", "W"),
    *("kW", "Nm", "J", "N/mm", "degC/min", "K/min", "L/min", "L/h", "kg/h", "rps", "rad/s", "dB"),
    *(
        "mPa.s",
        "Pa.s",
        "yd",
        "in2",
        "yd2",
        "floz",
        "gal",
        "ft3",
        "oz",
        "kip",
        "ksi",
        "inHg",
        "inWC",
        "oz/yd2",
        "lb/ft2",
    ),
    *(
        "lb/ft3",
        "ft/s",
        "ft/s2",
        "in/s",
        "in/s2",
        "in/ft",
        "gal/min",
        "gal/h",
        "lb/h",
        "lbf.ft",
        "hp",
        "in/min",
        "degF/min",
    ),
)
_OTHER_WORDS = {
    "%": "percent",
    "%rh": "percent",
    "% rh": "percent",
    "°": "deg",
    "°c": "degC",
    "° c": "degC",
    "deg c": "degC",
    "degc": "degC",
    "celsius": "degC",
    "°f": "degF",
    "° f": "degF",
    "deg f": "degF",
    "degf": "degF",
    "fahrenheit": "degF",
    "micron": "um",
    "microns": "um",
    "mils": "mil",
    "thou": "mil",
    "gu": "GU",
    "db": "dB",
    "dba": "dB",
    "db(a)": "dB",
    "db (a)": "dB",
    "l": "L",
    "ml": "mL",
    "hr": "h",
    "hrs": "h",
    "hour": "h",
    "hours": "h",
    "days": "d",
    "day": "d",
    "sec": "s",
    "mins": "min",
    "kt": "kn",
    "kts": "kn",
    "knots": "kn",
    "rpm": "rpm",
    "r/min": "rpm",
    "rev/min": "rpm",
    "r/s": "rps",
    "u/min": "rpm",
    "inch": "in",
    "inches": "in",
    "feet": "ft",
    "lbs": "lb",
    "pounds": "lb",
    "gals": "gal",
    "gallons": "gal",
    "fl oz": "floz",
    "fl. oz": "floz",
    "sq in": "in2",
    "sq ft": "ft2",
    "sq yd": "yd2",
    "gpm": "gal/min",
    "gph": "gal/h",
    "oz/sq yd": "oz/yd2",
    "oz/sq.yd": "oz/yd2",
    "psf": "lbf/ft2",
    "inhg": "inHg",
    "in hg": "inHg",
    "in. hg": "inHg",
    "inh2o": "inWC",
    "in h2o": "inWC",
    "in wc": "inWC",
    "in. wc": "inWC",
    "ft-lb": "lbf.ft",
    "ft-lbf": "lbf.ft",
    "ft.lbf": "lbf.ft",
    "lbf-ft": "lbf.ft",
    "lb-ft": "lbf.ft",
    "ips": "in/s",
    "microinch": "uin",
    "microinches": "uin",
    "mpas": "mPa.s",
    "mpa*s": "mPa.s",
    "cp": "cP",
}
_GRAVITY = ("g", "G", "g_n")  # beside an acceleration this is gravity, not the gram
_TURNS = ("1/min", "min-1", "min^-1")  # of a shaft: turns per minute, as plates and data sheets write it
NO_UNIT = ("", "1", "-")  # what stands in the brackets of a head whose numbers have none
_FACTOR = re.compile(r"^([A-Za-z_]+)(?:(?:\^|\*\*)?(-?[1-9]))?$")
_RAISED = str.maketrans(
    {"²": "2", "³": "3", "¹": "1", "⁻": "-", "−": "-", "µ": "u", "μ": "u", "\u03a9": "ohm", "\u2126": "ohm"}
)
_DIGITS = 12  # of a converted value: what binary fractions add behind them is not data


class UnitError(ValueError):
    """A unit that is not known or does not fit: `found` says why, `accepted` what is taken, where that can be told."""

    def __init__(self, found: str, accepted: str = "") -> None:
        super().__init__(f"{found}; {accepted}" if accepted else found)
        self.found = found
        self.accepted = accepted


@lru_cache(maxsize=1024)
def converter(head_unit: str, column_unit: str, difference: bool = False) -> tuple[float, float]:
    """The scale and the offset that bring a number from one unit to another: new = scale * number + offset.

    Args:
        head_unit: unit the numbers are in, as written in the head of a column.
        column_unit: unit they are wanted in.
        difference: a difference of two values; of temperatures, only the scale counts then.
    Returns:
        (scale, offset), in units of `column_unit`.
    Errors:
        UnitError (a ValueError) for an unknown unit or one of another dimension.
    Example:
        >>> converter("mil", "um")
        (25.4, 0.0)
        >>> converter("degC", "K")
        (1.0, 273.15)
        >>> converter("g", "kg"), converter("g", "m/s2")
        ((0.001, 0.0), (9.80665, 0.0))
        >>> converter("degC", "K", difference=True)
        (1.0, 0.0)
    """
    given, wanted = _plain(head_unit), _plain(column_unit)
    if given in _GRAVITY and _kind(wanted) == _kind("m/s2"):
        given = "gn"
    if given in _TURNS and _kind(wanted) == _kind("rpm"):
        given = "rpm"
    return _conversion(given, wanted, difference)


def convert(value: float, from_unit: str, to_unit: str, difference: bool = False) -> float:
    """One number brought from one unit to another, at 12 significant digits. Errors as `converter`.

    >>> convert(68.0, "degF", "degC")
    20.0
    >>> convert(9.0, "degF", "K", difference=True)
    5.0
    """
    return apply(value, *converter(from_unit, to_unit, difference))


def apply(value: float, scale: float, offset: float) -> float:
    """`scale * value + offset`, without the digits that binary fractions add; unchanged where nothing is converted."""
    if scale == 1.0 and offset == 0.0:
        return value
    product = scale * value
    size = max(abs(product), abs(offset))
    if not math.isfinite(size) or size == 0.0:
        return product + offset
    return round(product + offset, _DIGITS - math.ceil(math.log10(size))) + 0.0


def accepted(column_unit: str) -> tuple[str, ...]:
    """The units a column takes, as a message offers them; its own first.

    >>> accepted("um")
    ('um', 'mm', 'cm', 'm', 'mil', 'in', 'ft', 'yd')
    """
    wanted = _registry().Quantity(0.0, _parsed(_plain(column_unit))).dimensionality
    own = "%" if column_unit == "percent" else column_unit
    return (own, *(unit for unit in _OFFERED if unit != own and _kind(unit) == wanted))


def _conversion(head_unit: str, column_unit: str, difference: bool) -> tuple[float, float]:
    wanted = _parsed(column_unit)
    try:
        given = _parsed(head_unit)
    except UnitError as error:
        raise UnitError(f"{error}{_near(head_unit, column_unit)}", _offer(column_unit)) from None
    if head_unit == column_unit:
        return 1.0, 0.0
    quantity = _registry().Quantity
    as_given, as_wanted = quantity(0.0, given), quantity(0.0, wanted)
    if as_given.dimensionality != as_wanted.dimensionality:
        raise UnitError(f"'{head_unit or 'no unit'}' is another kind of quantity", _offer(column_unit))
    scale = float(quantity(1.0, _step(given)).to(_step(wanted)).magnitude)
    offset = 0.0 if difference else float(as_given.to(wanted).magnitude)
    rounded = round(offset, 10)
    return float(f"{scale:.15g}"), rounded if abs(rounded - offset) < 1e-12 else offset


def _plain(unit: str) -> str:
    """One spelling for the many ways a unit is typed."""
    text = " ".join(unit.translate(_RAISED).split())
    text = "" if text in NO_UNIT else text
    return _OTHER_WORDS.get(text.lower(), text)


@lru_cache(maxsize=1024)
def _parsed(unit: str) -> str:
    """A unit in the form pint reads. UnitError where a part of it is not known."""
    if not unit:
        return "dimensionless"
    over = [_factors(part, unit) for part in unit.split("/")]
    text = " / ".join(f"({factors})" for factors in over)
    registry = _registry()
    try:
        registry.parse_units(text)
    except Exception:
        raise UnitError(f"'{unit}' is not a unit this book knows") from None
    return text if len(over) > 1 or "*" in text else over[0]


def _factors(part: str, whole: str) -> str:
    words = [word for word in re.split(r"[*·. ]", part.strip().replace("**", "^")) if word]
    if not words or len(whole) > 40:
        raise UnitError(f"'{whole}' is not a unit this book knows")
    return " * ".join(_factor(word, whole) for word in words)


def _factor(word: str, whole: str) -> str:
    if word == "1":
        return word
    match = _FACTOR.match(_OTHER_WORDS.get(word.lower(), word))
    if match is None:
        raise UnitError(f"'{whole}' is not a unit this book knows")
    name, power = match.groups()
    name = {"Nm": "N * m", "kNm": "kN * m"}.get(name, _OTHER_WORDS.get(name.lower(), name))
    return f"({name}) ** {power}" if power else name


def _step(unit: str) -> str:
    """The unit of a difference: that of two temperatures for a temperature, itself for all others."""
    return {
        "degC": "delta_degree_Celsius",
        "degF": "delta_degree_Fahrenheit",
    }.get(unit, unit)


def _near(unit: str, column_unit: str) -> str:
    offered = accepted(column_unit)
    near = [known for known in offered if known.lower() in (unit.lower(), f"deg{unit.lower()}")]
    near += difflib.get_close_matches(unit, offered, 1, 0.6)
    return f" (did you mean '{near[0]}'?)" if near else ""


def _offer(column_unit: str) -> str:
    if not column_unit:
        return "this is a plain number without a unit"
    return "accepted are " + ", ".join(accepted(column_unit))


@lru_cache(maxsize=256)
def _kind(unit: str) -> object:
    """The dimension of a unit."""
    return _registry().Quantity(0.0, _parsed(_plain(unit))).dimensionality


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry:
    from pint import UnitRegistry

    registry: UnitRegistry = UnitRegistry(None)
    registry.load_definitions(_DEFINITIONS.strip().splitlines())
    return registry
