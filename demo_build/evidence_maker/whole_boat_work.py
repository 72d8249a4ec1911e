"""Tests aboard the invented yacht: gas, steering, weighing, fuel, safety, seacocks, engines, sockets, lights."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

import numpy as np

from buildbook.chapters.shared_records import Place
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
from buildbook.chapters.systems.records.gas import GasTest
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.records.seacocks import Seacock
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.chapters.systems.records.steering import Steering
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.systems.records.weighing import Aboard, CellReading
from buildbook.core.record import Record
from demo_build.evidence_maker import drive_work
from demo_build.evidence_maker.tables import here

R = TypeVar("R", bound=Record)
GAS, STEERING, PORT, STARBOARD = "Y1", "Y2", "Y3", "Y4"
OUT_OF_DATE, NOT_WORKED, REVERSED, UNDATED = "Y6", "Y14", "Y18", "Y22"

_THINGS = (
    (GAS, "Gas pipe, locker to stove", 7.9, 0.4, 1.2),
    (STEERING, "Steering gear, both rudders", 0.4, 0.0, 0.2),
    (PORT, "Engine, port", 5.0, -1.1, 0.1),
    (STARBOARD, "Engine, starboard", 5.0, 1.1, 0.1),
    ("Y5", "Extinguisher, engine room entrance", 6.0, -0.3, 0.9),
    (OUT_OF_DATE, "Extinguisher, galley", 8.5, -1.0, 1.6),
    ("Y7", "Extinguishing system, engine room", 4.2, 0.0, 0.7),
    ("Y8", "Smoke detector, owner's cabin", 9.9, 0.3, 1.0),
    ("Y9", "Carbon monoxide detector, saloon", 7.0, 1.0, 3.4),
    ("Y10", "Gas detector, galley", 8.3, -0.4, 0.9),
    ("Y11", "Seacock, cooling water, port engine", 4.5, -0.8, -0.7),
    ("Y12", "Seacock, cooling water, starboard engine", 4.5, 0.8, -0.7),
    ("Y13", "Seacock, toilet, owner's cabin", 11.0, 0.8, -0.6),
    (NOT_WORKED, "Seacock, generator", 3.0, 0.3, -0.6),
    ("Y15", "Outlet, bilge pump", 2.6, -2.4, 0.5),
    ("Y16", "Residual-current device, shore supply", 5.6, -2.0, 1.4),
    ("Y17", "Socket, galley", 8.9, 1.3, 1.9),
    (REVERSED, "Socket, owner's cabin", 10.4, -0.9, 0.6),
    ("Y19", "Socket, engine room", 3.8, -1.9, 0.6),
    ("Y20", "Side light, port", 12.6, -1.6, 2.9),
    ("Y21", "Side light, starboard", 12.6, 1.6, 2.9),
    (UNDATED, "Masthead light", 6.3, 0.0, 5.0),
    ("Y23", "Stern light", 0.6, 0.0, 1.6),
    ("Y24", "Horn", 8.0, 0.5, 4.4),
    ("Y25", "Emergency stop, port engine", 10.3, -0.4, 2.9),
    ("Y26", "Emergency stop, starboard engine", 10.3, 0.5, 2.6),
)

PLACES = tuple(
    Place.model_validate(
        {"where": here(Place), "place": key, "name": name, "kind": "part", "x": x, "y": y, "z": z, "painted": False}
    )
    for key, name, x, y, z in _THINGS
)


def _rows(kind: type[R], names: str, values: Iterable[tuple[Any, ...]], **rest: Any) -> tuple[R, ...]:
    """Rows of one table from the names of some columns and their values; `rest` is the same in every row."""
    heads = names.split()
    made: list[Mapping[str, Any]] = [dict(zip(heads, row, strict=True)) for row in values]
    return tuple(kind.model_validate({"where": here(kind), "attempt": 1, **rest, **row}) for row in made)


def gas_tests() -> tuple[GasTest, ...]:
    """At 105 mbar, and at the working pressure for ten minutes: not a step of the gauge."""
    names = "place at working strength strength_minutes tight_start tight_end tight_minutes air_start air_end"
    row = (GAS, datetime(2026, 5, 14, 10, 20), 30.0, 105.2, 5.0, 30.4, 30.4, 10.0, 17.2, 17.2)
    return _rows(GasTest, names, (row,), medium="air", by="GF AB", instrument="GG-01", thermometer="TP-01")


def steering() -> tuple[Steering, ...]:
    """Alongside, with both rudders linked."""
    names = "place at drawn tolerance port starboard stop_to_stop ship_time stops emergency"
    row = (STEERING, datetime(2026, 5, 15, 14, 0), 36.0, 1.5, 36.2, 35.6, 11.8, 10.4, "held", "steered her")
    paper = {"drawing": "DWG-420", "revision": "B", "time_uncertainty": 0.4}
    return _rows(Steering, names, (row,), **paper, by="TR HB", instrument="AI-01")


def weighing() -> tuple[CellReading, ...]:
    """In the slings, four cells, before she was launched."""
    names = "point mass x y"
    found = (
        ("forward, port", 6980.0, 12.60, -1.90),
        ("forward, starboard", 6940.0, 12.60, 1.90),
        ("aft, port", 8160.0, 3.90, -1.90),
        ("aft, starboard", 8220.0, 3.90, 1.90),
    )
    rest = {"at": datetime(2026, 5, 12, 7, 30), "position_uncertainty": 0.02, "by": "QA KL", "instrument": "LC-01"}
    return _rows(CellReading, names, found, **rest)


def aboard() -> tuple[Aboard, ...]:
    """What was aboard in the slings, and what was not: no fuel yet, and nobody."""
    names = "item change mass uncertainty x y"
    found = (
        ("fresh water", "taken off", 150.0, 10.0, 8.00, 0.0),
        ("anchor and chain", "added", 210.0, 5.0, 17.20, 0.0),
    )
    return _rows(Aboard, names, found)


# run: what one engine burns [L/h]
_BURNED = {"R1": 183.0, "R2": 184.0, "R3": 121.0, "R4": 122.0, "R5": 47.0, "R6": 183.5, "R7": 183.0}
_BACK = {"R1": 118.0, "R2": 117.5, "R3": 131.0, "R4": 130.5, "R5": 152.0, "R6": 117.5, "R7": 118.0}


def fuel(random: np.random.Generator) -> tuple[FuelFlow, ...]:
    """Supply and return of both engines in every run."""
    rows = []
    for run in drive_work.runs():
        for engine in (PORT, STARBOARD):
            back = round(_BACK[run.run] + random.normal(0.0, 0.5), 1)
            supply = round(back + _BURNED[run.run] + random.normal(0.0, 0.6), 1)
            at = run.at + timedelta(minutes=2)
            values = {"run": run.run, "place": engine, "at": at, "supply": supply, "back": back}
            rows.append(FuelFlow.model_validate({"where": here(FuelFlow), **values, "instrument": "FF-01"}))
    return tuple(rows)


def safety_devices() -> tuple[SafetyDevice, ...]:
    """One extinguisher had run out; it was exchanged before delivery."""
    names = "place attempt kind details on works tried_by good_until"
    seen, later = date(2026, 5, 28), date(2026, 6, 3)
    foam, system = "extinguisher", "fixed extinguishing system"
    found = (
        ("Y5", 1, foam, "6 L foam", seen, None, None, date(2027, 4, 30)),
        (OUT_OF_DATE, 1, foam, "2 kg powder, no. 118834", seen, None, None, date(2026, 3, 31)),
        (OUT_OF_DATE, 2, foam, "2 kg powder, no. 120417", later, None, None, date(2028, 3, 31)),
        ("Y7", 1, system, "clean agent, 8 kg", seen, None, None, date(2027, 11, 30)),
        ("Y8", 1, "smoke detector", None, seen, True, "smoke from a spray, heard at the helm", date(2035, 12, 31)),
        ("Y9", 1, "carbon monoxide detector", None, seen, True, "own button", date(2032, 8, 31)),
        ("Y10", 1, "gas detector", None, seen, True, "test gas, valve shut by itself", date(2031, 1, 31)),
    )
    return _rows(SafetyDevice, names, found, by="QA KL")


def seacocks() -> tuple[Seacock, ...]:
    """Afloat; the one of the generator lay behind a panel that was already closed."""
    names = "place at serves material size hose below operated clamps"
    good, hose = "opens and shuts", "wire-reinforced water hose"
    found = (
        (
            "Y11",
            datetime(2026, 5, 18, 7, 40),
            "cooling water, port engine",
            "bronze",
            63.0,
            f"{hose}, 63 mm",
            True,
            good,
            2,
        ),
        (
            "Y12",
            datetime(2026, 5, 18, 7, 46),
            "cooling water, starboard engine",
            "bronze",
            63.0,
            f"{hose}, 63 mm",
            True,
            good,
            2,
        ),
        (
            "Y13",
            datetime(2026, 5, 18, 8, 5),
            "toilet, owner's cabin",
            "bronze",
            38.0,
            "sanitation hose, 38 mm",
            True,
            good,
            2,
        ),
        (
            NOT_WORKED,
            datetime(2026, 5, 18, 8, 20),
            "cooling water, generator",
            "bronze",
            25.0,
            f"{hose}, 25 mm",
            True,
            None,
            2,
        ),
        ("Y15", datetime(2026, 5, 18, 8, 35), "bilge pump", "composite", 25.0, "ribbed hose, 25 mm", False, good, 1),
    )
    return _rows(Seacock, names, found, by="QA RT")


def engine_sheet() -> tuple[EngineSheet, ...]:
    """The invented engine maker's sheet."""
    values = {"exhaust": 12.0, "air": 3.7, "coolant": 10.0, "crankcase": 0.8, "fuel": 60.0}
    speed = {"model": "EM 735", "speed_low": 2300.0, "speed_high": 2360.0}
    row = {"where": here(EngineSheet), **speed, **values, "drawing": "EMS735", "revision": "4"}
    return (EngineSheet.model_validate(row),)


