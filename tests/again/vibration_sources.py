"""Which frequencies the machines make in a run, the tones of a record, and what each is consistent with: VIB-05."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from tests.again.common_rules import Own, Package, Row, standard
from tests.again.drive_rules import rows_of, worded
from tests.again.vibration_records import Array, Record
from tests.again.vibration_trial import is_good, setting

BLADE_RATE = "blade rate"
NOT_AT_THE_SHAFT = 0.01  # how well a speed from a drawing is known, common practice
STEP = 0.125  # Hz


@dataclass(frozen=True)
class Source:
    """One frequency [Hz] of one machine, what it is, and how well it is known as a share of it."""

    frequency: float
    what: str
    machine: str
    share: float

    @property
    def reach(self) -> float:
        """How far a tone may lie from it: one and a half lines, or what the speed leaves unsure."""
        return max(1.5 * STEP, self.share * self.frequency)


def times(number: int, words: str) -> str:
    """A multiple in words."""
    return words if number == 1 else f"{number} × {words}"


def sources(package: Package, run: str) -> list[Source]:
    """All frequencies of all machines in a run, lowest first.

    Shaft rate n/60 to its triple, but for multiples that are blade rate; blade rate Z n/60 to its triple; engine orders
    of n i/60 in halves (a cycle of four strokes takes two turns) to twice the firing order; a generator at its speed,
    its double, and twice the frequency of its current.
    """
    shafts = {row["propeller"]: row for row in package.rows("trial/shafts.csv") if row["run"] == run}
    found: list[Source] = []
    for machine in package.rows("vibration/machinery.csv"):
        if machine["kind"] in ("propeller", "engine"):
            shaft = shafts[machine["propeller"]]
            speed = float(shaft["shaft_speed [rpm]"])
            share = 2.0 * standard(package.instrument(shaft["instrument"], "shaft speed")) / speed
            makes = _propeller if machine["kind"] == "propeller" else _engine
            found += makes(machine, speed, share)
        elif machine["kind"] == "generator":
            found += _generator(machine)
    return sorted([*found, *_beats(package, shafts)], key=lambda one: one.frequency)


def _propeller(machine: Row, speed: float, share: float) -> list[Source]:
    blades, name = int(machine["blades"]), machine["name"]
    turns = [(order, times(order, "shaft rate")) for order in (1, 2, 3) if order % blades]
    passing = [(blades * order, times(order, BLADE_RATE)) for order in (1, 2, 3)]
    return [Source(order * speed / 60.0, what, name, share) for order, what in (*turns, *passing)]


def _engine(machine: Row, shaft: float, share: float) -> list[Source]:
    speed = shaft * float(machine["ratio"])
    parts = int(machine["strokes"]) // 2
    firing = int(machine["cylinders"]) / parts
    found = []
    for number in range(1, round(2.0 * firing * parts) + 1):
        order = number / parts
        words = f"{times(round(order / firing), 'firing')}, engine order" if order % firing == 0 else "engine order"
        found.append(Source(order * speed / 60.0, f"{words} {order:g}", machine["name"], share))
    return found


def _generator(machine: Row) -> list[Source]:
    rate = float(machine["speed [rpm]"]) / 60.0
    mains = min((50.0, 60.0), key=lambda one: abs(round(one / rate) * rate - one))
    found = [(rate, "turning rate"), (2.0 * rate, "2 × turning rate")]
    found.append((2.0 * round(mains / rate) * rate, "twice its electrical frequency"))
    return [Source(frequency, what, machine["name"], NOT_AT_THE_SHAFT) for frequency, what in found]


def _beats(package: Package, shafts: dict[str, Row]) -> Iterator[Source]:
    screws = [row for row in package.rows("vibration/machinery.csv") if row["kind"] == "propeller"]
    for one, other in combinations(screws, 2):
        speeds = [float(shafts[row["propeller"]]["shaft_speed [rpm]"]) for row in (one, other)]
        u = [
            standard(package.instrument(shafts[row["propeller"]]["instrument"], "shaft speed")) for row in (one, other)
        ]
        if one["blades"] == other["blades"] and speeds[0] != speeds[1]:
            apart = abs(speeds[0] - speeds[1])
            rate = int(one["blades"]) * apart / 60.0
            yield Source(rate, "beat of both blade rates", f"{one['name']}, {other['name']}", 2.0 * sum(u) / apart)


def named(what: str, machines: list[str]) -> str:
    """A frequency with the machines that make it."""
    names = sorted(dict.fromkeys(f"{name[:1].lower()}{name[1:]}" for name in machines))
    return f"{what} ({enumerated(names)})"


def enumerated(words: list[str]) -> str:
    """One, two and three in words."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def consistent(frequency: float, found: list[Source]) -> str:
    """All that a tone is consistent with; with a source goes its like within two lines, where both tones merge."""
    fitting: dict[str, list[str]] = {}
    for one in found:
        if abs(frequency - one.frequency) <= one.reach:
            alike = [
                other.machine
                for other in found
                if other.what == one.what and abs(other.frequency - one.frequency) <= 2.0 * STEP * (1.0 + 1e-9)
            ]
            fitting.setdefault(one.what, []).extend(alike)
    told = "; or ".join(named(what, names) for what, names in fitting.items())
    return f"consistent with {told}" if told else "not explained by the given machinery data"


