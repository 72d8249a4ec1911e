"""Where the blades stand, how thick and long they are, their tips and their surface: PRO-06 to PRO-11."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tests.again.common_rules import Own, Package, Row, Value, standard
from tests.again.drive_rules import NO_LIMIT, agreed, figure, judged, rows_of, worst
from tests.again.propeller_classes import ANGLE, LENGTH, RAKE, ROUGH, THICK, THIN, TIP, TRACK, set_against
from tests.again.propeller_pitch import as_of, attempts, design, of_the_radius, propellers, with_rows

BLADES, SECTIONS = "propeller/blades.csv", "propeller/blade_sections.csv"


def rows_as_of(package: Package, table: str, propeller: str, attempt: int) -> list[Row]:
    """The rows of a table as the propeller stood after an attempt: each blade with its last one up to then."""
    state = as_of(package, table, propeller, attempt)
    return [
        row
        for row in package.rows(table)
        if row["propeller"] == propeller and state.get(row["blade"]) == int(row["attempt"])
    ]


def both(package: Package, row: Row, quantity: str) -> float:
    """The standard uncertainty of the difference of two readings of one instrument, each with its own."""
    return math.sqrt(2.0) * standard(package.instrument(row["instrument"], quantity))


def steps(rows: list[Row]) -> list[tuple[Row, Row]]:
    """Each blade with the next in the turn, the last with the first."""
    turn = sorted(rows, key=lambda row: float(row["angle [deg]"]))
    return list(zip(turn, [*turn[1:], turn[0]], strict=True))


def angles(package: Package, propeller: str, order: Row, attempt: int) -> tuple[list[Own], list[Row]]:
    """PRO-06: the angle from each blade to the next, and from the last back to the first; together 360 degrees."""
    rows = rows_as_of(package, BLADES, propeller, attempt)
    evenly = 360.0 / int(order["blades"])
    found = []
    for one, other in steps(rows):
        step = float(other["angle [deg]"]) - float(one["angle [deg]"])
        step = step + 360.0 if step <= 0.0 else step
        number = figure(step, "deg", 2.0 * both(package, one, "blade angle"))
        about = ("PRO-06", ANGLE, propeller, "", attempt)
        words = f"{one['blade']} to {other['blade']}"
        found.append(set_against(package, order, about, number, (evenly, evenly), observed=words))
    return found, rows


def track(package: Package, propeller: str, order: Row, attempt: int) -> tuple[list[Own], list[Row]]:
    """PRO-09, from blade to blade: the axial position less that of the blade before. The base is the diameter."""
    rows = rows_as_of(package, BLADES, propeller, attempt)
    found = []
    for one, other in steps(rows):
        number = figure(
            float(other["axial [mm]"]) - float(one["axial [mm]"]), "mm", 2.0 * both(package, one, "axial position")
        )
        about = ("PRO-09", TRACK, propeller, "", attempt)
        words = f"{one['blade']} to {other['blade']}"
        found.append(set_against(package, order, about, number, (0.0, float(order["diameter [mm]"])), observed=words))
    return found, rows


def turn_findings(package: Package) -> Iterator[Own]:
    """PRO-06 and the track of PRO-09: the worst step of each propeller after each attempt."""
    for name, order in propellers(package).items():
        diameter = float(order["diameter [mm]"])
        evenly = 360.0 / int(order["blades"])
        for attempt in attempts(package, BLADES, name):
            for found, rows, aim in (
                (*angles(package, name, order, attempt), (evenly, evenly)),
                (*track(package, name, order, attempt), (0.0, diameter)),
            ):
                yield from with_rows(order, worst([(own, aim[0]) for own in found])[0], aim, rows)


def single_findings(package: Package) -> Iterator[Own]:
    """PRO-09 against the drawing, PRO-10 and PRO-11: one row is one finding."""
    for row in package.rows(BLADES):
        order = propellers(package)[row["propeller"]]
        diameter = float(order["diameter [mm]"])
        about = (row["propeller"], row["blade"], int(row["attempt"]))
        rake = float(row["axial [mm]"]) - float(order["axial [mm]"])
        tip = float(row["tip_radius [mm]"]) - diameter / 2.0
        for check, quantity, value, unit, aim, instrument in (
            ("PRO-09", RAKE, rake, "mm", (0.0, diameter), (row["instrument"], "axial position")),
            ("PRO-10", TIP, tip, "mm", (0.0, diameter / 2.0), (row["instrument"], "tip radius")),
            ("PRO-11", ROUGH, float(row["roughness [um]"]), "um", (0.0, 0.0), (row["roughness_tester"], "roughness")),
        ):
            number = figure(value, unit, 2.0 * standard(package.instrument(*instrument)))
            own = set_against(package, order, (check, quantity, *about), number, aim)
            yield from with_rows(order, own, aim, [row])


def section_numbers(package: Package, row: Row) -> Iterator[tuple[str, str, Value, tuple[float, float]]]:
    """Check, quantity, deviation from the drawing, design and base of one section row."""
    order, radius = propellers(package)[row["propeller"]], float(row["radius [%]"])
    thickness = design(package, row["propeller"], "thickness [mm]")[radius]
    length = design(package, row["propeller"], "length [mm]")[radius]
    u_t = standard(package.instrument(row["instrument"], "blade thickness"))
    u_l = standard(package.instrument(row["tape"], "section length"))
    off = figure(float(row["thickness [mm]"]) - thickness, "mm", 2.0 * u_t)
    yield "PRO-07", THIN, off, (0.0, thickness)
    yield "PRO-07", THICK, off, (0.0, thickness)
    share = float(order["diameter [mm]"]) / int(order["blades"])  # base of a length: D / Z, from memory of the standard
    yield "PRO-08", LENGTH, figure(float(row["length [mm]"]) - length, "mm", 2.0 * u_l), (0.0, share)


def section_findings(package: Package) -> Iterator[Own]:
    """PRO-07 and the lengths of PRO-08: the worst radius of each blade at each attempt."""
    rows = package.rows(SECTIONS)
    for name, blade, attempt in dict.fromkeys((row["propeller"], row["blade"], row["attempt"]) for row in rows):
        mine = [row for row in rows if (row["propeller"], row["blade"], row["attempt"]) == (name, blade, attempt)]
        order = propellers(package)[name]
        found: dict[str, list[tuple[Own, tuple[float, float]]]] = {}
        for row in mine:
            for check, quantity, number, aim in section_numbers(package, row):
                about = (check, quantity, name, blade, int(attempt))
                words = of_the_radius(float(row["radius [%]"]))
                own = set_against(package, order, about, number, aim, observed=words)
                found.setdefault(quantity, []).append((own, aim))
        for several in found.values():
            shown, _ = worst([(own, aim[0]) for own, aim in several])
            yield from with_rows(order, shown, next(aim for own, aim in several if own is shown), mine)


def cups(package: Package) -> Iterator[Own]:
    """PRO-08, the cup: at each radius the deepest less the shallowest of the blades; the largest of these is shown.

    No class limits it. Both readings have their own uncertainty.
    """
    for name in propellers(package):
        for attempt in attempts(package, SECTIONS, name):
            rows = [row for row in rows_as_of(package, SECTIONS, name, attempt) if row["cup [mm]"]]
            spreads = []
            for radius in dict.fromkeys(float(row["radius [%]"]) for row in rows):
                here = [row for row in rows if float(row["radius [%]"]) == radius]
                low, high = (pick(here, key=lambda row: float(row["cup [mm]"])) for pick in (min, max))
                words = f"{of_the_radius(radius)}, {low['blade']} and {high['blade']}"
                spreads.append((float(high["cup [mm]"]) - float(low["cup [mm]"]), words))
            value, words = max(spreads, key=lambda one: one[0])
            u = math.sqrt(2.0) * standard(package.instrument(rows[0]["cup_gauge"], "cup drop"))
            about = ("PRO-08", "cup from blade to blade", name, "", attempt)
            ends = agreed(package, *about[:3]) or NO_LIMIT
            yield judged(about, figure(value, "mm", 2.0 * u), ends, observed=words, rows=rows_of(rows))
