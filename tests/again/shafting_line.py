"""Shafts, keyways, run-out, tapers and couplings again: SHA-01 to SHA-05, from the package alone."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tests.again.common_rules import REFERENCE, Limit, Own, Package, Row, standard
from tests.again.drive_rules import NO_LIMIT, About, above, agreed, figure, judged, rows_of, worded

FILLET = Limit(low=1.25)  # % of the diameter: public notes on tail shafts
TORQUE = 0.05 / math.sqrt(3.0)  # of the torque at full power: a twentieth to either side (the book's own rule)
PER_METRE, AT_BEARING, AT_TAPER = Limit(high=0.05), Limit(high=0.13), Limit(high=0.05)  # common practice
CONTACT = Limit(low=70.0, natural_low=0.0, natural_high=100.0)  # a propeller shop's procedure
BY_EYE = 10.0  # points, common practice, taken as k = 2
FACES = Limit(high=1.0)  # mm/m: an engine maker's manual
AFLOAT = 24.0  # hours, the same manual


def shafts(package: Package) -> dict[str, Row]:
    """The shafts as drawn."""
    return {row["part"]: row for row in package.rows("shafting/shafts.csv")}


def u_of(package: Package, row: Row, by: str, quantity: str) -> float:
    """The standard uncertainty of a reading by the instrument that a column names."""
    return standard(package.instrument(row[by], quantity))


def about(check: str, quantity: str, row: Row) -> About:
    """What a finding is about."""
    return (check, quantity, row["part"], "", int(row["attempt"]))


def torque(shaft: Row) -> float:
    """Nm: power over angular speed."""
    return 1000.0 * float(shaft["power [kW]"]) / (math.pi * float(shaft["speed [rpm]"]) / 30.0)


def diameters(package: Package) -> Iterator[Own]:
    """SHA-01: the torque, times the service factor, brings the shaft to 2/3 of its yield in tension.

    Source: ABYC P-6, d^3 = 16 T SF / (pi St). TP 11717 and the class rule of the M68 type for information alone.
    """
    for row in package.rows("shafting/shaft_ends.csv"):
        shaft = shafts(package)[row["part"]]
        assert shaft["service"] == "yacht"
        most = 2.0 / 3.0 * float(shaft["tensile_yield [MPa]"]) / float(shaft["factor"])
        least = (16.0 * 1000.0 * torque(shaft) / (math.pi * most)) ** (1.0 / 3.0)
        number = figure(float(row["diameter [mm]"]), "mm", 2.0 * u_of(package, row, "micrometer", "diameter"))
        yield judged(about("SHA-01", "shaft diameter", row), number, above(Limit(low=least)), rows=rows_of([row]))
        for name, size in others(shaft):
            counted = figure(size, "mm", kind="counted")
            yield judged(about("SHA-01", name, row), counted, NO_LIMIT, rows=rows_of([shaft]))


def others(shaft: Row) -> Iterator[tuple[str, float]]:
    """What the two rules for other services ask for [mm]."""
    load = float(shaft["power [kW]"]) / float(shaft["speed [rpm]"])
    strength, propeller = float(shaft["strength [MPa]"]), float(shaft["propeller [mm]"])
    metal = max((414.0 / strength) ** (1.0 / 3.0), 0.85)
    overhang = min(0.0008 * propeller, 1.0) * propeller / 144.0
    yield "diameter by the rule for small passenger vessels", 106.41 * load ** (1.0 / 3.0) * metal + overhang
    credited = 560.0 / (min(strength, 600.0) + 160.0)
    yield "diameter by the class rule for seagoing ships", 126.0 * (load * credited) ** (1.0 / 3.0)


def keyways(package: Package) -> Iterator[Own]:
    """SHA-02: fillet as a share of the diameter; stress raisers by the curve of an end-milled seat; plain stress.

    K = 1.953 + 0.1434 u - 0.0021 u^2 in torsion with u = d / (10 r) (keyway charts, from memory); a sled-runner has 1.7
    in bending (a handbook table, from memory).
    """
    for row in package.rows("shafting/shaft_ends.csv"):
        assert row["keyway"] == "sled-runner"
        r, d = float(row["fillet [mm]"]), float(row["diameter [mm]"])
        u_r, u_d = u_of(package, row, "gauge", "radius"), u_of(package, row, "micrometer", "diameter")
        both = math.hypot(u_r / r, u_d / d)
        share, here = 100.0 * r / d, rows_of([row])
        yield judged(
            about("SHA-02", "fillet of the keyway, of the diameter", row),
            figure(share, "%", 2.0 * share * both),
            above(FILLET),
            observed="sled-runner",
            rows=here,
        )
        u = d / (10.0 * r)
        factor = 1.953 + 0.1434 * u - 0.0021 * u**2
        slope = abs(0.1434 - 0.0042 * u) * u
        raised = figure(factor, "1", 2.0 * slope * both)
        yield judged(about("SHA-02", "stress raiser of the keyway in torsion", row), raised, NO_LIMIT, rows=here)
        printed = figure(1.7, "1", kind="counted")
        yield judged(about("SHA-02", "stress raiser of the keyway in bending", row), printed, NO_LIMIT, rows=here)
        stress = 16.0 * 1000.0 * torque(shafts(package)[row["part"]]) / (math.pi * d**3)
        number = figure(stress, "MPa", 2.0 * stress * math.hypot(TORQUE, 3.0 * u_d / d))
        yield judged(about("SHA-02", "torsional stress at full torque", row), number, NO_LIMIT, rows=here)


def grouped(rows: list[Row]) -> dict[tuple[str, str], list[Row]]:
    """Rows by part and attempt."""
    found: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        found.setdefault((row["part"], row["attempt"]), []).append(row)
    return found


def run_outs(package: Package) -> Iterator[Own]:
    """SHA-03: at each station highest less lowest; the largest, also for each metre between the supports."""
    for (part, _), rows in grouped(package.rows("shafting/run_out.csv")).items():
        length = float(shafts(package)[part]["length [m]"])
        for quantity, kinds, scale, unit, limit in (
            ("run-out per metre", ("between", "bearing", "taper"), 1.0 / length, "mm/m", PER_METRE),
            ("run-out at a bearing", ("bearing",), 1.0, "mm", AT_BEARING),
            ("run-out at the taper", ("taper",), 1.0, "mm", AT_TAPER),
        ):
            mine = [row for row in rows if row["station"] in kinds]
            spans = {at: [float(r["reading [mm]"]) for r in mine if r["along [mm]"] == at]
                     for at in dict.fromkeys(row["along [mm]"] for row in mine)}  # fmt: skip
            for at in spans:
                quarters = {float(r["angle [deg]"]) for r in mine if r["along [mm]"] == at}
                assert quarters == {0.0, 90.0, 180.0, 270.0}, "not all the way round: it would settle nothing"
            widest = max(spans, key=lambda at: max(spans[at]) - min(spans[at]))
            value = max(spans[widest]) - min(spans[widest])
            u = math.sqrt(2.0) * u_of(package, mine[0], "instrument", "run-out")
            key, number = about("SHA-03", quantity, mine[0]), figure(scale * value, unit, 2.0 * scale * u)
            said, where, own = f"{float(widest):g} mm from the coupling", rows_of(mine), agreed(package, *key[:3])
            yield judged(key, number, own or above(limit), observed=said, rows=where)
            if own:
                yield judged(key, number, above(limit), role=REFERENCE, observed=said, rows=where)


def tapers(package: Package) -> Iterator[Own]:
    """SHA-04: taper from two diameters and a length, contact by eye, the hub on its mark."""
    for row in package.rows("shafting/shaft_ends.csv"):
        here = rows_of([row])
        fall = float(row["diameter [mm]"]) - float(row["small [mm]"])
        length = float(row["taper [mm]"])
        u_d, u_l = u_of(package, row, "micrometer", "diameter"), u_of(package, row, "calliper", "length")
        value = 1000.0 * fall / length
        U = 2.0 * math.hypot(1000.0 * u_d / length, 1000.0 * u_d / length, value * u_l / length)
        set_by = agreed(package, "SHA-04", "taper", row["part"]) or NO_LIMIT
        yield judged(about("SHA-04", "taper", row), figure(value, "mm/m", U), set_by, rows=here)
        seen = figure(float(row["contact [%]"]), "%", BY_EYE)
        yield judged(about("SHA-04", "blue contact", row), seen, CONTACT, rows=here)
        assert row["same_mark"] == "yes"
        words = "same mark with and without key"
        yield worded(about("SHA-04", "hub on its mark", row), "pass", words, here)


def faces(package: Package) -> Iterator[Own]:
    """SHA-05: tilt of the plane z = a x + b y + c through the four gaps; ashore or too soon it settles nothing.

    The plane is fitted by least squares, and U comes from the covariance of a and b.
    """
    for (part, _), rows in grouped(package.rows("shafting/couplings.csv")).items():
        gaps = {float(row["angle [deg]"]): float(row["gap [mm]"]) for row in rows}
        assert set(gaps) == {0.0, 90.0, 180.0, 270.0}
        flange = float(shafts(package)[part]["flange [mm]"]) / 1000.0
        rim = np.radians(list(gaps))
        plane = np.column_stack([0.5 * flange * np.sin(rim), 0.5 * flange * np.cos(rim), np.ones(len(rim))])
        slopes = np.linalg.lstsq(plane, np.array(list(gaps.values())), rcond=None)[0][:2]
        value = float(np.linalg.norm(slopes))
        covariance = u_of(package, rows[0], "instrument", "gap") ** 2 * np.linalg.inv(plane.T @ plane)[:2, :2]
        U = 2.0 * math.sqrt(float(slopes @ covariance @ slopes)) / value
        ashore = rows[0]["afloat"] == "no"
        hours = rows[0]["hours [h]"]
        state = "ashore" if ashore else f"afloat for {float(hours):g} h, {rows[0]['load']}"
        yield judged(
            about("SHA-05", "mismatch of the coupling faces", rows[0]),
            figure(value, "mm/m", U),
            above(FACES),
            doubt=ashore or float(hours) < AFLOAT,
            observed=state,
            rows=rows_of(rows),
        )
