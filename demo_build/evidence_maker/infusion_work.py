"""The infusions of the invented yacht: hull, deck and one small lid; vacuum, clock, mixes and areas."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.infusion.records import (
    Area,
    BatchUsed,
    DropReading,
    Infusion,
    LogReading,
    Mix,
    ResinSheet,
)
from buildbook.chapters.shared_records import Place
from demo_build.evidence_maker.tables import here

HULL, DECK, LID = "I1", "I2", "I3"
LEAKED, GAPPED = HULL, DECK
RESIN = "VE-INF"
MINUTE = timedelta(minutes=1)


def _place(key: str, name: str, at: tuple[float, float, float], note: str) -> Place:
    values = {"place": key, "name": name, "kind": "part", "x": at[0], "y": at[1], "z": at[2], "note": note}
    return Place.model_validate({"where": here(Place), "substrate": "laminate", "painted": False, **values})


PLACES = (
    _place(HULL, "Hull, infused in one", (8.6, 0.0, 0.20), "Bottom and both sides under one bag"),
    _place(DECK, "Deck, infused in one", (10.2, 0.0, 2.40), "One bag"),
    _place(LID, "Lid of the anchor locker, infused", (17.2, 0.0, 2.42), "Made on the table, same rules as the hull"),
)


@dataclass(frozen=True, slots=True)
class Run:
    """One infusion as it went: moments of its day, temperatures [degC], pressures [mbar]."""

    part: str
    bagged: datetime
    started: datetime
    filled: datetime
    gelled: datetime
    peaked: datetime
    released: datetime
    peak: float
    shop: float
    humidity: float
    pressure: float
    left_over: float
    lines: float
    flow_length: float
    left_balance: str
    thermometer_at: str
    thermometer_lay: str
    gap: tuple[datetime, datetime] | None = None


RUNS = (
    Run(
        HULL,
        datetime(2025, 9, 9, 6, 0),
        datetime(2025, 9, 9, 9, 0),
        datetime(2025, 9, 9, 10, 4),
        datetime(2025, 9, 9, 11, 20),
        datetime(2025, 9, 9, 12, 20),
        datetime(2025, 9, 9, 18, 30),
        peak=64.5,
        shop=20.8,
        humidity=54.0,
        pressure=29.0,
        left_over=11.5,
        lines=25.0,
        flow_length=2.4,
        left_balance="BL-11",
        thermometer_at="keel, L1, at mid-thickness of the solid laminate",
        thermometer_lay="between plies",
    ),
    Run(
        DECK,
        datetime(2025, 9, 17, 7, 0),
        datetime(2025, 9, 17, 8, 40),
        datetime(2025, 9, 17, 9, 28),
        datetime(2025, 9, 17, 10, 50),
        datetime(2025, 9, 17, 11, 40),
        datetime(2025, 9, 17, 17, 0),
        peak=51.0,
        shop=20.2,
        humidity=59.0,
        pressure=33.0,
        left_over=6.0,
        lines=12.0,
        flow_length=2.0,
        left_balance="BL-11",
        thermometer_at="foredeck beside the hatch, L4, inner skin against the core",
        thermometer_lay="between plies",
        gap=(datetime(2025, 9, 17, 12, 25), datetime(2025, 9, 17, 13, 55)),
    ),
    Run(
        LID,
        datetime(2025, 9, 2, 8, 0),
        datetime(2025, 9, 2, 9, 0),
        datetime(2025, 9, 2, 9, 16),
        datetime(2025, 9, 2, 10, 22),
        datetime(2025, 9, 2, 10, 50),
        datetime(2025, 9, 2, 15, 0),
        peak=38.6,
        shop=21.4,
        humidity=57.0,
        pressure=24.0,
        left_over=0.42,
        lines=0.5,
        flow_length=1.1,
        left_balance="BL-12",
        thermometer_at="middle of the lid, L6",
        thermometer_lay="under the bag",
    ),
)


def infusions() -> tuple[Infusion, ...]:
    """The three parts, the largest first."""
    moments = ("bagged", "started", "filled", "gelled", "released")
    figures = ("left_over", "left_balance", "lines", "flow_length", "thermometer_at", "thermometer_lay")
    paper = {"resin": RESIN, "drawing": "SPEC-06", "revision": "B", "where": here(Infusion)}
    return tuple(
        Infusion.model_validate({"part": run.part, **{n: getattr(run, n) for n in (*moments, *figures)}, **paper})
        for run in RUNS
    )


# part, attempt, start, step [min], absolute pressures [mbar], gauge
_DROPS: tuple[tuple[str, int, datetime, int, tuple[float, ...], str], ...] = (
    (HULL, 1, datetime(2025, 9, 9, 6, 45), 5, (21.8, 31.5, 38.9, 45.8, 52.3, 58.6, 64.7), "VG-11"),
    (HULL, 2, datetime(2025, 9, 9, 8, 15), 5, (22.9, 24.3, 25.0, 25.6, 26.1, 26.6, 27.0), "VG-11"),
    (DECK, 1, datetime(2025, 9, 17, 7, 45), 10, (24.2, 26.2, 27.2, 27.2, 28.2), "VG-12"),
    (LID, 1, datetime(2025, 9, 2, 8, 25), 5, (18.6, 19.4, 19.7, 19.8, 19.8), "VG-11"),
)
OPENED, SHUT = datetime(2025, 9, 9, 7, 25), datetime(2025, 9, 9, 7, 40)  # the leaking bag, to tape its seam anew
BAROMETER = 1014.2  # mbar on the day of the deck


def drop_tests() -> tuple[DropReading, ...]:
    """Four tests: the hull's first found a leak; the deck was read on a gauge that reads below the barometer."""
    rows = []
    for part, attempt, start, step, pressures, gauge in _DROPS:
        below = gauge == "VG-12"
        for number, pressure in enumerate(pressures, 1):
            row: dict[str, object] = {"part": part, "attempt": attempt, "number": number, "gauge": gauge}
            row |= {"at": start + (number - 1) * step * MINUTE, "by": "LT MR", "where": here(DropReading)}
            row |= {"reading": round(BAROMETER - pressure, 1) if below else pressure}
            row |= {"reads": "below the barometer" if below else "absolute"}
            row |= {"barometer": BAROMETER, "barometer_gauge": "VG-13"} if below else {}
            rows.append(DropReading.model_validate(row))
    return tuple(rows)


