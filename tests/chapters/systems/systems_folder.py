"""Small synthetic systems tests: one tank of 1000 L, one opening, one bilge, one fitting, one circuit of 100 V.

All rows are invented for these tests. Uncertainties are round, so that each U can be worked out by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.systems.records.bilge import BilgeAlarm, BilgePump
from buildbook.chapters.systems.records.electric import Bonding, Circuit, Insulation, VoltageDrop
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.chapters.systems.records.tanks_and_hose import HoseTest, PressureTest
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.hull import SpecifiedLimit
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import instrument, specification

Rows = Mapping[type[Record], Sequence[Mapping[str, Any]]]
Judge = Callable[[Evidence], Iterable[Finding]]

ALONE = math.sqrt(3.0)  # a step of U times this brings U by itself: 2 x step / sqrt(12)
TOOLS = (
    instrument("FM-01", "volume of fuel", "L", 0.0, range_low=0, range_high=5000, resolution=6.0 * ALONE),
    instrument("PM-01", "pressure", "kPa", 0.3, range_low=0, range_high=100, resolution=0.1),
    instrument("PM-02", "pressure", "MPa", 0.01, range_low=0, range_high=1),
    instrument("TM-01", "air temperature", "degC", 0.3, range_low=-10, range_high=60, resolution=0.1),
    instrument("MV-01", "volume of water", "L", 3.0, range_low=0, range_high=200),
    instrument("OM-01", "resistance", "ohm", 0.0, range_low=0, range_high=200, resolution=0.03 * ALONE),
    instrument("IM-01", "insulation resistance", "Mohm", 0.2, range_low=0, range_high=200),
    instrument("VT-01", "voltage", "V", 0.0, range_low=0, range_high=500, resolution=0.3 * ALONE),
    instrument("AM-01", "current", "A", 0.02, range_low=0, range_high=200),
)
PLACES = [{"place": name, "name": name, "kind": "part", "painted": "no"} for name in ("T1", "K1", "B-1", "F1", "E1")]
SHARES = (5, 25, 50, 75, 95)  # per cent of the tank at which sender and display are read


def found(judge: Judge, tables: Rows, mine: Iterable[SpecifiedLimit] = (), **more: Any) -> list[Finding]:
    """The findings of one check on these rows."""
    base: Rows = {Place: PLACES, Instrument: TOOLS}
    return list(judge(evidence({**base, **tables}, specification=specification(*mine), **more)))


def fill(alarm: float | None = 950.0, **more: Any) -> dict[str, Any]:
    """A tank that takes 1000 L: with 8 L for the moment of reading beside the 6 L of the meter, U = 10 L."""
    row = {"tank": "T1", "attempt": 1, "emptied": True, "alarm": alarm, "full": 1000.0, "uncertainty": 8.0}
    done = {"silenced": True, "slowed": True, "shut": True, "vents": "dry the whole time", "heel": 0.0, "trim": 0.0}
    return {**row, **done, "instrument": "FM-01", **more}


def sender_rows(off: float = 0.0, display: float = 0.0, **more: Any) -> list[dict[str, Any]]:
    """Five readings; that at a quarter is off by these per cents, with steps too small to matter."""
    step = {"sender_step": 0.01, "display_step": 0.01, "instrument": "FM-01"}
    return [
        {"tank": "T1", "attempt": 1, "number": n, "metered": 10.0 * share, "sender": share + (off if n == 2 else 0.0),
         "display": share + (display if n == 2 else 0.0), **step, **more}
        for n, share in enumerate(SHARES, 1)
    ]  # fmt: skip


def pressed(start: float = 22.0, end: float | None = None, **more: Any) -> dict[str, Any]:
    """A fuel tank with 1 m of head."""
    row = {"tank": "T1", "attempt": 1, "content": "fuel", "scope": "tank alone", "medium": "air", "head": 1.0}
    rest = {"density": 840.0, "start": start, "end": start if end is None else end, "minutes": 30.0}
    warmth = {"air_start": 20.0, "air_end": 20.0, "thermometer": "TM-01"}
    return {**row, **rest, **warmth, "instrument": "PM-01", **more}


def hosed(inside: bool | None = False, **more: Any) -> dict[str, Any]:
    """One opening under a jet of 0.25 MPa."""
    row = {"opening": "K1", "attempt": 1, "pressure": 0.25, "distance": 1.2, "nozzle": 12.5, "minutes": 5.0}
    return {**row, "inside": inside, "instrument": "PM-02", **more}


def alarm(heard: bool | None = True, seen: bool | None = True, **more: Any) -> dict[str, Any]:
    """One bilge alarm."""
    return {"space": "B-1", "attempt": 1, "way": "water poured in", "heard": heard, "seen": seen, **more}


def pump(collected: float = 60.0, **more: Any) -> dict[str, Any]:
    """Water of one minute: U of 60 L/min is 5 L/min, 3 L and 4 s (worked by hand)."""
    row = {"pump": "B-1", "attempt": 1, "kind": "by hand", "collected": collected, "time": 60.0, "uncertainty": 4.0}
    return {**row, "wanted": 50.0, "drawing": "DWG-1", "revision": "A", "instrument": "MV-01", **more}


def bond(resistance: float = 0.7, **more: Any) -> dict[str, Any]:
    """A fitting, with leads of 0.2 ohm."""
    row = {"fitting": "F1", "attempt": 1, "resistance": resistance, "leads": 0.2, "ashore": True}
    return {**row, "instrument": "OM-01", **more}


def circuit(**more: Any) -> dict[str, Any]:
    """A critical circuit of direct current that was designed for 10 A."""
    return {"circuit": "E1", "supply": "24 V DC", "critical": True, "current": 10.0, **more}


def insulation(resistance: float = 5.0, **more: Any) -> dict[str, Any]:
    """One circuit at 500 V."""
    row = {"circuit": "E1", "attempt": 1, "between": "live conductors and earth", "voltage": 500.0}
    return {**row, "resistance": resistance, "beyond": False, "instrument": "IM-01", **more}


def drop(load: float = 98.0, **more: Any) -> dict[str, Any]:
    """100 V at the source, so that volts lost are per cents."""
    row = {"circuit": "E1", "attempt": 1, "source": 100.0, "load": load, "current": 10.0}
    return {**row, "instrument": "VT-01", "ammeter": "AM-01", **more}


__all__ = [
    "BilgeAlarm", "BilgePump", "Bonding", "Circuit", "FuelFill", "HoseTest", "Insulation", "PressureTest",
    "SenderReading", "VoltageDrop",
]  # fmt: skip
