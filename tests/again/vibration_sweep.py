"""Humps over the speed: VIB-07."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, takewhile

from tests.again.common_rules import Own, Package, Row, standard
from tests.again.drive_rules import K, rows_of, worded
from tests.again.vibration_sources import enumerated

Point = tuple[float, float, float]  # speed [r/min], level [mm/s], U [mm/s]
RULE = "no speed she is used at lies on a hump"


@dataclass(frozen=True)
class Hump:
    """The top of a hump, and the nearest speeds to either side that are clearly lower."""

    speed: float
    level: float
    start: float
    end: float


def humps(points: Sequence[Point]) -> list[Hump]:
    """Levels from which it falls to both sides by more than the uncertainty before it rises above them again."""
    found = []
    for at, (speed, level, U) in enumerate(points):
        below = takewhile(lambda point, top=level: point[1] < top, reversed(points[:at]))  # type: ignore[misc]
        above = takewhile(lambda point, top=level: point[1] <= top, points[at + 1 :])  # type: ignore[misc]
        start = next((one for one, low, _ in below if level - low > U), None)
        end = next((one for one, low, _ in above if level - low > U), None)
        if start is not None and end is not None:
            found.append(Hump(speed, level, start, end))
    return found


def sweeps(package: Package) -> Iterator[Own]:
    """The humps of each sweep, for information; and, where the builder set the rule, the speeds she is used at."""
    rows = package.rows("vibration/sweep.csv")
    rule = any(one["check"] == "VIB-07" and one["rule"] == RULE for one in package.hull["rules"])
    for position, axis in dict.fromkeys((row["position"], row["axis"]) for row in rows):
        mine = [row for row in rows if (row["position"], row["axis"]) == (position, axis)]
        points = sorted(_point(package, row) for row in mine)
        found = humps(points)
        words = _words(points, found)
        about = ("VIB-07", "humps over the speed", position, axis, 1)
        yield worded(about, "information", observed=words, rows=rows_of(mine))
        if not rule:
            raise ValueError("the demonstration sets the rule of VIB-07")
        told, met = _used_at(package, points, found)
        about = ("VIB-07", "speeds she is used at", position, axis, 1)
        verdict = {True: "pass", False: "fail", None: "inconclusive"}[met]
        yield worded(about, verdict, observed=told, rows=rows_of(mine))


def _point(package: Package, row: Row) -> Point:
    U = K * standard(package.instrument(row["instrument"], "weighted vibration"))
    return float(row["shaft_speed [rpm]"]), float(row["level [mm/s]"]), U


def _words(points: Sequence[Point], found: Sequence[Hump]) -> str:
    over = f"readings from {points[0][0]:g} r/min to {points[-1][0]:g} r/min"
    if not found:
        return f"no hump in {over}"
    tops = enumerated([f"{one.speed:g} r/min ({one.level:.2f} mm/s)" for one in found])
    return f"{len(found)} {'hump' if len(found) == 1 else 'humps'}, at {tops}"


def _used_at(package: Package, points: Sequence[Point], found: Sequence[Hump]) -> tuple[str, bool | None]:
    """Each setting of the trial beside the sweep; steps of more than 10 % show nothing of what lies between."""
    shafts = package.rows("trial/shafts.csv")
    speeds: dict[str, list[float]] = {}
    for run in package.rows("trial/runs.csv"):
        of_run = [float(row["shaft_speed [rpm]"]) for row in shafts if row["run"] == run["run"]]
        speeds.setdefault(run["setting"], []).extend(of_run)
    steps = [(one[0], other[0]) for one, other in pairwise(points)]
    narrow = [(low, high) for low, high in steps if high - low <= 0.10 * high]
    told, on, unseen = [], False, False
    for name, several in sorted(speeds.items(), key=lambda pair: sorted(pair[1])):
        low, high = f"{min(several):.0f} r/min", f"{max(several):.0f} r/min"
        hump = next((one for speed in sorted(several) for one in found if one.start < speed < one.end), None)
        seen = all(any(low <= speed <= high for low, high in narrow) for speed in several)
        state = (
            f"on the hump at {hump.speed:g} r/min" if hump else "clear of humps" if seen else "not covered by the sweep"
        )
        on, unseen = on or hump is not None, unseen or (hump is None and not seen)
        told.append(f"{name}, {low if low == high else f'{low} to {high}'}: {state}")
    return "; ".join(told), False if on else None if unseen else True
