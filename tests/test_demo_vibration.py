"""Vibration and sound of the demonstration: what the book finds, worked out again from the files alone.

The WAV files are read with the standard library. The spectrum is one transform of the whole record and not a mean of
segments, so the two ways share nothing but the samples; tones that fall between lines make them differ by up to 1 %.
"""

from __future__ import annotations

import csv
import math
import wave
from pathlib import Path
from statistics import fmean, stdev

import numpy as np
import pytest

from buildbook.chapters.vibration.checks import CHECKS
from buildbook.core.finding import Finding, Role
from tests.test_parity import demo

HULL = Path(__file__).parents[1] / "demo_build" / "hull"
FULL_SCALE = 20.0  # m/s2, as vibration/records.csv says
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    """The rows of a table, heads without their units."""
    with (HULL / name).open(encoding="utf-8", newline="") as handle:
        return [{head.split(" [")[0]: cell for head, cell in row.items()} for row in csv.DictReader(handle)]


@pytest.fixture(scope="module")
def judged() -> dict[tuple[str, str, str, str], Finding]:
    """The governing findings of the chapter by check, quantity, place and condition."""
    evidence, _ = demo()
    mine = {check.id for check in CHECKS}
    found = [one for one in demo()[1] if one.key.check in mine and one.key.role is Role.GOVERNING]
    assert evidence.signals
    return {(one.key.check, one.key.quantity, one.key.place, one.key.condition): one for one in found}


def velocity_lines(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Frequency [Hz] and mean square of velocity [mm2/s2] of every line above 1 Hz of a whole record."""
    with wave.open(str(HULL / "vibration" / "raw" / name)) as file:
        rate, stored = file.getframerate(), file.readframes(file.getnframes())
    samples = np.frombuffer(stored, "<i2") / 2**15 * FULL_SCALE
    turned = np.fft.rfft(samples - samples.mean()) / len(samples)
    frequency = np.fft.rfftfreq(len(samples), 1.0 / rate)
    above = frequency > 1.0
    return frequency[above], 2.0 * np.abs(1000.0 * turned[above] / (2.0 * np.pi * frequency[above])) ** 2


def in_band(name: str, low: float, high: float) -> float:
    frequency, square = velocity_lines(name)
    return math.sqrt(float(square[(frequency >= low) & (frequency <= high)].sum()))


def value(finding: Finding) -> float:
    assert finding.measured is not None
    return finding.measured.value


@pytest.mark.parametrize(
    ("place", "run", "setting"), [("V4", "R1", "full"), ("V5", "R1", "full"), ("V2", "R3", "cruise")]
)
def test_the_level_at_blade_rate(judged, place, run, setting):
    """Five blades; the band reaches three lines of 1/8 Hz beyond the blade rates of both shafts."""
    speeds = [float(row["shaft_speed"]) for row in rows("trial/shafts.csv") if row["run"] == run]
    low, high = min(speeds) * 5 / 60 - 0.375, max(speeds) * 5 / 60 + 0.375
    found = judged["VIB-06", "level at blade rate", place, f"{setting}, run {run}"]
    assert value(found) == pytest.approx(in_band(f"{place}_{run}.wav", low, high), rel=0.01)


def test_the_strongest_tone_is_the_highest_line(judged):
    """One transform of 64 s has lines 1/64 Hz apart: the highest lies within one line of 1/8 Hz of the tone."""
    frequency, square = velocity_lines("V6_R3.wav")
    found = judged["VIB-05", "tones", "V6", "cruise, run R3"].working[0]
    assert float(found.split(" Hz")[0]) == pytest.approx(float(frequency[square.argmax()]), abs=0.125)
    firing = 985.0 * 2.04 / 60 * 4  # eight cylinders, four strokes
    assert float(found.split(" Hz")[0]) == pytest.approx(firing, abs=0.1875)
    assert "firing" in found


@pytest.mark.parametrize("place", ["V8", "V9"])
def test_the_gearboxes(judged, place):
    found = judged["VIB-10", "machine vibration", place, "vertical, full, run R1"]
    assert value(found) == pytest.approx(in_band(f"{place}_R1.wav", 10.0, 1000.0), rel=0.005)


def test_before_and_after(judged):
    """Weighting W_m from the formulas of ISO 2631-2 with the parameters of ISO 8041-1, written out here once more."""
    levels = []
    for name in ("V6_R4.wav", "V6_R3.wav"):
        frequency, square = velocity_lines(name)
        low, high, step = 10.0**-0.1, 100.0, 1.0 / (0.028 * 2.0 * np.pi)
        limited = frequency**2 / np.sqrt(frequency**4 + low**4) * high**2 / np.sqrt(frequency**4 + high**4)
        weight = 0.028 * 2.0 * np.pi * frequency * limited / np.sqrt(1.0 + (frequency / step) ** 2)
        levels.append(math.sqrt(float((square * weight**2).sum())))
    found = judged["VIB-09", "vibration ratio after to before", "V6", "vertical, cruise"]
    assert value(found) == pytest.approx(levels[0] / levels[1], rel=0.005)


def test_port_against_starboard(judged):
    found = judged["VIB-08", "vibration ratio port to starboard", "V8", "vertical, full, run R1"]
    both = [in_band(f"{place}_R1.wav", 10.0, 1000.0) for place in ("V8", "V9")]
    assert value(found) == pytest.approx(both[0] / both[1], rel=0.005)


@pytest.mark.parametrize("place", ["V1", "V4"])
def test_the_hump_and_the_speeds_beside_it(judged, place):
    """The only speed whose level is above both neighbours; no run on trial lies between the lower ones beside it."""
    swept = [
        (float(row["shaft_speed"]), float(row["level"]))
        for row in rows("vibration/sweep.csv")
        if row["position"] == place
    ]
    tops = [n for n in range(1, len(swept) - 1) if swept[n][1] > max(swept[n - 1][1], swept[n + 1][1])]
    (top,) = tops
    assert swept[top][0] == 870
    assert (
        f"at 870 r/min ({swept[top][1]:.2f} mm/s)"
        in judged["VIB-07", "humps over the speed", place, "vertical"].observed
    )
    speeds = {float(row["shaft_speed"]) for row in rows("trial/shafts.csv")}
    assert not [speed for speed in speeds if swept[top - 1][0] < speed < swept[top + 1][0]]
    assert judged["VIB-07", "speeds she is used at", place, "vertical"].observed.count("clear of humps") == 3


@pytest.mark.parametrize(("place", "run"), [("V7", "R3"), ("V2", "R3"), ("V4", "R1")])
def test_sound(judged, place, run):
    """Taken off 3 to 10 dB above the background; scatter of three readings with the meter's 0.6 dB and 0.1 dB step."""
    levels = []
    for row in rows("sound/levels.csv"):
        if (row["place"], row["run"]) == (place, run):
            level, background = float(row["level"]), float(row["background"] or -99)
            near = level - background < 10.0
            levels.append(10.0 * math.log10(10 ** (level / 10) - 10 ** (background / 10)) if near else level)
    mean = 10.0 * math.log10(fmean(10 ** (level / 10) for level in levels))
    found = judged["VIB-11", "sound level", place, run]
    assert value(found) == pytest.approx(mean, abs=1e-9)
    standard = math.hypot(0.3, 0.1 / math.sqrt(12.0), stdev(levels) / math.sqrt(3.0))
    assert found.measured is not None
    assert found.measured.standard == pytest.approx(standard, rel=1e-6)
