"""The laminate of the invented yacht: materials, schedule, cut-outs burned, coupons tested, skins tapped."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from buildbook.chapters.laminate.formulas.burn_off import void_free_density, water_density
from buildbook.chapters.laminate.records import (
    BondFinding,
    BondSurvey,
    BurnOff,
    CoreBond,
    Delivery,
    Material,
    Ply,
    PlyCount,
    StrengthTest,
    ThicknessReading,
)
from buildbook.chapters.shared_records import Hardness, Moisture, Place
from demo_build.evidence_maker.tables import here

OUTER, INNER, SINGLE = "outer skin", "inner skin", "single skin"
BURNED_AGAIN = "C-05"
SHORT_COUNT = "C-02"
UNDECIDED = "C-17"
NEVER_TESTED = "O8"
PARTED = "F-07"
PARTED_ZONE = "L5"
THIN_ZONE = "L4"
LAB = "Example Test House"

_Spot = tuple[float, float, float]


def _place(key: str, name: str, kind: str, at: _Spot, note: str | None = None) -> Place:
    values = {"place": key, "name": name, "kind": kind, "x": at[0], "y": at[1], "z": at[2], "note": note}
    return Place.model_validate({"where": here(Place), "substrate": "laminate", "painted": False, **values})


PLACES = (
    _place("L1", "Hull bottom", "zone", (8.0, 0.0, -0.70), "Single skin"),
    _place("L2", "Hull side, port", "zone", (8.5, -2.40, 0.90), "Foam core between two skins"),
    _place("L3", "Hull side, starboard", "zone", (8.5, 2.40, 0.90), "Foam core between two skins"),
    _place("L4", "Deck", "zone", (11.0, 0.0, 2.45), "Foam core between two skins"),
    _place("L5", "Bulkhead 2", "zone", (7.2, 0.0, 0.60), "Foam core between two skins"),
    _place("L6", "Lids of the lockers", "zone", (16.6, 0.0, 2.35), "Small parts, single skin"),
    _place("O1", "Tunnel of the bow thruster", "opening", (15.2, 0.0, -0.45)),
    _place("O2", "Exhaust outlet, port", "opening", (0.9, -1.95, 0.20)),
    _place("O3", "Exhaust outlet, starboard", "opening", (0.9, 1.95, 0.20)),
    _place("O4", "Hull window, port", "opening", (9.8, -2.50, 1.25)),
    _place("O5", "Hull window, starboard", "opening", (9.8, 2.50, 1.25)),
    _place("O6", "Foredeck hatch", "opening", (14.2, 0.0, 2.62)),
    _place("O7", "Engine-room hatch in the cockpit", "opening", (3.2, 0.0, 1.75)),
    _place("O8", "Well of the log and echo sounder", "opening", (11.2, 0.55, -0.95)),
    _place("O9", "Seacock of the port engine", "opening", (5.0, -1.25, -0.80)),
    _place("O10", "Door in bulkhead 2", "opening", (7.2, 0.45, 0.60)),
    _place("O11", "Latch in the lid of the anchor locker", "opening", (17.0, 0.0, 2.35)),
)


def _material(key: str, name: str, kind: str, **more: object) -> Material:
    return Material.model_validate({"where": here(Material), "material": key, "name": name, "kind": kind, **more})


_ROLL = {"tolerance": 1.0, "density": 2.58, "density_uncertainty": 0.04, "coverage": 2.0}
_MAT = {**_ROLL, "loss": 4.5, "sheet": "GF-TDS-02", "revision": "3"}
_FABRIC = {**_ROLL, "loss": 1.5, "revision": "6"}
_RESIN = {"density": 1.14, "density_uncertainty": 0.02, "coverage": 2.0, "hardness": 40.0}
MATERIALS = (
    _material("M450", "chopped strand mat, powder bound", "mat", weight=450.0, **_MAT),
    _material("QX-1216", "quadriaxial stitched E-glass", "stitched", weight=1216.0, sheet="GF-TDS-11", **_FABRIC),
    _material("BX-812", "biaxial stitched E-glass, 45 degrees", "stitched", weight=812.0, sheet="GF-TDS-10", **_FABRIC),
    _material("VE-INF", "vinyl ester infusion resin", "resin", sheet="VE-TDS-04", revision="2", **_RESIN),
    _material("PVC-80", "cross-linked foam", "core", density=0.08, strength=2.0, sheet="FO-TDS-80", revision="4"),
    _material("PVC-60", "cross-linked foam", "core", density=0.06, strength=1.5, sheet="FO-TDS-60", revision="4"),
)
DELIVERIES = tuple(
    Delivery(
        where=here(Delivery),
        delivery=f"D-{number:03d}",
        material=material,
        batch=batch,
        received=received,
        supplier=supplier,
        certificate=f"CC-25-{number + 110}",
    )
    for number, (material, batch, received, supplier) in enumerate(
        (
            ("M450", "GM-25-0311", date(2025, 7, 7), "glass agent 1"),
            ("QX-1216", "GQ-25-0417", date(2025, 7, 21), "glass agent 1"),
            ("BX-812", "GB-25-0209", date(2025, 7, 21), "glass agent 1"),
            ("VE-INF", "VR-25-1102", date(2025, 8, 4), "resin agent 1"),
            ("VE-INF", "VR-25-1146", date(2025, 8, 25), "resin agent 1"),
            ("PVC-80", "FC-25-0080", date(2025, 7, 28), "core agent 1"),
            ("PVC-60", "FC-25-0061", date(2025, 7, 28), "core agent 1"),
        ),
        start=31,
    )
)
_BY_ID = {material.material: material for material in MATERIALS}

# zone, skin: fabrics from the mould inwards
STACKS: dict[tuple[str, str], tuple[tuple[str, int], ...]] = {
    ("L1", SINGLE): (("M450", 1), ("QX-1216", 9), ("BX-812", 1)),
    ("L2", OUTER): (("M450", 1), ("QX-1216", 2), ("BX-812", 1)),
    ("L2", INNER): (("BX-812", 1), ("QX-1216", 1)),
    ("L3", OUTER): (("M450", 1), ("QX-1216", 2), ("BX-812", 1)),
    ("L3", INNER): (("BX-812", 1), ("QX-1216", 1)),
    ("L4", OUTER): (("M450", 1), ("BX-812", 3)),
    ("L4", INNER): (("BX-812", 2),),
    ("L5", OUTER): (("BX-812", 2),),
    ("L5", INNER): (("BX-812", 2),),
    ("L6", SINGLE): (("M450", 2), ("BX-812", 2)),
}
_ANGLES = {"M450": "none", "QX-1216": "0/45/90/-45", "BX-812": "45/-45"}


def schedule() -> tuple[Ply, ...]:
    """The lay-up schedule, ply by ply."""
    rows = []
    for (zone, skin), stack in STACKS.items():
        fabrics = [fabric for fabric, many in stack for _ in range(many)]
        for number, fabric in enumerate(fabrics, 1):
            values = {"zone": zone, "skin": skin, "ply": number, "of": len(fabrics), "material": fabric}
            rest = {"angle": _ANGLES[fabric], "resin": "VE-INF", "drawing": "DWG-201", "revision": "D"}
            rows.append(Ply.model_validate({"where": here(Ply), **values, **rest}))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class Cut:
    """One coupon before it is weighed: what the furnace is going to find."""

    coupon: str
    zone: str
    skin: str
    opening: str
    position: str
    glass: float  # % by mass
    voids: float  # % of the volume
    side: float  # mm


CUTS = (
    Cut("C-01", "L1", SINGLE, "O1", "upper edge of the tunnel", 67.9, 0.7, 25.0),
    Cut("C-02", "L1", SINGLE, "O1", "lower edge of the tunnel", 68.6, 0.5, 25.0),
    Cut("C-03", "L1", SINGLE, "O9", "middle of the plug", 68.3, 0.9, 25.0),
    Cut("C-04", "L2", OUTER, "O2", "forward edge", 65.3, 0.8, 30.0),
    Cut("C-05", "L2", OUTER, "O4", "aft lower corner", 65.9, 0.6, 30.0),
    Cut("C-06", "L2", OUTER, "O4", "forward upper corner", 66.3, 0.4, 30.0),
    Cut("C-07", "L2", INNER, "O4", "aft lower corner", 69.2, 1.0, 35.0),
    Cut("C-08", "L3", OUTER, "O3", "forward edge", 65.6, 0.5, 30.0),
    Cut("C-09", "L3", OUTER, "O5", "aft lower corner", 65.0, 1.1, 30.0),
    Cut("C-10", "L3", OUTER, "O5", "forward upper corner", 66.1, 0.7, 30.0),
    Cut("C-11", "L3", INNER, "O5", "aft lower corner", 68.8, 0.3, 35.0),
    Cut("C-12", "L4", OUTER, "O6", "aft edge", 62.1, 0.9, 30.0),
    Cut("C-13", "L4", OUTER, "O6", "forward edge", 63.2, 1.3, 30.0),
    Cut("C-14", "L4", OUTER, "O7", "port edge", 63.6, 0.8, 30.0),
    Cut("C-15", "L5", OUTER, "O10", "sill", 67.1, 0.6, 35.0),
    Cut("C-16", "L5", INNER, "O10", "sill", 66.5, 0.9, 35.0),
    Cut("C-17", "L6", SINGLE, "O11", "left of the latch", 57.2, 0.9, 30.0),
    Cut("C-18", "L6", SINGLE, "O11", "right of the latch", 58.1, 0.6, 30.0),
    Cut("C-19", "L2", INNER, "O4", "forward upper corner", 68.7, 0.7, 35.0),
    Cut("C-20", "L3", INNER, "O5", "forward upper corner", 69.3, 0.6, 35.0),
    Cut("C-21", "L4", INNER, "O6", "aft edge", 66.2, 0.8, 35.0),
    Cut("C-22", "L4", INNER, "O7", "port edge", 66.9, 0.5, 35.0),
    Cut("C-23", "L5", OUTER, "O10", "head", 66.4, 0.8, 35.0),
    Cut("C-24", "L5", INNER, "O10", "head", 67.2, 0.7, 35.0),
)
_WITNESS = {"L1": "store 2, box 14", "L2": "store 2, box 14", "L3": "store 2, box 15", "L4": "store 2, box 15"}
_BATCHES = tuple(datetime(2025, 10, day, 15, 20) for day in (20, 21, 22, 23, 24, 27, 28, 29))
BULKHEAD_BURNED = datetime(2025, 11, 24, 15, 20)  # of the new bulkhead: its door was cut out after it was built again
_CHANGES = (0.3, 0.1, 0.4, 0.2, 0.3, 0.2, 0.4)  # mg
NOT_HUNG = ("C-18",)  # its density was not measured: the piece had been used up


def burn_off(rng: np.random.Generator) -> tuple[BurnOff, ...]:
    """Every burn. Masses follow from schedule, glass content, voids and size, so that all of them agree."""
    rows = []
    for number, cut in enumerate(CUTS):
        day = BULKHEAD_BURNED if cut.zone == PARTED_ZONE else _BATCHES[number // 3]
        change = 4.6 if cut.coupon == BURNED_AGAIN else _CHANGES[number % len(_CHANGES)]
        rows.append(_burn(cut, 1, day + timedelta(minutes=7 * (number % 3)), rng, change))
    again = next(cut for cut in CUTS if cut.coupon == BURNED_AGAIN)
    rows.append(_burn(again, 2, datetime(2025, 10, 30, 15, 10), rng, 0.3))
    return tuple(sorted(rows, key=lambda row: (row.coupon, row.attempt)))


def _burn(cut: Cut, attempt: int, at: datetime, rng: np.random.Generator, change: float) -> BurnOff:
    """One burn; `change` [mg] is what still burned away when it was heated again."""
    glass = cut.glass + (0.25 if attempt > 1 else 0.0)
    stack = [_BY_ID[fabric] for fabric, many in STACKS[(cut.zone, cut.skin)] for _ in range(many)]
    left = sum((one.weight or 0.0) * (1.0 - (one.loss or 0.0) / 100.0) for one in stack)
    left *= 1.0 + 0.003 * rng.standard_normal()
    sides = [round(cut.side + float(rng.uniform(-0.12, 0.12)), 2) for _ in range(2)]
    residue = left * sides[0] * sides[1] / 1e6
    mass = residue / (glass / 100.0)
    density = void_free_density(glass, 2.58, 1.14) * (1.0 - cut.voids / 100.0)
    water = 22.8
    read = 1.0 + 0.007 * float(rng.standard_normal())  # a caliper rests on the high spots of a rough face
    crucible = float(rng.uniform(22.0, 28.0))
    hung = cut.coupon not in NOT_HUNG
    values = {
        "coupon": cut.coupon,
        "attempt": attempt,
        "zone": cut.zone,
        "opening": cut.opening,
        "skin": cut.skin,
        "position": cut.position,
        "witness": _WITNESS.get(cut.zone, "store 2, box 16"),
        "at": at,
        "method": "ISO 1172 A",
        "crucible": round(crucible, 4),
        "full": round(crucible + mass, 4),
        "residue": round(crucible + residue, 4),
        "reheated": round(crucible + residue - change / 1000.0, 4),
        "length": sides[0],
        "width": sides[1],
        "thickness": round(1000.0 * mass / density / (sides[0] * sides[1]) * read, 2),
        "in_air": round(mass, 4) if hung else None,
        "in_water": round(mass * (1.0 - water_density(water) / density), 4) if hung else None,
        "water": water if hung else None,
        "furnace": 625.0,
        "thermometer": "FT-01",
        "gelcoat": "ground off" if cut.skin != INNER and cut.zone != "L5" else "none there",
        "filled": False,
        "balance": "BA-01",
        "caliper": "CA-01",
        "by": "LT MR",
    }
    return BurnOff.model_validate({"where": here(BurnOff), **values})


def ply_counts() -> tuple[PlyCount, ...]:
    """Two readers for every coupon; one of them counted one short."""
    rows = []
    when = datetime(2025, 10, 31, 9, 0)
    for number, cut in enumerate(CUTS):
        plies = sum(many for _, many in STACKS[(cut.zone, cut.skin)])
        for reader, by in ((1, "QA KL"), (2, "QA RT")):
            counted = plies - 1 if (cut.coupon, reader) == (SHORT_COUNT, 2) else plies
            values = {"coupon": cut.coupon, "zone": cut.zone, "skin": cut.skin, "reader": reader, "by": by}
            later = timedelta(days=25 if cut.zone == PARTED_ZONE else 0, minutes=12 * number + 3 * reader)
            rest = {"at": when + later, "counted": counted}
            how = "burned plies laid out and lifted off one by one, magnifier 10x"
            rows.append(PlyCount.model_validate({"where": here(PlyCount), **values, **rest, "method": how}))
    return tuple(rows)


STIFFNESS_SCATTER = 0.018
_SERIES = (
    # series, kind, method, direction, speed, number, mean MPa, scatter, width, thickness, span, machine, stiffness
    ("T0-dry", "tension", "ISO 527-4", "0", 2.0, 6, 318.0, 0.032, 25.0, 3.05, None, "TM-01", 16700.0),
    ("F0-dry", "flexure", "ISO 14125 A", "0", 2.0, 6, 421.0, 0.040, 15.0, 3.05, 49.0, "TM-02", 15100.0),
    ("S-dry", "short beam", "ISO 14130", "0", 1.0, 10, 34.5, 0.045, 15.0, 3.05, None, "TM-02", None),
)


CONDITIONED = "23 °C, 50 % humidity, 7 days"
PANEL = "panel P1, infused with the hull, laid up as her outer side skin"
_FAILURES = {
    "tension": "in the gauge length, fibres broken",
    "flexure": "under the loading nose, on the tension side",
    "short beam": "between the layers, near the middle",
}


def strength(rng: np.random.Generator) -> tuple[StrengthTest, ...]:
    """Coupons of the panel that was infused with the hull, in three series."""
    rows = []
    own = np.random.default_rng(808)  # of its own, so that the other tables stay as they are
    when = datetime(2025, 11, 4, 9, 20)
    for series, kind, method, direction, speed, many, mean, scatter, wide, thick, span, machine, stiff in _SERIES:
        for number in range(1, many + 1):
            when += timedelta(minutes=14)
            width = round(wide + float(rng.uniform(-0.1, 0.1)), 2)
            height = round(thick + float(rng.uniform(-0.06, 0.06)), 2)
            stress = mean * (1.0 + scatter * float(rng.standard_normal()))
            if kind == "flexure":
                force = stress * 2.0 * width * height**2 / (3.0 * (span or 0.0))
            else:
                force = stress * width * height * (4.0 / 3.0 if kind == "short beam" else 1.0)
            values = {"series": series, "number": number, "zone": "L2", "kind": kind, "method": method, "at": when}
            rest = {
                "direction": direction,
                "conditioning": CONDITIONED,
                "speed": speed,
                "span": span,
            }
            force = float(10 * round(force / 10)) if machine == "TM-01" else float(round(force))
            size = {"force": force, "width": width, "thickness": height, "strength": round(stress, 1)}
            if stiff is not None:
                size["modulus"] = float(
                    10 * round(stiff * (1.0 + STIFFNESS_SCATTER * float(own.standard_normal())) / 10)
                )
                size["modulus_uncertainty"] = round(0.02 * stiff, -1)
            who = {
                "skin": OUTER,
                "laboratory": LAB,
                "machine": machine,
                "caliper": "CA-01",
                "panel": PANEL,
            }
            failure = _FAILURES[kind]
            found = {"where": here(StrengthTest), "failure": failure, **values, **rest, **size, **who}
            rows.append(StrengthTest.model_validate(found))
        when = when.replace(hour=9, minute=20) + timedelta(days=1)
    return tuple(rows)


# specimen, zone, attempt, MPa, per cent broken in the core
_PULLED = (
    ("F-01", "L2", 1, 2.31, 100), ("F-02", "L2", 1, 2.42, 100), ("F-03", "L3", 1, 2.28, 95),
    ("F-04", "L3", 1, 2.37, 100), ("F-05", "L4", 1, 2.25, 100), ("F-06", "L4", 1, 2.34, 90),
    ("F-07", "L5", 1, 0.92, 10), ("F-08", "L5", 1, 1.61, 70),
    ("F-09", "L5", 2, 1.81, 100), ("F-10", "L5", 2, 1.76, 95),
)  # fmt: skip


def core_bond() -> tuple[CoreBond, ...]:
    """Pieces pulled apart; those of the bulkhead that was replaced come first, and then those of the new one."""
    rows = []
    for number, (name, zone, attempt, stress, in_core) in enumerate(_PULLED):
        at = datetime(2025, 11, 6, 14, 0) + timedelta(minutes=20 * number, days=19 if attempt > 1 else 0)
        values = {"specimen": name, "zone": zone, "attempt": attempt, "at": at, "length": 50.1, "width": 49.9}
        shares = {"in_core": float(in_core), "at_skin": float(100 - in_core), "at_glue": 0.0, "unsure": 5.0}
        rest = {"force": float(10 * round(stress * 50.1 * 49.9 / 10)), "machine": "TM-01", "caliper": "CA-01"}
        core = "PVC-60" if zone == PARTED_ZONE else "PVC-80"
        rows.append(CoreBond.model_validate({"where": here(CoreBond), **values, **shares, **rest, "core": core}))
    return tuple(rows)


HAMMER = "28 g hammer with a plastic head"


def bond_surveys() -> tuple[BondSurvey, ...]:
    """Both sides, the deck and the bulkhead, tapped all over or nearly."""
    rows = []
    for number, (zone, area, covered, found) in enumerate(
        (("L2", 38.6, 38.6, 2), ("L3", 38.6, 38.6, 0), ("L4", 46.2, 44.1, 1), ("L5", 7.4, 7.4, 0))
    ):
        at = datetime(2025, 11, 25, 8, 30) if zone == PARTED_ZONE else datetime(2025, 10, 27 + number, 8, 30)
        values = {"zone": zone, "attempt": 1, "area": area, "covered": covered, "found": found, "pitch": 100.0}
        rest = {"at": at, "method": "tapping", "tool": HAMMER, "uncertainty": round(0.01 * area, 1)}
        rows.append(BondSurvey.model_validate({"where": here(BondSurvey), **values, **rest, "by": "QA RT"}))
    return tuple(rows)


_PLACES = (
    ("L2", (11.9, -2.36, 0.95), (140.0, 60.0), 27),
    ("L2", (5.4, -2.53, 0.70), (90.0, 70.0), 27),
    ("L4", (12.6, 0.8, 2.50), (110.0, 110.0), 29),
)


def bond_findings() -> tuple[BondFinding, ...]:
    """Three places that sounded dull, and what was done about them."""
    rows = []
    for number, (zone, at, size, day) in enumerate(_PLACES, 1):
        found = datetime(2025, 10, day).date()
        values = {"finding": f"B-{number:02}", "zone": zone, "x": at[0], "y": at[1], "z": at[2]}
        rest = {"length": size[0], "width": size[1], "what": "dull sound, outer skin off the core", "found_on": found}
        done = {"repair": "drilled at both ends, resin injected under vacuum", "repaired_on": found + timedelta(days=3)}
        after = {"tested_on": found + timedelta(days=7), "result": "sound"}
        rows.append(BondFinding.model_validate({"where": here(BondFinding), **values, **rest, **done, **after}))
    return tuple(rows)


_GRID = {"L1": (10.25, 12, 2690.0), "L2": (1.62, 8, 2640.0), "L3": (1.63, 8, 2640.0), "L4": (1.33, 8, 2580.0)}


def thickness(rng: np.random.Generator) -> tuple[ThicknessReading, ...]:
    """Pulse-echo readings on a grid from inside, on bare laminate, just before launching; gelcoat lies behind L1."""
    rows = []
    for day, (zone, (mean, many, velocity)) in enumerate(_GRID.items()):
        for number in range(1, many + 1):
            column, row = divmod(number - 1, 4)
            values = {"zone": zone, "number": number, "grid": f"{'ABCDEF'[column]}{row + 1}", "velocity": velocity}
            at = datetime(2026, 5, 4 + day, 10, 0) + timedelta(minutes=4 * number)
            read = round(mean * (1.0 + 0.018 * float(rng.standard_normal())), 2)
            spot = {"x": 3.0 + 2.4 * column + 0.6 * row, "y": _SIDE[zone], "z": _LEVEL[zone]}
            values |= {name: round(value, 2) for name, value in spot.items()}
            rest = {"at": at, "thickness": read, "set_on": f"witness half of {_SET_ON[zone]}", "instrument": "UT-02"}
            rows.append(ThicknessReading.model_validate({"where": here(ThicknessReading), **values, **rest}))
    return tuple(rows)


_SIDE = {"L1": -0.9, "L2": -2.3, "L3": 2.3, "L4": 0.8}
_LEVEL = {"L1": -0.5, "L2": 1.0, "L3": 1.0, "L4": 1.7}
_SET_ON = {"L1": "C-01", "L2": "C-07", "L3": "C-11", "L4": "C-21"}
BARCOL = {"L1": 41.5, "L2": 42.0, "L3": 41.8, "L4": 41.0, "L5": 42.3, "L6": 41.4}
BARCOL_READINGS = 25
_BARCOL_DAYS = tuple(
    datetime(2025, *day, 13, 0) for day in ((10, 27), (10, 28), (10, 29), (10, 30), (12, 16), (10, 31))
)


def hardness(rng: np.random.Generator) -> tuple[Hardness, ...]:
    """Barcol readings on the inside of every zone, four weeks after infusion."""
    rows = []
    for day, (zone, mean) in enumerate(BARCOL.items()):
        for number in range(1, BARCOL_READINGS + 1):
            at = _BARCOL_DAYS[day] + timedelta(minutes=number)
            read = float(np.clip(round(2.0 * (mean + 3.4 * float(rng.standard_normal()))) / 2.0, 30.0, 60.0))
            values = {"place": zone, "attempt": 1, "number": number, "at": at, "barcol": read, "instrument": "BI-01"}
            rows.append(Hardness.model_validate({"where": here(Hardness), **values}))
    return tuple(rows)


def moisture(rng: np.random.Generator) -> tuple[Moisture, ...]:
    """The meter on the bottom and both sides, ashore, before she first floated."""
    rows = []
    for zone in ("L1", "L2", "L3"):
        for number in range(1, 7):
            at = datetime(2026, 5, 5, 9, 0) + timedelta(minutes=3 * number + 30 * int(zone[1]))
            read = 9.0 + float(np.clip(round(2.0 * (0.8 + 0.5 * float(rng.standard_normal()))) / 2.0, -0.5, 2.5))
            values = {"place": zone, "number": number, "at": at, "meter_scale": "relative 0-100, mode 2"}
            rest = {
                "reading": read,
                "dry_reference": 9.0,
                "days_drying": 210.0,
                "surface_state": "bare laminate, inside",
            }
            rows.append(Moisture.model_validate({"where": here(Moisture), **values, **rest, "instrument": "MM-01"}))
    return tuple(rows)
