"""LAM-01, 02, 03, 05, 06 and 09 again: what the burned coupons say."""

from __future__ import annotations

import math
from collections import defaultdict

from tests.again import published
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
    deviation,
    fact,
    held,
    mean,
    scatter,
)

PRINTED = published.LAMINATE


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    own: dict[Key, Own] = {}
    for row in package.rows("laminate/burn_off.csv"):
        own |= _contents(package, row)
        own |= _record(package, row)
    for (zone, skin), rows in skins(package).items():
        own |= _mean(package, zone, skin, rows)
        count = Value(float(len(rows)), kind="counted")
        limit = PRINTED["LAM-09", "specimens of the skin"]
        key = Key("LAM-09", "specimens of the skin", zone, skin)
        own |= both(key, count, package.specified("LAM-09", key.quantity, zone, skin), limit)
    return own


def skins(package: Package) -> dict[tuple[str, str], list[Row]]:
    """The last burn of each coupon, by zone and skin."""
    last: dict[str, Row] = {}
    for row in package.rows("laminate/burn_off.csv"):
        other = last.get(row.text("coupon"))
        if other is None or row.value("attempt") > other.value("attempt"):
            last[row.text("coupon")] = row
    found = defaultdict(list)
    for row in last.values():
        found[row.text("zone"), row.text("skin")].append(row)
    return found


def glass(row: Row) -> float:
    """Glass content [% by mass]: residue less crucible, over specimen (ISO 1172, method A)."""
    return 100 * (row.value("residue") - row.value("crucible")) / (row.value("full") - row.value("crucible"))


def glass_parts(package: Package, row: Row) -> list[Part]:
    """Three weighings with the crucible in both differences, and the change on heating again as a rectangular bound.

    With W the content as a share and d the specimen: 1/d for the residue, W/d for the full crucible, (1 - W)/d for the
    empty one (JCGM 100:2008, 5.1.2).
    """
    u = package.standard(row.text("balance"), "mass")
    specimen = row.value("full") - row.value("crucible")
    share = glass(row) / 100
    weighings = [Part(100 * factor * u / specimen) for factor in (1.0, share, 1.0 - share)]
    return [*weighings, Part(100 * abs(row.value("residue") - row.value("reheated")) / math.sqrt(3) / specimen)]


def not_glass_alone(package: Package, row: Row) -> bool:
    """Whether what was weighed was not glass alone: still burning, gelcoat left on, or a filler."""
    limit = package.specified("LAM-09", "change on heating again", row.text("zone"))
    change = 1000 * abs(row.value("residue") - row.value("reheated"))
    most = (limit or PRINTED["LAM-09", "change on heating again"]).high
    assert most is not None
    return change > most or row.text("gelcoat") == "left on" or row.text("filled") == "yes"


def _key(row: Row, check: str, quantity: str) -> Key:
    return Key(check, quantity, row.text("zone"), row.text("coupon"), int(row.value("attempt")))


def _specified(package: Package, key: Key, skin: str) -> Limit | None:
    return package.specified(key.check, key.quantity, key.place, skin)


def _contents(package: Package, row: Row) -> dict[Key, Own]:
    """LAM-01, 03, 05 and 06 of one burn; none is judged where what was weighed was not glass alone."""
    found: dict[Key, Own] = {}
    skin, doubt = row.text("skin"), not_glass_alone(package, row)
    key = _key(row, "LAM-01", "glass content by mass")
    found |= both(key, combined(glass(row), glass_parts(package, row)), _specified(package, key, skin), None)
    key = _key(row, "LAM-03", "void content")
    voids = _voids(package, row)
    limits = _specified(package, key, skin), PRINTED["LAM-03", "void content"]
    if voids is None:
        found[key] = Own("not measured", limit=_from_zero(limits[0] or limits[1]))
    else:
        found |= both(key, voids, _from_zero(limits[0]) if limits[0] else None, limits[1])
    key = _key(row, "LAM-05", "residue for the area")
    found |= both(key, _residue(package, row), _specified(package, key, skin), _half_a_ply(package, row))
    key = _key(row, "LAM-06", "thickness against its own glass")
    found |= both(key, _against_glass(package, row), _specified(package, key, skin), None)
    found = {key: held(result, doubt) for key, result in found.items()}
    key = _key(row, "LAM-06", "skin thickness")
    thickness = combined(row.value("thickness"), package.parts(row.text("caliper"), "length"))
    return found | both(key, thickness, _specified(package, key, skin), _window(package, row))


