"""COA-11 gloss, COA-12 image, orange peel and dust, COA-13 colour."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from buildbook.chapters.coating.formulas.appearance import ciede2000
from buildbook.chapters.coating.records import Appearance, Colour, Gloss
from buildbook.chapters.coating.subjects import (
    Used,
    absent,
    attempts,
    limits,
    mean_of,
    painted_zones,
    period,
    planned_places,
    used,
)
from buildbook.chapters.readings import with_scatter
from buildbook.chapters.shared_records import Place
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.formulas import OutOfRange

GLOSS = {20: "gloss at 20°", 60: "gloss at 60°", 85: "gloss at 85°"}
IMAGE, PEEL, DUST = "distinction of image", "orange peel", "dust inclusions"
DIFFERENCE = "colour difference"
YELLOW = "shift of b*"


def gloss(evidence: Evidence) -> Iterable[Finding]:
    """COA-11: she shines as much as was agreed, at 60° and at 20°."""
    for zone in _shown_zones(evidence, Gloss, "COA-11"):
        for attempt in attempts(evidence, Gloss, zone=zone):
            for angle in sorted({20, 60} | {row.angle for row in evidence.of(Gloss, zone=zone, attempt=attempt)}):
                key = Key("COA-11", GLOSS[angle], zone, attempt=attempt)
                rows = evidence.of(Gloss, zone=zone, attempt=attempt, angle=angle)
                if not rows:
                    yield absent(evidence, Gloss, key, Verdict.NOT_MEASURED, "No gloss reading at this angle.")
                    continue
                use = used(evidence, rows, "instrument", "gloss", "GU", "gloss")
                yield from _mean(evidence, key, rows, "gloss", use)


def _shown_zones(evidence: Evidence, kind: Any, check: str) -> tuple[str, ...]:
    """Zones with readings, zones in the plan, and all painted zones where neither names one."""
    named = {*evidence.values(kind, "zone"), *planned_places(evidence, check)}
    return tuple(sorted(named)) or painted_zones(evidence)


def _mean(evidence: Evidence, key: Key, rows: Sequence[Any], column: str, use: Used) -> Iterable[Finding]:
    """The mean of some readings with the scatter in its uncertainty, judged; `condition` of the limit is the
    visibility.
    """
    measured, about = mean_of(rows, column, {"gloss": "GU"}.get(column, "1"), use, "")
    wanted, unknown = _by_visibility(evidence, key)
    yield from judge(key, measured, wanted, replace(about, caps=(*about.caps, *unknown)))


def _by_visibility(evidence: Evidence, key: Key) -> tuple[Limits, tuple[str, ...]]:
    """The limits for how closely a zone is looked at, and what to say where they depend on it and it is not known."""
    place = evidence.one(Place, place=key.place)
    visibility = place.visibility if place is not None else None
    wanted = limits(evidence, key.check, key.quantity, place=key.place, condition=visibility or "")
    depends = any(
        entry.condition and entry.place in ("", key.place)
        for entry in evidence.specification.limits
        if (entry.check, entry.quantity) == (key.check, key.quantity)
    )
    if visibility is not None or not depends:
        return wanted, ()
    return wanted, ("How closely this zone is looked at is not on record, so which limit holds cannot be told.",)


def image_peel_dust(evidence: Evidence) -> Iterable[Finding]:
    """COA-12: reflections are sharp, the surface is even, and few specks are in it, as closely as each zone is seen."""
    for zone in _shown_zones(evidence, Appearance, "COA-12"):
        for attempt in attempts(evidence, Appearance, zone=zone):
            rows = evidence.of(Appearance, zone=zone, attempt=attempt)
            for quantity, column, scale in ((IMAGE, "image", "image_method"), (PEEL, "orange_peel", "peel_scale")):
                key = Key("COA-12", quantity, zone, attempt=attempt)
                yield from _on_scale(
                    evidence, key, [row for row in rows if getattr(row, column) is not None], (column, scale)
                )
            yield from _dust(evidence, Key("COA-12", DUST, zone, attempt=attempt), rows)


def _on_scale(evidence: Evidence, key: Key, rows: Sequence[Appearance], how: tuple[str, str]) -> Iterable[Finding]:
    column, scale = how
    if not rows:
        yield absent(evidence, Appearance, key, Verdict.NOT_MEASURED, "No reading of this in this zone.")
        return
    scales = {getattr(row, scale) for row in rows}
    if len(scales) > 1 or None in scales:
        words = "The readings name no scale, or more than one; scales of different methods do not agree."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=tuple(row.where for row in rows)))
        return
    by = rows if key.quantity == IMAGE else [row for row in rows if row.instrument]  # peel may be rated by eye
    use = used(evidence, by, "instrument", key.quantity, "1", column)
    yield from _mean(evidence, key, rows, column, use)


def _dust(evidence: Evidence, key: Key, rows: Sequence[Appearance]) -> Iterable[Finding]:
    counted = [row for row in rows if row.dust is not None]
    if not counted:
        yield absent(evidence, Appearance, key, Verdict.NOT_MEASURED, "No dust count in this zone.")
        return
    most = max(counted, key=lambda row: row.dust or 0.0)
    about = About(
        method="specks counted in one square decimetre; the worst sample area counts",
        period=period(row.at for row in counted),
        at=tuple(row.where for row in counted),
        working=(f"most of {len(counted)} sample areas: {most.dust:g} ({most.where})",),
    )
    wanted, unknown = _by_visibility(evidence, key)
    about = replace(about, caps=(*about.caps, *unknown))
    yield from judge(key, Quantity.count(most.dust or 0.0, "1/dm2"), wanted, about)


def colour(evidence: Evidence) -> Iterable[Finding]:
    """COA-13: the painted surface has the colour of the master panel."""
    for zone in _shown_zones(evidence, Colour, "COA-13"):
        key = Key("COA-13", DIFFERENCE, zone)
        rows = evidence.of(Colour, zone=zone)
        masters = [row for row in rows if row.role == "reference"]
        samples = [row for row in rows if row.role == "sample"]
        at = tuple(row.where for row in rows)
        if not masters or not samples:
            lacking = "painted surface" if masters else "master panel"
            yield absent(evidence, Colour, key, Verdict.NOT_MEASURED, f"No reading of the {lacking} for this zone.")
        elif len({(row.illuminant, row.geometry) for row in rows}) > 1:
            words = "Master and surface were read under different light or geometry: not comparable."
            yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=at))
        else:
            yield from _difference(evidence, key, masters, samples)


def _difference(
    evidence: Evidence, key: Key, masters: Sequence[Colour], samples: Sequence[Colour]
) -> Iterable[Finding]:
    rows = [*masters, *samples]
    use = used(evidence, rows, "instrument", "colour", "1")
    master, sample = _mean_lab(masters), _mean_lab(samples)
    try:
        difference = ciede2000(master, sample).delta_e
        each = [ciede2000(master, _mean_lab([row])).delta_e for row in samples]
    except OutOfRange as reason:
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", About(at=tuple(row.where for row in rows)))
        return
    both = tuple(Part(f"{part.name}, both readings", part.standard * math.sqrt(2.0)) for part in use.parts)
    wanted, unknown = _by_visibility(evidence, key)
    about = About(
        method=f"CIEDE2000 colour difference, {rows[0].illuminant}, {rows[0].geometry}",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=(
            f"master {_lab(master)}, surface {_lab(sample)} (mean of {len(samples)})",
            f"ΔE00 = {difference:.3f}; reading by reading {min(each):.2f} to {max(each):.2f}",
        ),
        notes=use.notes,
        caps=(*use.caps, *unknown),
    )
    yield from judge(key, Quantity.combined(difference, "1", with_scatter(both, each)), wanted, about)
    shifts = [row.yellow_blue - master[2] for row in samples]
    shift = Quantity.combined(sample[2] - master[2], "1", with_scatter(both, shifts))
    beside = Key(key.check, YELLOW, key.place)
    yield from judge(beside, shift, Limits(evidence.specification.limit(key.check, YELLOW, place=key.place)), about)


def _mean_lab(rows: Sequence[Colour]) -> tuple[float, float, float]:
    count = len(rows)
    return (
        math.fsum(row.lightness for row in rows) / count,
        math.fsum(row.red_green for row in rows) / count,
        math.fsum(row.yellow_blue for row in rows) / count,
    )


def _lab(lab: tuple[float, float, float]) -> str:
    return f"L* {lab[0]:.2f} a* {lab[1]:.2f} b* {lab[2]:.2f}"
