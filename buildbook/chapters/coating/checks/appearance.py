"""COA-11 gloss, COA-12 image, orange peel and dust, COA-13 colour."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from buildbook.chapters.coating.formulas.appearance import ciede2000
from buildbook.chapters.coating.odd_rows import NOTHING, beyond_white, colour_words, odd_angles, odd_roles, words_of
from buildbook.chapters.coating.records import Appearance, Colour, Gloss
from buildbook.chapters.coating.subjects import painted_zones
from buildbook.chapters.readings import with_scatter
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import absent, attempts, limits, mean_of, period, planned_places, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.core.decide import cap
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged, worst
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed
from buildbook.formulas import OutOfRange
from buildbook.formulas.uncertainty import from_repeats
from buildbook.sources import table

GLOSS = {20: "gloss at 20°", 60: "gloss at 60°", 85: "gloss at 85°"}
IMAGE, PEEL, DUST = "distinctness of image", "orange peel", "dust inclusions"
DIFFERENCE = "colour difference"
YELLOW = "shift of b*"
VISIBILITIES = frozenset({"high", "low"})  # the words of the column `visibility` of the places


def gloss(evidence: Evidence) -> Iterable[Finding]:
    """COA-11: she shines as much as was agreed, at 60° and at 20°."""
    for zone in _shown_zones(evidence, Gloss, "COA-11"):
        for attempt in attempts(evidence, Gloss, zone=zone):
            survey = evidence.of(Gloss, zone=zone, attempt=attempt)
            for angle in sorted({*_asked_angles(), *(row.angle for row in survey)}):
                key = Key("COA-11", GLOSS[angle], zone, attempt=attempt)
                if not any(row.angle == angle for row in survey):
                    yield _nothing(evidence, Gloss, key, "No gloss reading at this angle.")
                else:
                    yield from _at_angle(evidence, key, survey, angle)


def _asked_angles() -> set[int]:
    """The angles of the gauge that are always asked for."""
    return {int(row["angle"]) for row in table("gloss_angles") if row["asked"] == "yes"}


def _at_angle(evidence: Evidence, key: Key, survey: Sequence[Gloss], angle: int) -> Iterable[Finding]:
    """The mean at one angle; a reading that may belong to another angle is left out and taken in, the worse counts."""
    odd = odd_angles(survey)
    at = listed(str(row.where) for row in odd)
    caps = (f"The angle of a reading does not fit those beside it ({at}).",) if odd else ()
    without = [row for row in survey if row.angle == angle and row not in odd]
    ways = [[row for row in survey if row.angle == angle], without, [*without, *odd]] if odd else [without]
    return worst(*(_mean(evidence, key, rows, "gloss", caps) for rows in ways if rows))


def _shown_zones(evidence: Evidence, kind: Any, check: str) -> tuple[str, ...]:
    """Zones with readings, zones in the plan, and all painted zones where neither names one."""
    named = {*evidence.values(kind, "zone"), *planned_places(evidence, check)}
    return tuple(sorted(named)) or painted_zones(evidence)


def _mean(
    evidence: Evidence, key: Key, rows: Sequence[Any], column: str, caps: tuple[str, ...] = (), by_eye: bool = False
) -> Iterable[Finding]:
    """The mean of some readings with the scatter in its uncertainty, judged as closely as the zone is looked at."""
    return judged_as_planned(
        evidence, key.check, rows, lambda some: _one_mean(evidence, key, some, column, caps, by_eye)
    )


def _one_mean(
    evidence: Evidence, key: Key, rows: Sequence[Any], column: str, caps: tuple[str, ...], by_eye: bool
) -> Iterable[Finding]:
    unit = {"gloss": "GU"}.get(column, "1")
    by = [row for row in rows if row.instrument] if by_eye else rows
    use = used(evidence, by, "instrument", "gloss" if column == "gloss" else key.quantity, unit, column)
    measured, about = mean_of(rows, column, unit, use, "")
    return _as_seen(evidence, key, measured, replace(about, caps=(*about.caps, *caps)))


def _as_seen(evidence: Evidence, key: Key, measured: Quantity, about: About) -> tuple[Finding, ...]:
    """Judged by the limit for how closely the zone is looked at; where that is not known, by each, and the worst."""
    possible, unknown = _by_visibility(evidence, key)
    about = replace(about, caps=(*about.caps, *unknown))
    return worst(*(judge(key, measured, wanted, about) for wanted in possible))


def _by_visibility(evidence: Evidence, key: Key) -> tuple[tuple[Limits, ...], tuple[str, ...]]:
    """The limits that may hold, and what to say where they depend on the visibility and it is not known.

    Then the limit of each visibility may be the one, and so may the limit without a condition: it holds for every
    visibility that the specification does not name.
    """
    place = evidence.one(Place, place=key.place)
    visibility = place.visibility if place is not None else None
    entries = [
        entry
        for entry in evidence.specification.limits
        if (entry.check, entry.quantity) == (key.check, key.quantity) and entry.place in ("", key.place)
    ]
    depends = dict.fromkeys(entry.condition for entry in entries if entry.condition)
    known = visibility is not None or not depends
    conditions = (visibility or "",) if known else tuple(depends)
    if not known and (not depends.keys() >= VISIBILITIES or any(not entry.condition for entry in entries)):
        conditions = (*conditions, "")
    possible = tuple(limits(evidence, key.check, key.quantity, place=key.place, condition=name) for name in conditions)
    if known:
        return possible, ()
    return possible, ("How closely this zone is looked at is not on record, so which limit holds cannot be told.",)


def _nothing(evidence: Evidence, kind: Any, key: Key, words: str) -> Finding:
    """Not measured, with the limit it would have been judged by."""
    return absent(evidence, kind, key, Verdict.NOT_MEASURED, words, _by_visibility(evidence, key)[0][0])


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
        return (_nothing(evidence, Appearance, key, "No reading of this in this zone."),)
    scales = words_of(rows, scale)
    named = f"The readings name no scale, or more than one ({'; '.join(scales)})"
    caps = (f"{named}; scales of different methods do not agree.",) if len(scales) > 1 or NOTHING in scales else ()
    return _mean(evidence, key, rows, column, caps, by_eye=key.quantity == PEEL)


def _dust(evidence: Evidence, key: Key, rows: Sequence[Appearance]) -> Iterable[Finding]:
    counted = [row for row in rows if row.dust is not None]
    if not counted:
        return (_nothing(evidence, Appearance, key, "No dust count in this zone."),)
    most = max(counted, key=lambda row: row.dust or 0.0)
    about = About(
        method="specks counted in one square decimetre; the worst sample area counts",
        period=period(row.at for row in counted),
        at=tuple(row.where for row in counted),
        working=(f"most of {len(counted)} sample areas: {most.dust:g} ({most.where})",),
    )
    return _as_seen(evidence, key, Quantity.count(most.dust or 0.0, "1/dm2"), about)


def colour(evidence: Evidence) -> Iterable[Finding]:
    """COA-13: the painted surface has the colour of the master panel."""
    for zone in _shown_zones(evidence, Colour, "COA-13"):
        key = Key("COA-13", DIFFERENCE, zone)
        rows = evidence.of(Colour, zone=zone)
        masters = [row for row in rows if row.role == "reference"]
        samples = [row for row in rows if row.role == "sample"]
        if not masters or not samples:
            lacking = "painted surface" if masters else "master panel"
            yield _nothing(evidence, Colour, key, f"No reading of the {lacking} for this zone.")
        else:
            yield from _either_role(evidence, key, rows)


def _either_role(evidence: Evidence, key: Key, rows: Sequence[Colour]) -> Iterable[Finding]:
    """Master against surface; a reading most likely of the other side is taken as either, and the worse counts."""
    odd = odd_roles(rows)
    if not odd:
        return _compared(evidence, key, *_in_range(*_sides(rows, ())))
    at = listed(str(row.where) for row in odd)
    doubt = (f"Whether a reading is of the master panel or of the surface does not fit those beside it ({at}).",)
    ways = [_compared(evidence, key, *_in_range(*_sides(rows, swapped))) for swapped in ((), odd)]
    return tuple(cap(finding, doubt) for finding in worst(*ways))


def _sides(rows: Sequence[Colour], swapped: Sequence[Colour]) -> tuple[list[Colour], list[Colour]]:
    """The readings of master panel and surface, with some of them taken as of the other side."""
    masters = [row for row in rows if (row.role == "reference") != (row in swapped)]
    return masters, [row for row in rows if row not in masters]


def _compared(evidence: Evidence, key: Key, masters: Sequence[Colour], samples: Sequence[Colour]) -> Iterable[Finding]:
    return judged_as_planned(evidence, key.check, samples, lambda some: _difference(evidence, key, masters, some))


def _in_range(masters: Sequence[Colour], samples: Sequence[Colour]) -> tuple[Sequence[Colour], Sequence[Colour]]:
    """The readings the formula holds for; all of them where none would be left of one side."""
    kept = [[row for row in rows if not beyond_white(row)] for rows in (masters, samples)]
    return (kept[0], kept[1]) if all(kept) else (masters, samples)


def _other_light(rows: Sequence[Colour]) -> tuple[str, ...]:
    """Why readings of colour cannot be compared: more than one light or geometry, or words nobody knows."""
    said = []
    for column in ("illuminant", "geometry"):
        words = words_of(rows, column)
        if len(words) > 1:
            said.append(f"Master and surface were read under different light or geometry ({'; '.join(words)}).")
        elif words[0] not in colour_words(column):
            said.append(f"The {column} '{words[0]}' is not one that this book knows.")
    return tuple(said)


def _too_light(rows: Iterable[Colour]) -> tuple[str, ...]:
    """What to say of readings lighter than white; those that could be left out were."""
    return tuple(f"L* is {row.lightness:g} ({row.where}), above the 100 of white." for row in rows if beyond_white(row))


def _difference(
    evidence: Evidence, key: Key, masters: Sequence[Colour], samples: Sequence[Colour]
) -> Iterable[Finding]:
    rows = [*masters, *samples]
    use = used(evidence, rows, "instrument", "colour", "1")
    master, sample = _mean_lab(masters), _mean_lab(samples)
    possible, _ = _by_visibility(evidence, key)
    try:
        difference = ciede2000(master, sample).delta_e
        each = [ciede2000(master, _mean_lab([row])).delta_e for row in samples]
    except OutOfRange as reason:
        about = About(at=tuple(row.where for row in rows))
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", about, possible[0])
        return
    both = tuple(Part(f"{part.name}, both readings", part.standard * math.sqrt(2.0)) for part in use.parts)
    about = About(
        method=f"CIEDE2000 colour difference, {rows[0].illuminant}, {rows[0].geometry}",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=(
            f"master {_lab(master)}, surface {_lab(sample)} (mean of {len(samples)})",
            f"ΔE00 = {fixed(difference, 3)}; reading by reading {fixed(min(each), 2)} to {fixed(max(each), 2)}",
        ),
        notes=use.notes,
        caps=(*use.caps, *_other_light(rows), *_too_light(evidence.of(Colour, zone=key.place))),
    )
    of_master = [ciede2000(_mean_lab([row]), sample).delta_e for row in masters]
    parts = _of_both_means(both, each, of_master)
    yield from _as_seen(evidence, key, Quantity.combined(difference, "1", parts), about)
    parts = _of_both_means(both, *([row.yellow_blue for row in side] for side in (samples, masters)))
    shift = Quantity.combined(sample[2] - master[2], "1", parts)
    beside = Key(key.check, YELLOW, key.place)
    yield from judge(beside, shift, Limits(evidence.specification.limit(key.check, YELLOW, place=key.place)), about)


def _of_both_means(meter: tuple[Part, ...], samples: Sequence[float], masters: Sequence[float]) -> tuple[Part, ...]:
    """The parts of a difference of two means: the meter, and the scatter of the readings on either side."""
    parts = with_scatter(meter, samples)
    if not parts or len(masters) < 2:
        return parts
    return (*parts, Part(f"scatter of {len(masters)} readings of the master", from_repeats(masters), len(masters) - 1))


def _mean_lab(rows: Sequence[Colour]) -> tuple[float, float, float]:
    count = len(rows)
    return (
        math.fsum(row.lightness for row in rows) / count,
        math.fsum(row.red_green for row in rows) / count,
        math.fsum(row.yellow_blue for row in rows) / count,
    )


def _lab(lab: tuple[float, float, float]) -> str:
    light, red, yellow = (fixed(value, 2) for value in lab)
    return f"L* {light} a* {red} b* {yellow}"
