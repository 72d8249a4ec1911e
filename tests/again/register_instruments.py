"""REG-01 and REG-03 again: one hull number everywhere, and every instrument in calibration on the day it was used."""

from __future__ import annotations

import re
from datetime import date
from typing import NamedTuple

from tests.again.common_rules import Key, Limit, Own, Package, Value, fact, judged

MONTHS = "ABCDEFGHIJKL"  # A is January: 33 CFR 181.25
FREE_FOR_USERS = re.compile(r"AA|Q[M-Z]|X[A-Z]|ZZ")  # ISO 3166-1: codes that stand for no country


class Used(NamedTuple):
    """Columns of a table that rest on an instrument: who names it, the values, and what it measured."""

    file: str
    named: str
    columns: tuple[str, ...]
    quantity: str


USES = (
    Used("coating/climate.csv", "instrument", ("air",), "air temperature"),
    Used("coating/climate.csv", "instrument", ("humidity",), "relative humidity"),
    Used("coating/climate.csv", "surface_instrument", ("surface",), "surface temperature"),
    Used("coating/film_thickness.csv", "instrument", ("thickness",), "film thickness"),
    Used("coating/pull_off.csv", "instrument", ("force",), "force"),
    Used("coating/gloss.csv", "instrument", ("gloss",), "gloss"),
    Used("coating/colour.csv", "instrument", ("lightness",), "colour"),
    Used("coating/appearance.csv", "instrument", ("image",), "distinctness of image"),
    Used("coating/water_break.csv", "instrument", ("watched",), "time"),
    Used("coating/metal_parts.csv", "salt_instrument", ("rise", "blank_rise"), "conductivity"),
    Used("coating/metal_parts.csv", "profile_instrument", ("profile",), "surface profile"),
    Used("moisture.csv", "instrument", ("reading", "dry_reference"), "moisture"),
    Used("hardness.csv", "instrument", ("barcol",), "Barcol hardness"),
    Used("laminate/burn_off.csv", "balance", ("crucible", "full", "residue", "reheated", "in_air", "in_water"), "mass"),
    Used("laminate/burn_off.csv", "caliper", ("length", "width", "thickness"), "length"),
    Used("laminate/burn_off.csv", "thermometer", ("furnace",), "furnace temperature"),
    Used("laminate/core_bond.csv", "machine", ("force",), "force"),
    Used("laminate/core_bond.csv", "caliper", ("length", "width"), "length"),
    Used("laminate/strength.csv", "machine", ("force",), "force"),
    Used("laminate/strength.csv", "caliper", ("width", "thickness"), "length"),
    Used("laminate/thickness.csv", "instrument", ("thickness",), "laminate thickness"),
    Used("propeller/pitch.csv", "instrument", ("angle",), "angle"),
    Used("propeller/pitch.csv", "instrument", ("height",), "height"),
    Used("propeller/blades.csv", "instrument", ("angle",), "blade angle"),
    Used("propeller/blades.csv", "instrument", ("axial",), "axial position"),
    Used("propeller/blades.csv", "instrument", ("tip_radius",), "tip radius"),
    Used("propeller/blades.csv", "roughness_tester", ("roughness",), "roughness"),
    Used("propeller/blade_sections.csv", "instrument", ("thickness",), "blade thickness"),
    Used("propeller/blade_sections.csv", "tape", ("length",), "section length"),
    Used("propeller/blade_sections.csv", "cup_gauge", ("cup",), "cup drop"),
    Used("propeller/balance.csv", "instrument", ("residual",), "residual mass"),
    Used("propeller/clearances.csv", "instrument", ("tip", "bracket"), "distance"),
    Used("shafting/shaft_ends.csv", "micrometer", ("diameter", "small"), "diameter"),
    Used("shafting/shaft_ends.csv", "calliper", ("taper",), "length"),
    Used("shafting/shaft_ends.csv", "gauge", ("fillet",), "radius"),
    Used("shafting/run_out.csv", "instrument", ("reading",), "run-out"),
    Used("shafting/couplings.csv", "instrument", ("gap",), "gap"),
    Used("shafting/bearings.csv", "feeler", ("clearance",), "gap"),
    Used("shafting/bearings.csv", "tape", ("spacing",), "length"),
    Used("shafting/rudder_stocks.csv", "calliper", ("diameter", "slot"), "length"),
    Used("trial/runs.csv", "instrument", ("speed",), "speed over ground"),
    Used("trial/shafts.csv", "instrument", ("shaft_speed",), "shaft speed"),
    Used("vibration/records.csv", "instrument", (), "acceleration"),  # the samples lie in the raw files
    Used("vibration/sweep.csv", "instrument", ("level",), "weighted vibration"),
    Used("infusion/drop_tests.csv", "gauge", ("reading",), "bag pressure"),
    Used("infusion/drop_tests.csv", "barometer_gauge", ("barometer",), "barometric pressure"),
    Used("infusion/log.csv", "gauge", ("pressure",), "bag pressure"),
    Used("infusion/log.csv", "hygrometer", ("air",), "air temperature"),
    Used("infusion/log.csv", "hygrometer", ("humidity",), "relative humidity"),
    Used("infusion/log.csv", "thermometer", ("mould", "laminate"), "temperature"),
    Used("infusion/infusions.csv", "left_balance", ("left_over",), "mass"),
    Used("infusion/mixes.csv", "thermometer", ("temperature",), "temperature"),
    Used("infusion/mixes.csv", "resin_balance", ("resin_mass",), "mass"),
    Used("infusion/mixes.csv", "hardener_balance", ("hardener_mass",), "mass"),
    Used("sound/levels.csv", "instrument", ("level", "background"), "sound level"),
    Used("systems/fuel_fills.csv", "instrument", ("alarm", "full"), "volume of fuel"),
    Used("systems/sender_readings.csv", "instrument", ("metered",), "volume of fuel"),
    Used("systems/pressure_tests.csv", "instrument", ("start", "end"), "pressure"),
    Used("systems/pressure_tests.csv", "thermometer", ("air_start", "air_end"), "air temperature"),
    Used("systems/hose_tests.csv", "instrument", ("pressure",), "pressure"),
    Used("systems/bilge_pumps.csv", "instrument", ("collected",), "volume of water"),
    Used("systems/bonding.csv", "instrument", ("resistance", "leads"), "resistance"),
    Used("systems/insulation.csv", "instrument", ("resistance",), "insulation resistance"),
    Used("systems/voltage_drop.csv", "instrument", ("source", "load"), "voltage"),
    Used("systems/voltage_drop.csv", "ammeter", ("current",), "current"),
    Used("systems/gas_tests.csv", "instrument", ("strength", "tight_start", "tight_end"), "gas pressure"),
    Used("systems/gas_tests.csv", "thermometer", ("air_start", "air_end"), "air temperature"),
    Used("systems/steering.csv", "instrument", ("port", "starboard"), "rudder angle"),
    Used("systems/weighing.csv", "instrument", ("mass",), "mass"),
    Used("systems/trial_fuel.csv", "instrument", ("supply", "back"), "fuel flow"),
    Used("systems/engine_readings.csv", "gauge", ("exhaust", "air", "crankcase"), "engine pressure"),
    Used("systems/engine_readings.csv", "thermometer", ("coolant_out", "coolant_in", "fuel"), "engine temperature"),
    Used("systems/engine_readings.csv", "tachometer", ("speed",), "engine speed"),
    Used("systems/residual_current.csv", "instrument", ("time",), "trip time"),
)

