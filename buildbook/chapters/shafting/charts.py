"""Drawings of shafts and rudders: rules for the diameter, run-out, slot beside welds."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.charted import charted, interval_of, value_of
from buildbook.chapters.shafting.checks.diameter import BY_RULE, FITTED
from buildbook.chapters.shafting.checks.stock import PRESSURE, RING, WELDS
from buildbook.chapters.shafting.checks.straight import METRE
from buildbook.chapters.shafting.records import Shaft
from buildbook.chapters.subjects import place_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.wording import fixed, listed, plain_number

SERVICES = tuple(BY_RULE.items())
LABEL = 0.2  # room for the words at the end of a bar, as a share of the longest one


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Every drawing that the findings allow."""
    drawn = (
        _diameters(evidence, findings),
        _straight(evidence, findings),
        _slots(evidence, findings),
    )
    return tuple(chart for chart in drawn if chart is not None)


def _diameters(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    """The thinnest shaft as fitted beside what each rule asks for, each with its service."""
    found = charted(findings, "SHA-01", FITTED)
    if not found:
        return None
    least = min(found, key=value_of)
    asked = [(service, other) for service, name in SERVICES for other in charted(findings, "SHA-01", name)]
    bars = [(f"rule for {service}s", value_of(other)) for service, other in asked if other.key.place == least.key.place]
    limit, asks = least.limit, ""
    if limit is not None and limit.low is not None:
        asks = f"; the one that governs asks for {fixed(limit.low, 1)} mm"
        shaft = evidence.one(Shaft, part=least.key.place)
        named = f"rule for {shaft.service}s" if shaft is not None and shaft.service is not None else "limit"
        bars.insert(0, (f"{named}, governs", limit.low))
    if not bars:
        return None
    fitted, most = value_of(least), max(size for _, size in bars)
    crossed = [size < fitted < size + LABEL * most for _, size in bars]  # the line would run through the words,
    bars = [  # which then stand with the name of the rule
        (f"{name}, {fixed(size, 1)} mm" if through else name, size)
        for (name, size), through in zip(bars, crossed, strict=True)
    ]
    return Chart(
        key="sha-01-diameter",
        check="SHA-01",
        title=f"Thinnest shaft {fixed(fitted, 1)} mm, beside what each rule asks of its own service{asks}",
        description=f"Diameters that {len(bars)} rules ask for, and the diameter of the thinnest shaft as a line. "
        "Only the rule that governs judges this shaft.",
        x=Axis("Diameter", "mm", low=0.0, high=most * (1.0 + LABEL)),
        y=Axis("Rule", kind="category", categories=tuple(name for name, _ in bars)),
        series=(
            Series(
                "asked for",
                tuple(size for _, size in bars),
                tuple(name for name, _ in bars),
                "bars",
                labels=tuple(
                    "" if through else f"{fixed(size, 1)} mm" for (_, size), through in zip(bars, crossed, strict=True)
                ),
            ),
        ),
        rules=(Rule(fitted, f"as fitted, {fixed(fitted, 1)} mm", "x"),),
    )


def _straight(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    found = charted(findings, "SHA-03", METRE)
    if not found:
        return None
    names = [f"{place_name(evidence, f.key.place)}, attempt {f.key.attempt}" for f in found]
    ordered = sorted(zip(names, found, strict=True), key=lambda pair: (pair[1].key.place, pair[1].key.attempt))
    last = {f.key.place: f for _, f in ordered}
    worst = max(last.values(), key=value_of)
    highs = {f.limit.high: f for _, f in ordered if f.limit is not None and f.limit.high is not None}
    return Chart(
        key="sha-03-run-out",
        check="SHA-03",
        title=f"Run-out for each metre, as left: the most is {fixed(value_of(worst), 3)} mm/m{_allowed(worst, 'mm/m')}",
        description=f"Run-out for each metre of {listed(last)} with its uncertainty, by attempt, and the limit.",
        x=Axis("Shaft", kind="category", categories=tuple(name for name, _ in ordered)),
        y=Axis("Run-out for each metre", "mm/m", low=0.0),
        series=(
            Series(
                "run-out",
                tuple(name for name, _ in ordered),
                tuple(value_of(f) for _, f in ordered),
                "dots",
                y_error=tuple(interval_of(f) for _, f in ordered),
                labels=tuple(fixed(value_of(f), 3) for _, f in ordered),
            ),
        ),
        rules=tuple(Rule(high, f"at most {plain_number(high)} mm/m", "y", "above") for high in highs),
    )


def _allowed(finding: Finding, unit: str) -> str:
    """What the limit allows at most, for the end of a title; empty where nobody set one."""
    high = finding.limit.high if finding.limit is not None else None
    return f", {plain_number(high)} {unit} allowed" if high is not None else ""


def _slots(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    found = charted(findings, "SHA-09", PRESSURE)
    if not found:
        return None
    worst = max(found, key=value_of)
    others = {
        name: value_of(f)
        for name, quantity in (("two welds alone", WELDS), ("a ring of weld alone", RING))
        for f in charted(findings, "SHA-09", quantity)
        if (f.key.place, f.key.attempt) == (worst.key.place, worst.key.attempt)
    }
    bars = {"the slot, as built": value_of(worst), **others}
    most = max(bars.values())
    return Chart(
        key="sha-09-slot",
        check="SHA-09",
        title=f"Slot: side pressure {fixed(value_of(worst), 1)} MPa{_allowed(worst, 'MPa')}; beside it the stress in "
        "welds, which nobody set a limit for",
        description=f"{place_name(evidence, worst.key.place)}: stress for one torque in the slot, and in welds "
        "that would have to carry it without a slot. Worked out by mechanics, not measured.",
        x=Axis("Stress for the same torque", "MPa", low=0.0, high=most * (1.0 + LABEL)),
        y=Axis("What carries the torque", kind="category", categories=tuple(bars)),
        series=(
            Series(
                "stress",
                tuple(bars.values()),
                tuple(bars),
                "bars",
                labels=tuple(f"{fixed(stress, 1)} MPa" for stress in bars.values()),
            ),
        ),
    )
