"""SHA-06 to SHA-08: clearance, spacing and water grooves of the bearings in the water."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import scaled
from buildbook.chapters.shafting.aft_records import Bearing
from buildbook.chapters.shafting.formulas.line import bearing_spacing
from buildbook.chapters.shafting.records import Shaft
from buildbook.chapters.shafting.subjects import (
    EACH,
    RULES,
    Subject,
    about,
    customary,
    not_drawn,
    not_read,
    reading,
    rule,
)
from buildbook.chapters.subjects import limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Role
from buildbook.core.judging import About, Limits, judge
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.sources import printed_rule, table, term

CLEARANCE, SHARE = "bearing clearance", "bearing clearance, of the shaft diameter"
SPACING = "bearing spacing"
ALONG, AROUND = "water grooves along the bearing", "water grooves round the bearing"
NO_CLEARANCE, NO_SPACING = "The clearance of this bearing was not measured.", "The distance was not measured."
NO_GROOVES = "Nobody counted the grooves of this bearing."
DISAGREE = "The two figures at hand are second-hand and disagree. Neither judges the bearing; both stand beside it."
BEYOND = (
    "The shaft of {} mm lies {} % outside the lines of the chart, of which the nearest is for {} mm. That line is used."
)
NO_MARGIN = "The limit is the critical length itself. It leaves no margin; a builder's own limit stays well below it."
BESIDE = "The published figure beside it is the critical length itself, not a safe distance."
PRACTICE = "Practice, as far as it is known; the calculation goes before it."


def clearances(evidence: Evidence) -> Iterable[Finding]:
    """SHA-06: the clearance of every bearing beside both figures."""
    return Subject("SHA-06", Bearing, (CLEARANCE, SHARE), NO_CLEARANCE, _clear, shafts=False).findings(evidence)


def spacings(evidence: Evidence) -> Iterable[Finding]:
    """SHA-07: how far every bearing stands from the next one forward."""
    return Subject("SHA-07", Bearing, (SPACING,), NO_SPACING, _spaced, shafts=False).findings(evidence)


def grooves(evidence: Evidence) -> Iterable[Finding]:
    """SHA-08: the water grooves of every bearing, for information."""
    return Subject("SHA-08", Bearing, (ALONG, AROUND), NO_GROOVES, _grooved, shafts=False).findings(evidence)


def _clear(evidence: Evidence, part: str, attempt: int, rows: Sequence[Bearing]) -> Iterable[Finding]:
    row, key = rows[0], Key("SHA-06", CLEARANCE, part, "", attempt)
    if row.clearance is None:
        for quantity in (CLEARANCE, SHARE):
            yield not_read(evidence, replace(key, quantity=quantity), rows, NO_CLEARANCE)
        return
    use = reading(evidence, rows, "clearance", "feeler", "gap")
    words = f"{plain_number(row.clearance)} mm over a shaft of {plain_number(row.shaft_diameter)} mm"
    chart, beyond = by_chart(row.shaft_diameter)
    beside_both = (DISAGREE, *_times(chart, row.shaft_diameter), customary("worn out at"))
    told = about("feeler between shaft and bearing", rows, use, (words,), beside_both)
    per_metre = 1000.0 / row.shaft_diameter
    for quantity, unit, scale, beside, notes in (
        (CLEARANCE, "mm", 1.0, chart, beyond),
        (SHARE, "mm/m", per_metre, by_share(), ()),
    ):
        its = replace(key, quantity=quantity)
        measured = Quantity.combined(scale * row.clearance, unit, scaled(use.parts, scale))
        specified = limits(evidence, key.check, quantity, place=part).specified
        yield from judge(its, measured, Limits(specified), told)
        if beside is not None:
            more = replace(told, notes=(*told.notes, *notes))
            yield from judge(replace(its, role=Role.REFERENCE), measured, Limits(beside), more)


def by_chart(diameter: float) -> tuple[Limit | None, tuple[str, ...]]:
    """The range of a new bearing by the chart's nearest line, and what is to be said; None far outside them."""
    lines = [(float(row["shaft"]), row) for row in table("shafting_clearance")]
    sizes, reach = [size for size, _ in lines], rule("chart reaches") / EACH
    if not min(sizes) * (1.0 - reach) <= diameter <= max(sizes) * (1.0 + reach):
        return None, ()
    _, row = min(lines, key=lambda line: abs(line[0] - diameter))
    limit = Limit("mm", (term(row),), float(row["low"]), float(row["high"]), natural_low=0.0, words=row["words"])
    return limit, _beyond(diameter, min(sizes), max(sizes))


