"""The propellers of the invented yacht as they work: balance, room at the tips, drive, sea trial."""

from __future__ import annotations

from datetime import datetime

from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from demo_build.evidence_maker.propeller_work import PORT, STARBOARD
from demo_build.evidence_maker.tables import here

UNBALANCED = STARBOARD
RATIO = 2.04
FULL = 1127.0  # r/min of the shaft: 2300 of the engine over the ratio
FORWARD, AFT = "dynamic forward plane", "dynamic aft plane"

# propeller, way, attempt, when, mass [kg], residual [g], radius [mm], instrument
_BALANCE = (
    (PORT, "static", 1, datetime(2026, 3, 4, 14, 10), 61.8, 1.6, 380.0, "BS-01"),
    (STARBOARD, "static", 1, datetime(2026, 3, 4, 15, 5), 62.4, 6.8, 380.0, "BS-01"),
    (STARBOARD, "static", 2, datetime(2026, 3, 6, 14, 50), 62.3, 0.9, 380.0, "BS-01"),
    (PORT, FORWARD, 1, datetime(2026, 3, 6, 9, 20), 61.8, 0.62, 300.0, "BM-01"),
    (PORT, AFT, 1, datetime(2026, 3, 6, 9, 20), 61.8, 0.48, 300.0, "BM-01"),
    (STARBOARD, FORWARD, 1, datetime(2026, 3, 6, 15, 30), 62.3, 0.55, 300.0, "BM-01"),
    (STARBOARD, AFT, 1, datetime(2026, 3, 6, 15, 30), 62.3, 0.71, 300.0, "BM-01"),
)

# run, setting, when, course [deg], speed [kn], depth [m], wind, shafts port and starboard, engines port and starboard
_RUNS = (
    ("R1", "full", datetime(2026, 5, 20, 9, 40), 62.0, 28.2, 24.0, "2, north-east", (1133, 1130), (2312, 2306)),
    ("R2", "full", datetime(2026, 5, 20, 9, 52), 242.0, 27.3, 23.0, "2, north-east", (1132, 1131), (2310, 2308)),
    ("R3", "cruise", datetime(2026, 5, 20, 10, 15), 62.0, 24.1, 24.0, "2, north-east", (985, 982), (2008, 2004)),
    ("R4", "cruise", datetime(2026, 5, 20, 10, 28), 243.0, 23.2, 23.0, "3, north-east", (984, 983), (2006, 2004)),
    ("R5", "slow", datetime(2026, 5, 20, 10, 50), 61.0, 14.9, None, None, (740, 738), (1510, 1506)),
    ("R6", "full", datetime(2026, 5, 20, 11, 15), 62.0, 28.3, 24.0, "2, north-east", (1134, 1131), (2313, 2307)),
    ("R7", "full", datetime(2026, 5, 20, 11, 27), 242.0, 27.2, 23.0, "2, north-east", (1131, 1130), (2308, 2306)),
)
ONE_WAY = "slow"


def balance() -> tuple[Balance, ...]:
    """As received, the worse one corrected, then both in two planes."""
    names = ("propeller", "way", "attempt", "at", "mass", "residual", "radius", "instrument")
    more = {"speed": FULL, "by": "PS TW", "where": here(Balance)}
    return tuple(Balance.model_validate({**dict(zip(names, row, strict=True)), **more}) for row in _BALANCE)


def clearances() -> tuple[Clearance, ...]:
    """In the tunnels, before she was launched."""
    found = ((PORT, 10, 131.0, 166.0), (STARBOARD, 35, 124.0, 164.0))
    rest = {"attempt": 1, "uncertainty": 3.0, "by": "QA RT", "instrument": "TS-01", "where": here(Clearance)}
    return tuple(
        Clearance.model_validate(
            {"propeller": key, "at": datetime(2026, 5, 8, 10, minute), "tip": tip, "bracket": bracket, **rest}
        )
        for key, minute, tip, bracket in found
    )


def drives() -> tuple[Drive, ...]:
    """Both shafts: 735 kW at the engine, less what the gearbox and the seals take."""
    hull = {"ratio": RATIO, "power": 706.0, "rule_length": 16.0, "block": 0.40}
    paper = {"drawing": "DWG-300", "revision": "C", "where": here(Drive)}
    return tuple(Drive.model_validate({"propeller": key, **hull, **paper}) for key in (PORT, STARBOARD))


def runs() -> tuple[TrialRun, ...]:
    """There and back at two settings, at the first of them twice; at the third one course only."""
    rows = []
    for run, setting, at, course, speed, depth, wind, _, _ in _RUNS:
        of = {"run": run, "setting": setting, "at": at, "course": course, "speed": speed, "depth": depth, "wind": wind}
        sea: dict[str, object] = {"sea": "slight, 0.3 m", "load": "half tanks, 6 people", "sea_state": 2}
        sea |= {"wind_force": 3 if run == "R4" else 2, "rudder": 1.0, "running": "generator"}
        note = {"note": "run back given up: fishing boats" if setting == ONE_WAY else None}
        who = {"instrument": "GP-01", "by": "TR HB", "where": here(TrialRun)}
        rows.append(TrialRun.model_validate({**of, **sea, **note, **who}))
    return tuple(rows)


def shafts() -> tuple[ShaftSpeed, ...]:
    """Both shafts in every run, read at the coupling; the engines as the dashboard showed them."""
    rows = []
    for run, _, at, _, _, _, _, turned, shown in _RUNS:
        for key, shaft, engine in zip((PORT, STARBOARD), turned, shown, strict=True):
            speeds = {"shaft_speed": float(shaft), "engine_speed": float(engine), "instrument": "TA-01"}
            rows.append(
                ShaftSpeed.model_validate({"where": here(ShaftSpeed), "run": run, "propeller": key, "at": at, **speeds})
            )
    return tuple(rows)
