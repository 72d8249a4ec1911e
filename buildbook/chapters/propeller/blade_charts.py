"""What the chapter draws of the blades beside their pitch; each title says what was found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from buildbook.chapters.propeller.checks.aspects import ASPECTS, Aspect
from buildbook.chapters.propeller.checks.found import Found, limits_of
from buildbook.chapters.propeller.checks.geometry import left_by
from buildbook.chapters.propeller.radius_charts import Drawn, Side, Spot, axes, on_one_scale, rules, series
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.propeller.subjects import READINGS, ROUGHNESS, THICK, THIN, Aim, in_radii, last_of_all
from buildbook.chapters.subjects import place_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key
from buildbook.core.grammar import off_by
from buildbook.core.limit import Limit
from buildbook.core.wording import fixed

EACH = 100.0  # per cent
BY_QUANTITY = {aspect.quantity: aspect for aspect in ASPECTS}


def blade_charts(evidence: Evidence) -> Iterable[Chart]:
    """Thickness by radius of each propeller as left, and how rough every blade is."""
    ordered = evidence.of(Propeller)
    rough = _roughness(evidence, ordered)
    return (*_by_radius(evidence, ordered), *((rough,) if rough is not None else ()))


def _as_left(evidence: Evidence, ordered: Propeller, aspect: Aspect) -> dict[str, tuple[Found, ...]]:
    """The values of each blade that has some, by its mark."""
    left = left_by(evidence, aspect, ordered.propeller, last_of_all(evidence, ordered.propeller, *READINGS))
    found = {mark: aspect.find(evidence, ordered, rows) for mark, rows in left.by_blade.items()}
    return {mark: values for mark, values in found.items() if values}


def _limit(evidence: Evidence, ordered: Propeller, quantity: str, aim: Aim) -> Limit | None:
    check = BY_QUANTITY[quantity].check
    return limits_of(evidence, Key(check, quantity, ordered.propeller), ordered, aim).specified


def _by_radius(evidence: Evidence, ordered: Sequence[Propeller]) -> Iterable[Chart]:
    """The thickness of every propeller over the radius, all on one scale."""
    return on_one_scale(ordered, partial(_thicknesses, evidence), partial(_thickness_chart, evidence))


def _thicknesses(evidence: Evidence, ordered: Propeller) -> Drawn | None:
    """What is drawn of one propeller; None where no blade was read."""
    blades = _as_left(evidence, ordered, BY_QUANTITY[THIN])
    if not blades:
        return None
    spots = {mark: tuple(map(_spot, values)) for mark, values in blades.items()}
    thin = min(spots, key=lambda mark: min(spot.off for spot in spots[mark]))
    window = _window(evidence, ordered, [one for values in blades.values() for one in values])
    return Drawn(spots, thin, "thinnest", {}, window, _whose(ordered))


def _spot(one: Found) -> Spot:
    """How far a thickness is from the design; the base of its tolerance is the design thickness."""
    return Spot(
        one.radius, EACH * one.measured.value / one.aim.base, EACH * (one.measured.at_two or 0.0) / one.aim.base
    )


def _thickness_chart(evidence: Evidence, ordered: Propeller, every: Mapping[str, Drawn]) -> Chart:
    mine, name = every[ordered.propeller], place_name(evidence, ordered.propeller)
    thin = min(mine.left[mine.farthest], key=lambda spot: spot.off)
    thick = max(spot.off for spot in mine.spots())
    x, y = axes(every.values(), "thickness less design thickness", name)
    return Chart(
        key=f"pro-07-{ordered.propeller.lower()}",
        check="PRO-07",
        title=f"{name}: thinnest against the design is blade {mine.farthest} at {in_radii(thin.radius)}, "
        f"{off_by(thin.off, 1, '%', 'thicker', 'thinner')}; the thickest place is "
        f"{off_by(thick, 1, '%', 'thicker', 'thinner')}",
        description=f"Thickness of {len(mine.left)} blades at each radius, in per cent of the design, with the class.",
        x=x,
        y=y,
        series=series(mine),
        rules=rules(mine, x),
    )


def _window(evidence: Evidence, ordered: Propeller, every: Sequence[Found]) -> dict[Side, dict[float, float]]:
    """Both ends of the window at each radius, in per cent of the design."""
    sides: tuple[tuple[str, Side], ...] = ((THIN, "below"), (THICK, "above"))
    window: dict[Side, dict[float, float]] = {}
    for quantity, side in sides:
        for one in sorted(every, key=lambda one: one.radius):
            limit = _limit(evidence, ordered, quantity, one.aim)
            end = None if limit is None else limit.low if side == "below" else limit.high
            if end is not None:
                window.setdefault(side, {}).setdefault(one.radius, round(EACH * end / one.aim.base, 3))
    return window


def _whose(ordered: Propeller) -> str:
    return f"class {ordered.agreed_class} ({ordered.drawing})" if ordered.agreed_class else "specified"


def _roughness(evidence: Evidence, ordered: Sequence[Propeller]) -> Chart | None:
    found = [
        (f"{row.propeller} {mark}", row, values[0])
        for row in ordered
        for mark, values in _as_left(evidence, row, BY_QUANTITY[ROUGHNESS]).items()
    ]
    if not found:
        return None
    names = tuple(name for name, _, _ in found)
    values = tuple(one.measured.value for _, _, one in found)
    roughest = names[values.index(max(values))]
    limits: dict[Rule, None] = {}
    for _, row, one in found:
        limit = _limit(evidence, row, ROUGHNESS, one.aim)
        if limit is not None and limit.high is not None:
            words = f"class {row.agreed_class}" if row.agreed_class else "specified"
            limits[Rule(limit.high, f"{words} ({row.drawing})", forbidden="above")] = None
    return Chart(
        key="pro-11-blades",
        check="PRO-11",
        title=f"Roughest of {len(names)} blades is {roughest}, Ra {fixed(max(values), 1)} µm",
        description=f"Surface roughness Ra of {len(names)} blades as left, with the class agreed.",
        x=Axis("Propeller and blade", kind="category", categories=names),
        y=Axis("Surface roughness Ra", "µm", low=0.0),
        series=(
            Series("as left", names, values, "dots", y_error=tuple(one.measured.at_two or 0.0 for *_, one in found)),
        ),
        rules=tuple(limits),
    )