def _from_zero(limit: Limit) -> Limit:
    """No void content is below zero."""
    return Limit(limit.low, limit.high, guard=limit.guard, natural_low=0.0)


def _mean(package: Package, zone: str, skin: str, rows: list[Row]) -> dict[Key, Own]:
    """LAM-02: the mean of a skin; Student's t for the scatter, or with fewer than three coupons the published one."""
    contents = [glass(row) for row in rows]
    count = len(contents)
    weighings = Part(math.sqrt(sum(part.standard**2 for row in rows for part in glass_parts(package, row))) / count)
    few = count < published.FEWEST_COUPONS
    odd = count > 1 and deviation(contents) > published.CHANCE * published.SPREAD_OF_PLATES
    spread = Part(published.SPREAD_OF_PLATES / math.sqrt(count)) if few and not odd else scatter(contents)
    key = Key("LAM-02", "mean glass content", zone, skin)
    own = both(key, combined(mean(contents), [spread, weighings]), _specified(package, key, skin), None)
    doubt = any(not_glass_alone(package, row) for row in rows)
    return {key: held(result, doubt) for key, result in own.items()}


def density(row: Row) -> float | None:
    """Density [g/cm³] by weighing in air and in water (ISO 1183-1 method A, ASTM D792)."""
    air, water = row.number("in_air"), row.number("in_water")
    return None if air is None or water is None else air * published.tanaka(row.value("water")) / (air - water)


def _density_part(package: Package, row: Row) -> float:
    """Standard uncertainty of that density from its two weighings."""
    u, air, water = package.standard(row.text("balance"), "mass"), row.value("in_air"), row.value("in_water")
    return u * published.tanaka(row.value("water")) * math.hypot(air, water) / (air - water) ** 2


def material(package: Package, name: str) -> Row:
    """A material by its id."""
    (row,) = [row for row in package.rows("laminate/materials.csv") if row.text("material") == name]
    return row


def schedule(package: Package, zone: str, skin: str) -> list[Row]:
    """The plies of a skin, counted from the mould."""
    rows = [
        row for row in package.rows("laminate/schedule.csv") if (row.text("zone"), row.text("skin")) == (zone, skin)
    ]
    return sorted(rows, key=lambda row: row.value("ply"))


def densities(package: Package, row: Row) -> tuple[Row, Row]:
    """Glass and cured resin of a coupon's schedule."""
    plies = schedule(package, row.text("zone"), row.text("skin"))
    return material(package, plies[0].text("material")), material(package, plies[0].text("resin"))


def _known(row: Row) -> float:
    return row.value("density_uncertainty") / row.value("coverage")


def _voids(package: Package, row: Row) -> Value | None:
    """Voids [% of the volume]: what is neither glass nor resin (ASTM D3171, method I), with U after the GUM."""
    rho, content = density(row), glass(row)
    if rho is None:
        return None
    of_glass, resin = densities(package, row)
    rho_f, rho_m = of_glass.value("density"), resin.value("density")
    fibres, matrix = content * rho / rho_f, (100 - content) * rho / rho_m
    voids = 100 - fibres - matrix
    content_u = math.hypot(*(part.standard for part in glass_parts(package, row)))
    parts = [
        Part((100 - voids) / rho * _density_part(package, row)),
        Part(rho * abs(1 / rho_f - 1 / rho_m) * content_u),
        Part(fibres / rho_f * _known(of_glass)),
        Part(matrix / rho_m * _known(resin)),
    ]
    return combined(voids, parts)


def _fabrics(package: Package, row: Row) -> tuple[dict[str, float], list[Part], float]:
    """What each material of the skin leaves [g/m²], how well that is known, and what the lightest ply leaves.

    All plies of one fabric come off one roll, so their tolerance counts together; it is a rectangular bound.
    """
    left: dict[str, float] = defaultdict(float)
    lightest = math.inf
    for ply in schedule(package, row.text("zone"), row.text("skin")):
        fabric = material(package, ply.text("material"))
        leaves = fabric.value("weight") * (1 - fabric.value("loss") / 100)
        left[fabric.text("material")] += leaves
        lightest = min(lightest, leaves)
    parts = [
        Part(mass * material(package, name).value("tolerance") / 100 / math.sqrt(3)) for name, mass in left.items()
    ]
    return left, parts, lightest