def _moments(run: Run) -> Iterator[datetime]:
    """Every quarter of an hour; every ten minutes from the first resin until after the peak."""
    at = run.bagged
    while at < run.released:
        if run.gap is None or not run.gap[0] < at < run.gap[1]:
            yield at
        busy = run.started <= at < run.peaked + 30 * MINUTE
        after = at + (10 if busy else 15) * MINUTE
        at = run.started if at < run.started < after else after
    yield run.released


def _tested(run: Run, at: datetime) -> float | None:
    """What the drop tests found at that moment, between their readings [mbar]; None outside of them."""
    for part, _, start, step, pressures, _ in _DROPS:
        place = (at - start) / (step * MINUTE)
        if part == run.part and 0.0 <= place <= len(pressures) - 1:
            return float(np.interp(place, range(len(pressures)), pressures))
    return None


def _bag(run: Run, at: datetime) -> float:
    """Pumped down in half an hour, as the drop tests found it, a little more while resin runs, steady then [mbar].

    The bag that leaked was full of air while its seam was open, and was pumped down once more.
    """
    tested = _tested(run, at)
    if tested is not None:
        return tested
    if at < run.started:
        again = run.part == LEAKED and at >= OPENED
        minutes = max((at - (SHUT if again else run.bagged)) / MINUTE, 0.0)
        return run.pressure - 7.0 + 980.0 * math.exp(-minutes / 5.0)
    if at < run.filled:
        return run.pressure + 14.0 * math.sin(math.pi * ((at - run.started) / (run.filled - run.started)))
    return run.pressure + 4.0


def _laminate(run: Run, at: datetime, mould: float) -> float:
    """As the mould until fill; up to the peak, then down again [degC]."""
    if at <= run.filled:
        return mould
    rise = run.peak - mould
    if at <= run.peaked:
        return mould + rise * math.pow((at - run.filled) / (run.peaked - run.filled), 2.4)
    return mould + rise * math.exp(-((at - run.peaked) / MINUTE) / 135.0)


def log(rng: np.random.Generator) -> tuple[LogReading, ...]:
    """The log of all three, coarse as it was printed; one of them with a gap after gel."""
    rows = []
    for run in RUNS:
        for at in _moments(run):
            hours = (at - run.bagged) / timedelta(hours=1)
            air = run.shop + 0.09 * hours + rng.normal(0.0, 0.1)
            mould = run.shop - 0.5 + 0.05 * hours + rng.normal(0.0, 0.06)
            values = {
                "pressure": _bag(run, at) + rng.normal(0.0, 0.3),
                "air": air,
                "humidity": run.humidity - 0.5 * hours + rng.normal(0.0, 0.4),
                "mould": mould,
                "laminate": _laminate(run, at, mould),
            }
            tools = {"gauge": "VG-11", "hygrometer": "TL-12", "thermometer": "TL-11", "where": here(LogReading)}
            shown = {name: round(float(value), 1) for name, value in values.items()}
            rows.append(LogReading.model_validate({"part": run.part, "at": at, **shown, **tools}))
    return tuple(rows)


