"""The vibration of the invented yacht on trial: tables, and raw records drawn from tones and noise."""

from __future__ import annotations

import io
import math
import struct
import wave
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.shared_records import Place
from buildbook.chapters.vibration.formulas.spectrum import spectrum
from buildbook.chapters.vibration.formulas.weighting import whole_body
from buildbook.chapters.vibration.records import Position, SweepReading, VibrationRecord
from demo_build.evidence_maker.propeller_work import PORT, STARBOARD
from demo_build.evidence_maker.tables import here

Array = NDArray[np.float64]
RATE, FAST, SECONDS = 1024, 2560, 64  # samples a second on deck and on machines; length of a record [s]
TEETH = 23  # of the pinion on the engine's shaft
STANDARD_GRAVITY = 9.80665  # m/s2 for one g (CGPM 1901)
FULL_SCALE = 20.0  # m/s2 of the WAV files
PLAN = "VP-01"
SHORT, LOOSE = "V6", "V7"  # short of its guideline; a sensor that came loose
AS_TEXT = "V3"

_PLACES = (
    ("V1", "Owner's cabin, beside the berth", 9.4, 0.6, 0.1),
    ("V2", "Saloon, middle", 7.6, 0.0, 2.1),
    ("V3", "Helm, at the feet of the helmsman", 9.8, 0.9, 2.2),
    ("V4", "Cockpit, port, above the propeller", 1.4, -1.2, 1.6),
    ("V5", "Cockpit, starboard, above the propeller", 1.4, 1.2, 1.6),
    ("V6", "Guest cabin, port, at the door", 6.2, -1.4, 0.1),
    ("V7", "Guest cabin, starboard, at the door", 6.2, 1.4, 0.1),
    ("V8", "Gearbox, port, on its housing", 3.6, -1.1, -0.2),
    ("V9", "Gearbox, starboard, on its housing", 3.6, 1.1, -0.2),
)
PLACES = tuple(
    Place.model_validate(
        {"where": here(Place), "place": key, "name": name, "kind": "position", "x": x, "y": y, "z": z, "painted": False}
    )
    for key, name, x, y, z in _PLACES
)

_POSITIONS = (
    ("V1", "cabin or lounge", "2", False, None),
    ("V2", "cabin or lounge", "2", False, None),
    ("V3", "crew accommodation or wheelhouse", "none", False, None),
    ("V4", "open deck", "2", True, "V5"),
    ("V5", "open deck", "2", True, "V4"),
    ("V6", "cabin or lounge", "2", False, "V7"),
    ("V7", "cabin or lounge", "2", False, "V6"),
    ("V8", "machine", "none", False, "V9", "III"),
    ("V9", "machine", "none", False, "V8", "III"),
)


def positions() -> tuple[Position, ...]:
    """Every position with its space as the plan says."""
    names = ("position", "space", "comfort", "above_propellers", "mirror", "machine_class")
    rest = {"drawing": PLAN, "revision": "A", "where": here(Position)}
    return tuple(Position.model_validate({**dict(zip(names, row, strict=False)), **rest}) for row in _POSITIONS)


def machinery() -> tuple[Machine, ...]:
    """Two engines, two propellers, a generator."""
    rows: list[dict[str, object]] = []
    for side, propeller in (("port", PORT), ("starboard", STARBOARD)):
        letter = side[0].upper()
        engine = {"kind": "engine", "cylinders": 8, "strokes": 4, "ratio": 2.04}
        rows.append(
            {"machine": f"ENG-{letter}", "name": f"{side.capitalize()} engine", "propeller": propeller, **engine}
        )
        screw = {"kind": "propeller", "blades": 5}
        rows.append(
            {"machine": f"SCR-{letter}", "name": f"{side.capitalize()} propeller", "propeller": propeller, **screw}
        )
    rows.append({"machine": "GEN", "kind": "generator", "name": "Generator", "speed": 1500.0})
    rest = {"document": "DWG-300", "revision": "C", "where": here(Machine)}
    return tuple(Machine.model_validate({**row, **rest}) for row in rows)


