"""COA-04 and COA-05 again: was the surface dry, and the air right, from the start of each coat to its first cure."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from datetime import datetime, timedelta

from tests.again import published
from tests.again.common_rules import (
    Key,
    Limit,
    Own,
    Package,
    Part,
    Row,
    Value,
    beside,
    combined,
    distance,
    held,
    judged,
)

PRINTED = published.COATING
MAGNUS_A, MAGNUS_B = 17.62, 243.12  # WMO-No. 8, annex 4.B, over water; 243.12 in °C


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    own: dict[Key, Own] = {}
    for coat in package.rows("coating/coats.csv"):
        (sheet,) = [row for row in package.rows("coating/products.csv") if row.text("product") == coat.text("product")]
        start = coat.when("started")
        end = coat.when("finished") + timedelta(hours=sheet.value("first_cure"))
        readings = between(package, coat.text("zone"), start, end)
        doubt = not covered(package, coat.text("zone"), start, end)
        own |= _interval(package, coat, start, end)
        for quantity, values in _values(package, readings).items():
            key = Key(*quantity, coat.text("zone"), coat.text("coat"))
            limit = package.specified(*quantity, key.place, key.condition) or _of_the_sheet(sheet, quantity[1])
            own[key] = held(judged(nearest(values, limit), limit), doubt)
            printed = PRINTED[quantity]
            own[beside(key)] = held(judged(nearest(values, printed), printed), doubt)
    return own


def between(package: Package, zone: str, start: datetime, end: datetime) -> list[Row]:
    """The climate readings of a zone from start to end, both included."""
    return [
        row for row in package.rows("coating/climate.csv") if row.text("zone") == zone and start <= row.when() <= end
    ]


def covered(package: Package, zone: str, start: datetime, end: datetime) -> bool:
    """Whether no stretch from start to end is longer without a reading than was agreed."""
    limit = (
        package.specified("COA-04", "interval between readings", zone) or PRINTED["COA-04", "interval between readings"]
    )
    assert limit.high is not None
    return longest(package, zone, start, end)[1] <= limit.high


def longest(package: Package, zone: str, start: datetime, end: datetime) -> tuple[datetime, float]:
    """The longest stretch between two readings [h] and when it began; start and end of the job stand for readings."""
    times = [start, *(row.when() for row in between(package, zone, start, end)), end]
    stretches = [(b - a, a) for a, b in itertools.pairwise(times)]
    length, began = max(stretches, key=lambda stretch: stretch[0])
    return began, length.total_seconds() / 3600


def _interval(package: Package, coat: Row, start: datetime, end: datetime) -> dict[Key, Own]:
    """COA-04, interval: agreed between entries of a log, so without a guard band."""
    began, length = longest(package, coat.text("zone"), start, end)
    step = Part(published.STEP_OF_A_LOG / math.sqrt(12))
    value = combined(length, [step, step])
    key = Key("COA-04", "interval between readings", coat.text("zone"), coat.text("coat"))
    specified = package.specified(key.check, key.quantity, key.place)
    printed = PRINTED[key.check, key.quantity]
    seen = (f"{began:%Y-%m-%d %H:%M}",)
    limit = Limit(high=specified.high, guard=0) if specified else printed
    return {key: judged(value, limit, seen), beside(key): judged(value, printed, seen)}


def dew_point(air: float, humidity: float) -> float:
    """Dew point [°C] by the Magnus form (WMO-No. 8, annex 4.B)."""
    g = math.log(humidity / 100) + MAGNUS_A * air / (MAGNUS_B + air)
    return MAGNUS_B * g / (MAGNUS_A - g)


def _margin(package: Package, row: Row) -> Value:
    """Surface less dew point [K], with the three instruments carried through the formula's own derivatives."""
    air, humidity = row.value("air"), row.value("humidity")
    g = math.log(humidity / 100) + MAGNUS_A * air / (MAGNUS_B + air)
    of_g = MAGNUS_A * MAGNUS_B / (MAGNUS_A - g) ** 2
    parts = [
        Part(package.standard(row.text("surface_instrument"), "surface temperature")),
        Part(of_g / humidity * package.standard(row.text("instrument"), "relative humidity")),
        Part(
            of_g
            * MAGNUS_A
            * MAGNUS_B
            / (MAGNUS_B + air) ** 2
            * package.standard(row.text("instrument"), "air temperature")
        ),
    ]
    return combined(row.value("surface") - dew_point(air, humidity), parts)


def _values(package: Package, readings: Sequence[Row]) -> dict[tuple[str, str], list[Value]]:
    """Every reading of a coat as the four quantities that are judged."""
    found: dict[tuple[str, str], list[Value]] = {
        ("COA-04", "dew-point margin"): [_margin(package, row) for row in readings]
    }
    columns = {"air temperature": "air", "relative humidity": "humidity", "surface temperature": "surface"}
    for quantity, column in columns.items():
        named = "surface_instrument" if column == "surface" else "instrument"
        found["COA-05", quantity] = [
            combined(row.value(column), package.parts(row.text(named), quantity)) for row in readings
        ]
    return found


def _of_the_sheet(sheet: Row, quantity: str) -> Limit:
    """What the paint's data sheet asks."""
    if quantity == "dew-point margin":
        return Limit(low=sheet.value("margin_low"))
    if quantity == "relative humidity":
        return Limit(high=sheet.value("humidity_high"), natural_low=0.0, natural_high=100.0)
    column = quantity.split()[0]
    return Limit(sheet.value(f"{column}_low"), sheet.value(f"{column}_high"))


def nearest(values: Sequence[Value], limit: Limit) -> Value:
    """The reading nearest to a limit, or farthest outside it."""
    return min(values, key=lambda value: distance(value.value, limit))
