"""Balance, room and slip: PRO-12, PRO-15 and PRO-16."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from tests.again.common_rules import Limit, Own, Package, Row, Value, standard
from tests.again.drive_rules import NO_LIMIT, above, agreed, figure, judged, rows_of
from tests.again.propeller_pitch import attempts, propellers, whole

STATIC = {"S": (15.0, 0.0005), "I": (25.0, 0.001), "II": (40.0, 0.001), "III": (75.0, 0.001)}  # C and K, from memory
ORDINARY = 6.3  # mm/s: the grade of ordinary yacht propellers, common practice
USUAL_GAP = 15.0  # % of the diameter, common practice
KNOT = 1852.0 / 60.0  # metres in a minute


def balance(package: Package) -> Iterator[Own]:
    """PRO-12: residual at its radius as a grade, and for the balance at rest as a mass at the blade tip.

    G = U * omega / (1000 m), U in g mm, m in kg, omega = 2 pi n / 60 (ISO 21940-11). One of two planes carries half
    of the whole (annex of the same, from memory), so that its grade is that of twice its residual. At rest, ISO 484-2
    allows min(C m / (R N^2), K m) at the tip [kg; m in kg, R in m, N in r/min].
    """
    for row in package.rows("propeller/balance.csv"):
        order = propellers(package)[row["propeller"]]
        about = (row["propeller"], row["way"], int(row["attempt"]))
        residual, at, mass, speed = (
            float(row[head]) for head in ("residual [g]", "radius [mm]", "mass [kg]", "speed [rpm]")
        )
        u = standard(package.instrument(row["instrument"], "residual mass"))
        planes = 2.0 if row["way"].startswith("dynamic") else 1.0
        grade = planes * at * (2.0 * math.pi * speed / 60.0) / (1000.0 * mass)  # mm/s for one gram
        number = figure(residual * grade, "mm/s", 2.0 * u * grade)
        more: dict[str, Any] = {"observed": f"at {speed:g} r/min", "rows": rows_of([row])}
        set_by = agreed(package, "PRO-12", "balance grade", *about[:2])
        governing = set_by or Limit(high=ORDINARY)
        yield judged(("PRO-12", "balance grade", *about), number, above(governing), **more)
        if set_by:
            yield judged(
                ("PRO-12", "balance grade", *about), number, above(Limit(high=ORDINARY)), role="reference", **more
            )
        if row["way"] == "static":
            tip = float(order["diameter [mm]"]) / 2.0
            c, k = STATIC[order["accuracy"]]
            allowed = 1000.0 * min(c * mass / (tip / 1000.0 * speed**2), k * mass)
            number = figure(residual * at / tip, "g", 2.0 * u * at / tip)
            yield judged(
                ("PRO-12", "unbalance at the blade tip", *about),
                number,
                above(Limit(high=allowed)),
                rows=rows_of([row]),
            )


def room(package: Package) -> Iterator[Own]:
    """PRO-15: gaps as shares of the diameter, against practice and against the recommendation of a class society.

    K = (0.1 + L / 3050) (2.56 C_b P / L^2 + 0.3) for two screws, 3.48 for one; L in m, P in kW on one shaft. Five
    blades: 0.85 K of the diameter, at the tip never less than 16 %, to the bracket never less than 15 %. Source: LR
    Special Service Craft rules, part 3, chapter 3, table 3.3.2, public copies.
    """
    shares = {3: (1.20, 20.0, 1.20), 4: (1.00, 20.0, 1.20), 5: (0.85, 16.0, 0.85), 6: (0.75, 16.0, 0.75)}
    drives = {row["propeller"]: row for row in package.rows("propeller/drives.csv")}
    orders = propellers(package)
    for row in package.rows("propeller/clearances.csv"):
        order, drive = orders[row["propeller"]], drives[row["propeller"]]
        diameter = float(order["diameter [mm]"])
        length, block, power = (float(drive[head]) for head in ("rule_length [m]", "block", "power [kW]"))
        constant = 2.56 if len(orders) > 1 else 3.48
        K = (0.1 + length / 3050.0) * (constant * block * power / length**2 + 0.3)
        tip, tip_least, bracket = shares[int(order["blades"])]
        found = float(row["uncertainty [mm]"]) / 2.0  # as the one who measured states it, at k = 2
        u = math.hypot(standard(package.instrument(row["instrument"], "distance")), found)
        for quantity, head, usual, advice in (
            ("tip clearance", "tip [mm]", Limit(low=USUAL_GAP), max(100.0 * tip * K, tip_least)),
            ("clearance to the bracket", "bracket [mm]", NO_LIMIT, max(100.0 * bracket * K, 15.0)),
        ):
            number = figure(100.0 * float(row[head]) / diameter, "%", 2.0 * 100.0 * u / diameter)
            about = ("PRO-15", quantity, row["propeller"], "", int(row["attempt"]))
            ends = agreed(package, *about[:3]) or usual
            yield judged(about, number, above(ends), rows=rows_of([row]))
            yield judged(about, number, above(Limit(low=advice)), role="reference", rows=rows_of([row]))


def there_and_back(runs: list[Row]) -> tuple[list[Row], list[Row]]:
    """The runs on the course of the first and those on the opposite one, both within 15 degrees (the book says so)."""
    first = float(runs[0]["course [deg]"])

    def off(run: Row, course: float) -> float:
        return abs((float(run["course [deg]"]) - course + 180.0) % 360.0 - 180.0)

    return [run for run in runs if off(run, first) <= 15.0], [run for run in runs if off(run, first + 180.0) <= 15.0]


def slip_of(package: Package, propeller: str, runs: list[Row]) -> tuple[Value, dict[str, float], list[Row]]:
    """The mean slip of some runs [%] with the parts of its standard uncertainty, and the rows.

    The mean of the two courses counts, each the mean of its runs. Slip = 1 - V / V0, V0 = P n / (1852 / 60) [kn; P in
    m, n in r/min]. The receiver, the speed meter and the bench may err alike in all runs, so their parts are means
    and not smaller for two runs.
    """
    shafts = {(row["run"], row["propeller"]): row for row in package.rows("trial/shafts.csv")}
    last = attempts(package, "propeller/pitch.csv", propeller)[-1]
    pitch = whole(package, propeller, last)[1]
    values, parts = [], {"speed": 0.0, "shaft": 0.0, "pitch": 0.0}
    rows = []
    ways = [way for way in there_and_back(runs) if way]
    for run, weight in ((run, 1.0 / len(way) / len(ways)) for way in ways for run in way):
        shaft = shafts[run["run"], propeller]
        turns, speed = float(shaft["shaft_speed [rpm]"]), float(run["speed [kn]"])
        without = pitch.value / 1000.0 * turns / KNOT
        share = speed / without
        values.append(weight * 100.0 * (1.0 - share))
        u_v = standard(package.instrument(run["instrument"], "speed over ground"))
        u_n = standard(package.instrument(shaft["instrument"], "shaft speed"))
        parts["speed"] += 100.0 * u_v / without * weight
        parts["shaft"] += 100.0 * share * u_n / turns * weight
        parts["pitch"] += 100.0 * share * pitch.u / pitch.value * weight
        rows += [run, shaft]
    U = 2.0 * math.hypot(*parts.values())
    return figure(math.fsum(values), "%", U), parts, rows


def slips(package: Package) -> Iterator[Own]:
    """PRO-16: apparent slip of each side at each setting, and port less starboard.

    One course alone lets wind and current in: inconclusive. In the difference the speed over ground is the same for
    both sides and its error cancels but for a hundredth of itself; it is left out.
    """
    runs = package.rows("trial/runs.csv")
    orders = propellers(package)
    by_side = {row["side"]: name for name, row in orders.items()}
    for setting in dict.fromkeys(run["setting"] for run in runs):
        mine = [run for run in runs if run["setting"] == setting]
        doubt = not there_and_back(mine)[1]
        found = {name: slip_of(package, name, mine) for name in orders}
        for name, (number, _, rows) in found.items():
            ends = agreed(package, "PRO-16", "apparent slip", name, setting) or NO_LIMIT
            yield judged(("PRO-16", "apparent slip", name, setting, 1), number, ends, rows=rows_of(rows), doubt=doubt)
        port, starboard = found[by_side["port"]], found[by_side["starboard"]]
        U = 2.0 * math.hypot(*(side[1][part] for side in (port, starboard) for part in ("shaft", "pitch")))
        quantity = "slip, port less starboard"
        ends = agreed(package, "PRO-16", quantity, "", setting) or NO_LIMIT
        number = figure(port[0].value - starboard[0].value, "%", U)
        about = ("PRO-16", quantity, "", setting, 1)
        yield judged(about, number, ends, rows=rows_of(port[2] + starboard[2]), doubt=doubt)
