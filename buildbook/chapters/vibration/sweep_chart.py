"""The level over the speed of the shafts, with the speeds she is used at."""

from __future__ import annotations

from statistics import fmean

from buildbook.chapters.vibration.checks.sweep import UNIT, Sweep, settings_of, spoken, sweep_of
from buildbook.chapters.vibration.records import SweepReading
from buildbook.chapters.vibration.subjects import short_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.wording import listed


def sweep_chart(evidence: Evidence) -> Chart | None:
    """Every sweep of at least three speeds in one chart; None where there is none."""
    subjects: dict[tuple[str, str], None] = dict.fromkeys((row.position, row.axis) for row in evidence.of(SweepReading))
    found = {subject: sweep_of(evidence, *subject) for subject in subjects}
    sweeps = {subject: sweep for subject, sweep in found.items() if len(sweep.rows) > 2}
    if not sweeps:
        return None
    settings = settings_of(evidence)
    return Chart(
        key="vib-07-sweep",
        check="VIB-07",
        title=_title(sweeps),
        description=f"Weighted level over the speed of the shafts at {len(sweeps)} positions, with its uncertainty. "
        "Upright lines: the speeds of the runs on trial.",
        x=Axis("Speed of the shafts", "rpm"),
        y=Axis("Weighted vibration", UNIT, low=0.0),
        series=tuple(
            Series(
                f"{short_name(evidence, position)}, {axis}",
                sweep.speeds,
                sweep.levels,
                "line and dots",
                y_error=sweep.uncertainties,
            )
            for (position, axis), sweep in sweeps.items()
        ),
        rules=tuple(
            Rule(fmean(speeds), f"{name}, {spoken(speeds)}", "x") for name, speeds in settings.items() if speeds
        ),
    )


def _title(sweeps: dict[tuple[str, str], Sweep]) -> str:
    tops: dict[float, list[str]] = {}
    for (position, _), sweep in sweeps.items():
        for hump in sweep.humps:
            tops.setdefault(hump.speed, []).append(position)
    if not tops:
        return "No hump while she speeds up"
    where = (f"near {speed:g} r/min at {listed(dict.fromkeys(places))}" for speed, places in sorted(tops.items()))
    return f"Level while she speeds up: {'a hump' if len(tops) == 1 else 'humps'} {listed(where)}"
