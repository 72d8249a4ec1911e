"""What was read before and after painting: laminate, film, adhesion, gloss, image, colour, metal parts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.coating.records import (
    Appearance,
    Coat,
    Colour,
    CrossCut,
    FilmReading,
    Gloss,
    MetalPart,
    PullOff,
    WaterBreak,
)
from buildbook.chapters.shared_records import Hardness, Moisture
from demo_build.evidence_maker.coating_work import THIN_ZONE, built_film, moment
from demo_build.evidence_maker.tables import here

FILM_READINGS = {"Z1": 30, "Z2": 30, "Z3": 15, "Z4": 20, "Z5": 20, "Z6": 20, "Z7": 20}  # ISO 19840, by area
THIN_SPOTS = {6: 206.0, 11: 213.0}  # number of the reading: um
SCATTER = 0.06  # of the mean: one reading beside the next
ADDED_AT_THIN_SPOTS = 62.0  # um: two topcoats laid a little heavier along the edge, less the sanding
EXTRA_AT_THIN_SPOTS = (209.0, 217.0, 214.0)
DUSTY_ZONE = "Z4"
NOT_PULLED = "Z7"

_FILM_DAYS = {
    "Z1": "04-02 08:30",
    "Z2": "04-02 10:30",
    "Z3": "03-25 09:00",
    "Z4": "03-25 10:30",
    "Z5": "03-24 13:00",
    "Z6": "03-24 14:30",
    "Z7": "03-24 16:00",
}
_MOISTURE = {"Z1": 12, "Z2": 12, "Z3": 5, "Z4": 6, "Z5": 6, "Z6": 6, "Z7": 5}
_WATER = {
    "Z5": "03-04 16:10",
    "Z6": "03-04 16:20",
    "Z7": "03-04 16:30",
    "Z4": "03-06 16:10",
    "Z3": "03-06 16:25",
    "Z1": "03-13 16:15",
    "Z2": "03-13 16:30",
}


def moisture(rng: np.random.Generator) -> tuple[Moisture, ...]:
    """Moisture meter against a dry reference spot, on the bare gelcoat."""
    rows = []
    when = datetime(2026, 2, 16, 9, 0)
    for zone, count in _MOISTURE.items():
        dry = 8.0 + 0.5 * float(rng.integers(0, 4))
        for n in range(1, count + 1):
            above = 0.5 * float(rng.integers(0, 6)) if zone != "Z3" else 0.5 * float(rng.integers(4, 9))
            rows.append(
                Moisture(
                    where=here(Moisture),
                    place=zone,
                    number=n,
                    at=when,
                    meter_scale="relative 0 to 100, mode 2",
                    reading=dry + above,
                    dry_reference=dry,
                    days_drying=143.0,
                    surface_state="bare gelcoat",
                    instrument="MM-01",
                )
            )
            when += timedelta(minutes=3)
    return tuple(rows)


def hardness(rng: np.random.Generator) -> tuple[Hardness, ...]:
    """Ten Barcol readings in each zone."""
    rows = []
    when = datetime(2026, 2, 17, 8, 30)
    for zone in FILM_READINGS:
        middle = 42.3 + 0.7 * float(rng.standard_normal()) if zone != "Z7" else 39.6
        for n in range(1, 11):
            barcol = round(2 * (middle + 1.6 * float(rng.standard_normal()))) / 2
            values = {"place": zone, "attempt": 1, "number": n, "at": when, "barcol": barcol, "instrument": "BI-01"}
            rows.append(Hardness.model_validate({"where": here(Hardness), **values}))
            when += timedelta(minutes=1 if n % 3 else 2)
        when += timedelta(minutes=9)
    return tuple(rows)


def water_break() -> tuple[WaterBreak, ...]:
    """Each zone sprayed with clean water after its last cleaning, and watched for longer than the minute asked for."""
    rows = []
    for n, (zone, at) in enumerate(_WATER.items()):
        watched = (75.0, 70.0, 90.0, 65.0, 80.0, 70.0, 75.0)[n]
        values = {"zone": zone, "attempt": 1, "at": moment(at), "watched": watched, "held": True}
        rest = {"instrument": "SW-01", "by": "QA KL"}
        rows.append(WaterBreak.model_validate({"where": here(WaterBreak), **values, **rest}))
    return tuple(rows)


def film(log: Sequence[Coat], rng: np.random.Generator) -> tuple[FilmReading, ...]:
    """First survey of every zone, and the second of the thin one."""
    rows: list[FilmReading] = []
    for zone, count in FILM_READINGS.items():
        middle = built_film(log, zone, 6)
        values = [middle + SCATTER * middle * float(z) for z in rng.standard_normal(count)]
        if zone == THIN_ZONE:
            values = [THIN_SPOTS.get(n, max(value, 285.0)) for n, value in enumerate(values, 1)]
        rows += _film_rows(zone, 1, moment(_FILM_DAYS[zone]), values)
        if zone == THIN_ZONE:
            rows += _film_rows(zone, 1, moment("03-25 09:40"), EXTRA_AT_THIN_SPOTS, first=count + 1, extra=True)
    middle = built_film(log, THIN_ZONE, 8)
    values = [middle + SCATTER * middle * float(z) for z in rng.standard_normal(FILM_READINGS[THIN_ZONE])]
    values = [THIN_SPOTS[n] + ADDED_AT_THIN_SPOTS if n in THIN_SPOTS else value for n, value in enumerate(values, 1)]
    return (*rows, *_film_rows(THIN_ZONE, 2, moment("04-07 10:00"), values))


def _film_rows(
    zone: str, attempt: int, start: datetime, values: Sequence[float], *, first: int = 1, extra: bool = False
) -> list[FilmReading]:
    plates = zone == "Z7"
    return [
        FilmReading(
            where=here(FilmReading),
            zone=zone,
            attempt=attempt,
            number=n,
            spot=None,
            thickness=float(round(value)),
            system="primer, undercoat and topcoat",
            extra=extra,
            at=start + timedelta(minutes=2 * (n - first)),
            method="witness plate" if plates else "ultrasonic",
            instrument="EC-01" if plates else "UT-01",
        )
        for n, value in enumerate(values, first)
    ]


_PULLS: tuple[tuple[str, str, int, str], ...] = (
    ("A-01", "Z1", 1720, "80 % B, 20 % B/C"),
    ("A-02", "Z1", 1940, "100 % B"),
    ("A-03", "Z1", 1610, "90 % B, 10 % A"),
    ("A-04", "Z2", 1830, "70 % B, 30 % B/C"),
    ("A-05", "Z2", 2060, "90 % B, 10 % -/Y"),
    ("A-06", "Z2", 1570, "100 % B"),
    ("A-07", "Z4", 1410, "100 % B"),
    ("A-08", "Z4", 1130, "100 % B"),
    ("A-09", "Z4", 1480, "80 % B, 20 % B/C"),
    ("A-10", "Z5", 2240, "60 % B, 40 % B/C"),
    ("A-11", "Z5", 1890, "100 % B"),
    ("A-12", "Z5", 2390, "70 % B, 20 % B/C, 10 % -/Y"),
)
_PULL_DAYS = {"Z1": "04-09 08:30", "Z2": "04-09 09:45", "Z4": "04-08 09:00", "Z5": "04-08 13:30"}


def pull_off() -> tuple[PullOff, ...]:
    """Three dollies for each of four zones, on panels painted beside the hull. None for the hardtop."""
    rows = []
    for n, (specimen, zone, force, fracture) in enumerate(_PULLS):
        at = moment(_PULL_DAYS[zone]) + timedelta(minutes=11 * (n % 3))
        values = {"specimen": specimen, "zone": zone, "attempt": 1, "at": at, "on": "witness panel", "dolly": 20.0}
        rest = {"dolly_tolerance": 0.1, "force": float(force), "fracture": fracture, "instrument": "PO-01"}
        rows.append(PullOff.model_validate({"where": here(PullOff), **values, **rest}))
    return tuple(rows)


def cross_cut() -> tuple[CrossCut, ...]:
    """Two lattices for each of four zones, on panels with undercoat and topcoat only."""
    ratings = {"Z1": (0, 0), "Z4": (0, 1), "Z5": (0, 0), "Z6": (1, 0)}
    films = {"Z1": (112.0, 115.0), "Z4": (108.0, 110.0), "Z5": (117.0, 113.0), "Z6": (105.0, 109.0)}
    rows: list[CrossCut] = []
    for zone, pair in ratings.items():
        for n, rating in enumerate(pair, 1):
            at = datetime(2026, 4, 10, 9, 0) + timedelta(minutes=20 * len(rows))
            values = {"zone": zone, "attempt": 1, "number": n, "at": at, "scale": "ISO 2409", "rating": rating}
            rest = {"spacing": 2.0, "film": films[zone][n - 1]}
            rows.append(CrossCut.model_validate({"where": here(CrossCut), **values, **rest}))
    return tuple(rows)


_GLOSS_DAYS = {
    "Z5": "04-08 08:30",
    "Z6": "04-08 09:10",
    "Z7": "04-08 10:00",
    "Z4": "04-08 10:50",
    "Z1": "04-09 13:00",
    "Z2": "04-09 13:50",
    "Z3": "04-14 09:30",
}
_GLOSS = {"Z1": 89.2, "Z2": 89.0, "Z3": 88.4, "Z4": 85.9, "Z5": 88.8, "Z6": 89.4, "Z7": 88.1}


def gloss(rng: np.random.Generator) -> tuple[Gloss, ...]:
    """Ten readings at 60° and ten at 20° in each zone, in the same places."""
    rows = []
    for zone in sorted(_GLOSS_DAYS):
        start = moment(_GLOSS_DAYS[zone])
        at60 = [min(_GLOSS[zone] + 0.8 * float(z), 92.0) for z in rng.standard_normal(10)]
        at20 = [80.6 + 1.2 * (value - 88.4) + 0.7 * float(rng.standard_normal()) for value in at60]
        for n, (angle, value) in enumerate([(60, v) for v in at60] + [(20, v) for v in at20], 1):
            at = start + timedelta(minutes=n)
            values = {"zone": zone, "attempt": 1, "number": n, "angle": angle, "gloss": round(value, 1), "at": at}
            rows.append(Gloss.model_validate({"where": here(Gloss), **values, "instrument": "GL-01"}))
    return tuple(rows)


# zone: per sample area, image, orange peel, dust
_LOOKS: dict[str, tuple[tuple[float, float, float], ...]] = {
    "Z1": ((91.5, 8.0, 1.0), (92.0, 8.5, 0.0), (90.5, 8.0, 2.0), (91.0, 8.0, 1.0)),
    "Z2": ((90.0, 8.0, 1.0), (91.0, 8.0, 2.0), (91.5, 8.5, 1.0), (90.5, 7.5, 0.0)),
    "Z3": ((89.5, 8.0, 1.0), (90.0, 8.0, 1.0), (88.5, 7.5, 2.0)),
    "Z4": ((86.0, 7.0, 7.0), (85.5, 7.0, 9.0), (87.0, 7.5, 8.0), (86.5, 7.0, 7.0)),
    "Z5": ((90.5, 8.0, 0.0), (91.0, 8.0, 1.0), (89.5, 8.0, 1.0)),
    "Z6": ((91.0, 8.5, 1.0), (90.5, 8.0, 2.0), (91.5, 8.0, 1.0)),
    "Z7": ((84.0, 7.0, 3.0), (85.0, 7.0, 2.0), (84.5, 6.5, 3.0)),
}
PEEL_SCALE = "yard panels 0 to 10,\n10 smoothest – read by two people"
_LOOK_DAYS = dict(_GLOSS_DAYS)


def appearance() -> tuple[Appearance, ...]:
    """Image by meter, then orange peel and dust by eye, in three or four sample areas of each zone."""
    rows: list[dict[str, object]] = []
    for zone, areas in _LOOKS.items():
        for n, (image, peel, dust) in enumerate(areas, 1):
            at = moment(_LOOK_DAYS[zone]) + timedelta(minutes=25 + 3 * n)
            metered = {"image": image, "image_method": "ASTM D5767 method B", "instrument": "DI-01"}
            seen = {"orange_peel": peel, "peel_scale": PEEL_SCALE, "dust": dust}
            rows.append({"zone": zone, "attempt": 1, "number": n, "at": at, **metered})
            later = at + timedelta(minutes=60)
            rows.append({"zone": zone, "attempt": 1, "number": n + len(areas), "at": later, **seen})
    rows.sort(key=lambda row: (str(row["zone"]), str(row["at"])))
    return tuple(Appearance.model_validate({"where": here(Appearance), **row}) for row in rows)


_OFF = {"Z1": 0.22, "Z2": 0.30, "Z3": 0.35, "Z4": 0.48, "Z5": 0.28, "Z6": 0.33, "Z7": 0.88}


def colour(rng: np.random.Generator) -> tuple[Colour, ...]:
    """Three readings of the master panel and six of the paint in each zone. The hardtop is a little yellow."""
    rows = []
    for zone in sorted(_GLOSS_DAYS):
        start = moment(_GLOSS_DAYS[zone]) + timedelta(minutes=45)
        for n in range(1, 10):
            sample = n > 3
            shift = _OFF[zone] if sample else 0.0
            lightness = 94.82 - 0.35 * shift + 0.04 * float(rng.standard_normal())
            red = -0.93 + 0.04 * shift + 0.015 * float(rng.standard_normal())
            yellow = 1.84 + 1.02 * shift + 0.025 * float(rng.standard_normal())
            values = {"zone": zone, "number": n, "role": "sample" if sample else "reference"}
            lab = {"lightness": round(lightness, 2), "red_green": round(red, 2), "yellow_blue": round(yellow, 2)}
            rest = {"illuminant": "D65/10", "geometry": "d/8 included", "at": start + timedelta(minutes=n)}
            rows.append(Colour.model_validate({"where": here(Colour), **values, **lab, **rest, "instrument": "CM-01"}))
    return tuple(rows)


def metal_parts() -> tuple[MetalPart, ...]:
    """Four parts, each ground or blasted, tested for salt and dust, and primed."""
    bright = "ground P36 to bright metal"
    parts: tuple[tuple[str, str, str, str, str, float, float, int, int], ...] = (
        ("M1", "aluminium", bright, "03-03 10:20", "03-03 12:40", 61.0, 3.4, 1, 2),
        ("M2", "stainless steel", "blasted with fine grit", "03-04 09:15", "03-04 11:05", 38.0, 2.6, 1, 1),
        ("M3", "steel", "blasted to bright metal", "03-04 10:30", "03-04 12:10", 66.0, 6.1, 1, 3),
        ("M4", "aluminium", bright, "03-03 13:40", "03-03 16:30", 58.0, 2.9, 0, 2),
    )
    rows = []
    for part, metal, prepared, done, primed, profile, rise, dust, size in parts:
        values = {"part": part, "metal": metal, "prepared": prepared, "prepared_at": moment(done)}
        salt = {"rise": rise, "blank_rise": 0.3, "water": 15.0, "patch": 1250.0, "salt_instrument": "CO-01"}
        rest = {"primed_at": moment(primed), "profile": profile, "profile_instrument": "PG-01"}
        tape = {"dust_quantity": dust, "dust_size": size}
        rows.append(MetalPart.model_validate({"where": here(MetalPart), **values, **rest, **salt, **tape}))
    return tuple(rows)