# part, mix, station, mixed (hour, minute), minutes to draw in, to gel, resin and hardener [kg], degC, resin batch
_MIXES = (
    (HULL, "H-1", "feed 1, keel aft", (8, 50), 34, 92, 162.0, 2.430, 20.4, "VR-25-1102"),
    (HULL, "H-2", "feed 2, keel forward", (9, 2), 35, 92, 162.4, 2.432, 20.4, "VR-25-1102"),
    (HULL, "H-3", "feed 3, chines", (9, 15), 33, 91, 161.9, 2.430, 20.5, "VR-25-1146"),
    (HULL, "H-4", "feed 4, side, port", (9, 28), 34, 90, 162.2, 2.435, 20.6, "VR-25-1146"),
    (HULL, "H-5", "feed 5, side, starboard", (9, 33), 31, 90, 162.1, 2.426, 20.6, "VR-25-1146"),
    (DECK, "D-1", "feed 1, centreline", (8, 34), 50, 76, 113.6, 1.932, 20.3, "VR-25-1146"),
    (DECK, "D-2", "feed 2, side decks", (8, 52), 36, 84, 113.2, 1.700, 20.3, "VR-25-1146"),
    (LID, "T-1", "one feed at the edge", (8, 54), 22, 78, 3.690, 0.059, 21.2, "VR-25-1102"),
)


def mixes() -> tuple[Mix, ...]:
    """Eight mixes, each with its own clock; the small one weighed on the small balance."""
    days = {run.part: run.bagged for run in RUNS}
    rows = []
    for part, mix, station, (hour, minute), draw, gel, resin, hardener, warm, batch in _MIXES:
        at = days[part].replace(hour=hour, minute=minute)
        row: dict[str, object] = {"part": part, "mix": mix, "station": station, "mixed": at}
        row |= {"closed": at + draw * MINUTE, "gelled": at + gel * MINUTE, "resin_mass": resin}
        row |= {"hardener_mass": hardener, "temperature": warm, "resin_batch": batch, "hardener_batch": "HI-25-0707"}
        row |= {"resin_balance": "BL-12" if part == LID else "BL-11", "hardener_balance": "BL-12"}
        rows.append(Mix.model_validate({**row, "thermometer": "TL-11", "by": "LT MR", "where": here(Mix)}))
    return tuple(rows)


def sheets() -> tuple[ResinSheet, ...]:
    """The data sheet of the one resin."""
    row = {"resin": RESIN, "hardener_low": 1.2, "hardener_high": 1.8, "temperature_low": 18.0}
    rest = {"temperature_high": 25.0, "viscosity": 250.0, "sheet": "VE-TDS-04", "revision": "2"}
    return (ResinSheet.model_validate({**row, **rest, "where": here(ResinSheet)}),)


_SIDE = {"core": "PVC-80", "core_thickness": 25.0, "cut_width": 0.8, "cut_depth": 22.0, "cut_spacing": 30.0}
_HOLES = {"hole_diameter": 2.0, "hole_pitch": 40.0, "surface": 0.6}
_DECK = {"core": "PVC-80", "core_thickness": 20.0, "cut_width": 0.8, "cut_depth": 17.0, "cut_spacing": 30.0}

# part, zone, area [m2], its U [%], glass [%], its U, mesh [kg/m2], core
_AREAS: Sequence[tuple[str, str, float, float, float, float, float, dict[str, object]]] = (
    (HULL, "L1", 58.0, 2.0, 68.0, 1.5, 0.5, {}),
    (HULL, "L2", 38.6, 2.0, 68.0, 1.5, 0.5, {**_SIDE, **_HOLES}),
    (HULL, "L3", 38.6, 2.0, 68.0, 1.5, 0.5, {**_SIDE, **_HOLES}),
    (DECK, "L4", 46.2, 2.0, 66.0, 1.5, 0.5, {**_DECK, **_HOLES}),
    (LID, "L6", 1.4, 1.0, 62.0, 3.0, 0.4, {}),
)


def areas() -> tuple[Area, ...]:
    """What each part is made of, as the specification reckons it."""
    names = ("part", "zone", "area", "area_uncertainty", "glass", "glass_uncertainty", "media")
    paper = {"drawing": "SPEC-06", "revision": "B", "where": here(Area)}
    return tuple(Area.model_validate({**dict(zip(names, row[:-1], strict=True)), **row[-1], **paper}) for row in _AREAS)


_GLASS = ("GM-25-0311", "GQ-25-0417", "GB-25-0209")
_USED = (
    (HULL, (*_GLASS, "FC-25-0080", "VR-25-1102", "VR-25-1146", "HI-25-0707")),
    (DECK, ("GM-25-0311", "GB-25-0209", "FC-25-0080", "VR-25-1146", "HI-25-0707")),
    (LID, ("GM-25-0311", "GB-25-0209", "VR-25-1102", "HI-25-0707")),
)


def batches_used() -> tuple[BatchUsed, ...]:
    """Which batch went into which part."""
    where = here(BatchUsed)
    return tuple(BatchUsed(where=where, part=part, batch=batch) for part, its in _USED for batch in its)
