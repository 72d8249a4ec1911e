"""LAM-04, 07, 08, 10, 11 and 12 again: plies, hardness, strength, coverage, bond and the readings to start from."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Callable, Iterable

from scipy import stats

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
    judged,
    mean,
    scatter,
)
from tests.again.laminate_burned import glass, material, schedule, skins
from tests.again.laminate_theory import layers, stiffness

PRINTED = published.LAMINATE


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks, readings of a part that was replaced shown for information."""
    own: dict[Key, Own] = {}
    for made in (_plies, _hardness, _strength, _coverage, _bond, _looked_at, _thickness, _moisture):
        own |= made(package)
    return own


def grouped(rows: Iterable[Row], *heads: str) -> dict[tuple[str, ...], list[Row]]:
    """Rows by the words in some of their columns, in the order in which they come first."""
    found: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for row in rows:
        found[tuple(row.text(head) for head in heads)].append(row)
    return dict(found)


def zones(package: Package) -> list[str]:
    """Zones of the laminate: those with a lay-up schedule."""
    return list(dict.fromkeys(row.text("zone") for row in package.rows("laminate/schedule.csv")))


def _plies(package: Package) -> dict[Key, Own]:
    """LAM-04: both readers count what the schedule has; where they differ nothing is settled."""
    own = {}
    for (coupon, zone, skin), rows in grouped(
        package.rows("laminate/ply_counts.csv"), "coupon", "zone", "skin"
    ).items():
        plan = float(len(schedule(package, zone, skin)))
        counts = [row.value("counted") for row in rows]
        key = Key("LAM-04", "plies counted", zone, coupon)
        if len(set(counts)) > 1 or len(counts) < 2:
            said = " and ".join(f"{count:g}" for count in counts)
            own[key] = Own("inconclusive", limit=Limit(plan, plan), seen=(said,))
        else:
            own[key] = judged(Value(counts[0], kind="counted"), Limit(plan, plan))
    return own


def _hardness(package: Package) -> dict[Key, Own]:
    """LAM-07: the mean against its limit and 90 % of the maker's value; readings needed by table 1 of ASTM D2583."""
    own: dict[Key, Own] = {}
    for (place, attempt), rows in grouped(package.rows("hardness.csv"), "place", "attempt").items():
        if place not in zones(package):
            continue
        readings = [row.value("barcol") for row in rows]
        parts = [*package.parts(rows[0].text("instrument"), "Barcol hardness"), scatter(readings)]
        key = Key("LAM-07", "mean hardness", place, attempt=int(attempt))
        resin = material(
            package, next(r.text("resin") for r in package.rows("laminate/schedule.csv") if r.text("zone") == place)
        )
        least = Limit(low=published.SHARE_OF_HARDNESS * resin.value("hardness"))
        own |= both(key, combined(mean(readings), parts), package.specified("LAM-07", key.quantity, place), least)
        key = Key("LAM-07", "readings for the scatter", place, attempt=int(attempt))
        needed = Limit(low=float(readings_needed(mean(readings))))
        own[key] = judged(Value(float(len(readings)), kind="counted"), needed)
    return own


def readings_needed(level: float) -> int:
    """Readings for a mean as sure as the table's: a straight line between its levels, rounded up."""
    table = published.BARCOL_READINGS
    for (low, many), (high, few) in itertools.pairwise(table):
        if low <= level <= high:
            return math.ceil(many + (few - many) * (level - low) / (high - low) - 1e-9)
    raise ValueError(f"{level} lies outside the table")


def _stress(row: Row) -> tuple[float, float, float, float]:
    """Strength [MPa] and its change with force, width and thickness.

    F/(bh) pulled (ISO 527-4), 3FL/(2bh²) bent (ISO 14125 A), 3F/(4bh) for the short beam (ISO 14130).
    """
    force, width, thick = row.value("force"), row.value("width"), row.value("thickness")
    power = 2 if row.text("kind") == "flexure" else 1
    factor = {"tension": 1.0, "short beam": 0.75}.get(row.text("kind"), 1.5 * (row.number("span") or math.nan))
    strength = factor * force / width / thick**power
    return strength, strength / force, -strength / width, -power * strength / thick


def _design(strengths: list[float]) -> Callable[[list[float]], float]:
    """How the design value changes with a small change of every strength: of 0.9 mean, or of mean - 2 s."""
    if 0.9 * mean(strengths) <= mean(strengths) - 2 * deviation(strengths):
        return lambda changes: 0.9 * mean(changes)
    return lambda changes: lower(strengths, changes, 2.0)


def lower(strengths: list[float], changes: list[float], factor: float) -> float:
    """Change of mean - factor × s where every strength changes a little."""
    middle, shift = mean(strengths), mean(changes)
    product = math.fsum((s - middle) * (c - shift) for s, c in zip(strengths, changes, strict=True))
    return shift - factor * product / ((len(strengths) - 1) * deviation(strengths))


