"""The accuracy classes of ISO 484-2 as the pages of the book restate them, and how a value is set against one.

Source: ISO 484-2:1981, second-hand from two propeller makers' public pages (shares of pitch, thickness, length, rake,
angle); the least tolerances in mm of the pitch, those of the radius and the roughness are from memory, as the book
says.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.again.common_rules import REFERENCE, SAME, Limit, Own, Package, Row, Value
from tests.again.drive_rules import NO_LIMIT, agreed, judged

Ends = tuple[float | None, float | None]  # of a limit, the lower and the upper
CLASSES = ("S", "I", "II", "III")
SCOPE = 800.0  # mm: below this diameter ISO 484-2 does not apply, and its least tolerances only where they were agreed

LOCAL, RADIUS, BLADE, WHOLE = (
    "local pitch",
    "mean pitch at a radius",
    "mean pitch of a blade",
    "mean pitch of the propeller",
)
ANGLE, THIN, THICK = (
    "angle from blade to blade",
    "thinnest place against the design",
    "thickest place against the design",
)
LENGTH, RAKE, TRACK = (
    *("section length against the design", "axial position against the drawing", "axial position from blade to blade"),
)
TIP, ROUGH = "tip radius against the order", "surface roughness"

# share of the base [%] and least tolerance [mm], for the classes S, I, II, III; None: the class sets no limit
TOLERANCES: dict[str, tuple[tuple[float, float] | None, ...]] = {
    LOCAL: ((1.5, 10.0), (2.0, 15.0), (3.0, 20.0), None),
    RADIUS: ((1.0, 7.5), (1.5, 10.0), (2.0, 15.0), (5.0, 25.0)),
    BLADE: ((0.75, 5.0), (1.0, 7.5), (1.5, 10.0), (4.0, 20.0)),
    WHOLE: ((0.5, 4.0), (0.75, 5.0), (1.0, 7.5), (3.0, 15.0)),
    THIN: ((1.0, 1.0), (1.5, 1.5), (2.0, 2.0), (4.0, 4.0)),
    THICK: ((2.0, 2.0), (2.5, 2.5), (4.0, 4.0), (6.0, 6.0)),
    LENGTH: ((1.5, 7.0), (2.0, 10.0), (3.0, 13.0), (5.0, 15.0)),
    RAKE: ((0.5, 0.0), (1.0, 0.0), (1.5, 0.0), (3.0, 0.0)),
    TRACK: ((0.5, 0.0), (1.0, 0.0), (1.5, 0.0), (3.0, 0.0)),
    TIP: ((0.2, 1.5), (0.3, 1.5), (0.4, 2.0), (0.5, 2.5)),
}
FIXED = {ANGLE: (1.0, 1.0, 2.0, 2.0), ROUGH: (3.0, 6.0, 12.0, 25.0)}  # degrees; micrometres of Ra
ONE_SIDED = {THIN: (True, False), THICK: (False, True), ROUGH: (False, True)}  # which ends there are


def window(quantity: str, accuracy: str, design: float, base: float, minima: bool) -> Ends | None:
    """The two ends of a class for one value, in the unit of the value; None where the class sets no limit.

    The tolerance is a share of the base, and never less than the least one where that applies. A roughness has no
    design: its limit is the figure itself.
    """
    column = CLASSES.index(accuracy)
    if quantity in FIXED:
        around = FIXED[quantity][column]
    else:
        row = TOLERANCES[quantity][column]
        if row is None:
            return None
        around = row[0] / 100.0 * base
        around = max(around, row[1]) if minima else around
    lower, upper = ONE_SIDED.get(quantity, (True, True))
    return (design - around if lower else None, design + around if upper else None)


def minima_apply(propeller: Row) -> bool:
    """Whether the least tolerances count: as agreed in the order, else from 0.80 m of diameter on (common practice)."""
    if propeller["minima"]:
        return propeller["minima"] == "yes"
    return float(propeller["diameter [mm]"]) >= SCOPE


def meets(value: float, quantity: str, accuracy: str, design: float, base: float, minima: bool) -> bool:
    """Whether a value lies inside a class, its uncertainty left aside."""
    ends = window(quantity, accuracy, design, base, minima)
    if ends is None:
        return True
    low, high = ends
    slack = SAME * max(abs(one) for one in ends if one is not None)
    return (low is None or value >= low - slack) and (high is None or value <= high + slack)


def set_against(
    package: Package,
    propeller: Row,
    about: tuple[str, str, str, str, int],
    number: Value,
    aim: tuple[float, float],
    **more: Any,
) -> Own:
    """A value against what governs: hull.toml, else the class of the order. `aim` is its design and its base."""
    check, quantity, place, condition, _ = about
    limit = agreed(package, check, quantity, place, condition)
    if limit is None and propeller["accuracy"] != "none":
        limit = Limit(*(window(quantity, propeller["accuracy"], *aim, minima_apply(propeller)) or ()))
    return judged(about, number, limit or NO_LIMIT, **more)


def other_way(propeller: Row, shown: Own, aim: tuple[float, float]) -> list[Own]:
    """The same value with the standard read the other way, as a reference, where the class is not clearly met.

    Told only where the other way gives another limit.
    """
    if shown.verdict in ("pass", "information"):
        return []
    key = shown.key
    ends = window(key.quantity, propeller["accuracy"], *aim, not minima_apply(propeller))
    if shown.value is None or ends is None or (shown.limit and ends == (shown.limit.low, shown.limit.high)):
        return []
    about = (key.check, key.quantity, key.place, key.condition, key.attempt)
    own = judged(about, shown.value, Limit(*ends), role=REFERENCE)
    return [replace(own, observed=shown.observed, rows=shown.rows)]
