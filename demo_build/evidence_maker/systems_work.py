"""The systems tests of the invented yacht: filling, pressure, hose, bilges, bonding, insulation, voltage drop."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta

import numpy as np

from buildbook.chapters.shared_records import Place
from buildbook.chapters.systems.records.bilge import BilgeAlarm, BilgePump
from buildbook.chapters.systems.records.electric import Bonding, Circuit, Insulation, VoltageDrop
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.chapters.systems.records.tanks_and_hose import HoseTest, PressureTest
from buildbook.core.record import Record
from demo_build.evidence_maker.tables import here

LATE, LEAKED, THIN, NOT_TRIED = "T2", "K3", "E2", "B-4"
HOLDING = "T4"
CRITICAL = ("E1", THIN, "E3")
Row = Mapping[str, object]


def _made(kind: type[Record], names: Sequence[str], rows: Sequence[Sequence[object]], rest: Row) -> tuple[Record, ...]:
    """Rows of one table from their cells; `rest` is the same in all."""
    cells = (dict(zip(names, row, strict=True)) for row in rows)
    return tuple(kind.model_validate({"where": here(kind), **rest, **row}) for row in cells)


_PLACES = (
    ("T1", "Fuel tank, port", (6.2, -1.5, 0.1)),
    ("T2", "Fuel tank, starboard", (6.2, 1.5, 0.1)),
    ("T3", "Fresh water tank", (8.0, 0.0, -0.4)),
    (HOLDING, "Holding tank", (12.4, -0.5, -0.3)),
    ("K1", "Hatch on the foredeck", (14.2, 0.0, 2.72)),
    ("K2", "Hatch over the engines", (3.2, 0.0, 1.8)),
    ("K3", "Door of the saloon", (4.6, 0.0, 2.6)),
    ("K4", "Windscreen", (11.2, 0.0, 3.5)),
    ("K5", "Window in the hull, port", (9.8, -2.5, 1.3)),
    ("K6", "Window in the hull, starboard", (9.8, 2.5, 1.3)),
    ("B-1", "Bilge of the engine room", (4.0, 0.0, -0.7)),
    ("B-2", "Bilge below the cabins", (9.5, 0.0, -0.7)),
    ("B-3", "Bilge at the bow thruster", (15.4, 0.0, -0.3)),
    ("B-4", "Bilge at the rudders", (0.7, 0.0, -0.3)),
    ("B-11", "Bilge pump of the engine room", (4.2, 0.4, -0.6)),
    ("B-12", "Bilge pump below the cabins", (9.8, 0.4, -0.6)),
    ("B-13", "Hand pump in the cockpit", (2.2, -1.3, 1.4)),
    ("F1", "Shaft bracket, port", (1.8, -1.1, -0.9)),
    ("F2", "Shaft bracket, starboard", (1.8, 1.1, -0.9)),
    ("F3", "Bond of the rudder stock, port", (0.6, -1.1, -0.1)),
    ("F4", "Bond of the rudder stock, starboard", (0.6, 1.1, -0.1)),
    ("E1", "Circuit of the navigation lights", (10.5, -0.4, 2.5)),
    ("E2", "Circuit of the engine-room bilge pump", (4.3, -0.4, -0.5)),
    ("E3", "Circuit of the instruments at the helm", (10.7, 0.3, 2.7)),
    ("E4", "Circuit of the windlass", (17.7, 0.0, 2.3)),
    ("E5", "Circuit of the cabin lights", (9.2, 0.3, 1.7)),
    ("E6", "Circuit of the galley sockets", (8.2, -1.3, 1.5)),
    ("E7", "Circuit of the water heater", (5.4, -0.9, 0.4)),
)


def _place(key: str, name: str, at: tuple[float, float, float]) -> Place:
    x, y, z = at
    about = {"place": key, "name": name, "kind": "part", "x": x, "y": y, "z": z, "painted": False}
    return Place.model_validate({"where": here(Place), **about})


PLACES = tuple(_place(*row) for row in _PLACES)


# tank, trial, when, litres at the alarm and at full, heel, trim
_FILLS = (
    ("T1", 1, datetime(2026, 5, 13, 8, 40), 1347.0, 1418.0, -2.1, -0.4),
    (LATE, 1, datetime(2026, 5, 13, 10, 50), 1396.0, 1422.0, 0.4, -0.3),
    (LATE, 2, datetime(2026, 5, 15, 9, 20), 1347.0, 1421.0, 0.3, -0.4),
)
# tank, trial, how far the sender is off at full [%]
_READ = (("T1", 1, 0.4), (LATE, 1, -3.1), (LATE, 2, 0.3))
_SHARES = (0.05, 0.15, 0.30, 0.45, 0.60, 0.75, 0.85, 0.92, 0.98)


def fills() -> tuple[Record, ...]:
    """Each fuel tank from empty; in one the alarm came too late, so that one was filled again.

    She heels to port while that side alone holds fuel: 1.2 t at 1.5 m from the middle of a boat of 31 t.
    """
    done = {"emptied": True, "silenced": True, "slowed": True, "shut": True, "vents": "dry the whole time"}
    rest = {**done, "uncertainty": 3.0, "by": "SY OD", "instrument": "FM-01"}
    return _made(FuelFill, ("tank", "attempt", "at", "alarm", "full", "heel", "trim"), _FILLS, rest)


def senders(rng: np.random.Generator) -> tuple[Record, ...]:
    """Sender and display at nine volumes; the float of one tank sat too low at its first trial."""
    fill = {(tank, trial): (at, full) for tank, trial, at, _, full, _, _ in _FILLS}
    rows: list[tuple[object, ...]] = []
    for tank, trial, off in _READ:
        at, full = fill[tank, trial]
        for number, share in enumerate(_SHARES, 1):
            metered = float(round(share * full))
            true = 100.0 * metered / full
            sender = round(2.0 * (true + off * share + 0.2 * float(rng.standard_normal()))) / 2.0
            display = float(round(sender + 0.3 * float(rng.standard_normal())))
            rows.append((tank, trial, number, at + timedelta(minutes=round(26 * share)), metered, sender, display))
    rest = {"sender_step": 0.5, "display_step": 1.0, "by": "SY OD", "instrument": "FM-01"}
    return _made(SenderReading, ("tank", "attempt", "number", "at", "metered", "sender", "display"), rows, rest)


def pressures() -> tuple[Record, ...]:
    """Both fuel tanks and the holding tank with their lines, and the water tank."""
    rows = (
        ("T1", datetime(2026, 5, 13, 7, 5), "fuel", "tank with its lines", 1.75, 840.0, 22.4, 22.4, 30.0, 14.2, 14.2),
        ("T2", datetime(2026, 5, 13, 7, 45), "fuel", "tank with its lines", 1.75, 840.0, 22.5, 22.4, 30.0, 14.4, 14.2),
        (
            HOLDING,
            datetime(2026, 5, 11, 11, 5),
            "black water",
            "tank with its lines",
            1.1,
            1000.0,
            15.4,
            15.4,
            20.0,
            15.9,
            15.9,
        ),
        ("T3", datetime(2026, 5, 11, 10, 10), "fresh water", "tank alone", 1.2, 1000.0, 15.6, 15.6, 20.0, 15.8, 15.8),
    )
    names = ("tank", "at", "content", "scope", "head", "density", "start", "end", "minutes", "air_start", "air_end")
    rest = {"attempt": 1, "medium": "air", "by": "SY OD", "instrument": "PM-01", "thermometer": "TP-01"}
    return _made(PressureTest, names, rows, rest)


def hoses() -> tuple[Record, ...]:
    """Six openings; the door leaked, and was tried again after its seal was set."""
    found = "a cupful at the lower hinge"
    rows = (
        ("K1", 1, datetime(2026, 5, 18, 9, 10), 0.23, False, None),
        ("K2", 1, datetime(2026, 5, 18, 9, 30), 0.23, False, None),
        (LEAKED, 1, datetime(2026, 5, 18, 9, 55), 0.22, True, found),
        ("K4", 1, datetime(2026, 5, 18, 10, 20), 0.205, False, None),
        ("K5", 1, datetime(2026, 5, 18, 10, 45), 0.22, False, None),
        ("K6", 1, datetime(2026, 5, 18, 11, 5), 0.22, False, None),
        (LEAKED, 2, datetime(2026, 5, 22, 10, 15), 0.23, False, "after the seal was set again"),
    )
    rest = {"distance": 1.2, "nozzle": 12.5, "minutes": 5.0, "by": "QA RT", "instrument": "PM-02"}
    return _made(HoseTest, ("opening", "attempt", "at", "pressure", "inside", "note"), rows, rest)


def alarms() -> tuple[Record, ...]:
    """Three of four spaces: the fourth was locked when the others were tried."""
    rows = [(space, datetime(2026, 5, 19, 10, minute)) for space, minute in (("B-1", 5), ("B-2", 20), ("B-3", 40))]
    rest = {"attempt": 1, "way": "water poured in", "heard": True, "seen": True, "by": "SY OD"}
    return _made(BilgeAlarm, ("space", "at"), rows, rest)


def pumps() -> tuple[Record, ...]:
    """Two electric pumps and the one by hand."""
    rows = (
        ("B-11", datetime(2026, 5, 19, 11, 0), "electric, automatic", 59.2, 60.0, 55.0),
        ("B-12", datetime(2026, 5, 19, 11, 25), "electric, automatic", 45.5, 60.0, 45.0),
        ("B-13", datetime(2026, 5, 19, 11, 50), "by hand", 36.4, 60.0, 30.0),
    )
    rest = {"attempt": 1, "uncertainty": 0.6, "drawing": "DWG-402", "revision": "B", "by": "SY OD"}
    return _made(
        BilgePump, ("pump", "at", "kind", "collected", "time", "wanted"), rows, {**rest, "instrument": "MV-01"}
    )


def circuits() -> tuple[Record, ...]:
    """Direct current for what must work, mains for the galley."""
    rows = (
        ("E1", "24 V DC", True, 6.2),
        (THIN, "24 V DC", True, 9.5),
        ("E3", "24 V DC", True, 14.0),
        ("E4", "24 V DC", False, 62.0),
        ("E5", "24 V DC", False, 8.0),
        ("E6", "230 V AC", False, 14.0),
        ("E7", "230 V AC", False, 5.2),
    )
    return _made(Circuit, ("circuit", "supply", "critical", "current"), rows, {"drawing": "DWG-403", "revision": "C"})


def bonds() -> tuple[Record, ...]:
    """The day before she was launched; the seacocks of bronze after all else."""
    found = (
        *(("P1", 0.44), ("P2", 0.47), ("F1", 0.31), ("F2", 0.33), ("F3", 1.16), ("F4", 0.52)),
        *(("Y11", 0.36), ("Y12", 0.35), ("Y13", 0.49), ("Y14", 0.41)),
    )
    rows = [(key, datetime(2026, 5, 11, 14, 5 + 6 * n), value) for n, (key, value) in enumerate(found)]
    rest = {"attempt": 1, "leads": 0.18, "ashore": True, "by": "EL MS", "instrument": "OM-01"}
    return _made(Bonding, ("fitting", "at", "resistance"), rows, rest)


def insulations() -> tuple[Record, ...]:
    """The circuits of the mains, and the windlass, for which nobody set a limit."""
    rows = (
        ("E6", datetime(2026, 5, 20, 16, 30), 500.0, 48.5, False),
        ("E7", datetime(2026, 5, 20, 16, 45), 500.0, 200.0, True),
        ("E4", datetime(2026, 5, 20, 17, 0), 250.0, 86.0, False),
    )
    rest = {"attempt": 1, "between": "live conductors and earth", "by": "EL MS", "instrument": "IM-01"}
    return _made(Insulation, ("circuit", "at", "voltage", "resistance", "beyond"), rows, rest)


def drops() -> tuple[Record, ...]:
    """Seven readings: one circuit lost too much and was mended, one was measured with most of its lights out."""
    rows = (
        ("E1", 1, datetime(2026, 5, 21, 13, 40), 25.61, 25.12, 6.1),
        (THIN, 1, datetime(2026, 5, 21, 13, 55), 25.58, 24.49, 9.3),
        ("E3", 1, datetime(2026, 5, 21, 14, 15), 25.55, 24.81, 13.6),
        ("E4", 1, datetime(2026, 5, 21, 14, 40), 24.92, 23.27, 60.5),
        ("E5", 1, datetime(2026, 5, 21, 15, 0), 25.57, 24.96, 5.1),
        ("E6", 1, datetime(2026, 5, 21, 15, 20), 231.4, 226.9, 13.8),
        (THIN, 2, datetime(2026, 5, 26, 9, 30), 25.6, 25.18, 9.4),
    )
    names = ("circuit", "attempt", "at", "source", "load", "current", "instrument")
    metered = [(*row, "VT-02" if row[0] == "E6" else "VT-01") for row in rows]
    return _made(VoltageDrop, names, metered, {"by": "EL MS", "ammeter": "AM-01"})


def tables(stream: Callable[[int], np.random.Generator]) -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of these tests."""
    return {
        FuelFill: fills(),
        SenderReading: senders(stream(100)),
        PressureTest: pressures(),
        HoseTest: hoses(),
        BilgeAlarm: alarms(),
        BilgePump: pumps(),
        Circuit: circuits(),
        Bonding: bonds(),
        Insulation: insulations(),
        VoltageDrop: drops(),
    }
