"""The spectrum of the record in which the propeller blades beat hardest, with what each line may be."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from buildbook.chapters.charted import charted, value_of
from buildbook.chapters.subjects import place_name
from buildbook.chapters.vibration.checks.blades import LEVELS, UNIT, level_at
from buildbook.chapters.vibration.checks.tones import tones_of
from buildbook.chapters.vibration.lines import BLADE_RATE, SHAFT_RATE, Line, lines_of
from buildbook.chapters.vibration.subjects import Analysed, axes_of, axes_together, setting_of
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.wording import fixed

DRAWN = 1.0  # Hz for each point, so that the curve stays light and a tone is whole in one or two
BEYOND = 1.1  # of three times blade rate
APART = 1.0  # Hz between two labels at least
NAMED = (SHAFT_RATE, *LEVELS)


def blade_spectrum(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    """Unweighted velocity over frequency where the level at blade rate is highest; None where none was measured."""
    levels = {
        (f.key.place, f.key.condition, f.key.attempt): value_of(f)
        for f in charted(findings, "VIB-06", LEVELS[BLADE_RATE])
    }
    if not levels:
        return None
    worst = max(levels, key=lambda subject: levels[subject])
    (group,) = (
        (run, rows)
        for (position, run, attempt), rows in axes_together(evidence).items()
        if (position, setting_of(evidence, run), attempt) == worst
    )
    run, rows = group
    lines = lines_of(evidence, run)
    blades = [line for line in lines if line.what == BLADE_RATE]
    found = axes_of(evidence, rows).strongest(lambda one: level_at(one, blades))
    return _drawn(evidence, found, lines, levels[worst])


def _drawn(evidence: Evidence, found: Analysed, lines: Sequence[Line], level: float) -> Chart:
    rates = {what: _middle(lines, what) for what in NAMED if any(line.what == what for line in lines)}
    end = min(found.reach, BEYOND * max(rates.values()))
    frequencies, heights = _points(found, end)
    where, setting = place_name(evidence, found.row.position), setting_of(evidence, found.row.run)
    return Chart(
        key="vib-06-spectrum",
        check="VIB-06",
        title=f"{where}, {setting}: {fixed(level, 2)} {UNIT} in the band where the blades pass, "
        f"{fixed(rates[BLADE_RATE], 1)} times a second",
        description=f"Unweighted velocity of record {found.row.record}, {found.row.axis}, in each hertz. The level of "
        "the band is the sum of its lines by energy. Upright lines: what the given machinery makes there; a question "
        "mark where none does.",
        x=Axis("Frequency", "Hz", low=0.0, high=end),
        y=Axis("Velocity in each hertz", UNIT, low=0.0),
        series=(Series("velocity", frequencies, heights, "line"),),
        rules=tuple(
            Rule(rate, words, "x")
            for words, rate in (*rates.items(), *_others(found, lines, rates.values()))
            if rate < end
        ),
    )


def _middle(lines: Iterable[Line], what: str) -> float:
    found = [line.frequency for line in lines if line.what == what]
    return sum(found) / len(found)


def _others(found: Analysed, lines: Sequence[Line], named: Iterable[float]) -> Iterable[tuple[str, float]]:
    """The other tones of the record with what they may be, both sides taken together; the strongest first."""
    step, taken = found.spectrum.step, list(named)
    for tone in tones_of(found):
        fitting = [line for line in lines if line.fits(tone.frequency, step)]
        near = (abs(tone.frequency - one) <= max([APART, *(line.reach(step) for line in fitting)]) for one in taken)
        if not any(near):
            taken.append(tone.frequency)
            yield " or ".join(dict.fromkeys(map(_short, fitting))) or "?", tone.frequency


def _short(line: Line) -> str:
    if line.what.startswith("firing"):
        return "engines fire"
    return line.machine if "turning rate" in line.what or "electrical" in line.what else line.what


def _points(found: Analysed, end: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The middle of each hertz [Hz] and the r.m.s. velocity of all lines in it [mm/s]."""
    velocity = found.velocity
    each = max(1, round(DRAWN / velocity.step))
    number = min(len(velocity.sharp), math.floor(end / velocity.step) + 1) // each
    high = velocity.sharp[: number * each].reshape(number, each).sum(axis=1)
    middles = tuple((n * each + (each - 1) / 2.0) * velocity.step for n in range(number))
    return middles, tuple(math.sqrt(float(one) * velocity.step) for one in high)