def _beyond(diameter: float, least: float, most: float) -> tuple[str, ...]:
    """That a shaft lies outside the lines of the chart, and by how much; empty where it does not."""
    end = min(max(diameter, least), most)
    if diameter == end:
        return ()
    return (BEYOND.format(plain_number(diameter), fixed(abs(diameter / end - 1.0) * EACH, 0), plain_number(end)),)


def _times(chart: Limit | None, diameter: float) -> tuple[str, ...]:
    """How the range of the chart stands to that by the diameter, least to least and most to most."""
    if chart is None or chart.low is None or chart.high is None:
        return ()
    low, high = (
        fixed(end / (rule(name) * diameter / 1000.0), 1)
        for end, name in ((chart.low, "clearance from"), (chart.high, "clearance to"))
    )
    return (f"For this shaft the chart's figures are {low} and {high} times the other's.",)


def by_share() -> Limit:
    """The other figure: a share of the diameter."""
    row = printed_rule(RULES, "clearance from")
    return Limit(
        "mm/m", (term(row),), rule("clearance from"), rule("clearance to"), natural_low=0.0, words=row["words"]
    )


def _spaced(evidence: Evidence, part: str, attempt: int, rows: Sequence[Bearing]) -> Iterable[Finding]:
    row, key = rows[0], Key("SHA-07", SPACING, part, "", attempt)
    shaft = evidence.one(Shaft, part=row.shaft)
    if row.spacing is None:
        yield not_read(evidence, key, rows, NO_SPACING)
        return
    if shaft is None:
        yield not_drawn(evidence, key, rows)
        return
    use = reading(evidence, rows, "spacing", "tape", "length")
    measured = Quantity.combined(row.spacing, "mm", use.parts)
    most = bearing_spacing(row.shaft_diameter, shaft.speed, shaft.modulus, shaft.density)
    told = about("tape from middle to middle", rows, use, _critical(row, shaft, most))
    told = replace(told, at=(*told.at, shaft.where))
    whirl = printed_rule(RULES, "whirling")
    upper = Limit(
        "mm", (term(whirl),), high=most, natural_low=0.0, words=f"At most {fixed(most, 0)} mm. {whirl['words']}"
    )
    specified = limits(evidence, key.check, SPACING, place=part).specified
    if specified is not None:
        told = replace(told, notes=(*told.notes, BESIDE, customary("least spacing")))
        yield from judge(key, measured, Limits(specified, upper), told)
        return
    yield from judge(key, measured, Limits(None, upper), replace(told, notes=(*told.notes, NO_MARGIN)))
    low, high = (rule(name) * row.shaft_diameter for name in ("least spacing", "greatest spacing"))
    usual = (term(printed_rule(RULES, "least spacing")),)
    practice = Limit("mm", usual, low, high, words=printed_rule(RULES, "least spacing")["words"])
    beside = replace(told, notes=(*told.notes, PRACTICE))
    yield from judge(replace(key, role=Role.REFERENCE), measured, Limits(practice), beside)


def _critical(row: Bearing, shaft: Shaft, most: float) -> tuple[str, ...]:
    """What the critical length follows from, and the distance in diameters."""
    metal = f"E {plain_number(shaft.modulus)} MPa, density {plain_number(shaft.density)} kg/m³"
    worked = f"{plain_number(row.shaft_diameter)} mm at {plain_number(shaft.speed)} r/min, {metal}"
    diameters = f"{fixed((row.spacing or 0.0) / row.shaft_diameter, 1)} diameters"
    return (f"{worked}: critical length {fixed(most, 0)} mm", diameters)


def _grooved(evidence: Evidence, part: str, attempt: int, rows: Sequence[Bearing]) -> Iterable[Finding]:
    row, key = rows[0], Key("SHA-08", ALONG, part, "", attempt)
    for quantity, number in ((ALONG, row.along), (AROUND, row.around)):
        its = replace(key, quantity=quantity)
        if number is None:
            yield not_read(evidence, its, rows, NO_GROOVES)
        else:
            told = About(method="counted", at=(row.where,))
            yield from judge(its, Quantity.count(number), Limits(), told)