TIMES = {  # when, where it is not called at
    "coating/metal_parts.csv": "prepared_at",
    "infusion/infusions.csv": "bagged",
    "infusion/mixes.csv": "mixed",
}


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    return _number(package) | _instruments(package)


def _number(package: Package) -> dict[Key, Own]:
    """REG-01: the number as hull.toml has it, in every record; its form and its coded month.

    Form: two letters of a country and a hyphen (ISO 10087) before the twelve characters of 33 CFR 181.25: maker, serial
    without I, O and Q, letter of the month, last digit of the year, model year.
    """
    number = package.hull["hull"]["number"]
    own = {
        Key("REG-01", "number in every record", row.text("seen_on")): fact(row.text("number") == number, number)
        for row in package.rows("hull_number.csv")
    }
    match = re.fullmatch(r"([A-Z]{2})-([A-Z]{3})([0-9A-HJ-NPR-Z]{5})([A-L])(\d)(\d{2})", number)
    assert match, f"{number} is not of the form"
    assert FREE_FOR_USERS.fullmatch(match[1]), "a demonstration bears a code that stands for no country"
    own[Key("REG-01", "form of the number", "hull.toml")] = fact(True, number)
    dates = package.hull["dates"]
    begun, delivered = dates["lay_up_started"], dates["delivered"]
    model, month = 2000 + int(match[6]), MONTHS.index(match[4]) + 1
    year = max(year for year in range(model - 9, model + 1) if year % 10 == int(match[5]))
    coded = (year, month)
    met = (begun.year, begun.month) <= coded <= (delivered.year, delivered.month)
    words = (f"coded {year}-{month:02}", f"lay-up began {begun}", f"delivered {delivered}")
    own[Key("REG-01", "dates and coded month", "hull.toml")] = fact(met, *words)
    return own


def _instruments(package: Package) -> dict[Key, Own]:
    """REG-03: day, range and resolution of every instrument, for each quantity it measured."""
    days: dict[tuple[str, str], list[date]] = {}
    values: dict[tuple[str, str], list[float]] = {}
    for use in USES:
        for row in package.rows(use.file):
            name = row.text(use.named)
            read = [value for column in use.columns if (value := row.number(column)) is not None]
            if name and (read or not use.columns):
                day = row.when(TIMES.get(use.file, "at")).date()
                days.setdefault((name, use.quantity), []).extend([day] * max(1, len(read)))
                values.setdefault((name, use.quantity), []).extend(read)
    own: dict[Key, Own] = {}
    for (name, quantity), used in days.items():
        row = package.instrument(name, quantity)
        start, due = row.day("calibrated"), row.day("due")
        assert start
        assert due
        assert row.text("certificate")
        late = [day for day in used if not start <= day <= due]
        count = f"{len(late)} of {len(used)} readings outside" if late else f"{len(used)} reading"
        said = (count, f"calibrated {start}, due {due}")
        own[Key("REG-03", "calibration on the day of use", name, quantity)] = fact(not late, *said)
        read = values[name, quantity]
        if read:
            inside = row.value("range_low") <= min(read) and max(read) <= row.value("range_high")
            own[Key("REG-03", "range against the readings", name, quantity)] = fact(inside, f"{len(read)} reading")
        share = Value(row.value("resolution") / row.value("uncertainty"), kind="counted")
        own[Key("REG-03", "smallest step against the uncertainty", name, quantity)] = judged(
            share, Limit(high=0.5, guard=0)
        )
    return own
