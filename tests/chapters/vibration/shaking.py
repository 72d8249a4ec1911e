"""Small synthetic surveys: one position, one run, records of known level. Nothing here was measured."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.opening import UNITS
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.hull import Hull, SpecifiedLimit
from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.survey import surveyed
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, specification

RATE = 1024.0
CHAIN = instrument("VM-01", "acceleration", "%", 3.0)
RUN = {"run": "R1", "setting": "cruise", "depth": 20.0, "sea_state": 2, "wind_force": 3, "rudder": 1.0}
RUN |= {"load": "half tanks", "running": "generator"}
Rows = Mapping[Any, Any]


def position(name: str = "V1", space: str = "cabin or lounge", comfort: str = "2", **more: Any) -> dict[str, Any]:
    """One position in a cabin with comfort number 2: 2.0 mm/s."""
    row = {"position": name, "space": space, "comfort": comfort, "above_propellers": "no"}
    return {**row, "drawing": "VP-01", "revision": "A", **more}


def row(name: str = "A-01", where: str = "V1", **more: Any) -> dict[str, Any]:
    """One record, vertical, held and checked."""
    found = {"record": name, "position": where, "axis": "vertical", "run": "R1", "attempt": 1, "file": "raw/a.wav"}
    held = {"mounting": "magnet", "checked_before": 0.2, "checked_after": -0.3}
    return {**found, **held, "instrument": "VM-01", "quantity": "acceleration", **more}


def sine(level: float, frequency: float = 20.0, seconds: float = 64.0, rate: float = RATE) -> np.ndarray:
    """A tone whose unweighted velocity has this r.m.s. [mm/s], as acceleration [m/s2]."""
    time = np.arange(round(seconds * rate)) / rate
    omega = 2.0 * np.pi * frequency
    return np.asarray(level / 1000.0 * omega * np.sqrt(2.0) * np.sin(omega * time + 0.3))


def survey(
    records: Sequence[tuple[dict[str, Any], np.ndarray | None]],
    mine: Iterable[SpecifiedLimit] = (),
    *,
    tables: Rows | None = None,
    unread: Rows | None = None,
    rate: float = RATE,
    draught: float | None = 1.5,
) -> Evidence:
    """An evidence with these records; None stands for a file that could not be opened."""
    places = [{"place": name, "name": name, "kind": "position", "painted": "no"} for name in ("V1", "V2", "P1", "P2")]
    base: Tables = {
        Place: places,
        Instrument: [CHAIN],
        Position: [position()],
        TrialRun: [RUN],
        ShaftSpeed: [{"run": "R1", "propeller": name, "shaft_speed": 985.0} for name in ("P1", "P2")],
        Machine: [
            {"machine": f"S{name}", "kind": "propeller", "propeller": name, "blades": 5, "name": "x", "document": "D"}
            for name in ("P1", "P2")
        ],
        VibrationRecord: [one for one, _ in records],
        Planned: (),
    }
    found = evidence(
        {**base, **(tables or {})}, specification=specification(*mine), unread=unread, hull=Hull(draught=draught)
    )
    rows = found.records[VibrationRecord]
    signals = {
        one.where: signal(values, one.quantity, rate, f"raw/{one.record}.wav")
        for one, (_, values) in zip(rows, records, strict=False)
        if isinstance(one, VibrationRecord) and values is not None
    }
    return replace(found, signals=signals)


def signal(values: np.ndarray, quantity: str = "acceleration", rate: float = RATE, file: str = "raw/a.wav") -> Signal:
    """A record held in memory, handed over in three pieces."""
    pieces = np.array_split(values, 3)
    found = Signal(Where(file), "channel 1", rate, UNITS[quantity], len(values), 1.0, lambda: iter(pieces))
    return replace(found, survey=surveyed(found))


def judged(check: Callable[[Evidence], Iterable[Finding]], given: Evidence) -> list[Finding]:
    """What a check finds in such a survey."""
    return list(check(given))