def engine_readings() -> tuple[EngineReading, ...]:
    """At full throttle, one engine in each run; the starboard exhaust has one bend more."""
    names = "place run at exhaust air coolant_out coolant_in crankcase fuel speed"
    found = (
        (PORT, "R1", datetime(2026, 5, 20, 9, 44), 9.1, 2.1, 85.6, 78.9, 0.22, 41.0, 2311.0),
        (STARBOARD, "R2", datetime(2026, 5, 20, 9, 56), 11.9, 2.3, 86.1, 79.0, 0.25, 42.5, 2307.0),
    )
    tools = {"gauge": "EP-01", "thermometer": "TC-01", "tachometer": "TA-01"}
    return _rows(EngineReading, names, found, model="EM 735", by="TR HB", **tools)


def residual_current() -> tuple[ResidualCurrentDevice, ...]:
    """The one of the shore supply."""
    row = ("Y16", datetime(2026, 5, 22, 10, 0), 30.0, 30.0, 0.024, True)
    return _rows(ResidualCurrentDevice, "place at rated current time tripped", (row,), by="EL SW", instrument="RC-01")


def sockets() -> tuple[Socket, ...]:
    """One had its wires the wrong way round; they were exchanged and it was tested again."""
    found = (
        ("Y17", 1, datetime(2026, 5, 22, 10, 30), "right"),
        (REVERSED, 1, datetime(2026, 5, 22, 10, 40), "reversed"),
        (REVERSED, 2, datetime(2026, 5, 26, 8, 15), "right"),
        ("Y19", 1, datetime(2026, 5, 22, 10, 50), "right"),
    )
    return _rows(Socket, "place attempt at wiring", found, by="EL SW")


def lights() -> tuple[Tried, ...]:
    """All work; nobody wrote down when the masthead light was tried."""
    seen, light, stop = date(2026, 5, 29), "navigation light", "emergency stop"
    found = (
        ("Y20", light, seen, True, "red, seen from ahead"),
        ("Y21", light, seen, True, "green, seen from ahead"),
        (UNDATED, light, None, True, None),
        ("Y23", light, seen, True, "white, seen from astern"),
        ("Y24", "horn", seen, True, "heard on the quay"),
        ("Y25", stop, seen, True, "engine stopped"),
        ("Y26", stop, seen, True, "engine stopped"),
    )
    return _rows(Tried, "place kind on works found", found, by="QA RT")
