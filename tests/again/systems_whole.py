"""Gas, steering, weight, speed and engines: SYS-10 to SYS-13 and SYS-16."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from tests.again.common_rules import (
    REFERENCE,
    Limit,
    Own,
    Package,
    Part,
    Row,
    combined,
    mean,
    parts,
    scatter,
    standard,
)
from tests.again.drive_rules import NO_LIMIT, above, agreed, figure, judged, rows_of, worded
from tests.again.systems_tanks import of_thermometer, two_readings

TIMES_WORKING = 3.0  # EN ISO 10239, second-hand: air at three times the working pressure
SHIPS = Limit(high=28.0)  # s, SOLAS chapter II-1, second-hand: from 35 degrees to 30 degrees
EVEN = 1.5  # the longest time between runs by the shortest; a rule of the book, no source
OPPOSITE = 15.0  # degrees, common practice
ATMOSPHERE = 1013.25  # mbar, from memory


def gas(package: Package) -> Iterator[Own]:
    """SYS-10: pressure of the strength test; drop of the tightness test.

    The drop is a difference of two readings of one gauge. Less than one step of it is asked for. Air that warms by dT
    changes the pressure by p dT / T: that is taken out, and the difference of the thermometer moves it by p / T.
    A rise beyond U shows nothing.
    """
    for row in package.rows("systems/gas_tests.csv"):
        line = package.instrument(row["instrument"], "gas pressure")
        about = ("SYS-10", "strength test pressure", row["place"], "", int(row["attempt"]))
        number = figure(row.value("strength"), "mbar", 2.0 * standard(line))
        asked = Limit(low=TIMES_WORKING * row.value("working"))
        own = agreed(package, *about[:3])
        yield judged(about, number, own or asked, rows=rows_of([row]))
        if own:
            yield judged(about, number, asked, role=REFERENCE, rows=rows_of([row]))
        step = parts(line)[1].standard * math.sqrt(12.0)
        start, end = row.value("tight_start"), row.value("tight_end")
        cold, warm = row.value("air_start"), row.value("air_end")
        by_air = (ATMOSPHERE + start) * (warm / (cold + 273.15) - cold / (cold + 273.15))
        about = ("SYS-10", "pressure drop in the tightness test", row["place"], "", int(row["attempt"]))
        kelvin = (ATMOSPHERE + start) / (cold + 273.15) * of_thermometer(package, row, cold, warm)
        number = figure(start + by_air - end, "mbar", 2.0 * math.hypot(two_readings(line, start, end), kelvin))
        smaller = above(Limit(high=step, high_strict=True))
        own = agreed(package, *about[:3])
        doubt = abs(by_air) > own.high if own and own.high is not None else abs(by_air) >= step
        doubt = doubt or end > start + by_air + 2.0 * math.hypot(step, kelvin) * math.sqrt(2.0 / 12.0)
        yield judged(about, number, above(own) if own else smaller, rows=rows_of([row]), doubt=doubt)
        if own:
            yield judged(about, number, smaller, role=REFERENCE, rows=rows_of([row]), doubt=doubt)


def steering(package: Package) -> Iterator[Own]:
    """SYS-11: angles against the drawing, times as taken by hand, what was tried; the time of ships stands beside."""
    for row in package.rows("systems/steering.csv"):
        at = (row["place"], "", int(row["attempt"]))
        u = standard(package.instrument(row["instrument"], "rudder angle"))
        drawn, off = row.value("drawn"), row.value("tolerance")
        for side in ("port", "starboard"):
            number = figure(row.value(side), "deg", 2.0 * u)
            limit = Limit(drawn - off, drawn + off)
            yield judged(("SYS-11", f"rudder angle hard to {side}", *at), number, limit, rows=rows_of([row]))
        by_hand = row.value("time_uncertainty")
        about = ("SYS-11", "time from stop to stop", *at)
        ends = agreed(package, *about[:3]) or NO_LIMIT
        yield judged(about, figure(row.value("stop_to_stop"), "s", by_hand), ends, rows=rows_of([row]))
        about = ("SYS-11", "time from 35° to 30°", *at)
        number = figure(row.value("ship_time"), "s", by_hand)
        yield judged(about, number, agreed(package, *about[:3]) or NO_LIMIT, rows=rows_of([row]))
        yield judged(about, number, SHIPS, role=REFERENCE, rows=rows_of([row]))
        for quantity, head, good in (
            ("rudder stops", "stops", "held"),
            ("emergency tiller", "emergency", "steered her"),
        ):
            verdict = "pass" if row.text(head) == good else "fail"
            yield worded(("SYS-11", quantity, *at), verdict, row.text(head), rows_of([row]), NO_LIMIT)


def weight(package: Package) -> Iterator[Own]:
    """SYS-12: sum of the cells less what was aboard; centre = sum(m x) / sum(m).

    Cells of one set may err alike, so their uncertainties add up, each by what it moves the result; so do the places
    of the cells. Items are independent of each other.
    """
    cells, items = package.rows("systems/weighing.csv"), package.rows("systems/weighing_aboard.csv")
    (set_of_cells,) = {cell["instrument"] for cell in cells}
    u = standard(package.instrument(set_of_cells, "mass"))
    sign = {"taken off": -1.0, "added": 1.0}
    loads = [(cell, cell.value("mass")) for cell in cells]
    loads += [(item, sign[item["change"]] * item.value("mass")) for item in items]
    whole = math.fsum(mass for _, mass in loads)
    rows = rows_of([*cells, *items])

    def said(quantity: str, value: float, unit: str, squares: float) -> Own:
        number = figure(value, unit, 2.0 * math.sqrt(squares))
        return judged(
            ("SYS-12", quantity, "", "", 1), number, agreed(package, "SYS-12", quantity) or NO_LIMIT, rows=rows
        )

    of_items = sum((item.value("uncertainty") / 2.0) ** 2 for item in items)
    yield said("light craft mass", whole, "kg", (len(cells) * u) ** 2 + of_items)
    for quantity, axis in (("centre of mass, forward of the transom", "x"), ("centre of mass, to starboard", "y")):
        centre = math.fsum(mass * row.value(axis) for row, mass in loads) / whole
        by_cells = sum(abs(cell.value(axis) - centre) for cell in cells) / whole * u
        tape = sum(cell.value("mass") * cell.value("position_uncertainty") / 2.0 for cell in cells) / whole
        each = [(item.value(axis) - centre) / whole * item.value("uncertainty") / 2.0 for item in items]
        yield said(quantity, centre, "m", by_cells**2 + tape**2 + sum(part**2 for part in each))


def neighbours(values: list[float]) -> float:
    """Means of neighbours, and of those again, until one is left: the mean of means."""
    while len(values) > 1:
        values = [(one + other) / 2.0 for one, other in pairwise(values)]
    return values[0]


def halves(speeds: list[float]) -> float:
    """Half of the mean of each course."""
    return (mean(speeds[0::2]) + mean(speeds[1::2])) / 2.0


def about_even(runs: list[Row]) -> bool:
    """Whether runs follow one another at about even times."""
    gaps = [(other.when() - one.when()).total_seconds() for one, other in pairwise(runs)]
    return len(gaps) < 2 or max(gaps) <= EVEN * min(gaps)


def courses_apart(speeds: list[float], middle: Callable[[list[float]], float]) -> float:
    """The standard uncertainty of such a mean from runs that differ from others on their own course."""
    off = [one - mean(speeds[number % 2 :: 2]) for number, one in enumerate(speeds)]
    weights = [middle([float(other == number) for other in range(len(speeds))]) for number in range(len(speeds))]
    return math.sqrt(math.fsum(one**2 for one in off) / (len(speeds) - 2) * math.fsum(one**2 for one in weights))


def at_best(own: Own, repeated: bool) -> Own:
    """A pass without repeats is a conditional one."""
    return replace(own, verdict="conditional pass") if own.verdict == "pass" and not repeated else own


def trial(package: Package) -> Iterator[Own]:
    """SYS-13: mean of means of runs at about even times, else half of each course; fuel as supply less return.

    Fuel is that of both engines, as the mean of the runs.

    The receiver may err alike in every run, and so may the fuel meter in every reading: nothing averages out, and the
    two readings of each engine add up. Beside that the runs scatter: rates about their mean, n - 1 degrees; speeds
    about the mean of their own course, n - 2 degrees, by the root of the sum of the squared weights (GUM 4.2.3, 4.2.4).
    A mean without repeats has no scatter in its U, and passes conditionally at best.
    """
    runs = package.rows("trial/runs.csv")
    fuel = package.rows("systems/trial_fuel.csv")
    for setting in dict.fromkeys(run["setting"] for run in runs):
        mine = sorted((run for run in runs if run["setting"] == setting), key=lambda run: run.when())
        u = max(standard(package.instrument(run["instrument"], "speed over ground")) for run in mine)
        turned = [abs((two.value("course") - one.value("course")) % 360.0 - 180.0) for one, two in pairwise(mine)]
        doubt = len(mine) < 2 or any(angle > OPPOSITE for angle in turned)
        about = ("SYS-13", "trial speed", "", setting, 1)
        ends = agreed(package, "SYS-13", "trial speed", "", setting) or NO_LIMIT
        speeds = [run.value("speed") for run in mine]
        middle = neighbours if about_even(mine) else halves
        known = [Part(u), *([Part(courses_apart(speeds, middle), len(mine) - 2)] if len(mine) > 2 else [])]
        number = replace(combined(middle(speeds), known), unit="kn")
        yield at_best(judged(about, number, ends, doubt=doubt, rows=rows_of(mine)), len(mine) > 2)
        burned = [row for row in fuel if row["run"] in {run["run"] for run in mine}]
        meters = [standard(package.instrument(row["instrument"], "fuel flow")) for row in burned]
        rates = [
            math.fsum(row.value("supply") - row.value("back") for row in burned if row["run"] == run["run"])
            for run in mine
        ]
        unsure = 2.0 * sum(meters) / len(mine)  # supply and return of each engine
        ends = agreed(package, "SYS-13", "fuel rate", "", setting) or NO_LIMIT
        known = [Part(unsure), *([scatter(rates)] if len(rates) > 1 else [])]
        number = replace(combined(mean(rates), known), unit="L/h")
        own = judged(("SYS-13", "fuel rate", "", setting, 1), number, ends, rows=rows_of(burned))
        yield at_best(own, len(rates) > 1)


COOLANT = ("coolant_out", "coolant_in")
# quantity: unit, heads whose difference or value counts, head of the tool, what the tool measures, heads of the sheet
ENGINE = {
    "exhaust back-pressure": ("kPa", ("exhaust",), "gauge", "engine pressure", "exhaust"),
    "air intake depression": ("kPa", ("air",), "gauge", "engine pressure", "air"),
    "coolant temperature difference": ("K", COOLANT, "thermometer", "engine temperature", "coolant"),
    "crankcase pressure": ("kPa", ("crankcase",), "gauge", "engine pressure", "crankcase"),
    "fuel temperature": ("degC", ("fuel",), "thermometer", "engine temperature", "fuel"),
    "engine speed at full throttle": ("rpm", ("speed",), "tachometer", "engine speed", "speed_high"),
}  # fmt: skip
NEVER_BELOW_ZERO = ("exhaust back-pressure", "air intake depression")


def engines(package: Package) -> Iterator[Own]:
    """SYS-16: every quantity of every engine against the maker's sheet; the coolant as out less in, unsure apart."""
    sheets: dict[str, Row] = {row["model"]: row for row in package.rows("systems/engine_sheet.csv")}
    for row in package.rows("systems/engine_readings.csv"):
        sheet = sheets[row["model"]]
        for quantity, (unit, heads, tool, measures, limit) in ENGINE.items():
            u = standard(package.instrument(row[tool], measures))
            value = row.value(heads[0]) - sum(row.value(head) for head in heads[1:])
            low = sheet.value("speed_low") if heads == ("speed",) else None
            ends = Limit(low, sheet.value(limit), natural_low=0.0 if quantity in NEVER_BELOW_ZERO else None)
            number = figure(value, unit, 2.0 * u * math.sqrt(len(heads)))
            yield judged(("SYS-16", quantity, row["place"], "", int(row["attempt"])), number, ends, rows=rows_of([row]))
