"""One small synthetic part under a bag: 10 m2 with foam, two mixes, a log every ten minutes. All numbers invented.

Worked by hand: 8.4 kg/m2 of glass at 60 % take 5.6 kg/m2 of resin (W24); with 0.4 kg/m2 of mesh that is 60 kg, and
with nothing in the hoses 60 kg in all. Two mixes of 30 kg with 0.6 kg of hardener each are 61.2 kg; 1.2 kg are left.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.infusion.records import (
    Area,
    BatchUsed,
    DropReading,
    Infusion,
    LogReading,
    Mix,
    ResinSheet,
)
from buildbook.chapters.schedule_records import Material, Ply
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.evidence import Evidence
from buildbook.core.hull import SpecifiedLimit
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, specification

DAY = datetime(2025, 10, 1)
TOOLS = (
    instrument("VG", "bag pressure", "mbar", 1.0, range_low=0, range_high=1100),
    instrument("BG", "barometric pressure", "mbar", 0.5, range_low=850, range_high=1100),
    instrument("TT", "temperature", "degC", 1.0, range_low=-10, range_high=200),
    instrument("TH", "air temperature", "degC", 0.5, range_low=-10, range_high=60),
    instrument("TH", "relative humidity", "%", 3.0, range_low=0, range_high=100),
    instrument("BA", "mass", "kg", 0.002, range_low=0, range_high=300),
)


def at(hour: int, minute: int = 0) -> datetime:
    """A moment of the day."""
    return DAY.replace(hour=hour, minute=minute)


def infusion(**more: Any) -> dict[str, Any]:
    """Bagged at 6, resin at 8, full at 9, gelled at 10, let go at 16."""
    row: dict[str, Any] = {"part": "P", "bagged": at(6), "started": at(8), "filled": at(9), "gelled": at(10)}
    row |= {"released": at(16), "left_over": 1.2, "lines": 0.0, "flow_length": 1.0}
    row |= {"left_balance": "BA", "thermometer_at": "L, plies 1 and 2", "thermometer_lay": "between plies"}
    return {**row, **more}


def drop(pressures: Iterable[float] = (20, 24, 25, 25.5, 26.0), step: int = 5, **more: Any) -> list[dict[str, Any]]:
    """Readings of one test from 7 o'clock; of the first, the last 10 minutes rise by 1 mbar."""
    return [
        {"part": "P", "attempt": 1, "number": n, "at": at(7) + timedelta(minutes=step * (n - 1)), "gauge": "VG"}
        | {"reading": float(pressure), **more}
        for n, pressure in enumerate(pressures, 1)
    ]


def log(**columns: Any) -> list[dict[str, Any]]:
    """Every ten minutes from bag-up to the end; a column is a number or a function of the moment."""
    rows = []
    for n in range(61):
        moment = at(6) + timedelta(minutes=10 * n)
        cells = {"pressure": 30.0, "air": 21.0, "humidity": 50.0, "mould": 21.0, "laminate": _bell(moment)}
        for name, made in columns.items():
            cells[name] = made(moment) if callable(made) else made
        rows.append({"part": "P", "at": moment, **cells, "gauge": "VG", "hygrometer": "TH", "thermometer": "TT"})
    return rows


def _bell(moment: datetime) -> float:
    """60 degC at 11 o'clock, 10 K less for each hour from there, never below 20 degC."""
    return max(20.0, 60.0 - 10.0 * abs((moment - at(11)) / timedelta(hours=1)))


def mix(name: str = "A", **more: Any) -> dict[str, Any]:
    """Mixed at 8, drawn in within 30 minutes, gelled after 60: twice as long; 2 % hardener."""
    row: dict[str, Any] = {"part": "P", "mix": name, "mixed": at(8), "closed": at(8, 30), "gelled": at(9)}
    row |= {"resin_mass": 30.0, "hardener_mass": 0.6, "temperature": 21.0, "resin_batch": "R", "hardener_batch": "H"}
    row |= {"resin_balance": "BA", "hardener_balance": "BA", "thermometer": "TT"}
    return {**row, **more}


def area(**more: Any) -> dict[str, Any]:
    """10 m2 at 60 % glass with mesh; a core without cuts, its cells shut."""
    row: dict[str, Any] = {"part": "P", "zone": "L", "area": 10.0, "area_uncertainty": 0.2, "glass": 60.0}
    row |= {"glass_uncertainty": 0.1, "core": "FOAM", "media": 0.4}
    cells = {"surface": 0.0} if more.get("core", "FOAM") else {}
    return {**row, **cells, **more}


def batch(name: str, material: str, kind: str, **more: Any) -> dict[str, Any]:
    """A batch that came in before and is good for long."""
    row = {"batch": name, "material": material, "kind": kind, "made": "2025-05-01", "expires": "2026-05-01"}
    return {**row, "received": "2025-06-01", **more}


BATCHES = [
    batch("R", "VE-INF", "resin"),
    batch("H", "initiator", "hardener"),
    batch("G", "GLASS", "reinforcement", expires=None, shelf_life=False),
    batch("F", "FOAM", "core", expires=None, shelf_life=False),
]
SHEET = {"resin": "VE-INF", "hardener_low": 1.0, "hardener_high": 3.0, "temperature_low": 18.0}


def folder(
    tables: Tables | None = None, mine: Iterable[SpecifiedLimit] = (), unread: Tables | None = None, **more: Any
) -> Evidence:
    """The part with everything that was recorded about it."""
    base: Tables = {
        Place: [{"place": name, "name": f"Part {name}", "kind": "part", "painted": "no"} for name in ("P", "L")],
        Instrument: TOOLS,
        Material: [
            {"material": "GLASS", "name": "cloth", "kind": "stitched", "weight": 4200.0, "density": 2.5},
            {"material": "VE-INF", "name": "resin", "kind": "resin", "density": 1.2},
            {"material": "FOAM", "name": "foam", "kind": "core", "density": 0.08},
        ],
        Ply: [{"zone": "L", "skin": "single skin", "ply": n, "of": 2, "material": "GLASS"} for n in (1, 2)],
        Infusion: [infusion()],
        DropReading: drop(),
        LogReading: log(),
        Mix: [mix(), mix("B")],
        ResinSheet: [SHEET],
        Area: [area()],
        BatchUsed: [{"part": "P", "batch": name} for name in ("G", "F", "R", "H")],
        Batch: BATCHES,
    }
    return evidence({**base, **(tables or {})}, specification=specification(*mine), unread=unread, **more)
