"""COA-08 film thickness by the rule the specification names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.coating.formulas.film import (
    SamplingRow,
    film_statistics,
    required_number,
    required_spots,
    spot_means,
)
from buildbook.chapters.coating.odd_rows import words_of
from buildbook.chapters.coating.records import Coat, FilmReading
from buildbook.chapters.coating.subjects import asked_places
from buildbook.chapters.readings import with_scatter
from buildbook.chapters.shared_records import Place, Planned
from buildbook.chapters.subjects import Used, absent, attempts, mean_words, period, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.formulas import OutOfRange
from buildbook.formulas.statistics import summary
from buildbook.sources import number, table, term

NOMINAL = "nominal film thickness"
DEFAULT_RULE = "iso-19840"
SPOT_RULES = "pa-2-"
BORROWED = "The rule was written for steel and is borrowed for plastic."
MEAN, SMALLEST, LARGEST, SHARE = (
    "mean film thickness",
    "smallest film thickness",
    "largest film thickness",
    "share below nominal",
)
AREA_MEAN, LOW_SPOT, HIGH_SPOT = ("area mean", "smallest spot mean", "largest spot mean")
QUANTITIES = (MEAN, SMALLEST, LARGEST, SHARE, AREA_MEAN, LOW_SPOT, HIGH_SPOT)


@dataclass(frozen=True, slots=True)
class Survey:
    """All readings of one zone and attempt; `regular` leaves out those taken on purpose at a thin spot (not all)."""

    zone: str
    attempt: int
    rows: tuple[FilmReading, ...]
    regular: tuple[FilmReading, ...]
    use: Used
    nominal: Limit | None

    def key(self, quantity: str) -> Key:
        """The key of a finding about this survey."""
        return Key("COA-08", quantity, self.zone, attempt=self.attempt)

    @property
    def values(self) -> list[float]:
        """The thicknesses [um] that enter means and shares."""
        return [row.thickness for row in self.regular]


def film_thickness(evidence: Evidence) -> Iterable[Finding]:
    """COA-08: the film is thick enough, by the rule that the specification names."""
    rule = film_rule(evidence)
    for zone in asked_places(evidence, "COA-08", (FilmReading,), (Coat, "zone")):
        nominal = evidence.specification.limit("COA-08", NOMINAL, place=zone)
        wanted = _limits(evidence, rule, zone, nominal)
        for attempt in attempts(evidence, FilmReading, zone=zone):
            rows = evidence.of(FilmReading, zone=zone, attempt=attempt)
            if not rows:
                for quantity, limit in wanted.items():
                    key = Key("COA-08", quantity, zone, attempt=attempt)
                    words = "The film of this zone was not measured."
                    yield absent(evidence, FilmReading, key, Verdict.NOT_MEASURED, words, Limits(limit))
            else:
                yield from _as_planned(evidence, rule, _survey(evidence, zone, attempt, rows, nominal), wanted)


def film_rule(evidence: Evidence) -> str:
    """The rule the specification chose, else the default one; also where nobody knows the chosen one."""
    chosen = evidence.specification.rule("COA-08")
    return chosen.rule if chosen is not None and rule_rows(chosen.rule) else DEFAULT_RULE


def rule_rows(rule: str) -> tuple[dict[str, str], ...]:
    """The printed terms of one rule; empty where the rule is not known."""
    return tuple(row for row in table("film_rules") if row["rule"] == rule)


def _limits(evidence: Evidence, rule: str, zone: str, nominal: Limit | None) -> dict[str, Limit | None]:
    """What is judged on a zone: the quantities of the rule, the greatest film, and what the builder set by itself."""
    found: dict[str, Limit | None] = {}
    if nominal is not None:
        rows = rule_rows(rule)
        for quantity in dict.fromkeys(row["quantity"] for row in rows):
            found[quantity] = _limit([row for row in rows if row["quantity"] == quantity], nominal, quantity)
        if nominal.high is not None and not any(row["of"] == "specified greatest" for row in rows):
            found[LARGEST] = replace(nominal, low=None, low_strict=False)
    for quantity in QUANTITIES:
        own = evidence.specification.limit("COA-08", quantity, place=zone)
        if own is not None:
            found[quantity] = own
    return found or {MEAN: None}


def _survey(evidence: Evidence, zone: str, attempt: int, rows: Sequence[FilmReading], nominal: Limit | None) -> Survey:
    use = used(evidence, rows, "instrument", "film thickness", "um", "thickness")
    regular = tuple(row for row in rows if not row.extra) or tuple(rows)
    return Survey(zone, attempt, tuple(rows), regular, use, nominal)


def _as_planned(evidence: Evidence, rule: str, survey: Survey, wanted: Mapping[str, Limit | None]) -> Iterable[Finding]:
    """A survey judged; with more readings than planned, beside it the planned ones alone (and those at thin spots)."""
    thin = [row for row in survey.rows if row not in survey.regular]
    caps = (*_doubts(evidence, survey), *_too_few(evidence, rule, survey))

    def some(rows: Sequence[FilmReading]) -> Iterable[Finding]:
        return _judged(replace(survey, rows=(*rows, *thin), regular=tuple(rows)), wanted, caps)

    return judged_as_planned(evidence, "COA-08", survey.regular, some)


def _judged(survey: Survey, wanted: Mapping[str, Limit | None], caps: tuple[str, ...]) -> Iterable[Finding]:
    at = About(at=tuple(row.where for row in survey.rows))
    for quantity, limit in wanted.items():
        key = survey.key(quantity)
        open_ended = limit is not None and limit.in_words
        if open_ended and survey.nominal is not None and survey.nominal.low:
            words = "The specification sets no greatest thickness, so this end of the rule is not judged."
            yield unjudged(key, Verdict.NOT_APPLICABLE, words, at, Limits(limit))
        elif open_ended or (quantity == SHARE and (survey.nominal is None or not survey.nominal.low)):
            words = "The specification gives no nominal thickness to compare with."
            yield unjudged(key, Verdict.INCONCLUSIVE, words, at, Limits(limit))
        else:
            measured, working = _measured(quantity, survey)
            about = _about(survey, working, caps)
            left_out = _left_out(survey) if quantity not in (SMALLEST, LARGEST) else ()
            yield from judge(key, measured, Limits(limit), replace(about, notes=(*about.notes, *left_out)))


def _left_out(survey: Survey) -> tuple[str, ...]:
    """What to say of readings taken on purpose at thin spots where they do not enter the value."""
    thin = [row.thickness for row in survey.rows if row not in survey.regular]
    if not thin:
        return ()
    values = listed(plain_number(um) for um in thin)
    return (f"Left out of this value: {len(thin)} taken on purpose at thin spots ({values} µm); they count as single.",)


def _doubts(evidence: Evidence, survey: Survey) -> tuple[str, ...]:
    """Why nothing better than inconclusive can be said about a survey as a whole; a fail stays one."""
    said = []
    chosen = evidence.specification.rule("COA-08")
    if survey.nominal is not None and chosen is not None and not rule_rows(chosen.rule):
        used_instead = f"the readings are set against '{DEFAULT_RULE}'"
        said.append(f"The rule '{chosen.rule}' is not one of the rules this book knows; {used_instead}.")
    if survey.nominal is not None and not survey.nominal.low:
        said.append("The specification gives no nominal thickness.")
    if all(row.extra for row in survey.rows):
        said.append("All readings were taken on purpose at thin spots.")
    layers = words_of(survey.rows, "system")
    if len(layers) > 1:
        said.append(f"The readings hold different layers ({'; '.join(layers)}): not comparable.")
    return tuple(said)


def _measured(quantity: str, survey: Survey) -> tuple[Quantity, tuple[str, ...]]:
    """The value of one quantity with its arithmetic."""
    if quantity == SHARE:
        return _share(survey)
    if quantity in (AREA_MEAN, LOW_SPOT, HIGH_SPOT):
        spots = _spots(survey.regular)
        spot = spot_means(spots)
        value = {AREA_MEAN: spot.mean, LOW_SPOT: spot.lowest_spot, HIGH_SPOT: spot.highest_spot}[quantity]
        low, high, mean = (fixed(um, 1) for um in (spot.lowest_spot, spot.highest_spot, spot.mean))
        words = f"{len(spots)} spots from {low} to {high} µm, mean {mean} µm"
        parts = with_scatter(survey.use.parts, list(spot.spots)) if quantity == AREA_MEAN else survey.use.parts
        return Quantity.combined(value, "um", parts), (words,)
    if quantity == MEAN:
        facts = summary(survey.values)
        scatter = f", scatter {fixed(facts.sd, 1)} µm" if facts.sd is not None else ""
        words = f"{mean_words(facts.n)}: {fixed(facts.mean, 2)} µm{scatter}"
        return Quantity.combined(facts.mean, "um", with_scatter(survey.use.parts, survey.values)), (words,)
    every = [row.thickness for row in survey.rows]
    value = min(every) if quantity == SMALLEST else max(every)
    words = f"{quantity} of {len(every)}: {value:g} µm ({_at(survey.rows, value)})"
    return Quantity.combined(value, "um", survey.use.parts), (words,)


def _share(survey: Survey) -> tuple[Quantity, tuple[str, ...]]:
    assert survey.nominal is not None
    assert survey.nominal.low is not None
    facts = film_statistics(survey.values, survey.nominal.low, 1.0)
    words = f"{facts.below_nominal} of {counted(facts.n, 'reading')} below {plain_number(survey.nominal.low)} µm"
    return Quantity.count(100.0 * facts.share_below_nominal, "%"), (words,)


def _at(rows: Sequence[FilmReading], value: float) -> str:
    return str(next(row.where for row in rows if row.thickness == value))


def _spots(rows: Sequence[FilmReading]) -> list[list[float]]:
    """Readings by spot; one without a spot number is a spot of its own."""
    spots: dict[int, list[float]] = {}
    for row in rows:
        spots.setdefault(row.spot if row.spot is not None else -row.number, []).append(row.thickness)
    return list(spots.values())


def _limit(rows: Sequence[dict[str, str]], nominal: Limit, quantity: str) -> Limit:
    """The limit of one quantity: the rule's factor on the builder's nominal film, both as terms."""
    low = high = None
    low_strict = high_strict = False
    terms = list(nominal.terms)
    for row in rows:
        terms.append(term(row))
        value = _end(row, nominal)
        if row["bound"] == "low":
            low, low_strict = value, row["strict"] == "yes"
        elif value is not None:
            high, high_strict = value, row["strict"] == "yes"
    if quantity == LARGEST and nominal.high is not None and all(row["of"] == "nominal" for row in rows):
        high, high_strict, terms = nominal.high, nominal.high_strict, list(nominal.terms)
    unit = "%" if quantity == SHARE else "um"
    guard = 0.0 if quantity == SHARE else nominal.guard
    return Limit(unit, tuple(terms), low, high, low_strict, high_strict, natural_low=0.0, guard=guard)


def _end(row: dict[str, str], nominal: Limit) -> float | None:
    percent, factor = number(row["percent"]), number(row["factor"])
    if percent is not None:
        return percent
    base = nominal.high if row["of"] == "specified greatest" else nominal.low
    return None if base is None or factor is None else factor * base


def _too_few(evidence: Evidence, rule: str, survey: Survey) -> tuple[str, ...]:
    """Why the number of readings does not support the rule: ISO 19840 and SSPC-PA 2 ask for so many by area."""
    short = _short_of_plan(evidence, survey)
    if survey.nominal is None or not rule.startswith((DEFAULT_RULE, SPOT_RULES)):
        return short
    return (*short, *_short_of_rule(evidence, rule, survey))


def _short_of_plan(evidence: Evidence, survey: Survey) -> tuple[str, ...]:
    """Whether fewer readings enter the mean than were planned: one may be marked as taken at a thin spot by a slip."""
    lines = evidence.of(Planned, check="COA-08", record=FilmReading.table.file, place=survey.zone)
    asked, regular = sum(line.readings or 0 for line in lines), len(survey.regular)
    if survey.attempt != 1 or regular >= asked:
        return ()
    return (f"{regular} of {asked} planned readings enter the mean; those at thin spots are not planned ones.",)


def _short_of_rule(evidence: Evidence, rule: str, survey: Survey) -> tuple[str, ...]:
    place = evidence.one(Place, place=survey.zone)
    if place is None or place.area is None:
        return ("The area of this zone is not given, so the number of readings cannot be checked.",)
    try:
        return _short_of_spots(survey, place.area) if rule.startswith(SPOT_RULES) else _short(survey, place.area)
    except OutOfRange as reason:
        return (f"{reason}.",)


def _short(survey: Survey, area: float) -> tuple[str, ...]:
    wanted = required_number(area, sampling_rows()).number
    if len(survey.regular) >= wanted:
        return ()
    taken = "1 reading" if len(survey.regular) == 1 else f"{len(survey.regular)} readings"
    return (f"{taken}; the sampling plan asks for {wanted} on {plain_number(area)} m².",)


def _short_of_spots(survey: Survey, area: float) -> tuple[str, ...]:
    plan = table("pa2_sampling")
    rows = [
        SamplingRow(
            above=float(row["above"]),
            up_to=number(row["up_to"]) or math.inf,
            number=int(row["areas"]),
            each_further=number(row["per_further"]),
            further_number=int(row["added_areas"] or 0),
        )
        for row in plan
    ]
    spots = _spots(survey.regular)
    wanted = required_spots(area, rows, int(plan[0]["spots_per_area"]))
    each, fewest = int(plan[0]["readings_per_spot"]), min(len(spot) for spot in spots)
    said = f"{len(spots)} spots; the rule asks for {wanted} on {plain_number(area)} m²."
    thin = f"A spot has {fewest} readings; the rule asks for {each} or more."
    return (*([said] if len(spots) < wanted else []), *([thin] if fewest < each else []))


def sampling_rows() -> tuple[SamplingRow, ...]:
    """The printed sampling plan by inspection area."""
    return tuple(
        SamplingRow(
            above=float(row["above"]),
            up_to=number(row["up_to"]) or math.inf,
            number=int(row["least_readings"]),
            repeats=int(row["most_repeats"]) if row["most_repeats"] else None,
            repeats_share=number(row["most_repeats_share"]) or 0.0,
            each_further=number(row["per_further"]),
            further_number=int(row["added_readings"] or 0),
        )
        for row in table("film_sampling")
    )


def _about(survey: Survey, working: tuple[str, ...], caps: tuple[str, ...]) -> About:
    methods = sorted({row.method for row in survey.rows})
    notes = survey.use.notes if survey.nominal is None else (BORROWED, *survey.use.notes)
    return About(
        method=f"{' and '.join(methods)}; {survey.rows[0].system}",
        period=period(row.at for row in survey.rows),
        instruments=survey.use.instruments,
        at=tuple(row.where for row in survey.rows),
        working=working,
        notes=notes,
        caps=(*caps, *survey.use.caps),
    )
