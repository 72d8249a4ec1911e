"""The same levels by another way: one transform of the whole record, without segments and without a window."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tests.again.common_rules import Package
from tests.again.vibration_levels import blade_band, positions, together
from tests.again.vibration_records import Array, Record, all_records, weighting
from tests.again.vibration_sources import BLADE_RATE, sources
from tests.again.vibration_trial import condition, setting

Level = tuple[tuple[str, str, str, str], float]  # check, quantity, place, condition; mm/s


def lines(record: Record) -> tuple[Array, Array]:
    """Frequencies [Hz] and mean squares [(m/s2)2] of the lines of a record: 2 |X/n|^2, not doubled at both ends.

    They add up to the mean square of the record without its mean (Parseval).
    """
    samples = record.samples - record.samples.mean()
    found: Array = 2.0 * np.abs(np.fft.rfft(samples) / len(samples)) ** 2
    found[0] /= 2.0
    if len(samples) % 2 == 0:
        found[-1] /= 2.0
    frequency = np.arange(len(found), dtype=np.float64) * (record.rate / len(samples))
    return np.asarray(frequency, dtype=np.float64), found


def weighted_whole(record: Record) -> float:
    """Weighted vibration [mm/s]."""
    frequency, square = lines(record)
    return 28.0 * math.sqrt(float((square * weighting(frequency) ** 2).sum()))


def level_whole(record: Record, low: float, high: float) -> float:
    """Unweighted r.m.s. velocity between two frequencies [mm/s]."""
    frequency, square = lines(record)
    inside = (frequency >= low) & (frequency <= high)
    return 1000.0 * math.sqrt(float((square[inside] / (2.0 * math.pi * frequency[inside]) ** 2).sum()))


def levels_whole(package: Package) -> Iterator[Level]:
    """The levels of VIB-01, VIB-02, VIB-06 and VIB-10."""
    for record in all_records(package):
        row, place = record.row, positions(package)[record.row["position"]]
        name = condition(package, row)
        if place["space"] == "machine":
            yield ("VIB-10", "machine vibration", row["position"], name), level_whole(record, 10.0, 1000.0)
        else:
            check = "VIB-02" if place["above_propellers"] == "yes" else "VIB-01"
            yield (check, "weighted vibration", row["position"], name), weighted_whole(record)
    for (position, run, _), records in together(package).items():
        for multiple in (1, 2, 3) if positions(package)[position]["space"] != "machine" else ():
            kind = BLADE_RATE if multiple == 1 else f"{multiple} × {BLADE_RATE}"
            ends = blade_band([one for one in sources(package, run) if one.what == kind], records[0].step)
            about = ("VIB-06", f"level at {kind}", position, f"{setting(package, run)}, run {run}")
            yield about, max(level_whole(one, *ends) for one in records)