def _strength(package: Package) -> dict[Key, Own]:
    """LAM-08: design value, B-basis value and stiffness of each series."""
    own: dict[Key, Own] = {}
    for (series, zone), rows in grouped(package.rows("laminate/strength.csv"), "series", "zone").items():
        made = [_stress(row) for row in rows]
        strengths, count = [strength for strength, *_ in made], len(rows)
        shared = (
            package.standard(rows[0].text("machine"), "force"),
            package.standard(rows[0].text("caliper"), "length"),
            package.standard(rows[0].text("caliper"), "length"),
        )
        of_design = _design(strengths)
        nine_tenths = 0.9 * mean(strengths)
        less_two = mean(strengths) - 2 * deviation(strengths)
        sampling = (
            0.9 * scatter(strengths).standard
            if nine_tenths <= less_two
            else deviation(strengths) * math.sqrt(1 / count + 2 / (count - 1))
        )
        parts = [Part(abs(of_design([m[i + 1] for m in made])) * u) for i, u in enumerate(shared)]
        key = Key("LAM-08", "design value", zone, series)
        value = combined(min(nine_tenths, less_two), [*parts, Part(sampling, count - 1)])
        own |= both(key, value, package.specified("LAM-08", key.quantity, zone, series), _untested(package, rows[0]))
        if count >= published.FEWEST_FOR_BASIS:
            factor = basis_factor(count)
            parts = [Part(abs(lower(strengths, [m[i + 1] for m in made], factor)) * u) for i, u in enumerate(shared)]
            key = Key("LAM-08", "B-basis value", zone, series)
            own[key] = judged(combined(mean(strengths) - factor * deviation(strengths), parts), None)
        if rows[0].number("modulus") is not None:
            own |= _stiffness(package, series, zone, rows)
    return own


def basis_factor(count: int) -> float:
    """k for 90 % of a normal population at 95 % confidence: noncentral t (CMH-17-1G, exact form)."""
    return float(stats.nct.ppf(0.95, count - 1, stats.norm.ppf(0.90) * math.sqrt(count)) / math.sqrt(count))


def _content(package: Package, row: Row) -> float:
    """Mean glass content of the skin that the panel is laid up like, to a tenth of a per cent as the book uses it."""
    return mean([glass(burned) for burned in skins(package)[row.text("zone"), row.text("skin")]])


def _untested(package: Package, row: Row) -> Limit:
    """What ISO 12215-5:2008, table C.4 a), gives for the same glass without a test, times 0.8; to 0.1 MPa."""
    psi = _content(package, row) / 100
    printed = {
        "tension": 800 * psi**2 - 80 * psi + 37,
        "flexure": 502 * psi**2 + 107,
        "short beam": 22.5 - 17.5 * psi,
    }[row.text("kind")]
    return Limit(low=round(published.UNTESTED * printed, 1))


def _stiffness(package: Package, series: str, zone: str, rows: list[Row]) -> dict[Key, Own]:
    """The mean modulus within 15 % of plate theory, window to 10 MPa inwards."""
    moduli = [row.value("modulus") for row in rows]
    laboratory = Part(max(row.value("modulus_uncertainty") for row in rows) / 2)
    stack = layers(package, zone, rows[0].text("skin"), _content(package, rows[0]))
    theory = stiffness(stack, bent=rows[0].text("kind") == "flexure")
    low, high = theory * (1 - published.STIFFNESS_WINDOW), theory * (1 + published.STIFFNESS_WINDOW)
    window = Limit(10.0 * math.ceil(low / 10), 10.0 * math.floor(high / 10))
    key = Key("LAM-08", "stiffness", zone, series)
    value = combined(mean(moduli), [laboratory, scatter(moduli)])
    return both(key, value, package.specified("LAM-08", key.quantity, zone, series), window)


def _coverage(package: Package) -> dict[Key, Own]:
    """LAM-10: every opening and every skin has a coupon, and the other halves are kept."""
    own: dict[Key, Own] = {}
    burned = package.rows("laminate/burn_off.csv")
    for place in package.rows("places.csv"):
        if place.text("kind") == "opening":
            name = place.text("place")
            coupons = list(dict.fromkeys(row.text("coupon") for row in burned if row.text("opening") == name))
            key = Key("LAM-10", "coupon from the opening", name)
            own[key] = fact(True, *coupons) if coupons else Own("not measured", limit=Limit(guard=0))
    for zone, skin in dict.fromkeys((r.text("zone"), r.text("skin")) for r in package.rows("laminate/schedule.csv")):
        coupons = [row.text("coupon") for row in skins(package).get((zone, skin), [])]
        key = Key("LAM-10", "coupons of the skin", zone, skin)
        limit = PRINTED["LAM-10", key.quantity]
        own[key] = judged(Value(float(len(coupons)), kind="counted"), limit, tuple(coupons))
    for (zone,), rows in grouped(burned, "zone").items():
        kept = [row.text("witness") for row in rows]
        own[Key("LAM-10", "witness halves kept", zone)] = fact(all(kept), *dict.fromkeys(filter(None, kept)))
    return own


