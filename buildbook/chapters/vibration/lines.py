"""The frequencies that the given machinery makes in a run, and which of them a tone fits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.readings import standard_of
from buildbook.chapters.subjects import used
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.chapters.vibration.formulas.orders import beat, blade_rate, electrical_double, firing_rate, order_rate
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.subjects import PERCENT
from buildbook.core.evidence import Evidence
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.formulas import OutOfRange

BLADE_RATE, SHAFT_RATE = "blade rate", "shaft rate"


@dataclass(frozen=True, slots=True)
class Line:
    """One frequency [Hz] of one machine, what it is in words, and how well it is known [share of it]."""

    frequency: float
    what: str
    machine: str
    share: float

    def fits(self, frequency: float, step: float) -> bool:
        """Whether a tone in a spectrum with lines `step` apart [Hz] fits."""
        return abs(frequency - self.frequency) <= self.reach(step)

    def reach(self, step: float) -> float:
        """How far a tone may lie from it [Hz]."""
        return max(rule("lines to either side") * step, self.share * self.frequency)


@dataclass(frozen=True, slots=True)
class Speed:
    """Speed of one shaft [r/min] and its expanded uncertainty as a share of it."""

    value: float
    share: float


def speeds_of(evidence: Evidence, run: str) -> dict[str, Speed]:
    """The speed of each shaft in a run with its uncertainty, by its propeller."""
    found = {}
    for row in evidence.of(ShaftSpeed, run=run):
        parts = used(evidence, [row], "instrument", "shaft speed", "rpm").parts
        share = 2.0 * standard_of(parts) / row.shaft_speed if parts else rule("speed not read at the shaft") / PERCENT
        found[row.propeller] = Speed(row.shaft_speed, share)
    return found


def lines_of(evidence: Evidence, run: str) -> tuple[Line, ...]:
    """Every line that the given machinery makes in a run, lowest first; none where it cannot be told."""
    return evidence.once(("lines", run), lambda: tuple(sorted(_lines(evidence, run), key=lambda one: one.frequency)))


def _lines(evidence: Evidence, run: str) -> Iterable[Line]:
    speeds = speeds_of(evidence, run)
    for machine in evidence.of(Machine):
        if machine.kind in ("propeller", "engine"):
            speed = speeds.get(machine.propeller or "")
            if speed is not None:
                yield from _propeller(machine, speed) if machine.kind == "propeller" else _engine(machine, speed)
        elif machine.speed is not None:
            yield from _of_its_own(machine, machine.speed)
    yield from _beats([one for one in evidence.of(Machine) if one.kind == "propeller"], speeds)


def _propeller(machine: Machine, speed: Speed) -> Iterable[Line]:
    blades = machine.blades or 0
    for order in range(1, round(rule("shaft multiples")) + 1):
        if blades == 0 or order % blades:
            yield Line(order_rate(speed.value, order), _times(order, SHAFT_RATE), machine.name, speed.share)
    for multiple in range(1, round(rule("blade multiples")) + 1):
        rate = blade_rate(speed.value, blades, multiple)
        yield Line(rate, _times(multiple, BLADE_RATE), machine.name, speed.share)


def _engine(machine: Machine, shaft: Speed) -> Iterable[Line]:
    speed = shaft.value * (machine.ratio or 1.0)
    cylinders, strokes = machine.cylinders or 1, machine.strokes or 4
    firing = firing_rate(speed, cylinders, strokes) / order_rate(speed, 1.0)
    parts = strokes // 2  # a cycle takes so many turns, so an order comes in so many parts
    for number in range(1, round(rule("multiples of firing") * firing * parts) + 1):
        order = number / parts
        words = f"{_times(round(order / firing), 'firing')}, engine order" if order % firing == 0 else "engine order"
        yield Line(order_rate(speed, order), f"{words} {plain_number(order)}", machine.name, shaft.share)


def _of_its_own(machine: Machine, speed: float) -> Iterable[Line]:
    share = rule("speed not read at the shaft") / PERCENT
    multiples = round(rule("generator multiples")) if machine.kind == "generator" else 1
    for order in range(1, multiples + 1):
        yield Line(order_rate(speed, order), _times(order, "turning rate"), machine.name, share)
    if machine.kind == "generator":
        try:
            double = electrical_double(speed, rule("mains frequency within"))
        except OutOfRange:  # one that does not feed the mains directly
            pass
        else:
            yield Line(double, "twice its electrical frequency", machine.name, share)
        if machine.cylinders and machine.strokes:
            yield Line(firing_rate(speed, machine.cylinders, machine.strokes), "firing", machine.name, share)
    elif machine.blades:
        yield Line(blade_rate(speed, machine.blades), "passing of its blades", machine.name, share)


def _beats(propellers: Sequence[Machine], speeds: Mapping[str, Speed]) -> Iterable[Line]:
    for one, other in combinations(propellers, 2):
        first, second = speeds.get(one.propeller or ""), speeds.get(other.propeller or "")
        if first and second and one.blades and one.blades == other.blades and first.value != second.value:
            rate = beat(first.value, second.value, one.blades)
            share = (first.share * first.value + second.share * second.value) * one.blades / 60.0 / rate
            yield Line(rate, "beat of both blade rates", f"{one.name}, {other.name}", share)


def _times(number: int, words: str) -> str:
    return words if number == 1 else f"{number} × {words}"


def sources_of(frequency: float, lines: Sequence[Line], step: float) -> str:
    """All that a tone is consistent with, in words; empty where nothing fits.

    With a line that fits goes its like on the other side where both are so near that their tones merge into one.
    """
    merged = rule("lines that merge") * step * (1.0 + 1e-9)
    fitting: dict[str, list[str]] = {}
    for line in lines:
        if line.fits(frequency, step):
            alike = (one for one in lines if one.what == line.what and abs(one.frequency - line.frequency) <= merged)
            fitting.setdefault(line.what, []).extend(one.machine for one in alike)
    return "; or ".join(_of_machines(what, machines) for what, machines in fitting.items())


def coincidences(lines: Sequence[Line], step: float) -> dict[str, str]:
    """Lines of different kinds too near to each other to be told apart in a spectrum: in words, with the frequency."""
    found: dict[tuple[str, str], list[tuple[Line, Line]]] = {}
    for one, other in combinations(lines, 2):
        if one.what != other.what and abs(one.frequency - other.frequency) <= max(one.reach(step), other.reach(step)):
            pair = sorted((one, other), key=lambda line: line.what)
            found.setdefault((pair[0].what, pair[1].what), []).append((pair[0], pair[1]))
    words = {}
    for (what, also), pairs in found.items():
        near = f"{fixed(pairs[0][0].frequency, 1)} Hz"
        first = _of_machines(what, (one.machine for one, _ in pairs))
        words[f"near {near}: {first} and {_of_machines(also, (other.machine for _, other in pairs))}"] = near
    return words


def _of_machines(what: str, machines: Iterable[str]) -> str:
    """A line with the machines that make it, in words."""
    names = (f"{name[:1].lower()}{name[1:]}" if name[1:2].islower() else name for name in machines)
    return f"{what} ({listed(sorted(dict.fromkeys(names)))})"