@dataclass(frozen=True, slots=True)
class Job:
    """One channel to be drawn: position, axis, run, weighted level wanted [mm/s] and shares of tones and noise."""

    position: str
    axis: str
    run: str
    level: float
    attempt: int = 1
    shaft: float = 0.25
    blade: float = 1.0
    firing: float = 0.35
    noise: float = 0.5

    @property
    def on_machine(self) -> bool:
        """Whether it stands on a gearbox: faster sampling, and its level is that of the whole band for machines."""
        return self.position in ("V8", "V9")

    @property
    def rate(self) -> int:
        """Samples a second."""
        return FAST if self.on_machine else RATE


SHAFTS = {  # r/min, port and starboard, as the runs of the trial say
    "R1": (1133.0, 1130.0),
    "R3": (985.0, 982.0),
    "R4": (984.0, 983.0),
    "R5": (740.0, 738.0),
}
FAR = 0.35  # share of the tones of the far side, against those of the near one
_CRUISE = (
    *(Job("V1", axis, "R3", level) for axis, level in (
        ("vertical", 1.42), ("longitudinal", 0.66), ("transverse", 0.81))),
    *(Job("V4", axis, "R3", level, blade=1.6) for axis, level in (
        ("vertical", 2.74), ("longitudinal", 1.18), ("transverse", 1.33))),
    *(Job("V5", axis, "R3", level, blade=1.5) for axis, level in (
        ("vertical", 2.55), ("longitudinal", 1.12), ("transverse", 1.40))),
    Job("V2", "vertical", "R3", 1.21, firing=0.6),
    Job("V3", "vertical", "R3", 1.64, firing=0.7),
    Job(SHORT, "vertical", "R3", 2.86, firing=1.2),
    Job(LOOSE, "vertical", "R3", 1.70, firing=1.0),
)  # fmt: skip
_OTHER = (
    Job("V1", "vertical", "R1", 1.86),
    Job("V2", "vertical", "R1", 1.52, firing=0.6),
    Job("V4", "vertical", "R1", 3.24, blade=1.8),
    Job("V5", "vertical", "R1", 3.05, blade=1.7),
    Job("V1", "vertical", "R5", 0.88, blade=0.6),
    Job("V4", "vertical", "R5", 1.31, blade=0.8),
    Job(LOOSE, "vertical", "R4", 1.66, attempt=2, firing=1.0),
    Job("V2", "vertical", "R4", 1.17, firing=0.6),  # the run back
    Job("V8", "vertical", "R1", 2.61, blade=0.3, firing=1.0),
    Job("V9", "vertical", "R1", 3.08, blade=0.3, firing=1.0),
    Job(SHORT, "vertical", "R4", 2.48, attempt=2, firing=0.5),  # after a loose clamp was made fast
)
JOBS = (*_CRUISE, *_OTHER)
_AT = {"R1": datetime(2026, 5, 20, 9, 41), "R3": datetime(2026, 5, 20, 10, 16)}
_AT |= {"R4": datetime(2026, 5, 20, 10, 29), "R5": datetime(2026, 5, 20, 10, 51)}


_SWEPT = (600, 650, 700, 740, 790, 840, 870, 900, 940, 985, 1030, 1080, 1135)  # r/min
_SWEEPS = {  # weighted level as the meter showed it [mm/s]; both answer a little near 870 r/min
    "V1": (0.61, 0.70, 0.79, 0.89, 1.03, 1.31, 1.45, 1.34, 1.30, 1.43, 1.55, 1.70, 1.87),
    "V4": (0.86, 1.01, 1.16, 1.31, 1.63, 2.25, 2.53, 2.37, 2.41, 2.75, 2.88, 3.04, 3.25),
}