def _residue(package: Package, row: Row) -> Value:
    """LAM-05: residue over area [g/m²]; the fabrics' tolerance is part of U."""
    length, width = row.value("length") / 1000, row.value("width") / 1000
    mass = row.value("residue") - row.value("crucible")
    u_mass = package.standard(row.text("balance"), "mass")
    u_side = package.standard(row.text("caliper"), "length") / 1000
    weighing = Part(u_mass / (length * width))
    result = mass / (length * width)
    sides = [Part(result * u_side / length), Part(result * u_side / width)]
    return combined(result, [weighing, weighing, *sides, *_fabrics(package, row)[1]])


def _half_a_ply(package: Package, row: Row) -> Limit:
    """LAM-05: what the schedule leaves, give or take half of its lightest ply; to whole grams, inwards."""
    left, _, lightest = _fabrics(package, row)
    whole = sum(left.values())
    return Limit(float(math.ceil(whole - lightest / 2)), float(math.floor(whole + lightest / 2)))


def _window(package: Package, row: Row) -> Limit:
    """LAM-06: thickness from the dry weight of each ply at the thick and the thin end (ISO 12215-5:2008, Eq. C.1)."""
    ends = [0.0, 0.0]
    for ply in schedule(package, row.text("zone"), row.text("skin")):
        fabric = material(package, ply.text("material"))
        for end, content in enumerate(published.GLASS_OF_PLY[fabric.text("kind")]):
            ends[end] += fabric.value("weight") / 1000 / 3.072 * (2.56 / (content / 100) - 1.36)
    return Limit(ends[1], ends[0])


def _against_glass(package: Package, row: Row) -> Value:
    """LAM-06: measured thickness over that which follows from the glass of the schedule [%].

    With a density: the glass w of the area is the share psi of a plate of density rho, so t = w / (psi rho). This is
    the formula with voids, in which both densities cancel. Without one no voids are assumed.
    """
    left, tolerances, _ = _fabrics(package, row)
    weight, share, thick = sum(left.values()), glass(row) / 100, row.value("thickness")
    content = math.hypot(*(part.standard for part in glass_parts(package, row))) / 100
    u_thick = package.standard(row.text("caliper"), "length")
    u_weight = math.hypot(*(part.standard for part in tolerances))
    rho = density(row)
    if rho is not None:
        ratio = 100 * thick / (weight / (1000 * share * rho))
        parts = [content / share, _density_part(package, row) / rho]
    else:
        of_glass, resin = densities(package, row)
        rho_f, rho_m = of_glass.value("density"), resin.value("density")
        volume = 1 / rho_f + (1 - share) / (share * rho_m)
        ratio = 100 * thick / (weight / 1000 * volume)
        parts = [content / share**2 / rho_m / volume, _known(of_glass) / rho_f**2 / volume]
        parts.append(_known(resin) * (1 - share) / share / rho_m**2 / volume)
    relative = [*parts, u_thick / thick, u_weight / weight]
    return combined(ratio, [Part(ratio * part) for part in relative])


def _record(package: Package, row: Row) -> dict[Key, Own]:
    """LAM-09: the record of one burn against its method."""
    zone = row.text("zone")
    u_mass = package.standard(row.text("balance"), "mass")
    change = 1000 * abs(row.value("residue") - row.value("reheated"))
    values = {
        "specimen mass": combined(row.value("full") - row.value("crucible"), [Part(u_mass), Part(u_mass)]),
        "furnace temperature": combined(
            row.value("furnace"), package.parts(row.text("thermometer"), "furnace temperature")
        ),
        "change on heating again": combined(change, [Part(1000 * u_mass), Part(1000 * u_mass)]),
    }
    own: dict[Key, Own] = {}
    for quantity, value in values.items():
        key = _key(row, "LAM-09", quantity)
        own |= both(key, value, package.specified("LAM-09", quantity, zone), PRINTED["LAM-09", quantity])
    without = row.text("gelcoat") in ("ground off", "none there") and row.text("filled") == "no"
    said = (f"gelcoat {row.text('gelcoat')}", "no mineral filler")
    own[_key(row, "LAM-09", "gelcoat and filler")] = fact(without, *said)
    return own