def _bond(package: Package) -> dict[Key, Own]:
    """LAM-11, pieces pulled apart by ASTM C297: force over area, and the share that broke inside the core."""
    own: dict[Key, Own] = {}
    for row in package.rows("laminate/core_bond.csv"):
        place, piece, attempt = row.text("zone"), row.text("specimen"), int(row.value("attempt"))
        force, area = row.value("force"), row.value("length") * row.value("width")
        u_side = package.standard(row.text("caliper"), "length")
        stress = force / area
        parts = [Part(package.standard(row.text("machine"), "force") / area)]
        parts += [Part(stress * u_side / row.value(side)) for side in ("length", "width")]
        kind = "at least" if row.value("at_glue") > 50 else "measured"
        key = Key("LAM-11", "flatwise strength", place, piece, attempt)
        core = Limit(low=material(package, row.text("core")).value("strength"))
        found = both(key, combined(stress, parts, kind), package.specified("LAM-11", key.quantity, place), core)
        share = Value(row.value("in_core"), row.value("unsure"))
        key = Key("LAM-11", "share broken in the core", place, piece, attempt)
        limit = PRINTED["LAM-11", key.quantity]
        found |= both(key, share, package.specified("LAM-11", key.quantity, place), limit)
        said = f"{row.value('in_core'):g} % in the core, {row.value('at_skin'):g} % between core and skin"
        gone = _replaced(package, place, row)
        own |= {key: _of_a_part_gone(result, gone, said) for key, result in found.items()}
    return own


def _replaced(package: Package, place: str, row: Row) -> bool:
    """Whether the part was replaced after this reading, by a report of this chapter."""
    days = [
        report.day("replaced_on")
        for report in package.rows("nonconformities.csv")
        if report.text("place") == place and report.text("check").startswith("LAM")
    ]
    return any(day is not None and row.when().date() < day for day in days)


def _of_a_part_gone(own: Own, gone: bool, said: str) -> Own:
    """What met its limit on a part that is no longer aboard is information only; a miss stays."""
    met = own.verdict in ("pass", "conditional pass")
    return Own("information" if gone and met else own.verdict, own.value, own.limit, own.margin, own.guard, (said,))


def _looked_at(package: Package) -> dict[Key, Own]:
    """LAM-11: share of the area that was tapped, and each place found open, as found and as left."""
    own: dict[Key, Own] = {}
    for row in package.rows("laminate/bond_survey.csv"):
        key = Key("LAM-11", "area looked at", row.text("zone"), attempt=int(row.value("attempt")))
        share = Value(
            100 * row.value("covered") / row.value("area"), 100 * row.value("uncertainty") / row.value("area")
        )
        limit = package.specified("LAM-11", key.quantity, key.place)
        own |= both(key, share, limit, None, (f"{row.value('found'):g} place",))
    for row in package.rows("laminate/bond_findings.csv"):
        key = Key("LAM-11", "place found open", row.text("zone"), row.text("finding"))
        own[key] = fact(False, f"{row.text('length')} mm × {row.text('width')} mm", row.text("what"))
        if row.text("tested_on"):
            later = Key(key.check, key.quantity, key.place, key.condition, 2)
            own[later] = fact(row.text("result") == "sound", row.text("result"))
    return own


def _thickness(package: Package) -> dict[Key, Own]:
    """LAM-12: the mean of the grid, with its scatter."""
    own: dict[Key, Own] = {}
    for (zone,), rows in grouped(package.rows("laminate/thickness.csv"), "zone").items():
        readings = [row.value("thickness") for row in rows]
        parts = [*package.parts(rows[0].text("instrument"), "laminate thickness"), scatter(readings)]
        key = Key("LAM-12", "mean thickness of the near skin", zone)
        own |= both(key, combined(mean(readings), parts), package.specified("LAM-12", key.quantity, zone), None)
    return own


def _moisture(package: Package) -> dict[Key, Own]:
    """LAM-12: the largest reading above its dry reference; one meter took both, so its uncertainty counts twice."""
    own: dict[Key, Own] = {}
    for (zone,), rows in grouped(package.rows("moisture.csv"), "place").items():
        if zone in zones(package):
            key = Key("LAM-12", "moisture above dry reference", zone)
            own |= both(key, above_dry(package, rows), package.specified("LAM-12", key.quantity, zone), None)
    return own


def above_dry(package: Package, rows: list[Row]) -> Value:
    """The largest difference of a reading from its dry reference."""
    worst = max(rows, key=lambda row: row.value("reading") - row.value("dry_reference"))
    twice = [Part(math.sqrt(2) * part.standard) for part in package.parts(worst.text("instrument"), "moisture")]
    return combined(worst.value("reading") - worst.value("dry_reference"), twice)
