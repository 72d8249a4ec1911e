"""What the laminate chapter draws; each title says what was found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from buildbook.chapters.charted import charted, interval_of, measured_of, value_of
from buildbook.chapters.laminate.checks.burned import GLASS, MEAN, VOIDS
from buildbook.chapters.laminate.checks.plies import RESIDUE
from buildbook.chapters.laminate.checks.tested import DESIGN, of_force
from buildbook.chapters.laminate.checks.thickness import OWN
from buildbook.chapters.laminate.records import BurnOff, StrengthTest
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import place_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.grammar import off_by
from buildbook.core.hull import Hull, encloses
from buildbook.core.limit import Limit
from buildbook.core.wording import fixed, listed, value_text

EACH = 100.0  # per cent


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Glass by zone, voids, residue against schedule, thickness against prediction, strength, where she was cut."""
    drawn = (
        _glass(evidence, findings),
        _voids(findings),
        _residue(findings),
        _thickness(findings),
        _strength(evidence, findings),
        _cut(evidence),
    )
    return tuple(chart for chart in drawn if chart is not None)


def _window(limit: Limit | None, category: str, less: float = 0.0) -> tuple[Rule, ...]:
    """The ends of a limit over the width of one category, less a value."""
    if limit is None:
        return ()
    ends: tuple[tuple[str, float | None, Literal["below", "above"]], ...]
    ends = (("at least", limit.low, "below"), ("at most", limit.high, "above"))
    source = limit.terms[0].document or limit.terms[0].source
    return tuple(
        Rule(
            end - less,
            f"{words} ({source})",
            forbidden="below" if side == "below" else "above",
            start=category,
            end=category,
        )
        for words, end, side in ends
        if end is not None
    )


