"""Which class a propeller meets: PRO-05, from every value of its pitch and of its blades as it was left."""

from __future__ import annotations

from collections.abc import Iterator

from tests.again.common_rules import Limit, Own, Package, Row, Value, standard
from tests.again.drive_rules import WORSE, figure, judged, rows_of, worded
from tests.again.propeller_blades import BLADES, SECTIONS, both, rows_as_of, section_numbers, steps
from tests.again.propeller_classes import (
    ANGLE,
    BLADE,
    CLASSES,
    LOCAL,
    RADIUS,
    RAKE,
    ROUGH,
    TIP,
    TRACK,
    WHOLE,
    meets,
    minima_apply,
    window,
)
from tests.again.propeller_pitch import BladePitch, as_of, attempts, design, propellers, whole

PITCH = "propeller/pitch.csv"
Against = tuple[str, Value, tuple[float, float]]
SECTIONS_ASKED = {  # radii [%] that each class asks for, besides one near the hub: ISO 484-2:1981, second-hand
    "S": (40, 50, 60, 70, 80, 90, 95),
    "I": (40, 50, 60, 70, 80, 90, 95),
    "II": (50, 70, 90),
    "III": (50, 70, 90),
}


def pitches(package: Package, name: str, order: Row, attempt: int) -> tuple[list[Against], list[Row]]:
    """Every pitch of a propeller: each step, radius and blade, and the whole."""
    drawn, pitch = design(package, name, "pitch [mm]"), float(order["pitch [mm]"])
    blades = [BladePitch(package, name, *one) for one in as_of(package, PITCH, name, attempt).items()]
    means, mean, rows = whole(package, name, attempt)
    found = [(LOCAL, p, drawn[r]) for one in blades for r, p in one.local()]
    found += [(RADIUS, p, drawn[r]) for one in blades for r, p in one.by_radius().items()]
    found += [*((BLADE, p, pitch) for p in means.values()), (WHOLE, mean, pitch)]
    return [(quantity, figure(p.value, "mm", 2.0 * p.u), (aim, aim)) for quantity, p, aim in found], rows


def shapes(package: Package, name: str, order: Row, attempt: int) -> tuple[list[Against], list[Row]]:
    """Everything else that was read of its blades."""
    diameter = float(order["diameter [mm]"])
    evenly = 360.0 / int(order["blades"])
    placed, sections = (rows_as_of(package, table, name, attempt) for table in (BLADES, SECTIONS))
    found: list[Against] = []
    for one, other in steps(placed):
        step = (float(other["angle [deg]"]) - float(one["angle [deg]"])) % 360.0
        found.append((ANGLE, figure(step, "deg", 2.0 * both(package, one, "blade angle")), (evenly, evenly)))
        along = float(other["axial [mm]"]) - float(one["axial [mm]"])
        found.append((TRACK, figure(along, "mm", 2.0 * both(package, one, "axial position")), (0.0, diameter)))
    for row in placed:
        for quantity, value, aim, instrument in (
            (
                RAKE,
                float(row["axial [mm]"]) - float(order["axial [mm]"]),
                diameter,
                (row["instrument"], "axial position"),
            ),
            (TIP, float(row["tip_radius [mm]"]) - diameter / 2.0, diameter / 2.0, (row["instrument"], "tip radius")),
            (ROUGH, float(row["roughness [um]"]), 0.0, (row["roughness_tester"], "roughness")),
        ):
            found.append((quantity, figure(value, "mm", 2.0 * standard(package.instrument(*instrument))), (0.0, aim)))
    found += [(quantity, number, aim) for row in sections for _, quantity, number, aim in section_numbers(package, row)]
    return found, placed + sections


def radii_read(package: Package, name: str, attempt: int) -> set[float]:
    """The radii [%] at which the pitch of every blade was read, as it was left."""
    state = as_of(package, PITCH, name, attempt).items()
    return set.intersection(*(set(BladePitch(package, name, *one).sections) for one in state))


def class_met(values: list[Against], minima: bool, radii: set[float]) -> str:
    """The highest class that every value lies in, among those whose radii were read."""
    for accuracy in CLASSES:
        enough = radii >= set(SECTIONS_ASKED[accuracy]) and any(r < min(SECTIONS_ASKED[accuracy]) for r in radii)
        if enough and all(meets(number.value, quantity, accuracy, *aim, minima) for quantity, number, aim in values):
            return f"class {accuracy}"
    return "no class"


def verdict_of(values: list[Against], accuracy: str, minima: bool) -> str:
    """The agreed class: the worst of all values against it. A value outside is a fail, however near."""
    gravest = "pass"
    for quantity, number, aim in values:
        ends = window(quantity, accuracy, *aim, minima)
        own = judged(("", "", "", "", 1), number, Limit(*(ends or ())))
        verdict = {"conditional fail": "fail", "information": "pass"}.get(own.verdict, own.verdict)
        gravest = max(gravest, verdict, key=WORSE.index)
    return gravest


def accuracy_findings(package: Package) -> Iterator[Own]:
    """PRO-05: the class of the pitch, and that of everything together."""
    for name, order in propellers(package).items():
        last = max(attempts(package, table, name)[-1] for table in (PITCH, BLADES, SECTIONS))
        minima = minima_apply(order)
        radii = radii_read(package, name, last)
        pitch, pitch_rows = pitches(package, name, order, last)
        shape, shape_rows = shapes(package, name, order, last)
        for quantity, values, rows in (
            ("accuracy class of the pitch", pitch, pitch_rows),
            ("accuracy class", pitch + shape, pitch_rows + shape_rows),
        ):
            verdict = verdict_of(values, order["accuracy"], minima)
            met = class_met(values, minima, radii)
            yield worded(("PRO-05", quantity, name, "", last), verdict, observed=met, rows=rows_of(rows))
