"""INF-04, 05, 06, 08 and 09 again: mixes, resin used against resin predicted, batches, and Darcy's law.

Nothing of the program is imported. One and a half times the time to draw in and a tenth of the resin are common
practice, no source; the permeability of plain mat (7.3628e-11 m2) is from a conference abstract, second-hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from tests.again.common_rules import Limit, Own, Package, Row
from tests.again.drive_rules import NO_LIMIT, agreed, figure, judged, rows_of, worded
from tests.again.infusion_log import MINUTE, MINUTE_STEP, infusions, of_part

GEL_MARGIN, RATIO = Limit(low=1.5, natural_low=0.0), Limit(low=0.90, high=1.10, natural_low=0.0)
ESTIMATES = 0.20 / math.sqrt(3.0)  # a fifth to either side, a rectangle (the book's own rule)
DRAWN = 0.10 / math.sqrt(3.0)  # cuts and holes: a tenth to either side (the book's own rule)
MAT = 7.3628e-11  # m2
ATMOSPHERE = 1013.25  # mbar, from memory


def mixes_of(package: Package, part: str) -> list[Row]:
    """The mixes of one part."""
    return [row for row in package.rows("infusion/mixes.csv") if row.text("part") == part]


def clocks(package: Package) -> Iterator[Own]:
    """INF-04: r = (gel - mixed) / (closed - mixed); each of the three moments is known to the minute."""
    for row in package.rows("infusion/mixes.csv"):
        draw = (row.when("closed") - row.when("mixed")) / MINUTE
        gel = (row.when("gelled") - row.when("mixed")) / MINUTE
        ratio = gel / draw
        U = 2.0 * MINUTE_STEP * math.sqrt(1.0 + ratio**2 + (ratio - 1.0) ** 2) / draw
        about = ("INF-04", "gel time over time to draw in", row.text("part"), row.text("mix"), 1)
        limit = agreed(package, *about[:4]) or GEL_MARGIN
        yield judged(about, figure(ratio, "1", U), limit, rows=rows_of([row]))


def hardeners(package: Package) -> Iterator[Own]:
    """INF-05: hardener over resin by mass, by the range of the data sheet."""
    (sheet,) = package.rows("infusion/resins.csv")
    of_sheet = Limit(low=sheet.value("hardener_low"), high=sheet.value("hardener_high"))
    for row in package.rows("infusion/mixes.csv"):
        resin, hardener = row.value("resin_mass"), row.value("hardener_mass")
        share = 100.0 * hardener / resin
        u = share * math.hypot(
            package.standard(row.text("resin_balance"), "mass") / resin,
            package.standard(row.text("hardener_balance"), "mass") / hardener,
        )
        about = ("INF-05", "hardener by mass", row.text("part"), row.text("mix"), 1)
        limit = agreed(package, *about[:4]) or of_sheet
        yield judged(about, figure(share, "%", 2.0 * u), limit, rows=rows_of([row]))


def weight_and_volume(package: Package, zone: str) -> tuple[float, float]:
    """Dry glass of a zone [kg/m2] and its volume [mm]: all plies of all skins."""
    fabrics = {row.text("material"): row for row in package.rows("laminate/materials.csv")}
    plies = [fabrics[row.text("material")] for row in package.rows("laminate/schedule.csv") if row.text("zone") == zone]
    weights = [fabric.value("weight") / 1000.0 for fabric in plies]
    densities = [fabric.value("density") for fabric in plies]
    return math.fsum(weights), math.fsum(w / rho for w, rho in zip(weights, densities, strict=True))


def in_core(row: Row, density: float) -> float:
    """Cuts 2 w d / s and holes (pi / 4) D^2 t / p^2, times the density of the resin [kg/m2] (geometry)."""
    found = 0.0
    if row.number("cut_width") is not None:
        found += 2.0 * row.value("cut_width") * row.value("cut_depth") / row.value("cut_spacing")
    if row.number("hole_diameter") is not None:
        hole = math.pi / 4.0 * row.value("hole_diameter") ** 2
        found += hole * row.value("core_thickness") / row.value("hole_pitch") ** 2
    return found * density


def resin_density(package: Package, resin: str) -> float:
    """Density of a cured resin [g/cm3]."""
    (row,) = [row for row in package.rows("laminate/materials.csv") if row.text("material") == resin]
    return row.value("density")


def ratios(package: Package) -> Iterator[Own]:
    """INF-06: m = A [w (1 - psi) / psi + core + mesh] + hoses, and what was weighed over it.

    Unsure are the areas, each by itself; the glass content, one figure for all zones, so added straight; all estimates
    together; the cuts as drawn; the balances, alike in all mixes; and the balance of what was left over, at another
    load, by itself.
    """
    for part, row in infusions(package).items():
        zones = [one for one in package.rows("infusion/areas.csv") if one.text("part") == part]
        mixes = mixes_of(package, part)
        density = resin_density(package, row.text("resin"))
        total, guessed, cut, squares, glass = row.value("lines"), row.value("lines"), 0.0, 0.0, 0.0
        for zone in zones:
            size, psi = zone.value("area"), zone.value("glass") / 100.0
            weight, _ = weight_and_volume(package, zone.text("zone"))
            loose = (zone.number("surface") or 0.0) + (zone.number("media") or 0.0)
            mass = size * (weight * (1.0 - psi) / psi + in_core(zone, density) + loose)
            total += mass
            guessed += size * loose
            cut += size * in_core(zone, density)
            squares += (mass * zone.value("area_uncertainty") / 200.0) ** 2
            glass += size * weight / psi**2 * zone.value("glass_uncertainty") / 200.0
        mixed = math.fsum(one.value("resin_mass") + one.value("hardener_mass") for one in mixes)
        used = mixed - row.value("left_over")
        tools = (max(package.standard(one.text(name), "mass") for one in mixes) for name in BALANCES)
        rest = package.standard(row.text("left_balance"), "mass") if row.value("left_over") else 0.0
        weighed = math.hypot(len(mixes) * math.fsum(tools), rest)
        ratio = used / total
        predicted = squares + glass**2 + (ESTIMATES * guessed) ** 2 + (DRAWN * cut) ** 2
        u = math.sqrt(ratio**2 * predicted + weighed**2) / total
        about = ("INF-06", "resin used over resin predicted", part, "", 1)
        yield judged(
            about,
            figure(ratio, "1", 2.0 * u),
            agreed(package, *about[:3]) or RATIO,
            observed=f"{used:.1f} kg used, {total:.1f} kg predicted",
            rows=rows_of([row, *zones, *mixes, *behind_zones(package, row, zones)]),
        )


def behind_zones(package: Package, row: Row, zones: list[Row]) -> list[Row]:
    """The plies of the zones, what they are made of, and the resin."""
    names = [zone.text("zone") for zone in zones]
    plies = [one for one in package.rows("laminate/schedule.csv") if one.text("zone") in names]
    used = {row.text("resin"), *(ply.text("material") for ply in plies)}
    return [*plies, *(one for one in package.rows("laminate/materials.csv") if one.text("material") in used)]


BALANCES = ("resin_balance", "hardener_balance")


def batches(package: Package) -> Iterator[Own]:
    """INF-08: every batch in date on the day, every mix and material with a batch that is in the table."""
    table = {row.text("batch"): row for row in package.rows("batches.csv")}
    for part, row in infusions(package).items():
        listed = [one for one in package.rows("infusion/batches.csv") if one.text("part") == part]
        mixes = mixes_of(package, part)
        named = {one.text("batch") for one in listed}
        named |= {one.text(name) for one in mixes for name in ("resin_batch", "hardener_batch")}
        assert named <= set(table), "a batch without a row: the demonstration has none"
        zones = [one for one in package.rows("infusion/areas.csv") if one.text("part") == part]
        needed = {row.text("resin"), *(one.text("core") for one in zones if one.text("core"))}
        for ply in package.rows("laminate/schedule.csv"):
            if ply.text("zone") in [one.text("zone") for one in zones]:
                needed.add(ply.text("material"))
        assert needed <= {table[name].text("material") for name in named}, "a material without a batch"
        assert "hardener" in {table[name].text("kind") for name in named}, "resin without a hardener"
        day = row.when("started").date()
        for name in named:
            kept = table[name].text("kind") not in ("resin", "hardener", "gelcoat", "adhesive")
            assert table[name].day("expires") or (kept and table[name].text("shelf_life") == "no"), "a date is missing"
        ends = [end for name in named if (end := table[name].day("expires")) is not None]
        came = [on for name in named if (on := table[name].day("received")) is not None]
        rows = rows_of([row, *listed, *mixes, *(table[name] for name in named)])
        for quantity, met, words in (
            ("batches in date", min(ends) >= day, f"earliest use-before date {min(ends)}"),
            ("traced to batches", max(came) <= day, f"{len(named)} batches, each material and mix"),
        ):
            about = ("INF-08", quantity, part, "", 1)
            yield worded(about, "pass" if met else "fail", words, rows, Limit(guard=1.0))


def speeds(package: Package) -> Iterator[Own]:
    """INF-09: t = porosity mu L^2 / (2 K dp) for plain mat, over the time it took. Darcy's law, from memory."""
    (sheet,) = package.rows("infusion/resins.csv")
    for part, row in infusions(package).items():
        zones = [one for one in package.rows("infusion/areas.csv") if one.text("part") == part]
        rho = resin_density(package, row.text("resin"))
        filled = 0.0
        for zone in zones:
            psi = zone.value("glass") / 100.0
            weight, volume = weight_and_volume(package, zone.text("zone"))
            glass = psi * volume / weight
            filled += zone.value("area") * glass / (glass + (1.0 - psi) / rho)
        porosity = 1.0 - filled / math.fsum(zone.value("area") for zone in zones)
        start, end = row.when("started"), row.when("filled")
        log = [one for one in of_part(package, part) if start <= one.when() <= end]
        pressure = ATMOSPHERE - math.fsum(one.value("pressure") for one in log) / len(log)
        mu, length = sheet.value("viscosity") / 1000.0, row.value("flow_length")
        mat = porosity * mu * length**2 / (2.0 * MAT * 100.0 * pressure)
        number = figure(mat / (60.0 * ((end - start) / MINUTE)), "1")
        yield judged(("INF-09", "speed against plain mat", part, "", 1), number, NO_LIMIT, rows=rows_of([row, *log]))
