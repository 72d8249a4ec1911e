"""The readings of an invented surveyor, a month after delivery: tables, records and hull.toml of his folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

import numpy as np

from buildbook.chapters.coating.records import FilmReading, Gloss
from buildbook.chapters.laminate.records import ThicknessReading
from buildbook.chapters.propeller.records import PitchReading
from buildbook.chapters.shafting.records import CouplingGap, RunOut
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture
from buildbook.chapters.systems.records.electric import Bonding, Insulation, VoltageDrop
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.record import Record
from demo_build.evidence_maker import propeller_work, shafting_work, vibration_work
from demo_build.evidence_maker.laminate_work import thickness as yards_thickness
from demo_build.evidence_maker.tables import here

BY = "surveyor NK"
TRIAL, ASHORE = datetime(2026, 7, 6, 10, 0), datetime(2026, 7, 7, 8, 30)
COUPLED = datetime(2026, 7, 5, 14, 30)  # 1300 h after the launch
HULL_TOML = """\
# Everything in this folder is invented. No surveyor, yard, yacht, product or laboratory in it exists.
as_of = 2026-07-08
sheet_of = "XX-EXY00007H526"

[hull]
name = "Specimen"
number = "XX-EXY00007H526"
builder = "Example Yard"
demonstration = "Demonstration: the yacht, her builder, the surveyor and every number in this folder are invented."
"""
BORROWED = "UT-01"  # the yard lent its gauge for one side
SPREAD_GLOSS = 0.7
# Mean gloss that the surveyor found, by zone and angle: one side has hazed, the foredeck lies near its limit.
GLOSS = {("Z1", 60): 88.6, ("Z1", 20): 71.4, ("Z2", 60): 88.9, ("Z4", 60): 84.9}
FILM = {  # mean [um], layers, gauge, how many readings
    "Z1": (262.0, "undercoat and topcoat", "SV-2", 12),
    "Z2": (316.0, "primer, undercoat and topcoat", BORROWED, 12),
    "Z7": (243.0, "primer, undercoat and topcoat", "SV-2", 10),
}
PITCH_SCATTER = 2.6  # mm of one section, by hand on the shaft
LEVELS = (  # position, run, weighted level [mm/s]
    ("V6", "R4", 2.61),
    ("V2", "R4", 1.24),
    ("V1", "R1", 2.06),
)
# How the sensor was held: as the yard held it, but at one position, where the yard glued a plate for its magnet.
ON_CARPET, ON_BARE_DECK = "three-legged plate of 1 kg on the carpet", "three-legged plate of 1 kg"
HELD = {"V6": ON_CARPET, "V2": ON_BARE_DECK, "V1": ON_CARPET}
LOADS = {"R4": "half tanks, 6 people", "R1": "full tanks, 9 people"}  # the second is not how the yard ran her

BENT = (shafting_work.STARBOARD, 2)  # the shaft that the yard straightened, as it was left
COUPLINGS = (  # shaft, load, gaps at the quarters of the rim [mm]
    (shafting_work.PORT, "full tanks, 2 people", (0.15, 0.17, 0.21, 0.20)),
    (shafting_work.STARBOARD, "full tanks, 2 people", (0.16, 0.23, 0.24, 0.15)),
)


def _made(kind: type[Record], rows: Sequence[Mapping[str, object]]) -> tuple[Record, ...]:
    return tuple(kind.model_validate({"where": here(kind), **row}) for row in rows)


def instruments() -> tuple[Record, ...]:
    """His own, one of them without a certificate, one with k = 3, and the one that he borrowed."""
    paper = {"laboratory": "Example Reference Laboratory", "calibrated": date(2026, 1, 14), "due": date(2027, 1, 14)}

    def row(name: str, quantity: str, kind: str, serial: str, unit: str, **rest: object) -> dict[str, object]:
        about = {"instrument": name, "quantity": quantity, "type": kind, "serial": serial, "unit": unit}
        return {**about, "certificate": f"ERL-26-{serial[-3:]}", **paper, **rest}

    of_yard = {"certificate": "ECL-25-1204", "laboratory": "Example Calibration Laboratory"}
    of_yard_days = {"calibrated": date(2025, 9, 12), "due": date(2026, 9, 12)}
    span = {"range_low": 40.0, "range_high": 1000.0, "resolution": 1.0}
    wide = {"range_low": 0.0, "range_high": 100.0, "resolution": 0.5}
    hand = {"range_low": 50.0, "range_high": 3000.0, "resolution": 1.0}
    thin = {"range_low": 0.8, "range_high": 60.0, "resolution": 0.01}
    speed = {"range_low": 30.0, "range_high": 9999.0, "resolution": 1.0}
    rows: list[dict[str, object]] = [
        row("SV-1", "gloss", "gloss meter, 20° and 60°", "G-4410", "GU", range_low=0.0, range_high=200.0,
            resolution=0.1, uncertainty=1.8, coverage=3.0),
        row("SV-2", "film thickness", "ultrasonic film gauge", "F-2093", "um", **span, uncertainty=8.0, coverage=2.0),
        {**row(BORROWED, "film thickness", "ultrasonic film gauge", "31-0086", "um", **span, uncertainty=6.0,
               coverage=2.0), **of_yard, **of_yard_days, "note": "lent by the yard"},
        {**row("SV-3", "Barcol hardness", "Barcol impressor, 934-1", "B-131", "1", **wide), "certificate": None,
         "laboratory": None, "calibrated": None, "due": None, "note": "no certificate at hand"},
        row("SV-4", "moisture", "moisture meter, relative scale", "M-118", "1", **wide, uncertainty=1.5, coverage=2.0),
        row("SV-5", "laminate thickness", "ultrasonic thickness gauge", "E-207", "mm", **thin, uncertainty=0.15,
            coverage=2.0),
        row("SV-6", "pitch", "hand pitch gauge", "P-019", "mm", **hand, uncertainty=12.0, coverage=2.0),
        row("SV-7", "acceleration", "accelerometer and recorder", "A-772", "%", resolution=0.1, uncertainty=4.0,
            coverage=2.0),
        row("SV-8", "shaft speed", "optical speed meter", "T-305", "rpm", **speed, uncertainty=3.0, coverage=2.0),
        row("SV-9", "speed over ground", "satellite receiver", "S-640", "kn", range_low=0.0, range_high=60.0,
            resolution=0.1, uncertainty=0.2, coverage=2.0),
        row("SV-10", "gap", "feeler gauges", "FE-412", "mm", range_low=0.03, range_high=1.0, resolution=0.005,
            uncertainty=0.012, coverage=2.0),
        row("SV-11", "run-out", "dial indicator", "DI-218", "mm", range_low=-3.0, range_high=3.0, resolution=0.005,
            uncertainty=0.01, coverage=2.0),
        row("SV-12", "resistance", "ohmmeter", "R-512", "ohm", range_low=0.0, range_high=100.0, resolution=0.01,
            uncertainty=0.04, coverage=2.0),
        row("SV-13", "insulation resistance", "insulation tester", "N-733", "Mohm", range_low=0.0, range_high=500.0,
            resolution=0.1, uncertainty=3.0, coverage=2.0),
        row("SV-14", "voltage", "voltmeter", "U-268", "V", range_low=0.0, range_high=600.0, resolution=0.01,
            uncertainty=0.04, coverage=2.0),
    ]  # fmt: skip
    return _made(Instrument, rows)


def gloss(rng: np.random.Generator) -> tuple[Record, ...]:
    """Ten readings for each zone and angle, at the numbers of the sheet: 1 to 10 at 60°, 11 to 20 at 20°."""
    rows, at = [], ASHORE
    for (zone, angle), mean in GLOSS.items():
        for n in range(1, 11):
            at += timedelta(minutes=1)
            value = round(mean + SPREAD_GLOSS * float(rng.standard_normal()), 1)
            about = {"zone": zone, "attempt": 1, "number": n if angle == 60 else n + 10, "angle": angle}
            rows.append({**about, "gloss": value, "at": at, "instrument": "SV-1"})
    return _made(Gloss, rows)


def film(rng: np.random.Generator) -> tuple[Record, ...]:
    """Fewer readings than the yard took, one zone with other layers."""
    rows, at = [], ASHORE + timedelta(hours=2)
    for zone, (mean, layers, gauge, many) in FILM.items():
        for n in range(1, many + 1):
            at += timedelta(minutes=1)
            value = float(round(mean * (1.0 + 0.05 * float(rng.standard_normal()))))
            about = {"zone": zone, "attempt": 1, "number": n, "system": layers, "extra": False}
            rows.append({**about, "thickness": value, "at": at, "method": "ultrasonic", "instrument": gauge})
    return _made(FilmReading, rows)


def hardness(rng: np.random.Generator) -> tuple[Record, ...]:
    """Twenty-five readings inside the port side, where the laminate is bare."""
    rows = []
    for n in range(1, 26):
        value = round(2.0 * (42.3 + 1.9 * float(rng.standard_normal()))) / 2.0
        about = {"place": "L2", "attempt": 1, "number": n, "barcol": value, "instrument": "SV-3"}
        rows.append({**about, "at": ASHORE + timedelta(hours=4, minutes=n)})
    return _made(Hardness, rows)


def moisture(rng: np.random.Generator) -> tuple[Record, ...]:
    """On the painted side, two days after she was lifted out."""
    rows = []
    for n in range(1, 7):
        about = {"place": "Z1", "number": n, "meter_scale": "relative 0 to 100, mode 2", "dry_reference": 8.5}
        value = round(2.0 * (12.0 + 1.2 * float(rng.standard_normal()))) / 2.0
        rest = {"days_drying": 2.0, "surface_state": "painted", "instrument": "SV-4"}
        rows.append({**about, **rest, "reading": value, "at": ASHORE + timedelta(hours=5, minutes=n)})
    return _made(Moisture, rows)


def thickness(rng: np.random.Generator) -> tuple[Record, ...]:
    """The grid of the starboard side as the yard laid it out, and the bulkhead, which the yard did not read so."""
    grid = [row for row in yards_thickness(np.random.default_rng(1)) if row.zone == "L3"]
    rows: list[dict[str, object]] = []
    for n, spot in enumerate(grid, 1):
        value = round(1.64 * (1.0 + 0.02 * float(rng.standard_normal())), 2)
        rows.append(
            {"zone": "L3", "number": n, "grid": spot.grid, "x": spot.x, "y": spot.y, "z": spot.z, "thickness": value}
        )
    for n in range(1, 5):
        value = round(2.31 * (1.0 + 0.02 * float(rng.standard_normal())), 2)
        rows.append({"zone": "L5", "number": n, "grid": f"A{n}", "thickness": value})
    rest = {"velocity": 2650.0, "set_on": "own step block, 2.00 mm", "instrument": "SV-5"}
    return _made(
        ThicknessReading, [{**row, **rest, "at": ASHORE + timedelta(hours=6, minutes=n)} for n, row in enumerate(rows)]
    )


def pitch(rng: np.random.Generator) -> tuple[Record, ...]:
    """One pitch for each blade and radius of the starboard propeller, on the shaft with a hand gauge."""
    design = {row.radius: row.pitch for row in propeller_work.sections() if row.propeller == propeller_work.STARBOARD}
    rows, at = [], ASHORE + timedelta(hours=7)
    for blade in (f"B{n}" for n in range(1, 6)):
        for n, (radius, wanted) in enumerate(sorted(design.items()), 1):
            at += timedelta(minutes=1)
            value = float(round(wanted + 1.5 + PITCH_SCATTER * float(rng.standard_normal())))
            about = {"propeller": propeller_work.STARBOARD, "blade": blade, "attempt": 1, "number": n, "radius": radius}
            rows.append({**about, "pitch": value, "on": "face", "at": at, "by": BY, "instrument": "SV-6"})
    return _made(PitchReading, rows)


def couplings() -> tuple[Record, ...]:
    """Both couplings afloat, on the day before the trial, loaded as on the day of the yard."""
    rows: list[dict[str, object]] = []
    for part, load, gaps in COUPLINGS:
        for number, (angle, gap) in enumerate(zip(shafting_work.QUARTERS, gaps, strict=True), 1):
            about = {"part": part, "attempt": 1, "number": number, "angle": angle, "gap": gap}
            state = {"afloat": True, "hours": 1300.0, "load": load, "by": BY, "instrument": "SV-10"}
            rows.append({**about, **state, "at": COUPLED + timedelta(minutes=3 * len(rows))})
    return _made(CouplingGap, rows)


def run_out(rng: np.random.Generator) -> tuple[Record, ...]:
    """The starboard shaft as it lies aboard, ashore, turned by hand."""
    asked = [row for row in shafting_work.run_out(np.random.default_rng(1)) if (row.part, row.attempt) == BENT]
    rows = []
    for number, spot in enumerate(asked, 1):
        value = round(0.9 * spot.reading + 0.003 * float(rng.standard_normal()), 2) + 0.0
        about = {"part": spot.part, "attempt": 1, "number": number, "station": spot.station, "along": spot.along}
        rest = {"angle": spot.angle, "lay": "in her bearings", "reading": value, "by": BY, "instrument": "SV-11"}
        rows.append({**about, **rest, "at": ASHORE + timedelta(hours=8, minutes=2 * number)})
    return _made(RunOut, rows)


def runs() -> tuple[Record, ...]:
    """Two runs: one as the yard ran her, one with more aboard."""
    about = {"depth": 26.0, "sea": "smooth", "sea_state": 1, "wind_force": 2, "wind": "2, south", "rudder": 1.0}
    rest = {"running": "generator", "instrument": "SV-9", "by": BY}
    rows = (
        {"run": "R1", "setting": "full", "at": TRIAL, "course": 61.0, "speed": 27.1},
        {"run": "R4", "setting": "cruise", "at": TRIAL + timedelta(minutes=30), "course": 240.0, "speed": 23.6},
    )
    return _made(TrialRun, [{**row, **about, **rest, "load": LOADS[str(row["run"])]} for row in rows])


def shafts() -> tuple[Record, ...]:
    """Both shafts in each run."""
    speeds = vibration_work.SHAFTS
    rows = [
        {"run": run, "propeller": side, "at": TRIAL, "shaft_speed": speeds[run][n] - 2.0, "instrument": "SV-8"}
        for run in ("R1", "R4")
        for n, side in enumerate((propeller_work.PORT, propeller_work.STARBOARD))
    ]
    return _made(ShaftSpeed, rows)


def records() -> tuple[Record, ...]:
    """One record of one direction at three positions."""
    rest = {"axis": "vertical", "attempt": 1, "channel": 1, "quantity": "acceleration", "instrument": "SV-7", "by": BY}
    held = {"calibration": vibration_work.FULL_SCALE, "checked_before": 0.5, "checked_after": 0.6}
    rows = [
        {"record": f"S-{n:02d}", "position": position, "run": run, "file": _raw(position, run), **rest, **held,
         "mounting": HELD[position], "at": TRIAL + timedelta(minutes=5 if run == "R1" else 35)}
        for n, (position, run, _) in enumerate(LEVELS, 1)
    ]  # fmt: skip
    return _made(VibrationRecord, rows)


def bonds() -> tuple[Record, ...]:
    """Both propellers, and the rudder stock that was near its limit."""
    rest = {"attempt": 1, "leads": 0.14, "ashore": True, "instrument": "SV-12", "by": BY}
    found = (("P1", 0.41), ("P2", 0.44), ("F3", 1.11))
    at = ASHORE + timedelta(hours=8)
    return _made(Bonding, [{"fitting": key, "resistance": value, "at": at, **rest} for key, value in found])


def insulations() -> tuple[Record, ...]:
    """The sockets of the galley, on a damp day."""
    row = {"circuit": "E6", "attempt": 1, "between": "live conductors and earth", "voltage": 500.0, "beyond": False}
    return _made(
        Insulation, [{**row, "resistance": 46.5, "at": ASHORE + timedelta(hours=9), "instrument": "SV-13", "by": BY}]
    )


def drops() -> tuple[Record, ...]:
    """The navigation lights, and the instruments at the helm with some of them off."""
    found = (("E1", 25.4, 24.91, 6.2), ("E3", 25.36, 24.8, 10.4))
    rest = {"attempt": 1, "at": TRIAL + timedelta(hours=2), "instrument": "SV-14", "by": BY}
    names = ("circuit", "source", "load", "current")
    return _made(VoltageDrop, [{**dict(zip(names, row, strict=True)), **rest} for row in found])


def _raw(position: str, run: str) -> str:
    return f"vibration/raw/{position}_{run}_survey.wav"


def raw_files(seed: int) -> dict[str, bytes]:
    """The raw records by their names in the folder."""
    made = {}
    for n, (position, run, level) in enumerate(LEVELS):
        job = vibration_work.Job(position, "vertical", run, level, firing=0.6)
        values = vibration_work.drawn(job, np.random.default_rng([seed, 100 + n]))
        made[_raw(position, run)] = vibration_work.sound_file(values, job.rate)
    return made


def tables(seed: int) -> dict[type[Record], Sequence[Record]]:
    """Every row of every table; each drawn table has a random stream of its own."""

    def stream(number: int) -> np.random.Generator:
        return np.random.default_rng([seed, number])

    return {
        Instrument: instruments(),
        Gloss: gloss(stream(1)),
        FilmReading: film(stream(2)),
        Hardness: hardness(stream(3)),
        Moisture: moisture(stream(4)),
        ThicknessReading: thickness(stream(5)),
        PitchReading: pitch(stream(6)),
        RunOut: run_out(stream(7)),
        CouplingGap: couplings(),
        TrialRun: runs(),
        ShaftSpeed: shafts(),
        VibrationRecord: records(),
        Bonding: bonds(),
        Insulation: insulations(),
        VoltageDrop: drops(),
    }
