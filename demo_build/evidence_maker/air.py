"""The climate in the shed, and what the loggers wrote."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.coating.records import Climate, Coat
from demo_build.evidence_maker.paints import FIRST_CURE
from demo_build.evidence_maker.tables import here
from demo_build.evidence_maker.yacht import hygrometer, probe

GAP_COAT = "Z2-3"
GAP = (datetime(2026, 3, 20, 10, 30), datetime(2026, 3, 20, 13, 0))  # last reading before, first reading after
WET_DAY = datetime(2026, 3, 10, 16, 0)

_START, _STEPS = datetime(2026, 3, 4), 48 * 28
_HALF_HOUR = timedelta(minutes=30)
_COOLER = {"Z1": 0.7, "Z2": 0.8, "Z3": 0.9, "Z4": 0.5, "Z5": 0.6, "Z6": 0.6, "Z7": 0.4}  # K below the air

# Magnus form over water, constants of WMO-No. 8, Annex 4.B: only to make readings that go together
_A, _B = 17.62, 243.12


def climate(log: Sequence[Coat], rng: np.random.Generator) -> tuple[Climate, ...]:
    """Readings of every zone from before its first coat to after the cure of its last."""
    air, dew = _weather(rng)
    rows: list[Climate] = []
    for zone in sorted(_COOLER):
        for when in _times([coat for coat in log if coat.zone == zone]):
            rows.append(_reading(zone, when, air, dew, rng))
    return tuple(rows)


def _weather(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Air temperature and dew point in the heated shed on a grid of half hours [degC]."""
    hours = np.arange(_STEPS) / 2.0
    drift = _wander(rng, 0.995, 0.55)
    air = 20.3 + 1.1 * np.sin(2 * np.pi * (hours % 24 - 9.5) / 24) + drift
    wet = (_START - WET_DAY).total_seconds() / 3600 + hours
    dew = 10.6 + _wander(rng, 0.997, 0.9) + 0.35 * (air - 20.3) + 6.7 * np.exp(-((wet / 5.0) ** 2))
    return np.clip(air, 18.2, 22.9), dew


def _wander(rng: np.random.Generator, memory: float, spread: float) -> np.ndarray:
    """A slow random walk that comes back to zero, with the given standard deviation."""
    steps = rng.standard_normal(_STEPS) * spread * float(np.sqrt(1 - memory**2))
    values = np.zeros(_STEPS)
    for n in range(1, _STEPS):
        values[n] = memory * values[n - 1] + steps[n]
    return values


def _times(coats: Sequence[Coat]) -> list[datetime]:
    """Hourly through the whole job; half-hourly from before each coat to the end of its first cure; at its start."""
    spans = [(coat.started - timedelta(minutes=35), _cured(coat) + timedelta(minutes=35)) for coat in coats]
    times = {coat.started for coat in coats}
    when, end = _floor(spans[0][0]), spans[-1][1]
    while when <= end:
        busy = any(start <= when <= stop for start, stop in spans)
        lost = coats[0].zone == GAP_COAT[:2] and GAP[0] < when < GAP[1]
        if (busy or when.minute == 0) and not lost:
            times.add(when)
        when += _HALF_HOUR
    return sorted(times)


def _cured(coat: Coat) -> datetime:
    return coat.finished + timedelta(hours=FIRST_CURE[coat.product])


def _floor(when: datetime) -> datetime:
    return when.replace(minute=0)


def _reading(
    zone: str, when: datetime, air_grid: np.ndarray, dew_grid: np.ndarray, rng: np.random.Generator
) -> Climate:
    n = int((when - _START) / _HALF_HOUR)
    air = float(air_grid[n]) + 0.12 * float(rng.standard_normal())
    dew = float(dew_grid[n]) + 0.1 * float(rng.standard_normal())
    lagged = float(np.mean(air_grid[max(0, n - 4) : n + 1]))
    surface = lagged - _COOLER[zone] + 0.1 * float(rng.standard_normal())
    humidity = 100 * float(np.exp(_A * dew / (_B + dew) - _A * air / (_B + air)))
    return Climate(
        where=here(Climate),
        zone=zone,
        at=when,
        air=round(air, 1),
        humidity=round(humidity * 2) / 2,
        surface=round(surface, 1),
        instrument=hygrometer(zone),
        surface_instrument=probe(zone),
    )
