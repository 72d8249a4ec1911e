"""Drawings of shafts and rudders: rules for the diameter, keyways in section, run-out, slot beside welds."""

from __future__ import annotations

import math
from collections.abc import Iterable

from buildbook.chapters.charted import charted, interval_of, value_of
from buildbook.chapters.shafting.checks.diameter import BY_RULE, FITTED
from buildbook.chapters.shafting.checks.keyway import TORSION
from buildbook.chapters.shafting.checks.stock import PRESSURE, RING, WELDS
from buildbook.chapters.shafting.checks.straight import METRE
from buildbook.chapters.shafting.formulas.keyway import keyway_torsion_factor
from buildbook.chapters.shafting.records import Shaft, ShaftEnd
from buildbook.chapters.shafting.subjects import rule
from buildbook.chapters.subjects import place_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.wording import fixed, listed, plain_number

CORNER = 8  # steps in which the arc of a fillet is drawn
SERVICES = tuple(BY_RULE.items())


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Every drawing that the findings allow."""
    drawn = (
        _diameters(evidence, findings),
        _keyways(evidence, findings),
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
    limit = least.limit
    if limit is not None and limit.low is not None:
        shaft = evidence.one(Shaft, part=least.key.place)
        named = f"rule for {shaft.service}s" if shaft is not None and shaft.service is not None else "limit"
        bars.insert(0, (f"{named}, governs", limit.low))
    if not bars:
        return None
    fitted = value_of(least)
    return Chart(
        key="sha-01-diameter",
        check="SHA-01",
        title=f"Thinnest shaft {fixed(fitted, 1)} mm, beside what each rule asks of its own service",
        description=f"Diameters that {len(bars)} rules ask for, and the diameter of the thinnest shaft as a line. "
        "Only the rule that governs judges this shaft.",
        x=Axis("Diameter", "mm", low=0.0),
        y=Axis("Rule", kind="category", categories=tuple(name for name, _ in bars)),
        series=(Series("asked for", tuple(size for _, size in bars), tuple(name for name, _ in bars), "bars"),),
        rules=(Rule(fitted, f"as fitted, {fixed(fitted, 1)} mm", "x"),),
    )


def _outline(diameter: float, fillet: float, middle: float) -> tuple[tuple[float, float], ...]:
    """A keyway in section: a quarter of the diameter wide, an eighth deep, a fillet in each bottom corner [mm].

    These are the proportions that the printed factors hold for. Zero is the top of the round shaft.
    """
    half, depth, reach, radius = diameter / 8.0, diameter / 8.0, diameter / 4.0, diameter / 2.0
    r = min(fillet, half)

    def top(x: float) -> float:
        return math.sqrt(radius**2 - x**2) - radius

    left = [(-reach + (reach - half) * n / CORNER, 0.0) for n in range(CORNER + 1)]
    side = [(x, top(x)) for x, _ in left]
    arc = [
        (-half + r * (1.0 - math.cos(turn)), -depth + r * (1.0 - math.sin(turn)))
        for turn in (math.pi / 2.0 * n / CORNER for n in range(CORNER + 1))
    ]
    one = [*side, *arc]
    both = [*one, *((-x, y) for x, y in reversed(one))]
    return tuple((x + middle, y) for x, y in both)


def _keyways(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    """The sharpest keyway as fitted, in section, beside one as sharp as the chart of factors reaches."""
    found = [f for f in charted(findings, "SHA-02", TORSION) if f.measured is not None]
    if not found:
        return None
    worst = max(found, key=value_of)
    row = evidence.one(ShaftEnd, part=worst.key.place, attempt=worst.key.attempt)
    if row is None or row.fillet is None:
        return None
    sharp = rule("sharp corner") * row.diameter
    factor = keyway_torsion_factor(sharp, row.diameter)
    apart = 1.2 * row.diameter
    drawn = (
        (f"fitted: K {fixed(value_of(worst), 2)}", row.fillet, 0.0),
        (f"sharp: K {fixed(factor, 2)}", sharp, apart),
    )
    series = []
    for name, fillet, middle in drawn:
        points = _outline(row.diameter, fillet, middle)
        series.append(Series(name, tuple(x for x, _ in points), tuple(y for _, y in points), "line"))
    return Chart(
        key="sha-02-keyway",
        check="SHA-02",
        title=f"Keyway in section: K {fixed(value_of(worst), 2)} in torsion as fitted, {fixed(factor, 2)} if sharp; "
        "both quoted from memory",
        description=f"Two keyways in section, to the printed proportions: on the left as fitted at {worst.key.place}, "
        f"{row.keyway} with a fillet of {plain_number(row.fillet)} mm; on the right an end-milled seat with "
        f"{fixed(sharp, 2)} mm, as sharp as the charts reach. K is how often the stress of the plain shaft "
        "stands at the corner; both figures are quoted from memory. Heights are drawn larger than widths.",
        x=Axis("Across the shaft", "mm", low=-0.32 * row.diameter, high=apart + 0.32 * row.diameter),
        y=Axis("Height over the top of the shaft", "mm", low=-0.3 * row.diameter, high=0.1 * row.diameter),
        series=tuple(series),
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
        title=f"Run-out as left: at most {fixed(value_of(worst), 3)} mm for each metre",
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
            ),
        ),
        rules=tuple(Rule(high, f"at most {plain_number(high)} mm/m", "y", "above") for high in highs),
    )


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
    most = max(bars.values()) / value_of(worst)
    return Chart(
        key="sha-09-slot",
        check="SHA-09",
        title=f"Slot: {fixed(value_of(worst), 1)} MPa; welds alone would bear up to {fixed(most, 1)} times that",
        description=f"{place_name(evidence, worst.key.place)}: stress for one torque in the slot, and in welds "
        "that would have to carry it without a slot. Worked out by mechanics, not measured.",
        x=Axis("Stress for the same torque", "MPa", low=0.0),
        y=Axis("What carries the torque", kind="category", categories=tuple(bars)),
        series=(Series("stress", tuple(bars.values()), tuple(bars), "bars"),),
    )
