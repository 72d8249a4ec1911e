"""How loud she is: VIB-11."""

from __future__ import annotations

import math
from collections.abc import Iterator
from statistics import stdev

from tests.again.common_rules import Limit, Own, Package, Row, Value, standard
from tests.again.drive_rules import agreed, few, figure, judged, rows_of

CLASS = {  # dB(A), LR Special Service Craft rules, part 3 chapter 6, table 6.2.2, by comfort number; read
    "standard cabin": {"1": 53.0, "2": 55.0, "3": 58.0},
    "better cabin": {"1": 50.0, "2": 53.0, "3": 55.0},
    "lounge": {"1": 55.0, "2": 58.0, "3": 60.0},
    "open deck, second above the waterline": {"1": 72.0, "2": 75.0, "3": 79.0},
    "open deck, third above the waterline": {"1": 63.0, "2": 66.0, "3": 70.0},
    "wheelhouse": {"1": 60.0, "2": 62.0},
}
ACCOMMODATION = ("standard cabin", "better cabin", "lounge")
ABOVE = 3.0  # dB(A) more in accommodation right above the propellers, note to table 6.2.2
SHIPS = {  # dB(A), IMO code on noise levels, 4.2, 1600 to 10 000 gross tonnage; second-hand, a yardstick for a yacht
    "standard cabin": 60.0,
    "better cabin": 60.0,
    "lounge": 65.0,
    "open deck, second above the waterline": 75.0,
    "open deck, third above the waterline": 75.0,
    "wheelhouse": 65.0,
}


def without(level: float, background: float | None) -> float:
    """A level without its background: 10 lg(10^(L/10) - 10^(B/10)) where B lies 3 to 10 dB below; from 10 dB on L."""
    if background is None or level - background >= 10.0:
        return level
    if level - background < 3.0:
        raise ValueError("nearer than 3 dB: an upper bound, which the demonstration does not have")
    return 10.0 * math.log10(10.0 ** (level / 10.0) - 10.0 ** (background / 10.0))


def energy_mean(levels: list[float], durations: list[float]) -> float:
    """10 lg of the mean of 10^(L/10), each over its time."""
    energy = math.fsum(time * 10.0 ** (level / 10.0) for level, time in zip(levels, durations, strict=True))
    return 10.0 * math.log10(energy / math.fsum(durations))


def loudness(package: Package) -> Iterator[Own]:
    """Each place in each run: the mean by energy, U from the meter and the scatter of the readings.

    A fault of the meter shifts a level and its background alike, and so the result by the same. The scatter of the mean
    is that of the corrected levels over the root of their number.
    """
    places = {row["place"]: row for row in package.rows("sound/places.csv")}
    rows = package.rows("sound/levels.csv")
    for name, run, attempt in dict.fromkeys((row["place"], row["run"], row["attempt"]) for row in rows):
        mine = [row for row in rows if (row["place"], row["run"], row["attempt"]) == (name, run, attempt)]
        place = places[name]
        number = _number(package, mine)
        more = ABOVE if place["above_propellers"] == "yes" and place["space"] in ACCOMMODATION else 0.0
        about = ("VIB-11", "sound level", name, run, int(attempt))
        of_class = CLASS[place["space"]][place["comfort"]] + more
        set_by = agreed(package, *about[:3])
        short = any(float(row["duration [s]"]) < 15.0 for row in mine)
        yield judged(about, number, set_by or Limit(high=of_class), rows=rows_of(mine), doubt=short)
        ends = Limit(high=of_class if set_by else SHIPS[place["space"]])
        yield judged(about, number, ends, role="reference", rows=rows_of(mine), doubt=short)


def _number(package: Package, rows: list[Row]) -> Value:
    levels = [
        without(float(row["level [dB]"]), float(row["background [dB]"]) if row["background [dB]"] else None)
        for row in rows
    ]
    u = standard(package.instrument(rows[0]["instrument"], "sound level"))
    scatter = stdev(levels) / math.sqrt(len(levels))
    value = energy_mean(levels, [float(row["duration [s]"]) for row in rows])
    return figure(value, "dB", *few(u, scatter, len(levels) - 1))