def coincidences(package: Package, runs: list[str]) -> Iterator[Own]:
    """VIB-05: sources of different kinds that lie within the reach of one of them; nothing is measured for this.

    A pair of kinds is told once, at the lowest pair, with the frequency of the kind that comes first by the alphabet.
    """
    for run in runs:
        near: dict[tuple[str, str], float] = {}
        for one, other in combinations(sources(package, run), 2):
            if one.what != other.what and abs(one.frequency - other.frequency) <= max(one.reach, other.reach):
                first, second = sorted((one, other), key=lambda source: source.what)
                near.setdefault((first.what, second.what), first.frequency)
        told = list(dict.fromkeys(f"{frequency:.1f} Hz" for frequency in near.values()))
        words = (
            f"near {enumerated(told)} more than one machine shakes"
            if told
            else "none: each can be told from the others"
        )
        rows = [row for row in package.rows("trial/shafts.csv") if row["run"] == run]
        rows += package.rows("vibration/machinery.csv")
        name = f"{setting(package, run)}, run {run}"
        yield worded(
            ("VIB-05", "frequencies that coincide", "", name, 1), "information", observed=words, rows=rows_of(rows)
        )


def tones(record: Record) -> list[tuple[float, float]]:
    """Frequency [Hz] and r.m.s. velocity [mm/s] of the lines that stand out, strongest first.

    A tone is a peak of the amplitude from 1 Hz to the reach of the record that is at least 3 % of the largest, at least
    four times the median of the lines within 20 % of its frequency (eight lines at least), and more than two lines
    from a stronger one. Its frequency is the top of a parabola through three levels in decibels; its r.m.s. is that
    of the lines within three to either side, up to the middle between it and the next tone.
    """
    frequency, density = record.whole_segments
    slow = frequency < 1.0
    density = np.where(slow, 0.0, 1e6 * density / np.where(slow, 1.0, 2.0 * math.pi * frequency) ** 2)
    amplitude = np.sqrt(density)
    first, last = math.ceil(1.0 / STEP), math.floor(record.reach / STEP)
    least = 0.03 * amplitude[first : last + 1].max()
    lines = np.arange(first, last + 1)
    summit = (amplitude[lines] > amplitude[lines - 1]) & (amplitude[lines] >= amplitude[lines + 1])
    kept: list[int] = []
    for line in sorted(lines[summit & (amplitude[lines] >= least)], key=lambda one: -amplitude[one]):
        reach = max(8, round(0.2 * line))
        median = np.median(amplitude[max(1, line - reach) : line + reach + 1])
        if amplitude[line] >= 4.0 * median and all(abs(int(line) - other) > 2 for other in kept):
            kept.append(int(line))
    found = [(_top(density, line) * STEP, _rms(density, line, kept)) for line in kept]
    return sorted(found, key=lambda tone: -tone[1])


def _top(density: Array, line: int) -> float:
    before, here, after = 10.0 * np.log10(density[line - 1 : line + 2])
    return float(line + 0.5 * (before - after) / (before - 2.0 * here + after))


def _rms(density: Array, line: int, kept: list[int]) -> float:
    mine = [one for one in range(line - 3, line + 4) if _nearest(one, line, kept)]
    return math.sqrt(float(density[mine].sum()) * STEP)


def _nearest(one: int, line: int, kept: list[int]) -> bool:
    """Whether a line belongs to this tone: no other is nearer; in the middle of two it belongs to the lower one."""
    return all((abs(one - line), line) < (abs(one - other), other) for other in kept if other != line)


def overall(record: Record) -> float:
    """Unweighted velocity squared [(m/s)2] from 1 Hz to the reach of a record; a line at an end counts by half."""
    frequency, density = record.spectrum
    inside = (frequency >= 1.0) & (frequency <= record.reach)
    moved = density[inside] / (2.0 * math.pi * frequency[inside]) ** 2
    return float(moved.sum() - 0.5 * moved[0]) * STEP


def told(package: Package, groups: dict[tuple[str, str, str], list[Record]]) -> Iterator[Own]:
    """VIB-05: the tones of the strongest direction at each position in each run."""
    for (position, run, attempt), records in groups.items():
        about = ("VIB-05", "tones", position, f"{setting(package, run)}, run {run}", int(attempt))
        rows = rows_of(one.row for one in records)
        if not all(is_good(one) for one in records):
            yield worded(about, "inconclusive", rows=rows)
            continue
        strongest = max(records, key=lambda one: overall(one))
        found, known = tones(strongest), sources(package, run)
        at, rms = found[0]
        words = f"{len(found)} {'tone' if len(found) == 1 else 'tones'}; strongest {at:.1f} Hz, {rms:.2f} mm/s: "
        words += consistent(at, known)
        silent = [f"{one:.1f} Hz" for one, _ in found if not consistent(one, known).startswith("consistent")]
        if silent and silent != [f"{at:.1f} Hz"]:
            words += f"; not explained by the given machinery data: {enumerated(silent)}"
        yield worded(about, "information", observed=words, rows=rows)