def sweeps() -> tuple[SweepReading, ...]:
    """The level over the speed at two positions, one after the other, a step every two minutes."""
    rows, at = [], datetime(2026, 5, 20, 11, 10)
    for position, levels in _SWEEPS.items():
        for number, (speed, level) in enumerate(zip(_SWEPT, levels, strict=True), 1):
            values = {"position": position, "axis": "vertical", "number": number, "shaft_speed": speed, "level": level}
            rest = {"where": here(SweepReading), "instrument": "VM-02", "at": at, "by": "TR HB"}
            rows.append(SweepReading.model_validate({**values, **rest}))
            at += timedelta(minutes=2)
    return tuple(rows)


def file_of(job: Job) -> tuple[str, int]:
    """Where a channel is stored: three axes of one position share a universal file; the helm's is a text in g."""
    three = [one.axis for one in JOBS if (one.position, one.run) == (job.position, job.run)]
    name = f"vibration/raw/{job.position}_{job.run}"
    if len(three) > 1:
        return f"{name}.uff", three.index(job.axis) + 1
    return f"{name}.csv" if job.position == AS_TEXT else f"{name}.wav", 1


def records() -> tuple[VibrationRecord, ...]:
    """One row for each channel."""
    rows = []
    for number, job in enumerate(JOBS, 1):
        file, channel = file_of(job)
        values = {"record": f"A-{number:02}", "position": job.position, "axis": job.axis, "run": job.run}
        rest = {
            "at": _AT[job.run],
            "file": file,
            "channel": channel,
            "quantity": "acceleration",
            "attempt": job.attempt,
        }
        more = {
            "calibration": FULL_SCALE if file.endswith(".wav") else None,
            "rate": float(RATE) if file.endswith(".csv") else None,
            "instrument": "VM-01",
            "by": "TR HB",
        }
        seat = (
            "three-legged plate of 1 kg on the carpet"
            if job.position in ("V1", SHORT, LOOSE)
            else "magnet on a glued plate"
        )
        if job.on_machine:
            seat = "stud in a glued foot"
        held = {"mounting": seat, "checked_before": 0.4, "checked_after": 0.7}
        rows.append(VibrationRecord.model_validate({"where": here(VibrationRecord), **values, **rest, **more, **held}))
    return tuple(rows)


def _shares(position: str) -> tuple[float, float]:
    """How much of the port and of the starboard machinery reaches a position: the near side whole, both amidships."""
    (y,) = (place.y for place in PLACES if place.place == position)
    if y is None or abs(y) < 1.0:
        return (math.sqrt(0.5), math.sqrt(0.5))
    return (1.0, FAR) if y < 0 else (FAR, 1.0)


def _of_side(job: Job, shaft: float) -> list[tuple[float, float]]:
    """Frequency [Hz] and velocity [mm/s] of each tone of one shaft with its propeller and engine."""
    engine = 2.04 * shaft
    lines = [(shaft, job.shaft), (5 * shaft, job.blade), (10 * shaft, 0.35 * job.blade), (15 * shaft, 0.12 * job.blade)]
    return [*lines, (4 * engine, job.firing), (0.5 * engine, 0.10), (1.5 * engine, 0.12)]


def drawn(job: Job, rng: np.random.Generator) -> Array:
    """The acceleration of one channel [m/s2]: tones of machines, noise of sea and structure, brought to its level."""
    time = np.arange(job.rate * SECONDS) / job.rate
    lines = [(25.0, 0.08)]
    for speed, share in zip(SHAFTS[job.run], _shares(job.position), strict=True):
        lines += [(frequency, share * velocity) for frequency, velocity in _of_side(job, speed / 60.0)]
        if job.on_machine:
            lines.append((TEETH * 2.04 * speed / 60.0, 0.4 * share))
    whole = np.zeros_like(time)
    for frequency, velocity in lines:  # mm/s of each tone before all is scaled
        wander = np.cumsum(rng.standard_normal(len(time))) * 0.002 / math.sqrt(job.rate)
        phase = 2.0 * math.pi * (frequency * time + rng.uniform()) + wander
        whole += 2.0 * math.pi * frequency * velocity / 1000.0 * math.sqrt(2.0) * np.sin(phase)
    freely = np.fft.rfft(rng.standard_normal(len(time)))
    at = np.fft.rfftfreq(len(time), 1.0 / job.rate)
    shape = at / (1.0 + (at / 25.0) ** 2)  # velocity falls off above the modes of the hull
    rumble = np.fft.irfft(freely * shape, len(time))
    whole += job.noise * 0.02 * rumble / rumble.std()
    return whole * job.level / _level(whole, job) + rng.uniform(-0.05, 0.05)


