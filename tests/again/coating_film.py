"""COA-08, 10, 11, 12, 13 and 16 again: what was measured on the finished film, and on the laminate before it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import colour
import numpy as np

from tests.again import published
from tests.again.coating_work import painted, place
from tests.again.common_rules import (
    Key,
    Limit,
    Own,
    Package,
    Part,
    Row,
    Value,
    both,
    combined,
    judged,
    mean,
    scatter,
)
from tests.again.laminate_tested import above_dry, grouped

PRINTED = published.COATING


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    own: dict[Key, Own] = {}
    for made in (_film, _pull_off, _cross_cut, _gloss, _appearance, _colour, _laminate):
        own |= made(package)
    return own


def _film(package: Package) -> dict[Key, Own]:
    """COA-08 by the 80/20 rule of ISO 19840, which hull.toml names: mean, smallest, share below nominal, largest.

    Readings taken on purpose at thin spots count as single readings only.
    """
    assert package.rule("COA-08") == "iso-19840"
    own: dict[Key, Own] = {}
    for (zone, attempt), rows in grouped(package.rows("coating/film_thickness.csv"), "zone", "attempt").items():
        nominal = package.specified("COA-08", "nominal film thickness", zone)
        assert nominal is not None
        assert nominal.low is not None
        gauge = package.parts(rows[0].text("instrument"), "film thickness")
        single = [row.value("thickness") for row in rows]
        planned = [row.value("thickness") for row in rows if row.text("extra") == "no"]
        below = 100 * sum(value < nominal.low for value in planned) / len(planned)
        results = {
            "mean film thickness": (combined(mean(planned), [*gauge, scatter(planned)]), Limit(low=nominal.low)),
            "smallest film thickness": (combined(min(single), gauge), Limit(low=0.8 * nominal.low)),
            "largest film thickness": (combined(max(single), gauge), Limit(high=nominal.high)),
            "share below nominal": (Value(below, kind="counted"), Limit(high=20.0, high_strict=True, guard=0)),
        }
        for quantity, (value, limit) in results.items():
            own[Key("COA-08", quantity, zone, attempt=int(attempt))] = judged(value, limit)
    return own


def _pull_off(package: Package) -> dict[Key, Own]:
    """COA-10, dollies: F/(πd²/4) (ISO 4624); the letters say which published figure stands beside it."""
    own: dict[Key, Own] = {}
    for row in package.rows("coating/pull_off.csv"):
        force, dolly = row.value("force"), row.value("dolly")
        stress = force / (math.pi * dolly**2 / 4)
        u_force = package.standard(row.text("instrument"), "force")
        u_dolly = row.value("dolly_tolerance") / math.sqrt(3)
        shares = _fracture(row.text("fracture"))
        kind = "at least" if shares["glue"] > 50 else "measured"
        value = combined(stress, [Part(stress * u_force / force), Part(2 * stress * u_dolly / dolly)], kind)
        printed = published.PULL_OFF_BETWEEN_LAYERS if shares["adhesive"] >= 60 else published.PULL_OFF_INSIDE_A_LAYER
        key = Key("COA-10", "pull-off strength", row.text("zone"), row.text("specimen"), int(row.value("attempt")))
        seen = (row.text("fracture"), row.text("on"))
        own |= both(key, value, package.specified("COA-10", key.quantity, key.place), printed, seen)
    return own | _untested(package)


def _fracture(letters: str) -> dict[str, float]:
    """Shares [%] that tore inside a layer, between layers, and in or at the glue: symbols of ISO 4624."""
    shares = {"cohesive": 0.0, "adhesive": 0.0, "glue": 0.0}
    for share, symbol in re.findall(r"(\d+) % (\S+?)(?:,|$)", letters):
        shares["glue" if "Y" in symbol else "adhesive" if "/" in symbol else "cohesive"] += float(share)
    assert sum(shares.values()) == 100
    return shares


def _untested(package: Package) -> dict[Key, Own]:
    """Painted zones with a planned pull-off that was not made, or with no test of adhesion at all."""
    own = {}
    pulled = {row.text("zone") for row in package.rows("coating/pull_off.csv")}
    cut = {row.text("zone") for row in package.rows("coating/cross_cut.csv")}
    planned = {row.text("place") for row in package.rows("plan.csv") if row.text("record") == "coating/pull_off.csv"}
    for zone in painted(package):
        if zone not in pulled and (zone in planned or zone not in cut):
            key = Key("COA-10", "pull-off strength", zone)
            own[key] = Own("not measured", limit=package.specified("COA-10", key.quantity, zone))
    return own


def _cross_cut(package: Package) -> dict[Key, Own]:
    """COA-10, lattices: the class of ISO 2409 as read."""
    own: dict[Key, Own] = {}
    for row in package.rows("coating/cross_cut.csv"):
        assert row.text("scale") == "ISO 2409"
        key = Key("COA-10", "cross-cut class", row.text("zone"), f"cut {row.text('number')}", int(row.value("attempt")))
        value = Value(row.value("rating"), kind="counted")
        own |= both(key, value, package.specified("COA-10", key.quantity, key.place), PRINTED["COA-10", key.quantity])
    return own


def _mean_of(package: Package, rows: Sequence[Row], column: str, quantity: str) -> Value:
    """The mean of some readings with gauge and scatter; without an instrument nobody stated an uncertainty."""
    readings = [row.value(column) for row in rows]
    if not rows[0].text("instrument"):
        return Value(mean(readings))
    return combined(mean(readings), [*package.parts(rows[0].text("instrument"), quantity), scatter(readings)])


def _gloss(package: Package) -> dict[Key, Own]:
    """COA-11: mean gloss of a zone at each angle."""
    own: dict[Key, Own] = {}
    for (zone, attempt, angle), rows in grouped(package.rows("coating/gloss.csv"), "zone", "attempt", "angle").items():
        key = Key("COA-11", f"gloss at {angle}°", zone, attempt=int(attempt))
        limit = package.specified("COA-11", key.quantity, zone, place(package, zone).text("visibility"))
        own |= both(key, _mean_of(package, rows, "gloss", "gloss"), limit, PRINTED.get(("COA-11", key.quantity)))
    return own


def _appearance(package: Package) -> dict[Key, Own]:
    """COA-12: mean image and orange peel, most dust of a sample area; the limits go by how closely a zone is seen."""
    own: dict[Key, Own] = {}
    for (zone, attempt), rows in grouped(package.rows("coating/appearance.csv"), "zone", "attempt").items():
        seen = place(package, zone).text("visibility")
        for quantity, column in (("distinctness of image", "image"), ("orange peel", "orange_peel")):
            read = [row for row in rows if row.number(column) is not None]
            key = Key("COA-12", quantity, zone, attempt=int(attempt))
            if read:
                value = _mean_of(package, read, column, quantity)
                own |= both(key, value, package.specified("COA-12", quantity, zone, seen), None)
        key = Key("COA-12", "dust inclusions", zone, attempt=int(attempt))
        dust = Value(max(grains for row in rows if (grains := row.number("dust")) is not None), kind="counted")
        own |= both(key, dust, package.specified("COA-12", key.quantity, zone, seen), PRINTED["COA-12", key.quantity])
    return own


def _lab(rows: Sequence[Row]) -> list[list[float]]:
    return [[row.value(column) for column in ("lightness", "red_green", "yellow_blue")] for row in rows]


def _difference(first: np.ndarray, second: np.ndarray) -> float:
    """CIEDE2000, by an independent library."""
    return float(colour.delta_E(first, second, method="CIE 2000"))


def _colour(package: Package) -> dict[Key, Own]:
    """COA-13: CIEDE2000 of the mean surface from the mean master, and the shift of b*.

    Both are differences of two means, so the scatter of either side counts (JCGM 100:2008, 5.1.2).
    """
    own: dict[Key, Own] = {}
    for (zone,), rows in grouped(package.rows("coating/colour.csv"), "zone").items():
        masters = np.array(_lab([row for row in rows if row.text("role") == "reference"]))
        surface = np.array(_lab([row for row in rows if row.text("role") == "sample"]))
        master, sample = masters.mean(axis=0), surface.mean(axis=0)
        meter = [Part(math.sqrt(2) * part.standard) for part in package.parts(rows[0].text("instrument"), "colour")]
        each = [_difference(master, one) for one in surface]
        of_master = [_difference(one, sample) for one in masters]
        key = Key("COA-13", "colour difference", zone)
        value = combined(_difference(master, sample), [*meter, scatter(each), scatter(of_master)])
        limit = package.specified("COA-13", key.quantity, zone, place(package, zone).text("visibility"))
        own |= both(key, value, limit, PRINTED["COA-13", key.quantity])
        key = Key("COA-13", "shift of b*", zone)
        shift = combined(
            float(sample[2] - master[2]), [*meter, scatter(surface[:, 2].tolist()), scatter(masters[:, 2].tolist())]
        )
        own |= both(key, shift, package.specified("COA-13", key.quantity, zone), None)
    return own


def _laminate(package: Package) -> dict[Key, Own]:
    """COA-16: the wettest reading above its dry reference, and the mean hardness, of each painted zone."""
    own: dict[Key, Own] = {}
    for (zone,), rows in grouped(package.rows("moisture.csv"), "place").items():
        if zone in painted(package):
            key = Key("COA-16", "moisture above dry reference", zone)
            own |= both(key, above_dry(package, rows), package.specified("COA-16", key.quantity, zone), None)
    for (zone, attempt), rows in grouped(package.rows("hardness.csv"), "place", "attempt").items():
        if zone in painted(package):
            key = Key("COA-16", "Barcol hardness", zone, attempt=int(attempt))
            value = _mean_of(package, rows, "barcol", "Barcol hardness")
            own |= both(key, value, package.specified("COA-16", key.quantity, zone), None)
    return own
