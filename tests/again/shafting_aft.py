"""Bearings in the water and stocks of the rudders again: SHA-06 to SHA-09, from the package alone."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tests.again.common_rules import REFERENCE, Limit, Own, Package
from tests.again.drive_rules import NO_LIMIT, above, agreed, figure, judged, rows_of, worded
from tests.again.shafting_line import about, shafts, u_of

CHART = {38.1: (0.10, 0.23), 50.8: (0.13, 0.25), 63.5: (0.13, 0.28)}  # mm: an owner's post that quotes a chart, weak
SHARE = Limit(1.0, 2.0)  # mm/m: posts of tradesmen on a forum, weak
INCH, FOOT = 25.4, 304.8  # mm
PSI, POUND = 6894.757293168361, 0.45359237  # Pa, kg


def clearances(package: Package) -> Iterator[Own]:
    """SHA-06: clearance beside the nearest line of a chart, and as a share of the diameter beside another figure."""
    for row in package.rows("shafting/bearings.csv"):
        d, gap = float(row["shaft_diameter [mm]"]), float(row["clearance [mm]"])
        U = 2.0 * u_of(package, row, "feeler", "gap")
        line = Limit(*CHART[min(CHART, key=lambda size: abs(size - d))])
        for quantity, unit, scale, beside in (
            ("bearing clearance", "mm", 1.0, line),
            ("bearing clearance, of the shaft diameter", "mm/m", 1000.0 / d, SHARE),
        ):
            number = figure(scale * gap, unit, scale * U)
            key = about("SHA-06", quantity, row)
            yield judged(key, number, agreed(package, *key[:3]) or NO_LIMIT, rows=rows_of([row]))
            yield judged(key, number, above(beside), role=REFERENCE, rows=rows_of([row]))


def spacings(package: Package) -> Iterator[Own]:
    """SHA-07: the critical length L = sqrt(3.21 D / n) (E / rho)^(1/4), in in, psi, lb/in3 and ft (two public pages).

    It stands beside the builder's own limit, or judges where he set none, beside 20 to 40 diameters.
    """
    for row in package.rows("shafting/bearings.csv"):
        shaft = shafts(package)[row["shaft"]]
        d = float(row["shaft_diameter [mm]"])
        psi = float(shaft["modulus [MPa]"]) * 1e6 / PSI
        pounds = float(shaft["density [kg/m3]"]) / POUND * (INCH / 1000.0) ** 3
        most = FOOT * math.sqrt(3.21 * d / INCH / float(shaft["speed [rpm]"])) * (psi / pounds) ** 0.25
        number = figure(float(row["spacing [mm]"]), "mm", 2.0 * u_of(package, row, "tape", "length"))
        key, here = about("SHA-07", "bearing spacing", row), rows_of([row, shaft])
        own, critical = agreed(package, *key[:3]), above(Limit(high=most))
        yield judged(key, number, own or critical, rows=here)
        yield judged(key, number, critical if own else Limit(20.0 * d, 40.0 * d), role=REFERENCE, rows=here)


def grooves(package: Package) -> Iterator[Own]:
    """SHA-08: the grooves as counted."""
    for row in package.rows("shafting/bearings.csv"):
        for quantity, head in (("along the bearing", "along"), ("round the bearing", "around")):
            number = figure(float(row[head]), "1", kind="counted")
            yield judged(about("SHA-08", f"water grooves {quantity}", row), number, NO_LIMIT, rows=rows_of([row]))


def stocks(package: Package) -> Iterator[Own]:
    """SHA-09: in the slot the pressure grows from the middle to the rim, so T = p d^2 L / 6; welds for comparison."""
    shown = {row["file"]: row["place"] for row in package.rows("photographs.csv")}
    for row in package.rows("shafting/rudder_stocks.csv"):
        here = rows_of([row])
        T, d, length = 1000.0 * float(row["torque [Nm]"]), float(row["diameter [mm]"]), float(row["slot [mm]"])
        plate, throat = float(row["plate [mm]"]), float(row["throat [mm]"])
        u = u_of(package, row, "calliper", "length")
        pressure = 6.0 * T / d**2 / length
        number = figure(pressure, "MPa", 2.0 * pressure * math.hypot(2.0 * u / d, u / length))
        key = about("SHA-09", "side pressure in the slot", row)
        yield judged(key, number, agreed(package, *key[:3]) or NO_LIMIT, rows=here)
        for quantity, stress in (
            ("stress in two welds without a slot", T / (plate + throat) / throat / length),
            ("stress in a ring of weld without a slot", T / (d / 2.0) / (math.pi * d * throat)),
        ):
            counted = figure(stress, "MPa", kind="counted")
            yield judged(about("SHA-09", quantity, row), counted, NO_LIMIT, rows=here)
        picture = row["photograph"]
        assert shown[picture] == row["part"]
        yield worded(about("SHA-09", "picture of the slot", row), "pass", picture, here)
        welds = about("SHA-09", "weld inspection", row)
        if row["weld_record"]:
            assert row["welds_sound"] == "yes"
            yield worded(welds, "pass", f"{row['inspected']}, {row['weld_record']}", here)
        else:
            yield worded(welds, "no record", "", here)
