"""COA-01, 02, 03, 06, 07, 09, 14 and 15 again: what the logs of the work say."""

from __future__ import annotations

import itertools
import math
from datetime import datetime

from tests.again import published
from tests.again.coating_climate import between, covered
from tests.again.common_rules import Key, Limit, Own, Package, Part, Row, Value, both, combined, fact, held, judged
from tests.again.laminate_tested import grouped

PRINTED = published.COATING


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    own: dict[Key, Own] = {}
    for zone in painted(package):
        own |= _order(package, zone)
        own |= _water(package, zone)
        own |= _grits(package, zone)
        own |= _litres(package, zone)
    for coat in package.rows("coating/coats.csv"):
        own |= _window(package, coat)
        own |= _fresh(package, coat)
    for part in package.rows("coating/metal_parts.csv"):
        own |= _metal(package, part)
    for (stage,), rows in grouped(package.rows("coating/effort.csv"), "stage").items():
        people = [row.value("people") for row in rows]
        hours = Value(sum(row.value("people") * row.value("hours") for row in rows), kind="counted")
        crew = f"{min(people):g} to {max(people):g}" if min(people) < max(people) else f"{people[0]:g}"
        own[Key("COA-15", "people and days", condition=stage)] = judged(hours, None, (crew, f"{len(rows)} day"))
    return own


def painted(package: Package) -> list[str]:
    """The zones that are painted."""
    places = package.rows("places.csv")
    return [row.text("place") for row in places if row.text("kind") == "zone" and row.text("painted") == "yes"]


def place(package: Package, name: str) -> Row:
    """A place by its id."""
    (row,) = [row for row in package.rows("places.csv") if row.text("place") == name]
    return row


def coats(package: Package, zone: str) -> list[Row]:
    """The coats of a zone in order."""
    rows = [row for row in package.rows("coating/coats.csv") if row.text("zone") == zone]
    return sorted(rows, key=lambda row: row.value("layer"))


def steps(package: Package, zone: str, *names: str) -> list[Row]:
    """Entries of the preparation log of a zone, in order of their start."""
    rows = [row for row in package.rows("coating/preparation.csv") if row.text("zone") == zone]
    return sorted((row for row in rows if row.text("step") in names), key=lambda row: row.when("started"))


def hours(start: datetime, end: datetime) -> Value:
    """A time out of a log [h]; each end is known to the minute (rectangular, d/√12)."""
    end_u = Part(published.STEP_OF_A_LOG / math.sqrt(12))
    return combined((end - start).total_seconds() / 3600, [end_u, end_u])


def _order(package: Package, zone: str) -> dict[Key, Own]:
    """COA-01: washing and de-waxing end before the first sanding starts."""
    washed, waxed = (max(row.when("finished") for row in steps(package, zone, step)) for step in ("wash", "de-wax"))
    sanded = steps(package, zone, "sand")[0].when("started")
    own = fact(max(washed, waxed) <= sanded, *(f"{time:%Y-%m-%d %H:%M}" for time in (washed, waxed, sanded)))
    return {Key("COA-01", "order of work", zone, role=role): own for role in ("governing", "reference")}


def _water(package: Package, zone: str) -> dict[Key, Own]:
    """COA-02: the last test, after the last cleaning and before the first coat; what held is at least so long."""
    row = [row for row in package.rows("coating/water_break.csv") if row.text("zone") == zone][-1]
    first = coats(package, zone)[0].when("started")
    cleaned = [entry for entry in steps(package, zone, "wash", "rinse", "de-wax") if entry.when("finished") <= first]
    in_turn = cleaned[-1].when("finished") <= row.when() <= first
    kind = "at least" if row.text("held") == "yes" else "measured"
    value = combined(row.value("watched"), package.parts(row.text("instrument"), "time"), kind)
    key = Key("COA-02", "time the water film held", zone, attempt=int(row.value("attempt")))
    limits = package.specified("COA-02", key.quantity, zone), PRINTED["COA-02", key.quantity]
    return {key: held(own, not in_turn) for key, own in both(key, value, *limits).items()}


def _grits(package: Package, zone: str) -> dict[Key, Own]:
    """COA-03: within one layer every grit is finer, and the particle size falls at most to half."""
    starts = [coat.when("started") for coat in coats(package, zone)]
    layers: dict[int, list[str]] = {}
    for row in steps(package, zone, "sand"):
        layers.setdefault(sum(start <= row.when("started") for start in starts), []).append(row.text("grit"))
    size = published.GRIT_SIZE
    ratios = [size[a] / size[b] for grits in layers.values() for a, b in itertools.pairwise(grits)]
    key = Key("COA-03", "particle size ratio", zone)
    ratio = Value(max(ratios), kind="counted")
    own = both(key, ratio, package.specified("COA-03", key.quantity, zone), PRINTED["COA-03", key.quantity])
    finer = fact(min(ratios) > 1, f"{len(ratios)} steps, each finer")
    return own | {Key("COA-03", "each grit finer than the last", zone): finer}


def _litres(package: Package, zone: str) -> dict[Key, Own]:
    """COA-09: film = 10 × solids × litres × (1 - loss) / area, summed; the loss is known to 5 points, for all alike."""
    area = place(package, zone).value("area")
    films = [
        (10 * product(package, coat).value("volume_solids") * coat.value("litres") / area, coat.value("loss") / 100)
        for coat in coats(package, zone)
    ]
    whole = sum(film for film, _ in films)
    part = Part(whole * published.LOSS_KNOWN_TO / 100 / math.sqrt(3))
    key = Key("COA-09", "film from litres", zone)
    value = combined(sum(film * (1 - loss) for film, loss in films), [part])
    return both(key, value, package.specified("COA-09", key.quantity, zone), None)


