"""Levels from the spectra: VIB-01, VIB-02, VIB-06, VIB-08, VIB-09 and VIB-10."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from tests.again.common_rules import Limit, Own, Package, Row, Value, standard
from tests.again.drive_rules import NO_LIMIT, K, agreed, figure, judged, rows_of
from tests.again.vibration_records import Array, Record, all_records, band_sum, weighting
from tests.again.vibration_sources import BLADE_RATE, Source, sources
from tests.again.vibration_trial import condition, is_good, setting

SPACES = {  # mm/s, LR Special Service Craft rules, part 3 chapter 6, tables 6.3.2 and 6.3.3, read in a public copy
    "cabin or lounge": {"1": 1.8, "2": 2.0, "3": 2.5},
    "public space": {"1": 2.5, "2": 2.9, "3": 3.3},
    "open deck": {"1": 2.5, "2": 3.2, "3": 3.8},
    "crew accommodation or wheelhouse": {"none": 3.5},
    "crew work space": {"none": 5.0},
}
ABOVE = 0.3  # mm/s more right above the propellers, note to table 6.3.2
PEOPLE = {  # mm/s, ISO 6954:2000 clause 7, table 1: below, adverse comments are not probable
    "cabin or lounge": 2.0,
    "public space": 2.0,
    "crew accommodation or wheelhouse": 3.0,
    "crew work space": 4.0,
}
ZONES = {  # mm/s, ISO 10816-1:1995 annex B: upper ends of the zones A, B, C, second-hand
    "I": (0.71, 1.8, 4.5),
    "II": (1.12, 2.8, 7.1),
    "III": (1.8, 4.5, 11.2),
    "IV": (2.8, 7.1, 18.0),
}
INNER = (1.259, 63.1)  # Hz: where ISO 8041-1 lets a meter be off by some 10 %; outside by some 20 %


def weighted(record: Record) -> float:
    """Weighted vibration [mm/s]: 0.028 s times the weighted acceleration, over all lines."""
    frequency, density = record.spectrum
    return 28.0 * math.sqrt(float((density * weighting(frequency) ** 2).sum() * record.step))


def velocity(record: Record) -> tuple[Array, Array]:
    """Frequencies and density of the unweighted velocity [(mm/s)2/Hz]: acceleration over 2 pi f, from 1 Hz on."""
    frequency, density = record.spectrum
    slow = frequency < 1.0
    turned = np.where(slow, 1.0, 2.0 * math.pi * frequency)
    return frequency, np.where(slow, 0.0, 1e6 * density / turned**2)


def level(record: Record, low: float, high: float) -> float:
    """Unweighted r.m.s. velocity between two frequencies [mm/s]."""
    return math.sqrt(band_sum(*velocity(record), low, high, record.step))


def chain(package: Package, record: Record) -> float:
    """Standard uncertainty of the measuring chain as a share of the level: its certificate is in per cent."""
    return standard(package.instrument(record.row["instrument"], record.row["quantity"])) / 100.0


def two_meters(record: Record) -> float:
    """Standard uncertainty, as a share, for two honest meters that differ.

    They may differ by 10 % inside the inner band and by 20 % outside; each counts with its share of the weighted mean
    square. All within that is alike, so over sqrt 3.
    """
    frequency, density = record.spectrum
    felt = density * weighting(frequency) ** 2
    inside = band_sum(frequency, felt, *INNER, record.step) / float(felt.sum() * record.step)
    return (0.10 * inside + 0.20 * (1.0 - inside)) / math.sqrt(3.0)


def positions(package: Package) -> dict[str, Row]:
    """The positions by id."""
    return {row["position"]: row for row in package.rows("vibration/positions.csv")}


def comfort(package: Package) -> Iterator[Own]:
    """VIB-01 and VIB-02: every record where people are, against the class table and beside it ISO 6954."""
    for record in all_records(package):
        row, place = record.row, positions(package)[record.row["position"]]
        if place["space"] == "machine":
            continue
        above = place["above_propellers"] == "yes"
        check = "VIB-02" if above else "VIB-01"
        about = (check, "weighted vibration", row["position"], condition(package, row), int(row["attempt"]))
        value = weighted(record)
        number = figure(value, "mm/s", K * value * math.hypot(chain(package, record), two_meters(record)))
        of_class = SPACES[place["space"]][place["comfort"]] + (ABOVE if above else 0.0)
        people = PEOPLE.get(place["space"])
        set_by = agreed(package, *about[:3])
        more: dict[str, Any] = {"rows": rows_of([row]), "doubt": not is_good(record)}
        yield judged(about, number, set_by or Limit(high=of_class), **more)
        beside = of_class if set_by else people
        if beside is not None:
            yield judged(about, number, Limit(high=beside), role="reference", **more)


def together(package: Package) -> dict[tuple[str, str, str], list[Record]]:
    """The records of each position, run and attempt: one for each direction."""
    found: dict[tuple[str, str, str], list[Record]] = {}
    for record in all_records(package):
        row = record.row
        found.setdefault((row["position"], row["run"], row["attempt"]), []).append(record)
    return found


def blade_band(found: list[Source], step: float) -> tuple[float, float]:
    """From the lowest to the highest of the shafts, with three lines to either side or what the speed leaves unsure."""
    around = [max(3.0 * step, one.share * one.frequency) for one in found]
    pairs = list(zip(found, around, strict=True))
    return min(one.frequency - room for one, room in pairs), max(one.frequency + room for one, room in pairs)


def blades(package: Package) -> Iterator[Own]:
    """VIB-06: the unweighted level at blade rate, its double and its triple, of the strongest direction."""
    for (position, run, attempt), records in together(package).items():
        if positions(package)[position]["space"] == "machine":
            continue
        for multiple in (1, 2, 3):
            kind = BLADE_RATE if multiple == 1 else f"{multiple} × {BLADE_RATE}"
            ends = blade_band([one for one in sources(package, run) if one.what == kind], records[0].step)
            strongest = max(records, key=lambda one: level(one, *ends))
            value = level(strongest, *ends)
            quantity = f"level at {kind}"
            about = ("VIB-06", quantity, position, f"{setting(package, run)}, run {run}", int(attempt))
            number = figure(value, "mm/s", K * value * chain(package, strongest))
            wanted = agreed(package, *about[:3]) or NO_LIMIT
            doubt = not all(is_good(one) for one in records)
            yield judged(about, number, wanted, rows=rows_of(one.row for one in records), doubt=doubt)


def machines(package: Package) -> Iterator[Own]:
    """VIB-10: velocity from 10 Hz to 1000 Hz against the end of the zone for long service, B."""
    for record in all_records(package):
        row, place = record.row, positions(package)[record.row["position"]]
        if place["space"] != "machine":
            continue
        about = ("VIB-10", "machine vibration", row["position"], condition(package, row), int(row["attempt"]))
        value = level(record, 10.0, 1000.0)
        number = figure(value, "mm/s", K * value * chain(package, record))
        ends = ZONES[place["machine_class"]]
        zone = next((name for name, end in zip("ABC", ends, strict=True) if value <= end), "D")
        words = f"zone {zone} of class {place['machine_class']}"
        wanted = agreed(package, *about[:3]) or Limit(high=ends[1])
        yield judged(about, number, wanted, observed=words, rows=rows_of([row]), doubt=not is_good(record))


def ratio(package: Package, over: Record, under: Record, on_machine: bool) -> Value:
    """One level over another; each brings its own share of the chain, and root sum of squares."""
    levels = [level(one, 10.0, 1000.0) if on_machine else weighted(one) for one in (over, under)]
    value = levels[0] / levels[1]
    return figure(value, "1", K * value * math.hypot(chain(package, over), chain(package, under)))


def sides(package: Package) -> Iterator[Own]:
    """VIB-08: port over starboard, same direction and run; of several attempts the last counts."""
    y = {row["place"]: float(row["y [m]"]) for row in package.rows("places.csv") if row["y [m]"]}
    last: dict[tuple[str, str, str], Record] = {}
    for record in sorted(all_records(package), key=lambda one: int(one.row["attempt"])):
        last[record.row["position"], record.row["axis"], record.row["run"]] = record
    for port, place in positions(package).items():
        if not place["mirror"] or y[port] > 0.0:
            continue
        for (position, axis, run), record in last.items():
            other = last.get((place["mirror"], axis, run))
            if position != port or other is None:
                continue
            about = ("VIB-08", "vibration ratio port to starboard", port, condition(package, record.row), 1)
            number = ratio(package, record, other, place["space"] == "machine")
            doubt = not (is_good(record) and is_good(other))
            yield judged(about, number, NO_LIMIT, rows=rows_of([record.row, other.row]), doubt=doubt)


def again(package: Package) -> Iterator[Own]:
    """VIB-09: the last attempt over the first, at one position, direction and setting."""
    groups: dict[tuple[str, str, str], list[Record]] = {}
    for record in all_records(package):
        row = record.row
        groups.setdefault((row["position"], row["axis"], setting(package, row["run"])), []).append(record)
    for (position, axis, name), records in groups.items():
        first, last = (pick(records, key=lambda one: int(one.row["attempt"])) for pick in (min, max))
        if first.row["attempt"] == last.row["attempt"]:
            continue
        about = ("VIB-09", "vibration ratio after to before", position, f"{axis}, {name}", int(last.row["attempt"]))
        number = ratio(package, last, first, positions(package)[position]["space"] == "machine")
        doubt = not (is_good(first) and is_good(last))
        yield judged(about, number, NO_LIMIT, rows=rows_of([last.row, first.row]), doubt=doubt)
