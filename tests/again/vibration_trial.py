"""Records and conditions on trial: VIB-03 and VIB-04."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tests.again.common_rules import Limit, Own, Package, Row
from tests.again.drive_rules import figure, judged, rows_of, worded
from tests.again.vibration_records import Array, Record, all_records, band_sum, weighting


def setting(package: Package, run: str) -> str:
    """The engine setting of a run, in the yard's word."""
    return next(row["setting"] for row in package.rows("trial/runs.csv") if row["run"] == run)


def condition(package: Package, row: Row) -> str:
    """Direction, setting and run of a record, as a finding names them."""
    return f"{row['axis']}, {setting(package, row['run'])}, run {row['run']}"


def longest_equal(samples: Array) -> int:
    """The largest number of equal samples in a row."""
    edges = np.flatnonzero(np.diff(samples) != 0.0)
    ends = np.concatenate([[-1], edges, [len(samples) - 1]])
    return int(np.diff(ends).max())


def at_an_end(samples: Array) -> int:
    """The largest number of samples in a row at the largest or at the smallest value."""
    found = 0
    for end in (samples.max(), samples.min()):
        run = 0
        for here in samples == end:
            run = run + 1 if here else 0
            found = max(found, run)
    return found


def slow_share(record: Record) -> float:
    """The share of the weighted mean square below 2 Hz."""
    frequency, density = record.spectrum
    felt = density * weighting(frequency) ** 2
    return band_sum(frequency, felt, 0.0, 2.0, record.step) / float(felt.sum() * record.step)


def faults(record: Record) -> list[str]:
    """What is wrong with a record, by rule.

    A minute, or two where more than 20 % of what is felt lies below 2 Hz; 512 samples a second; fewer than three equal
    samples at an end; no stretch of more than 0.25 s that stands still; field checks within 5 %.
    """
    least = 120.0 if slow_share(record) > 0.20 else 60.0
    checks = [float(record.row[head]) for head in ("checked_before [%]", "checked_after [%]")]
    found = {
        "length": record.duration < least,
        "rate": record.rate < 512.0,
        "ends": at_an_end(record.samples) >= 3,
        "signal": longest_equal(record.samples) > 0.25 * record.rate,
        "field check": any(abs(one) > 5.0 for one in checks),
    }
    return [name for name, wrong in found.items() if wrong]


_GOOD: dict[tuple[str, int, float], bool] = {}


def is_good(record: Record) -> bool:
    """Whether a record is good enough to speak from; what rests on another is inconclusive at best."""
    key = (record.row["row"], len(record.samples), float(np.abs(record.samples).sum()))
    if key not in _GOOD:
        _GOOD[key] = not faults(record)
    return _GOOD[key]


def unlike(record: Record, others: list[Record]) -> bool:
    """Whether it lasts another time than the records that the same chain started with it, by more than 1 %."""
    beside = [
        one.duration
        for one in others
        if (one.row["instrument"], one.row["at"]) == (record.row["instrument"], record.row["at"])
    ]
    usual = sorted(beside)[len(beside) // 2]
    return not math.isclose(record.duration, usual, rel_tol=0.01)


def quality(package: Package) -> Iterator[Own]:
    """VIB-03: each record, sound or not; what is observed is its length and rate."""
    records = all_records(package)
    for record in records:
        row = record.row
        good = is_good(record) and not unlike(record, records)
        words = f"{record.duration:g} s at {record.rate:g} samples a second"
        name = f"{row['record']}, {condition(package, row)}"
        about = ("VIB-03", "quality of the record", row["position"], name, int(row["attempt"]))
        yield worded(about, "pass" if good else "fail", observed=words, rows=rows_of([row]))


def conditions(package: Package) -> Iterator[Own]:
    """VIB-04: the log of every run in which vibration was measured; counts, without a guard band.

    Deeper than five draughts, sea state 3, wind force 4, rudder 2 degrees at most (second-hand, ISO 4867); load and
    machines on record. What is not in the log: no record.
    """
    draught = float(package.hull["dimensions"]["draught"])
    measured = {row["run"] for row in package.rows("vibration/records.csv")}
    for run in package.rows("trial/runs.csv"):
        if run["run"] not in measured:
            continue
        name, rows = f"{run['setting']}, run {run['run']}", rows_of([run])
        for quantity, head, scale, unit, limit in (
            ("depth of water over her draught", "depth [m]", 1.0 / draught, "1", Limit(low=5.0)),
            ("sea state", "sea_state", 1.0, "1", Limit(high=3.0)),
            ("wind force", "wind_force", 1.0, "1", Limit(high=4.0)),
            ("rudder angle", "rudder [deg]", 1.0, "deg", Limit(high=2.0)),
        ):
            about = ("VIB-04", quantity, "", name, 1)
            if run[head]:
                yield judged(about, figure(float(run[head]) * scale, unit, kind="counted"), limit, rows=rows)
            else:
                yield worded(about, "no record", rows=rows, limit=limit)
        told = bool(run["load"] and run["running"])
        words = f"{run['load']}; {run['running']}" if told else ""
        verdict = "pass" if told else "no record"
        yield worded(("VIB-04", "load and machines", "", name, 1), verdict, observed=words, rows=rows)