def product(package: Package, coat: Row) -> Row:
    """The product of a coat."""
    (row,) = [row for row in package.rows("coating/products.csv") if row.text("product") == coat.text("product")]
    return row


def _window(package: Package, coat: Row) -> dict[Key, Own]:
    """COA-06: hours since the coat below against the window of its data sheet.

    The shortest time follows the coldest surface between the coats, the longest the warmest; between two listed
    temperatures the stricter. A late coat is in time where its sheet lets abrading reopen the window and the log shows
    it.
    """
    below = [row for row in coats(package, coat.text("zone")) if row.value("layer") == coat.value("layer") - 1]
    if not below:
        return {}
    start, end = below[0].when("finished"), coat.when("started")
    surfaces = [row.value("surface") for row in between(package, coat.text("zone"), start, end)]
    table = [
        row
        for row in package.rows("coating/windows.csv")
        if (row.text("product"), row.text("next_product")) == (below[0].text("product"), coat.text("product"))
    ]
    colder = max((row for row in table if row.value("surface") <= min(surfaces)), key=lambda row: row.value("surface"))
    warmer = min((row for row in table if row.value("surface") >= max(surfaces)), key=lambda row: row.value("surface"))
    value, longest = hours(start, end), warmer.number("longest")
    if longest is not None and value.value > longest and _reopened(package, coat, warmer, start, end):
        longest = None
    key = Key("COA-06", "time since the coat below", coat.text("zone"), coat.text("coat"))
    limit = Limit(colder.value("shortest"), longest, natural_low=0.0)
    own = both(key, value, package.specified("COA-06", key.quantity, key.place, key.condition) or limit, None)
    unknown = not covered(package, coat.text("zone"), start, end)
    return {key: held(result, unknown) for key, result in own.items()}


def _reopened(package: Package, coat: Row, sheet: Row, start: datetime, end: datetime) -> bool:
    """Whether the log shows abrading with a grade the sheet asks for, and cleaning after it."""
    low, high = (int(grit.strip()[1:]) for grit in sheet.text("reopening_grit").split("to"))
    zone = coat.text("zone")
    sanded = [
        row for row in steps(package, zone, "sand") if start <= row.when("started") and row.when("finished") <= end
    ]
    right = [row for row in sanded if low <= int(row.text("grit")[1:]) <= high]
    cleaned = [row for row in steps(package, zone, "wipe", "wash", "vacuum") if row.when("finished") <= end]
    return bool(right) and any(row.when("started") >= right[-1].when("finished") for row in cleaned)


def _fresh(package: Package, coat: Row) -> dict[Key, Own]:
    """COA-07: hours from mixing to end against the pot life, halved for 10 °C more, never longer; tins in date."""
    zone, sheet = coat.text("zone"), product(package, coat)
    airs = [row.value("air") for row in between(package, zone, coat.when("mixed"), coat.when("finished"))]
    shorter = 2 ** (-max(0.0, max(airs) - sheet.value("pot_life_at")) / 10)
    key = Key("COA-07", "time from mixing to end", zone, coat.text("coat"))
    limit = Limit(high=sheet.value("pot_life") * shorter, natural_low=0.0)
    value = hours(coat.when("mixed"), coat.when("finished"))
    own = both(key, value, package.specified("COA-07", key.quantity, zone, coat.text("coat")) or limit, None)
    used = {coat.text(f"{component}_batch") for component in ("base", "hardener", "thinner")} - {""}
    dates = [row.day("expires") for row in package.rows("coating/batches.csv") if row.text("batch") in used]
    assert len(dates) == len(used)
    earliest = min(date for date in dates if date)
    in_date = fact(coat.when("finished").date() <= earliest, f"{earliest}")
    return own | {Key("COA-07", "batches in date", zone, coat.text("coat")): in_date}


def _metal(package: Package, part: Row) -> dict[Key, Own]:
    """COA-14: salt = 5 kg/(m² S) × volume × rise / area (ISO 8502-9), dust, profile and hours to the primer."""
    name, metal = part.text("part"), part.text("metal")
    aluminium = metal == "aluminium"
    factor = 0.5 * part.value("water") * 1000 / part.value("patch")
    meter = package.standard(part.text("salt_instrument"), "conductivity")
    salt = combined(
        factor * (part.value("rise") - part.value("blank_rise")),
        [Part(factor * math.sqrt(2) * meter), Part(published.SALT_PRECISION / 2)],
    )
    profile = combined(part.value("profile"), package.parts(part.text("profile_instrument"), "surface profile"))
    results = {
        "soluble salt": (salt, published.SALT_ON_STEEL if metal == "steel" else None),
        "dust quantity": (Value(part.value("dust_quantity"), kind="counted"), PRINTED["COA-14", "dust quantity"]),
        "surface profile": (profile, published.PROFILE_ON_ALUMINIUM if aluminium else None),
        "time to primer": (
            hours(part.when("prepared_at"), part.when("primed_at")),
            published.PRIMED_ALUMINIUM if aluminium else None,
        ),
    }
    own: dict[Key, Own] = {}
    for quantity, (value, printed) in results.items():
        seen = (f"size class {part.text('dust_size')}",) if quantity == "dust quantity" else ()
        own |= both(Key("COA-14", quantity, name), value, package.specified("COA-14", quantity, name), printed, seen)
    return own
