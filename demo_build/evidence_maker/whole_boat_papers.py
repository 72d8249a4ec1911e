"""The papers about the tests aboard: limits, documents, instruments, plan, reports; and all their tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

import numpy as np

from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
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
from demo_build.evidence_maker import whole_boat_work as work
from demo_build.evidence_maker.tables import Tool, here, limit_entry, paper, tool

Row = dict[str, object]
TESTS = "SPEC-12"
DECIMALS: Mapping[type[Record], Mapping[str, int]] = {
    GasTest: {"strength": 1, "tight_start": 1, "tight_end": 1, "air_start": 1, "air_end": 1},
    Steering: {"port": 1, "starboard": 1, "stop_to_stop": 1, "ship_time": 1},
    CellReading: {"x": 2, "y": 2, "position_uncertainty": 2},
    Aboard: {"x": 2, "y": 2},
    FuelFlow: {"supply": 1, "back": 1},
    EngineReading: {"exhaust": 1, "air": 1, "coolant_out": 1, "coolant_in": 1, "crankcase": 2, "fuel": 1},
    ResidualCurrentDevice: {"time": 3},
}

LIMITS = (
    ("SYS-10", "pressure drop in the tightness test", 'high = 0.5\nunit = "mbar"', "2.3"),
    ("SYS-14", "days in date", 'low = 0\nunit = "d"', "6.2"),
    ("SYS-17", "trip time at rated residual current", 'high = 0.2\nunit = "s"', "8.1"),
    ("SYS-11", "time from stop to stop", 'high = 15\nunit = "s"', "3.4"),
    ("SYS-12", "light craft mass", 'low = 29500\nhigh = 31300\nunit = "kg"', "4.1"),
    ("SYS-12", "centre of mass, to starboard", 'low = -0.05\nhigh = 0.05\nunit = "m"', "4.3"),
    ("SYS-13", "trial speed", 'condition = "full"\nlow = 27.0\nunit = "kn"', "5.1"),
)
"""Check, quantity, the lines that set it, clause of SPEC-12 A."""

DOCUMENTS = (
    paper(TESTS, "Tests of the systems and of the whole boat", "A", date(2026, 4, 27)),
    paper("DWG-420", "Steering gear and rudders", "B", date(2025, 11, 14), "designer"),
    paper("EMS735", "Engine EM 735: limits of the installation", "4", date(2025, 6, 2), "engine maker"),
)


def limit_entries() -> list[str]:
    """The entries of hull.toml about the tests aboard."""
    return [limit_entry(check, quantity, lines, TESTS, "A", clause) for check, quantity, lines, clause in LIMITS]


# id, quantity, kind, unit, range, resolution, U, serial, certificate
_INSTRUMENTS: tuple[Tool, ...] = (
    ("GG-01", "gas pressure", "digital gauge", "mbar", (0, 200), 0.1, 0.4, "GG-52", "ECL-26-0181"),
    ("AI-01", "rudder angle", "angle indicator on the stock", "deg", (-50, 50), 0.1, 0.4, "AI-08", "ECL-26-0182"),
    ("LC-01", "mass", "four load cells with one display", "kg", (0, 15000), 10, 40, "LC-33", "ECL-26-0183"),
    ("FF-01", "fuel flow", "fuel meter, supply and return", "L/h", (20, 500), 0.1, 0.8, "FF-11", "ECL-26-0184"),
    ("EP-01", "engine pressure", "digital gauge", "kPa", (-10, 50), 0.01, 0.15, "EP-27", "ECL-26-0185"),
    ("TC-01", "engine temperature", "thermocouples", "degC", (0, 150), 0.1, 0.8, "TC-64", "ECL-26-0186"),
    ("TA-01", "engine speed", "optical speed meter", "rpm", (30, 10000), 1, 2, "TA-09", "ECL-25-1314"),
    ("RC-01", "trip time", "tester of residual-current devices", "s", (0, 1), 0.001, 0.002, "RC-05", "ECL-26-0187"),
)  # fmt: skip


def instruments() -> tuple[Instrument, ...]:
    """Gauges, load cells, meters, tester; the speed meter is that of the trial."""
    trial, aboard = date(2025, 12, 2), date(2026, 1, 21)
    return tuple(tool(values, trial if values[0] == "TA-01" else aboard) for values in _INSTRUMENTS)


_PLAN: tuple[tuple[str, str, type[Record], str, str], ...] = (
    ("gas pipe: strength and tightness", "SYS-10", GasTest, f"{TESTS} A 2", "air, digital gauge"),
    ("steering gear", "SYS-11", Steering, "DWG-420 B", "angle indicator, times by hand"),
    ("mass and centre", "SYS-12", CellReading, f"{TESTS} A 4", "load cells in the slings, before launch"),
    ("fuel on trial", "SYS-13", FuelFlow, f"{TESTS} A 5", "fuel meters, both engines"),
    ("detectors and extinguishers", "SYS-14", SafetyDevice, f"{TESTS} A 6", "tried, labels read"),
    ("seacocks and hoses", "SYS-15", Seacock, f"{TESTS} A 7", "worked by hand"),
    ("engine installation", "SYS-16", EngineReading, "EMS735 4", "read at full throttle"),
    ("sockets", "SYS-17", Socket, f"{TESTS} A 8", "tester in the sockets"),
    ("residual-current device", "SYS-17", ResidualCurrentDevice, f"{TESTS} A 8", "tester"),
    ("lights, horn, emergency stops", "SYS-18", Tried, f"{TESTS} A 9", "tried one by one"),
)


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """One line for each kind of test."""
    shared: Row = {"stage": "tests aboard", "point": "monitor", "party": "builder QA"}
    lines = [
        {"line": f"ITY-{number:02}", "characteristic": what, "check": check, "record": kind.table.file}
        | {"requirement": asked, "method": how, "readings": counted[(kind.table.file, "")]}
        for number, (what, check, kind, asked, how) in enumerate(_PLAN, 1)
    ]
    return tuple(Planned.model_validate({"where": here(Planned), **shared, **line}) for line in lines)


_EXTINGUISHER: Row = {
    "report": "NCR-Y1",
    "found_on": date(2026, 5, 28),
    "found_by": "QA KL",
    "check": "SYS-14",
    "quantity": "days in date",
    "place": work.OUT_OF_DATE,
    "requirement": f"{TESTS} A 6.2",
    "as_found": "good until 2026-03-31, before she is delivered",
    "correction": "extinguisher taken ashore",
    "disposition": "rework",
    "work": "exchanged for one that is in date",
    "reinspected_on": date(2026, 6, 3),
    "reinspected_by": "QA KL",
    "cause": "delivered to the yard a year before it was fitted",
    "corrective_action": "labels read when devices arrive",
    "replaced_on": date(2026, 6, 2),
    "closed_on": date(2026, 6, 3),
}
_SOCKET: Row = {
    "report": "NCR-Y2",
    "found_on": date(2026, 5, 22),
    "found_by": "EL SW",
    "check": "SYS-17",
    "quantity": "wires of the socket",
    "place": work.REVERSED,
    "requirement": f"{TESTS} A 8 test: wires by practice",
    "as_found": "live and neutral exchanged",
    "correction": "circuit switched off and tagged",
    "disposition": "rework",
    "justification": f"{TESTS} A 8.3",
    "work": "wires exchanged at the socket",
    "reinspected_on": date(2026, 5, 26),
    "reinspected_by": "QA RT",
    "cause": "socket turned round in its frame before it was wired",
    "corrective_action": "every socket tested before its frame is closed",
    "closed_on": date(2026, 5, 26),
}


def reports() -> tuple[Nonconformity, ...]:
    """An extinguisher past its day was exchanged; a socket had its wires exchanged."""
    shared: Row = {"stage": "tests aboard", "attempt": 1, "as_left_attempt": 2, "other_hulls": "no"}
    shared |= {"approved_by": "MD", "approver_role": "builder", "justification": f"{TESTS} A 6.2"}
    return tuple(
        Nonconformity.model_validate({"where": here(Nonconformity), **shared, **row})
        for row in (_EXTINGUISHER, _SOCKET)
    )


def tables(stream: Callable[[int], np.random.Generator]) -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of the tests aboard."""
    return {
        GasTest: work.gas_tests(),
        Steering: work.steering(),
        CellReading: work.weighing(),
        Aboard: work.aboard(),
        FuelFlow: work.fuel(stream(110)),
        SafetyDevice: work.safety_devices(),
        Seacock: work.seacocks(),
        EngineSheet: work.engine_sheet(),
        EngineReading: work.engine_readings(),
        ResidualCurrentDevice: work.residual_current(),
        Socket: work.sockets(),
        Tried: work.lights(),
    }