def _level(whole: Array, job: Job) -> float:
    """What a meter would show of it [mm/s]: weighted for people, unweighted from 10 Hz to 1000 Hz on a machine."""
    found = spectrum(lambda: [whole], len(whole), float(job.rate), 8.0, float(whole.mean()))
    if job.on_machine:
        return 1000.0 * math.sqrt(found.velocity(1.0).between(10.0, 1000.0))
    return 28.0 * math.sqrt(found.mean_square(whole_body))


def raw_files() -> dict[str, bytes]:
    """The raw records by their names in the folder."""
    channels: dict[str, list[Array]] = {}
    labels: dict[str, list[str]] = {}
    rates: dict[str, int] = {}
    for number, job in enumerate(JOBS):
        values = drawn(job, np.random.default_rng([20260520, number]))
        if job.position == LOOSE and job.attempt == 1:
            start = 23 * RATE
            values[start : start + RATE + RATE // 2] = 0.0  # a second and a half off its plate
        file, _ = file_of(job)
        channels.setdefault(file, []).append(values)
        labels.setdefault(file, []).append(f"{job.position} {job.axis}")
        rates[file] = job.rate
    return {file: _stored(file, found, labels[file], rates[file]) for file, found in channels.items()}


def _stored(file: str, channels: Sequence[Array], labels: Sequence[str], rate: int) -> bytes:
    """The bytes of a record, of the kind that its ending says."""
    if file.endswith(".uff"):
        return universal(channels, labels)
    return text_file(channels[0]) if file.endswith(".csv") else sound_file(channels[0], rate)


def text_file(values: Array) -> bytes:
    """A record as text: one head with its unit, then a number in each line."""
    return "".join(["acceleration [g]\n", *(f"{value / STANDARD_GRAVITY:.5f}\n" for value in values)]).encode("ascii")


def sound_file(values: Array, rate: int) -> bytes:
    """A WAV file of 16 bit, written by the standard library."""
    out = io.BytesIO()
    stored = np.clip(np.round(values / FULL_SCALE * 2**15), -(2**15), 2**15 - 1).astype("<i2")
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(stored.tobytes())
    return out.getvalue()


def universal(channels: Sequence[Array], labels: Sequence[str]) -> bytes:
    """A universal file, dataset 58 in binary, little end first, after its published layout (from memory)."""
    out = []
    for values, label in zip(channels, labels, strict=True):
        data = struct.pack(f"<{len(values)}f", *np.round(values, 4))
        lines = [
            label, "NONE", "20-May-26 10:16:00", "NONE", "NONE",
            "    1         0    0         0 NONE               0   0 NONE               0   0",
            f"{2:10d}{len(values):10d}{1:10d}  0.00000e+00{1.0 / RATE:13.5e}  0.00000e+00",
            "        17    0    0    0 Time                 s",
            "        12    0    0    0 Acceleration         m/s2",
            "         0    0    0    0 NONE                 NONE",
            "         0    0    0    0 NONE                 NONE",
        ]  # fmt: skip
        head = f"    58b{1:6d}{2:6d}{11:12d}{len(data):12d}{0:6d}{0:6d}{0:12d}{0:12d}"
        text = "\n".join(["    -1", head, *(line.ljust(80) for line in lines), ""])
        out.append(text.encode("ascii") + data + b"\n    -1\n")
    return b"".join(out)
