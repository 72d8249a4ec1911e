"""Charts of the filling: sender and remote display against the litres that ran in, with the alarm marked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.charted import charted, value_of
from buildbook.chapters.subjects import place_name
from buildbook.chapters.systems.checks.fuel import DISPLAY, SENDER
from buildbook.chapters.systems.formulas.fuel import share_of_capacity
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.wording import fixed, plain_number


def fuel_charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """One chart for each filling in which sender and display were read."""
    drawn = []
    for fill in evidence.of(FuelFill):
        rows = evidence.of(SenderReading, tank=fill.tank, attempt=fill.attempt)
        if len(rows) > 1:
            drawn.append(_chart(evidence, fill, sorted(rows, key=lambda row: row.metered), findings))
    return tuple(drawn)


def _chart(evidence: Evidence, fill: FuelFill, rows: Sequence[SenderReading], findings: Iterable[Finding]) -> Chart:
    name, trial = place_name(evidence, fill.tank), f"trial {fill.attempt}"
    litres = tuple(row.metered for row in rows)
    meter = Series("by the meter", (0.0, fill.full), (0.0, share_of_capacity(fill.full, fill.full)), "line")
    sender = Series("sender", litres, tuple(row.sender for row in rows), "dots")
    display = Series("remote display", litres, tuple(row.display for row in rows), "hollow dots")
    rules = () if fill.alarm is None else (Rule(fill.alarm, f"alarm at {plain_number(fill.alarm)} L", "x"),)
    off = _largest(fill, findings)
    return Chart(
        key=f"sys-03-{fill.tank.lower()}-{fill.attempt}",
        check="SYS-03",
        title=f"{name}, {trial}: {off}",
        description=f"Sender and remote display of {name}, {trial}, at {len(rows)} volumes by the meter, from empty to "
        f"full at {plain_number(fill.full)} L{', with the alarm' if rules else ''}.",
        x=Axis("Litres by the meter", "L", low=0.0),
        y=Axis("Share of the measured capacity", "%", low=0.0),
        series=(meter, sender, display),
        rules=rules,
    )


def _largest(fill: FuelFill, findings: Iterable[Finding]) -> str:
    """The largest differences of one filling, in words."""
    about = (fill.tank, fill.attempt)
    told = []
    for quantity, name in ((SENDER, "sender"), (DISPLAY, "display")):
        found = [f for f in charted(findings, "SYS-03", quantity) if (f.key.place, f.key.attempt) == about]
        told += [f"{name} off by up to {fixed(value_of(one), 1)} %" for one in found]
    return ", ".join(told) or "sender and display beside the meter"