def _glass(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    means = charted(findings, "LAM-02", MEAN)
    if not means:
        return None
    names = {(f.key.place, f.key.condition): f"{place_name(evidence, f.key.place)}, {f.key.condition}" for f in means}
    skins = {(row.coupon, row.attempt): row.skin for row in evidence.of(BurnOff)}
    coupons = [
        (names[(f.key.place, skins[(f.key.condition, f.key.attempt)])], value_of(f))
        for f in charted(findings, "LAM-01", GLASS)
        if (f.key.place, skins.get((f.key.condition, f.key.attempt))) in names
    ]
    nearest = min(means, key=lambda f: (f.margin is None, f.margin if f.margin is not None else value_of(f)))
    rules = [rule for f in means for rule in _window(f.limit, names[(f.key.place, f.key.condition)])]
    told = names[(nearest.key.place, nearest.key.condition)]
    return Chart(
        key="lam-02-glass",
        check="LAM-02",
        title=f"Glass by mass: {'nearest to its limit' if rules else 'the least'} is {told}, with a mean of "
        f"{value_text(measured_of(nearest))}",
        description=f"Mean glass content of {len(means)} skins with its interval and every coupon"
        f"{', and the agreed window' if rules else ''}.",
        x=Axis("Skin", kind="category", categories=tuple(names.values())),
        y=Axis("Glass by mass", "%"),
        series=(
            Series(
                "one coupon", tuple(name for name, _ in coupons), tuple(value for _, value in coupons), "hollow dots"
            ),
            Series(
                "mean with its interval",
                tuple(names[(f.key.place, f.key.condition)] for f in means),
                tuple(value_of(f) for f in means),
                "dots",
                y_error=tuple(interval_of(f) for f in means),
            ),
        ),
        rules=tuple(rules),
    )


def _coupon(finding: Finding) -> str:
    again = f" ({finding.key.attempt})" if finding.key.attempt > 1 else ""
    return f"{finding.key.condition}{again}"


def _voids(findings: Iterable[Finding]) -> Chart | None:
    found = charted(findings, "LAM-03", VOIDS)
    if not found:
        return None
    most = max(found, key=value_of)
    return Chart(
        key="lam-03-voids",
        check="LAM-03",
        title=f"Voids: the most, in {_coupon(most)}, is {value_text(measured_of(most))}",
        description=f"Void content of {len(found)} coupons with its uncertainty, against the limit of each. Where an "
        "interval reaches below zero, the method cannot tell the voids from none.",
        x=Axis("Coupon", kind="category", categories=tuple(_coupon(f) for f in found)),
        y=Axis("Voids", "% of the volume"),
        series=(
            Series(
                "void content",
                tuple(_coupon(f) for f in found),
                tuple(value_of(f) for f in found),
                "dots",
                y_error=tuple(interval_of(f) for f in found),
            ),
        ),
        rules=(*_no_less_than_none(found), *(rule for f in found for rule in _window(f.limit, _coupon(f)))),
    )


def _no_less_than_none(found: Sequence[Finding]) -> tuple[Rule, ...]:
    """The line of no voids at all, where an interval reaches below it: the weighings are not surer than that."""
    if all(value_of(f) >= interval_of(f) for f in found):
        return ()
    return (Rule(0.0, "no voids: less there cannot be", start=_coupon(found[0]), end=_coupon(found[-1])),)


def _residue(findings: Iterable[Finding]) -> Chart | None:
    found = [f for f in charted(findings, "LAM-05", RESIDUE) if f.limit is not None]
    middles = [_middle(f.limit) for f in found]
    if not found:
        return None
    off = [value_of(f) - middle for f, middle in zip(found, middles, strict=True)]
    far = max(range(len(off)), key=lambda i: abs(off[i]))
    rules = [
        rule for f, middle in zip(found, middles, strict=True) for rule in _window(f.limit, _coupon(f), less=middle)
    ]
    return Chart(
        key="lam-05-residue",
        check="LAM-05",
        title=f"Burned-out glass less what the schedule leaves: farthest off is {_coupon(found[far])}, "
        f"{off_by(off[far], 0, 'g/m²', 'heavier', 'lighter')}",
        description=f"Residue of {len(found)} coupons less the schedule's, against half of the lightest ply.",
        x=Axis("Coupon", kind="category", categories=tuple(_coupon(f) for f in found)),
        y=Axis("Residue less schedule", "g/m²"),
        series=(
            Series(
                "residue",
                tuple(_coupon(f) for f in found),
                tuple(off),
                "dots",
                y_error=tuple(interval_of(f) for f in found),
            ),
        ),
        rules=tuple(rules),
    )


def _middle(limit: Limit | None) -> float:
    ends = [end for end in (limit.low, limit.high) if end is not None] if limit is not None else []
    return sum(ends) / len(ends) if ends else 0.0


def _thickness(findings: Iterable[Finding]) -> Chart | None:
    found = charted(findings, "LAM-06", OWN)
    if not found:
        return None
    off = [value_of(f) - EACH for f in found]
    far = max(range(len(off)), key=lambda i: abs(off[i]))
    names = tuple(map(_coupon, found))
    return Chart(
        key="lam-06-thickness",
        check="LAM-06",
        title=f"Thickness less what its glass predicts: the farthest off, {names[far]}, "
        f"{off_by(off[far], 1, '%', 'thicker', 'thinner')}",
        description=f"Measured less predicted thickness of {len(found)} coupons with its uncertainty, in per cent of "
        "the prediction, against the limit of each.",
        x=Axis("Coupon", kind="category", categories=names),
        y=Axis("Measured thickness less that predicted from its own glass", "%"),
        series=(Series("thickness", names, tuple(off), "dots", y_error=tuple(interval_of(f) for f in found)),),
        rules=(
            Rule(0.0, "as predicted", start=names[0], end=names[-1]),
            *(rule for f in found for rule in _window(f.limit, _coupon(f), less=EACH)),
        ),
    )


def _strength(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    found = [f for f in charted(findings, "LAM-08", DESIGN) if f.limit is not None and f.limit.low]
    if not found:
        return None
    kinds = {f.key.condition: _kind(evidence.of(StrengthTest, series=f.key.condition)) for f in found}
    names, shares = [], []
    for f in found:
        for row in evidence.of(StrengthTest, series=f.key.condition):
            names.append(kinds[f.key.condition])
            shares.append(EACH * of_force(row, row.force, row.width, row.thickness) / _low(f))
    tight = min(found, key=lambda f: value_of(f) / _low(f))
    return Chart(
        key="lam-08-strength",
        check="LAM-08",
        title=f"Strength over what the designer counted on: least to spare in {kinds[tight.key.condition]}, "
        f"{fixed(EACH * value_of(tight) / _low(tight), 0)} % of it",
        description=f"Every specimen of {len(found)} series and the design value, in per cent of the limit.",
        x=Axis("Series", kind="category", categories=tuple(kinds.values())),
        y=Axis("Share of the limit", "%", low=0.0),
        series=(
            Series("one specimen", tuple(names), tuple(shares), "hollow dots"),
            Series(
                "value a designer may use",
                tuple(kinds[f.key.condition] for f in found),
                tuple(EACH * value_of(f) / _low(f) for f in found),
                "dots",
                y_error=tuple(EACH * interval_of(f) / _low(f) for f in found),
            ),
        ),
        rules=(Rule(EACH, "what the designer counted on", forbidden="below"),),
    )


def _low(finding: Finding) -> float:
    assert finding.limit is not None
    return finding.limit.low or 1.0


def _kind(rows: Sequence[StrengthTest]) -> str:
    return f"{rows[0].kind}, {rows[0].series}" if rows else ""


def _cut(evidence: Evidence) -> Chart | None:
    every = [place for place in evidence.of(Place) if place.kind == "opening"]
    places = [place for place in every if place.x is not None and place.y is not None]
    burned = {row.opening for row in evidence.of(BurnOff)}
    if not places:
        return None
    gave = sum(place.place in burned for place in every)
    lost = {row.where for row in evidence.lost(Place) if row.get("kind") in (None, "opening")}
    tested = [place for place in places if place.place in burned]
    never = [place for place in places if place.place not in burned]
    untested = [place.name.lower() for place in every if place.place not in burned]
    untested += [f"a row of {Place.table.file} that cannot be used" for _ in lost]
    told = f"never tested: {listed(untested)}" if untested else "a coupon from every one"
    seen, form = _form(evidence.hull)
    shown = [*form]
    if tested:
        shown.append(Series("coupon burned", *_spots(tested), "dots", labels=tuple(p.place for p in tested)))
    if never:
        shown.append(Series("never tested", *_spots(never), "hollow dots", labels=tuple(p.place for p in never)))
    return Chart(
        key="lam-10-openings",
        check="LAM-10",
        title=f"{gave} of {len(every) + len(lost)} openings gave a coupon; {told}",
        description=f"Plan of her with {len(places)} openings, seen from above: stern at the left, bow at the right, "
        "port above, starboard below.",
        x=Axis("Forward of the transom: stern at the left, bow at the right", "m"),
        y=Axis(f"{seen} from above: port above the centreline, starboard below it", "m"),
        series=tuple(shown),
    )


def _spots(places: Sequence[Place]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Distances from the transom and to port of some places [m]; to port, so that starboard lies below."""
    return tuple(place.x or 0.0 for place in places), tuple(-(place.y or 0.0) for place in places)


def _form(hull: Hull) -> tuple[str, tuple[Series, ...]]:
    """What the chart shows of her, in words and as a line: her outline, else her length and beam, else nothing."""
    if encloses(hull.plan_outline):
        points = [*hull.plan_outline]
        sides = [y for _, y in points]
        if not min(sides) < 0.0 < max(sides):  # given for one side only
            points += [(x, -y) for x, y in reversed(points)]
        words = "Her outline"
    elif hull.length_hull is not None and hull.beam is not None:
        half = hull.beam / 2.0
        points = [(0.0, -half), (hull.length_hull, -half), (hull.length_hull, half), (0.0, half)]
        words = "Her length and beam"
    else:
        return "Seen", ()
    closed = [*points, points[0]]
    return words, (Series("", tuple(x for x, _ in closed), tuple(-y for _, y in closed), "line"),)
