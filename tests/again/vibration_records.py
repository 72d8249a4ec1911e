"""Raw records read again from their bytes, and their spectra by scipy."""

from __future__ import annotations

import csv
import io
import math
import wave
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from scipy import signal

from tests.again.common_rules import Package, Row

Array: TypeAlias = npt.NDArray[np.float64]
GRAVITY = 9.80665  # m/s2, by definition
SEGMENT = 8.0  # s: lines stand 1/8 Hz apart
COVERS = 4  # segments over each sample: each lies three quarters over the one before
UFF_END = b"    -1"


@dataclass(frozen=True)
class Record:
    """One channel: samples in m/s2, samples per second, and the row that names it."""

    row: Row
    samples: Array
    rate: float

    @property
    def duration(self) -> float:
        """Length in seconds."""
        return len(self.samples) / self.rate

    @cached_property
    def spectrum(self) -> tuple[Array, Array]:
        """Frequencies [Hz] and one-sided density [(m/s2)2/Hz] in which each sample counts alike.

        Welch's mean of segments of 8 s under a Hann window, each three quarters over the one before, with nothing put
        before the first sample and behind the last. scipy divides by the number of segments; each sample lies in four.
        """
        size = round(SEGMENT * self.rate)
        hop = size // COVERS
        quiet = np.zeros(size - hop)
        padded = np.concatenate([quiet, self.samples - self.samples.mean(), quiet])
        segments = (len(padded) - size) // hop + 1
        frequency, density = signal.welch(
            padded, self.rate, window="hann", nperseg=size, noverlap=size - hop, detrend=False
        )
        return frequency, density * (segments * size / (COVERS * len(self.samples)))

    @cached_property
    def whole_segments(self) -> tuple[Array, Array]:
        """The same without anything put at the ends: a tone is a narrower peak there."""
        size = round(SEGMENT * self.rate)
        return signal.welch(
            self.samples - self.samples.mean(),
            self.rate,
            window="hann",
            nperseg=size,
            noverlap=size - size // COVERS,
            detrend=False,
        )

    @property
    def step(self) -> float:
        """Distance between two lines [Hz]."""
        return 1.0 / SEGMENT

    @property
    def reach(self) -> float:
        """The highest frequency of which the record speaks [Hz]: 40 % of its rate, 500 Hz at most (common practice)."""
        return min(500.0, 0.4 * self.rate)


def weighting(frequency: Array) -> Array:
    """W_m of ISO 2631-2:2003 for acceleration, whole, with its own limits at 0.79 Hz and 100 Hz.

    H = f^2/sqrt(f^4 + f1^4) * f2^2/sqrt(f^4 + f2^4) / sqrt(1 + (f/f3)^2), f1 = 10^-0.1 Hz, f2 = 100 Hz,
    f3 = 1/(0.028 * 2 pi) Hz. Source: ISO 8041-1:2017, parameters known second-hand.
    """
    f1, f2, f3 = 10.0**-0.1, 100.0, 1.0 / (0.028 * 2.0 * math.pi)
    f = frequency
    high_pass = f**2 / np.sqrt(f**4 + f1**4)
    low_pass = f2**2 / np.sqrt(f**4 + f2**4)
    return np.asarray(high_pass * low_pass / np.sqrt(1.0 + (f / f3) ** 2))


def band_sum(frequency: Array, density: Array, low: float, high: float, step: float) -> float:
    """Mean square between two frequencies: each line stands for `step`, one at an edge for its part inside."""
    inside = np.clip(np.minimum(frequency + step / 2, high) - np.maximum(frequency - step / 2, low), 0.0, step)
    return float((density * inside).sum())


def all_records(package: Package) -> list[Record]:
    """Every record of the survey, in the order of its table."""
    return list(_all_records(package))


@cache
def _all_records(package: Package) -> tuple[Record, ...]:
    return tuple(_record(package, row) for row in package.rows("vibration/records.csv"))


def _record(package: Package, row: Row) -> Record:
    if row["quantity"] != "acceleration":
        raise ValueError("this recomputation reads acceleration alone")
    file, channel = package.raw(row["file"]), int(row["channel"])
    if file.suffix == ".wav":
        samples, rate = read_wav(file, channel, float(row["calibration"]))
    elif file.suffix == ".csv":
        samples, rate = read_text(file), float(row["rate [Hz]"])
    else:
        samples, rate = read_uff(file.read_bytes())[channel - 1]
    return Record(row, samples, rate)


def read_wav(file: Path, channel: int, full_scale: float) -> tuple[Array, float]:
    """16-bit PCM: a sample is a fraction of 2^15, times the value at full scale that the row gives."""
    with wave.open(str(file)) as opened:
        if opened.getsampwidth() != 2:
            raise ValueError("16 bits a sample expected")
        found = np.frombuffer(opened.readframes(opened.getnframes()), "<i2")[channel - 1 :: opened.getnchannels()]
        return found / 32768.0 * full_scale, float(opened.getframerate())


def read_text(file: Path) -> Array:
    """One value a line under a head with the unit g."""
    head, *rows = csv.reader(io.StringIO(file.read_text(encoding="utf-8")))
    if head != ["acceleration [g]"]:
        raise ValueError(f"a head with the unit g expected, not {head}")
    return np.array([float(cell) for (cell,) in rows]) * GRAVITY


def read_uff(data: bytes) -> list[tuple[Array, float]]:
    """Data sets of type 58b (universal file, binary): little-endian, single precision, evenly spaced, in m/s2.

    Eleven lines follow the head; the seventh gives type, number and step. A step printed with six digits is rounded to
    whole samples a second. Layout: universal file dataset 58, published by a university laboratory (from memory).
    """
    found = []
    at = 0
    while (at := data.find(b"    58b", at)) >= 0:
        head, rest = data[at:].split(b"\n", 1)
        number_of_bytes = int(head.split()[4])
        lines = []
        for _ in range(11):
            line, rest = rest.split(b"\n", 1)
            lines.append(line)
        kind, number, even, _, step, _ = lines[6].split()
        if (kind, even) != (b"2", b"1") or b"m/s2" not in lines[8]:
            raise ValueError("single precision, even spacing and m/s2 expected")
        samples = np.frombuffer(rest[:number_of_bytes], "<f4").astype(np.float64)
        if len(samples) != int(number):
            raise ValueError(f"{number!r} samples expected, {len(samples)} found")
        found.append((samples, float(round(1.0 / float(step)))))
        at = len(data) - len(rest) + number_of_bytes
    return found
