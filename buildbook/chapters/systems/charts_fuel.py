"""Charts of the filling: how far sender and display are off, over the litres that ran in, with the alarm marked."""

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


def _chart(evidence: Evidence, fill: FuelFill, rows: Sequence[SenderReading], findings: Sequence[Finding]) -> Chart:
    name, trial = place_name(evidence, fill.tank), f"trial {fill.attempt}"
    litres = tuple(row.metered for row in rows)
    shares = [share_of_capacity(row.metered, fill.full) for row in rows]
    sender = tuple(row.sender - share for row, share in zip(rows, shares, strict=True))
    display = tuple(row.display - share for row, share in zip(rows, shares, strict=True))
    alarm = () if fill.alarm is None else (Rule(fill.alarm, f"alarm at {plain_number(fill.alarm)} L", "x"),)
    return Chart(
        key=f"sys-03-{fill.tank.lower()}-{fill.attempt}",
        check="SYS-03",
        title=f"{name}, {trial}: {_largest(fill, findings)}",
        description=f"How far sender and remote display of {name}, {trial}, are off at {len(rows)} volumes by the meter"
        f"{', with the alarm' if alarm else ''} and the litres at full, {plain_number(fill.full)} L.",
        x=Axis("Litres by the meter", "L", low=0.0),
        y=Axis("Above or below the meter, of the capacity", "%"),
        series=(Series("sender", litres, sender, "dots"), Series("remote display", litres, display, "hollow dots")),
        rules=(*_allowed(fill, findings), *alarm),
    )


def _allowed(fill: FuelFill, findings: Iterable[Finding]) -> tuple[Rule, ...]:
    """The limits of this filling, to both sides of the meter; one rule where sender and display have the same."""
    both = [f for quantity in (SENDER, DISPLAY) for f in charted(findings, "SYS-03", quantity)]
    mine = [f.limit for f in both if (f.key.place, f.key.attempt) == (fill.tank, fill.attempt) and f.limit]
    rules: dict[Rule, None] = {}
    for most in (limit.high for limit in mine if limit.high is not None):
        words = f"at most {plain_number(most)} % off"
        rules[Rule(most, words, "y", "above")] = rules[Rule(-most, words, "y", "below")] = None
    return tuple(rules)


def _largest(fill: FuelFill, findings: Iterable[Finding]) -> str:
    """The largest differences of one filling, in words."""
    about = (fill.tank, fill.attempt)
    told = []
    for quantity, name in ((SENDER, "sender"), (DISPLAY, "display")):
        found = [f for f in charted(findings, "SYS-03", quantity) if (f.key.place, f.key.attempt) == about]
        told += [f"{name} off by up to {fixed(value_of(one), 1)} %" for one in found]
    return ", ".join(told) or "sender and display beside the meter"
