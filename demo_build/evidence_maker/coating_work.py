"""The work: every step of preparation and every coat, with the paint that went into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

import numpy as np

from buildbook.chapters.coating.records import Coat, Effort, Preparation
from demo_build.evidence_maker.paints import HIGH_BUILD, SOLIDS, TOPCOAT, UNDERCOAT
from demo_build.evidence_maker.tables import here
from demo_build.evidence_maker.yacht import ZONES

AREA = {place.place: place.area or 0.0 for place in ZONES}
LATE_COAT = "Z5-6"
THIN_ZONE, THIN_COAT = "Z3", "Z3-2"
SANDED_AWAY = {HIGH_BUILD: 22.0, UNDERCOAT: 9.0}  # um taken off the last coat of each layer
SANDED_BEFORE_RECOAT = 7.0  # um

_FILM = {HIGH_BUILD: 106.0, UNDERCOAT: 54.0, TOPCOAT: 28.0}  # um aimed at
_SPEED = {HIGH_BUILD: 0.50, UNDERCOAT: 0.62, TOPCOAT: 0.72}  # m2 a minute
_THIN = {HIGH_BUILD: 5.0, UNDERCOAT: 10.0, TOPCOAT: 15.0}  # thinner per 100 volumes
_TINS = {HIGH_BUILD: ("HH-25-0456", "HT-25-0101"), UNDERCOAT: ("UH-25-0215", "UT-25-0101")}
_TINS[TOPCOAT] = ("TH-25-0890", "TT-25-0107")

# zone: start of each coat, in order; the paint of each coat follows from its length
_FULL = (HIGH_BUILD, HIGH_BUILD, UNDERCOAT, TOPCOAT, TOPCOAT, TOPCOAT)
_STARTS = {
    "Z5": ("03-05 08:10", "03-06 08:10", "03-09 08:15", "03-11 08:05", "03-12 08:10", "03-16 08:20"),
    "Z6": ("03-05 09:30", "03-06 09:25", "03-09 09:20", "03-11 09:15", "03-12 09:20", "03-13 09:05"),
    "Z7": ("03-05 10:50", "03-09 10:30", "03-11 10:25", "03-12 10:20", "03-13 10:10"),
    "Z4": ("03-09 13:10", "03-10 13:05", "03-12 13:10", "03-16 13:40", "03-17 13:30", "03-18 13:10"),
    "Z3": (
        "03-09 14:30",
        "03-10 14:25",
        "03-12 14:20",
        "03-16 14:50",
        "03-17 14:40",
        "03-18 14:20",
        "03-27 08:30",
        "03-28 08:40",
    ),
    "Z1": ("03-16 09:40", "03-17 08:15", "03-20 08:20", "03-24 08:10", "03-25 08:05", "03-26 08:10"),
    "Z2": ("03-16 11:30", "03-17 10:05", "03-20 10:10", "03-24 09:50", "03-25 09:40", "03-26 09:45"),
}


@dataclass(frozen=True, slots=True)
class CoatPlan:
    """One coat before its litres are known."""

    coat: str
    zone: str
    layer: int
    product: str
    start: datetime


def moment(text: str) -> datetime:
    """`03-05 08:10` in 2026."""
    return datetime.strptime(f"2026-{text}", "%Y-%m-%d %H:%M")


def coat_plans() -> tuple[CoatPlan, ...]:
    """Every coat of every zone, in the order of the zones."""
    plans = []
    for zone in sorted(_STARTS):
        starts = _STARTS[zone]
        paints: tuple[str, ...] = _FULL if zone != "Z7" else _FULL[1:]
        paints += (TOPCOAT,) * (len(starts) - len(paints))
        for layer, (start, paint) in enumerate(zip(starts, paints, strict=True), 1):
            plans.append(CoatPlan(f"{zone}-{layer}", zone, layer, paint, moment(start)))
    return tuple(plans)


def coats(rng: np.random.Generator) -> tuple[Coat, ...]:
    """The coating log. Litres follow from area, volume solids, film and loss, so that they agree with the gauge."""
    return tuple(_coat(plan, rng) for plan in coat_plans())


def _coat(plan: CoatPlan, rng: np.random.Generator) -> Coat:
    film = _FILM[plan.product] * (1 + 0.025 * rng.standard_normal())
    if plan.coat == THIN_COAT:
        film *= 0.86
    loss = float(round(rng.uniform(30, 38)))
    solids, area = SOLIDS[plan.product], AREA[plan.zone]
    litres = round(area * film / (10 * solids * (1 - loss / 100)), 1)
    built = 10 * solids * litres * (1 - loss / 100) / area
    wet = built * (100 + _THIN[plan.product]) / solids
    minutes = 5 * round(area / _SPEED[plan.product] / 5 + rng.uniform(0, 1))
    mixed = plan.start - timedelta(minutes=5 * int(rng.integers(4, 7)))
    hardener, thinner = _TINS[plan.product]
    return Coat(
        where=here(Coat),
        coat=plan.coat,
        zone=plan.zone,
        layer=plan.layer,
        product=plan.product,
        base_batch=_base(plan),
        hardener_batch=hardener,
        thinner_batch=thinner,
        thinning=_THIN[plan.product],
        mixed=mixed,
        started=plan.start,
        finished=plan.start + timedelta(minutes=minutes),
        abraded=_abraded(plan),
        litres=litres,
        loss=loss,
        wet_film=float(5 * round(wet / 5)),
        by="PT CD" if plan.zone in ("Z1", "Z3", "Z5") else "PT EF",
    )


def _base(plan: CoatPlan) -> str:
    if plan.product == UNDERCOAT:
        return "U-25-0733"
    late = plan.start.date() >= date(2026, 3, 16)
    if plan.product == HIGH_BUILD:
        return "H-25-1204" if late else "H-25-1181"
    return "T-26-0057" if late else "T-26-0042"


def _abraded(plan: CoatPlan) -> str | None:
    """The last grade of the coat below, where it was abraded."""
    first_topcoat = 4 if plan.zone != "Z7" else 3
    if plan.layer == 1:
        return "P120"
    if plan.product == UNDERCOAT:
        return "P240"
    if plan.layer == first_topcoat or plan.coat == LATE_COAT:
        return "P400"
    return "P500" if plan.layer == 7 else None


def built_film(log: Sequence[Coat], zone: str, layers: int) -> float:
    """Film left on a zone after its first so many coats [um]: litres by solids, less what was sanded away."""
    film = 0.0
    for coat in log:
        if coat.zone != zone or coat.layer > layers:
            continue
        litres, loss = coat.litres or 0.0, coat.loss or 0.0
        film += 10 * SOLIDS[coat.product] * litres * (1 - loss / 100) / AREA[zone]
    film -= sum(SANDED_AWAY.values())
    return film - (SANDED_BEFORE_RECOAT if layers > 6 else 0.0)


@dataclass(frozen=True, slots=True)
class Step:
    """One kind of step: what is written in the log, the day and the hour, how long it took for 10 m2."""

    step: str
    day: str
    hour: str
    hours: float
    product: str | None = None
    grit: str | None = None
    cloths: str | None = None
    note: str | None = None


_TWO_CLOTHS = "two cloths: one to wet, a clean one to lift; both changed every 2 m2"
_GROUPS = {
    "A": ("Z5", "Z6", "Z7"),
    "B": ("Z4", "Z3"),
    "C": ("Z1", "Z2"),
}


def _first_steps(days: Sequence[str]) -> list[Step]:
    wash, wax, strip, coarse, fine, clean = days
    return [
        Step("wash", wash, "07:30", 1.7, "water-based cleanser"),
        Step("rinse", wash, "10:30", 0.4, "fresh water"),
        Step("de-wax", wax, "07:30", 4.0, "solvent wipe", None, _TWO_CLOTHS, "in two passes; lifted before it dried"),
        Step("strip", strip, "07:30", 2.8, None, None, None, "flash, tape and release film off the edges"),
        Step("sand", coarse, "07:15", 4.7, None, "P80", None, "until wholly dull"),
        Step("sand", fine, "07:15", 4.4, None, "P120"),
        Step("vacuum", clean, "13:00", 0.4),
        Step("wipe", clean, "13:45", 0.3, "solvent wipe", None, _TWO_CLOTHS),
        Step("mask", clean, "14:20", 0.6, None, None, None, "film and tape to the moulded edges"),
        Step("rinse", clean, "15:30", 0.3, "fresh water", None, None, "for the water-break test; dried overnight"),
    ]


def _between(day: str, start: str, grits: Sequence[str], per_grit: float) -> list[Step]:
    """Sanding of a dry layer, then vacuum and wipe."""
    begin = moment(f"{day} {start}")
    steps = []
    for n, grit in enumerate(grits):
        hour = begin + timedelta(hours=3.4 * n)
        steps.append(Step("sand", day, hour.strftime("%H:%M"), per_grit, None, grit, None, "dry, with guide coat"))
    end = begin + timedelta(hours=3.4 * len(grits))
    steps.append(Step("vacuum", day, end.strftime("%H:%M"), 0.15))
    later = (end + timedelta(minutes=40)).strftime("%H:%M")
    steps.append(Step("wipe", day, later, 0.15, "solvent wipe", None, _TWO_CLOTHS))
    return steps


_FIRST = {
    "A": ("02-18", "02-19", "02-20", "02-23", "02-26", "03-04"),
    "B": ("02-19", "02-20", "02-23", "02-25", "02-27", "03-06"),
    "C": ("02-24", "02-25", "02-27", "03-03", "03-05", "03-13"),
}
_HIGH_BUILD_SANDED = {"A": "03-07", "B": "03-11", "C": "03-18"}
_UNDERCOAT_SANDED = {"A": "03-10", "B": "03-13", "C": "03-23"}


def _steps(zone: str, group: str) -> list[Step]:
    steps = _first_steps(_FIRST[group])
    steps += _between(_HIGH_BUILD_SANDED[group], "07:30", ("P180", "P240"), 1.9)
    steps += _between(_UNDERCOAT_SANDED[group], "07:30", ("P320", "P400"), 1.8)
    if zone == "Z5":
        note = "spray air dryer out of order on 13 March: topcoat re-keyed because its window had closed"
        steps.append(Step("sand", "03-14", "08:00", 1.2, None, "P400", None, note))
        steps.append(Step("vacuum", "03-14", "11:00", 0.3))
    if zone == THIN_ZONE:
        note = "whole zone abraded for two further coats: see NCR-03"
        steps.append(Step("sand", "03-26", "08:00", 2.0, None, "P400", None, note))
        steps.append(Step("sand", "03-26", "10:30", 2.0, None, "P500"))
        steps.append(Step("vacuum", "03-26", "13:30", 0.5))
    return steps + _last_wipes(zone)


def _last_wipes(zone: str) -> list[Step]:
    """The wipe just before each coat on an abraded coat; primer goes on as the water-break test left the surface."""
    steps = []
    for plan in coat_plans():
        if plan.zone == zone and plan.layer > 1 and _abraded(plan):
            wiped = plan.start - timedelta(minutes=45)
            day, hour = wiped.strftime("%m-%d"), wiped.strftime("%H:%M")
            steps.append(Step("wipe", day, hour, 0.15, "tack cloth and solvent wipe", None, _TWO_CLOTHS))
    return steps


def preparation(rng: np.random.Generator) -> tuple[Preparation, ...]:
    """The preparation log, in order of time."""
    found: list[tuple[datetime, str, Step, datetime]] = []
    for group, zones in _GROUPS.items():
        for n, zone in enumerate(zones):
            for step in _steps(zone, group):
                last = step.product is not None and step.product.startswith("tack")
                start = moment(f"{step.day} {step.hour}") + timedelta(minutes=0 if last else 5 * n)
                minutes = 5 * max(2, round(step.hours * (AREA[zone] / 10) ** 0.4 * 12 * rng.uniform(0.9, 1.0)))
                found.append((start, zone, step, start + timedelta(minutes=minutes)))
    found.sort(key=lambda entry: (entry[0], entry[1]))
    return tuple(
        Preparation.model_validate(
            {
                "where": here(Preparation),
                "id": f"P-{n:03}",
                "zone": zone,
                "step": step.step,
                "started": start,
                "finished": end,
                "product": step.product,
                "grit": step.grit,
                "cloths": step.cloths,
                "by": gang(zone),
                "note": step.note,
            }
        )
        for n, (start, zone, step, end) in enumerate(found, 1)
    )


GANGS = {"Z1": 6, "Z2": 6, "Z3": 3, "Z4": 4, "Z5": 4, "Z6": 4, "Z7": 3}  # people who prepare a zone
_STAGES = {
    "wash": "wash and rinse",
    "rinse": "wash and rinse",
    "strip": "strip edges",
    "vacuum": "vacuum and wipe",
    "wipe": "vacuum and wipe",
}


def gang(zone: str) -> str:
    """The gang that prepares this zone, and no other: a role, with no name of anybody."""
    return f"gang {zone} ({GANGS[zone]})"


def effort(log: Sequence[Preparation]) -> tuple[Effort, ...]:
    """People and hours of the day sheets: the gangs and times of the preparation log, in whole quarters of an hour."""
    spent: dict[tuple[date, str], dict[str, float]] = {}
    for step in log:
        gangs = spent.setdefault((step.started.date(), _STAGES.get(step.step, step.step)), {})
        gangs[step.zone] = gangs.get(step.zone, 0.0) + (step.finished - step.started).total_seconds() / 3600
    rows = []
    for (day, stage), gangs in sorted(spent.items()):
        people = sum(GANGS[zone] for zone in gangs)
        hours = sum(GANGS[zone] * hours for zone, hours in gangs.items()) / people
        rows.append(Effort(where=here(Effort), day=day, stage=stage, people=people, hours=ceil(4 * hours) / 4))
    return tuple(rows)
