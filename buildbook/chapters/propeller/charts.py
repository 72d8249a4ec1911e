"""What the propeller chapter draws; each title says what was found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from typing import Literal

from buildbook.chapters.propeller.blade_charts import blade_charts
from buildbook.chapters.propeller.checks.found import limits_of
from buildbook.chapters.propeller.checks.pitch import Blade, as_left
from buildbook.chapters.propeller.radius_charts import AS_FOUND, Drawn, Side, Spot, axes, on_one_scale, rules, series
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import BLADE, RADIUS, blades, in_radii, last_of_all, pitch_aim
from buildbook.chapters.subjects import place_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key
from buildbook.core.grammar import off_by
from buildbook.core.wording import fixed

EACH = 100.0  # per cent


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Pitch by radius, as received and as left; mean pitch of every blade; then the blades beside their pitch."""
    ordered = [row for row in evidence.of(Propeller) if blades(evidence, row.propeller)]
    by_blade = _by_blade(evidence, ordered)
    return (*_by_radius(evidence, ordered), *((by_blade,) if by_blade is not None else ()), *blade_charts(evidence))


def _percent(value: float, design: float) -> float:
    return EACH * (value / design - 1.0)


def _by_radius(evidence: Evidence, ordered: Sequence[Propeller]) -> Iterable[Chart]:
    """The pitch of every propeller over the radius, all on one scale."""
    return on_one_scale(ordered, partial(_pitches, evidence), partial(_pitch_chart, evidence))


def _pitches(evidence: Evidence, ordered: Propeller) -> Drawn | None:
    """What is drawn of one propeller; None where no blade was read."""
    left = as_left(evidence, ordered, last_of_all(evidence, ordered.propeller))
    spots = {blade.mark: found for blade in left if (found := _spots(evidence, ordered, blade))}
    if not spots:
        return None
    corrected = {blade.mark for blade in left if blade.attempt > 1}
    before = {
        blade.mark: _spots(evidence, ordered, blade)
        for blade in as_left(evidence, ordered, 1)
        if blade.mark in corrected
    }
    radii = {spot.radius for found in spots.values() for spot in found}
    ends = _ends(evidence, ordered, "PRO-02", RADIUS)
    window = {side: dict.fromkeys(radii, end) for side, end in ends.items()}
    far = max(spots, key=lambda mark: max(abs(spot.off) for spot in spots[mark]))
    return Drawn(spots, far, "farthest off", before, window, _whose(ordered))


def _spots(evidence: Evidence, ordered: Propeller, blade: Blade) -> tuple[Spot, ...]:
    """The pitch of one blade at each radius."""
    return tuple(
        Spot(one.radius, _percent(one.measured.value, one.design), EACH * (one.measured.at_two or 0.0) / one.design)
        for one in blade.of(evidence, ordered, RADIUS)
    )


def _pitch_chart(evidence: Evidence, ordered: Propeller, every: Mapping[str, Drawn]) -> Chart:
    mine, name = every[ordered.propeller], place_name(evidence, ordered.propeller)
    far = max(mine.left[mine.farthest], key=lambda spot: abs(spot.off))
    x, y = axes(every.values(), "pitch less design pitch", name)
    return Chart(
        key=f"pro-02-{ordered.propeller.lower()}",
        check="PRO-02",
        title=f"{name}: farthest off is blade {mine.farthest} at {in_radii(far.radius)}, "
        f"{off_by(far.off, 1, '%', 'higher', 'lower')}",
        description=f"Mean pitch of {len(mine.left)} blades at each radius, in per cent of the design, with the class.",
        x=x,
        y=y,
        series=series(mine),
        rules=rules(mine, x),
    )


def _ends(evidence: Evidence, ordered: Propeller, check: str, quantity: str) -> dict[Literal["below", "above"], float]:
    """Both ends of the window of the class, in per cent of the design, by the side that each forbids."""
    limit = limits_of(evidence, Key(check, quantity, ordered.propeller), ordered, pitch_aim(ordered.pitch)).specified
    if limit is None:
        return {}
    ends: Sequence[tuple[Side, float | None]] = (("below", limit.low), ("above", limit.high))
    return {side: _percent(end, ordered.pitch) for side, end in ends if end is not None}


def _rules(evidence: Evidence, ordered: Propeller, check: str, quantity: str) -> tuple[Rule, ...]:
    ends = _ends(evidence, ordered, check, quantity)
    return tuple(Rule(end, _whose(ordered), forbidden=side) for side, end in ends.items())


def _whose(ordered: Propeller) -> str:
    return f"{f'class {ordered.agreed_class}' if ordered.agreed_class else 'specified'} ({ordered.drawing})"


def _by_blade(evidence: Evidence, ordered: Sequence[Propeller]) -> Chart | None:
    left: list[tuple[str, float, float]] = []
    before: list[tuple[str, float]] = []
    spread = []
    for propeller in ordered:
        found = [
            (f"{propeller.propeller} {blade.mark}", one)
            for blade in as_left(evidence, propeller, last_of_all(evidence, propeller.propeller))
            for one in blade.of(evidence, propeller, BLADE)
        ]
        left += [
            (name, _percent(one.measured.value, one.design), EACH * (one.measured.at_two or 0.0) / one.design)
            for name, one in found
        ]
        values = [one.measured.value for _, one in found]
        spread.append(f"{propeller.propeller} {fixed(max(values) - min(values), 1)} mm" if values else "")
        now = dict(found)
        for blade in as_left(evidence, propeller, 1):
            for one in blade.of(evidence, propeller, BLADE):
                name = f"{propeller.propeller} {blade.mark}"
                if name in now and now[name].measured != one.measured:
                    before.append((name, _percent(one.measured.value, one.design)))
    if not left:
        return None
    names = tuple(name for name, _, _ in left)
    shown = [Series("as left", names, tuple(off for _, off, _ in left), "dots", y_error=tuple(u for _, _, u in left))]
    if before:
        shown.append(
            Series(AS_FOUND, tuple(name for name, _ in before), tuple(off for _, off in before), "hollow dots")
        )
    return Chart(
        key="pro-03-blades",
        check="PRO-03",
        title=f"Mean pitch of each blade: from lowest to highest {' and '.join(words for words in spread if words)}",
        description=f"Mean pitch of {len(names)} blades less the design pitch, in per cent, with the class agreed.",
        x=Axis("Propeller and blade", kind="category", categories=names),
        y=Axis("Pitch less design pitch", "%"),
        series=tuple(shown),
        rules=_rules(evidence, ordered[0], "PRO-03", BLADE),
    )
