"""A hull's folder as a yard in the United States would have written it: every column that can be, in US units.

Factors come from the registry that pint ships, none from the project; numbers keep nine significant digits. The heads
say the unit (`air [degF]`). Rows of instruments have it in a column of their own, and their numbers keep fifteen
digits: there the ratio of two cells is judged, which nine do not keep. Texts, limits in hull.toml, raw records, and
what a laboratory weighs and measures in grams and millilitres stay.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
from decimal import Decimal
from functools import cache
from pathlib import Path

import pint

# Unit of a head: what a US yard writes instead, and the names of both in pint's registry. Temperatures apart.
WRITTEN = {
    "mm": ("in", "millimeter", "inch"),
    "m": ("ft", "meter", "foot"),
    "um": ("mil", "micrometer", "thou"),
    "mm2": ("in2", "millimeter**2", "inch**2"),
    "m2": ("ft2", "meter**2", "foot**2"),
    "L": ("gal", "liter", "US_liquid_gallon"),
    "L/min": ("gal/min", "liter", "US_liquid_gallon"),
    "L/h": ("gal/h", "liter", "US_liquid_gallon"),
    "kg": ("lb", "kilogram", "pound"),
    "g/m2": ("oz/yd2", "gram/meter**2", "ounce/yard**2"),
    "kg/m2": ("lb/ft2", "kilogram/meter**2", "pound/foot**2"),
    "kg/m3": ("lb/ft3", "kilogram/meter**3", "pound/foot**3"),
    "g/cm3": ("lb/ft3", "gram/centimeter**3", "pound/foot**3"),
    "MPa": ("psi", "megapascal", "psi"),
    "kPa": ("psi", "kilopascal", "psi"),
    "mbar": ("psi", "millibar", "psi"),
    "N": ("lbf", "newton", "pound_force"),
    "Nm": ("lbf.ft", "newton*meter", "pound_force*foot"),
    "kW": ("hp", "kilowatt", "horsepower"),
    "mm/s": ("in/s", "millimeter", "inch"),
    "mm/min": ("in/min", "millimeter", "inch"),
    "m/s": ("ft/s", "meter", "foot"),
}
HEAD = re.compile(r"^(?P<name>.*\S)\s*\[(?P<unit>[^\]]+)\]$")
NUMBER = re.compile(r"^-?[0-9]+(?:[.,][0-9]+)?$")
INSTRUMENTS = ("range_low", "range_high", "resolution", "uncertainty")
APART = ("resolution", "uncertainty")  # of a thermometer these are differences


def in_us_units(folder: Path, out: Path) -> Path:
    """A copy of a hull's folder with every column in US units that has one; what is no table is copied as it is."""
    shutil.copytree(folder, out)
    for path in sorted(out.rglob("*.csv")):
        if any(path.is_relative_to(out / name) for name in ("documents", "vibration/raw")):
            continue
        data = path.read_bytes()
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252")  # as an older spreadsheet wrote it
        path.write_text(_in_us_units(text, path.name), encoding="utf-8", newline="")
    return out


def _in_us_units(text: str, name: str) -> str:
    first = text.splitlines()[0] if text else ""
    delimiter = ";" if first.count(";") > first.count(",") else ","
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    if not rows:
        return text
    heads = [HEAD.match(head) for head in rows[0]]
    units = [match["unit"] if match else "" for match in heads]
    rows[0] = [f"{m['name']} [{_us(m['unit'])}]" if m else head for m, head in zip(heads, rows[0], strict=True)]
    made = [rows[0], *([_cell(cell, unit) for cell, unit in zip(row, units, strict=False)] for row in rows[1:])]
    if name == "instruments.csv":
        made = [rows[0], *(_instrument(dict(zip(rows[0], row, strict=True))) for row in made[1:])]
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(made)
    return out.getvalue()


def _instrument(row: dict[str, str]) -> list[str]:
    unit = row["unit"]
    for name in INSTRUMENTS:
        row[name] = _cell(row[name], "K" if unit == "degC" and name in APART else unit, 15)
    row["unit"] = _us(unit)
    return list(row.values())


def _us(unit: str) -> str:
    if unit in ("degC", "K"):
        return "degF"
    return WRITTEN[unit][0] if unit in WRITTEN else unit


def _cell(text: str, unit: str, digits: int = 9) -> str:
    if not NUMBER.match(text) or _us(unit) == unit:
        return text
    number = float(text.replace(",", "."))
    if unit in ("degC", "K"):
        told = number * 9.0 / 5.0 + (32.0 if unit == "degC" else 0.0)
    else:
        told = number * _factor(unit)
    written = f"{Decimal(f'{told:.{digits}g}'):f}"
    return written.replace(".", ",") if "," in text else written


@cache
def _factor(unit: str) -> float:
    _, given, wanted = WRITTEN[unit]
    registry: pint.UnitRegistry = pint.UnitRegistry()
    return float((registry.Quantity(1.0, given) / registry.Quantity(1.0, wanted)).to("dimensionless").magnitude)
