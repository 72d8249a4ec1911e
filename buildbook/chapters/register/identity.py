"""REG-01 one hull number: well formed, the same everywhere, with dates that can be true."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from buildbook.chapters.register.formulas import HullNumber, country_status, hull_number_notes, parse_hull_number
from buildbook.chapters.register.records import NumberSeen
from buildbook.chapters.register.rules import all_rows, missing, own_rule, published, rule
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.hull import Hull
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.stage import Stage, not_due, stage_named
from buildbook.core.wording import capital, listed, plain_number
from buildbook.formulas import Malformed
from buildbook.sources import table

CHECK = "REG-01"
WELL_FORMED, DATES, SAME = "form of the number", "dates and coded month", "number in every record"
IN_HULL_FILE = "hull.toml"
LONG_FORM, SHORT_FORM = "ISO 10087", "33 CFR 181"
US_PREFIX = "US-"
SPELLED = "The two differ in blanks, hyphens or small letters only: perhaps one number, copied in another form."
GIVES_NO = f"{IN_HULL_FILE} gives no"
NO_NUMBER = f"{GIVES_NO} hull number."


def identity(evidence: Evidence) -> Iterable[Finding]:
    """REG-01: the number of hull.toml is well formed, its dates fit, and every place that bears a number bears it."""
    yield from _of_the_hull(evidence.hull)
    yield from _everywhere(evidence)


def _of_the_hull(hull: Hull) -> Iterable[Finding]:
    form, dates = Key(CHECK, WELL_FORMED, IN_HULL_FILE), Key(CHECK, DATES, IN_HULL_FILE)
    about = About(method="form and coded dates of the hull number", at=(hull.at("number"),))
    why, verdict = _not_to_be_judged(hull)
    if why:
        yield unjudged(form, verdict, why, about)
        yield unjudged(dates, verdict, why, about)
        return
    try:
        number = parse_hull_number(hull.number)
    except Malformed as error:
        scheme = LONG_FORM if hull.number[2:3] == "-" and not hull.number.startswith(US_PREFIX) else SHORT_FORM
        spoken = replace(about, notes=tuple(f"{capital(problem)}." for problem in error.problems))
        yield from judge_fact(form, False, hull.number, _form_limits(scheme), spoken)
        undecoded = replace(about, notes=("The dates cannot be decoded from a number that is not well formed.",))
        yield from judge_fact(dates, None, hull.number, published(CHECK, DATES), undecoded)
        return
    yield from _well_formed(form, number, about)
    yield from _dates(dates, number, hull, about)


def _not_to_be_judged(hull: Hull) -> tuple[str, Verdict]:
    """Why the form cannot be asked for, and the verdict that goes with it; no words where it can."""
    if hull.length_hull is not None:
        scope = rule(CHECK, "hull length")
        if decide(Quantity.count(hull.length_hull, "m"), scope).verdict is Verdict.FAIL:
            words = f"Her hull length is {plain_number(hull.length_hull)} m. {scope.words}"
            return f"{words} An official, class or IMO number is to be expected instead.", Verdict.NOT_APPLICABLE
    return (NO_NUMBER, Verdict.NO_RECORD) if not hull.number else ("", Verdict.PASS)


def _form_limits(scheme: str) -> Limits:
    limits = published(CHECK, WELL_FORMED, scheme)
    if scheme != LONG_FORM or limits.reference is None:
        return limits
    terms = (*limits.reference.terms, *rule(CHECK, "country code").terms)
    return Limits(reference=replace(limits.reference, terms=terms))


def _well_formed(key: Key, number: HullNumber, about: About) -> Iterable[Finding]:
    codes = _country_codes()
    known = number.country is None or country_status(number.country, codes) != "unknown"
    notes = tuple(note for note in hull_number_notes(number, codes) if note not in _date_notes(number))
    parts = f"manufacturer {number.manufacturer}, serial {number.serial}, coded month {_coded(number)}"
    working = (f"{parts}, model year {number.model_year}",)
    about = replace(about, notes=notes, working=working)
    yield from judge_fact(key, known, number.text, _form_limits(number.scheme), about)


def _country_codes() -> frozenset[str]:
    return frozenset(row["code"] for row in table("iso_3166_1_alpha_2"))


def _date_notes(number: HullNumber) -> tuple[str, ...]:
    """What is to be said of the dates alone: outside the model year is a matter to explain, never a fail."""
    return hull_number_notes(replace(number, country=None), ())


def _coded(number: HullNumber) -> str:
    if number.year is None:
        return f"month {number.month} of a year that ends in {number.year_digit}"
    return f"{number.year}-{number.month:02d}"


def _dates(key: Key, number: HullNumber, hull: Hull, about: About) -> Iterable[Finding]:
    began, delivered = hull.date_of("lay_up_started"), hull.date_of("delivered")
    later = _not_delivered_yet(hull)
    dated = (("lay-up start", began), ("delivery", delivered))
    lacking = [name for name, day in dated if day is None and not (later and name == "delivery")]
    caps = (f"{GIVES_NO} date of {listed(lacking)}.",) if lacking else ()
    met = _between(number, began, delivered)
    told = [f"coded {_coded(number)}"]
    told += [f"lay-up began {began.isoformat()}"] if began else []
    told += [f"delivered {delivered.isoformat()}"] if delivered else []
    at = (*about.at, *(hull.at(name) for name, _ in hull.dates if name in ("lay_up_started", "delivered")))
    about = replace(about, notes=_date_notes(number), caps=caps, at=at)
    for finding in judge_fact(key, met, ", ".join(told), published(CHECK, DATES), about):
        waits = later and not lacking and not finding.verdict.missed
        yield not_due(finding, Stage.DELIVERED) if waits else finding


def _not_delivered_yet(hull: Hull) -> bool:
    """Whether her stage says that she has no date of delivery yet; a date that cannot be read may be one."""
    stage = stage_named(hull.stage)
    given = hull.date_of("delivered") is not None or hull.at("dates.delivered").line is not None
    return stage is not None and stage.before(Stage.DELIVERED) and not given


def _between(number: HullNumber, began: date | None, delivered: date | None) -> bool | None:
    """Whether the coded month touches the time from the start of lay-up to delivery; None where that cannot be told."""
    if number.year is not None:
        years = [number.year]
    elif began is not None and delivered is not None:
        years = [year for year in range(began.year, delivered.year + 1) if year % 10 == number.year_digit]
    else:
        return None
    return any(_touches(year, number.month, began, delivered) for year in years)


def _touches(year: int, month: int, began: date | None, delivered: date | None) -> bool:
    first, last = date(year, month, 1), date(year, month, monthrange(year, month)[1])
    return (began is None or last >= began) and (delivered is None or first <= delivered)


def _everywhere(evidence: Evidence) -> Iterable[Finding]:
    """One finding for each place that bears a number, against the number of hull.toml."""
    seen = all_rows(evidence, NumberSeen)
    if not seen:
        yield unjudged(Key(CHECK, SAME), Verdict.NO_RECORD, missing(evidence, NumberSeen))
        return
    own = evidence.hull.number
    different = len({_plain(row.number) for _, row, _ in seen if row.number}) > 1
    for place, row, _ in seen:
        key = Key(CHECK, SAME, place)
        about = About(method="compared letter by letter", at=(row.where,))
        if not own and not different:
            yield unjudged(key, Verdict.NO_RECORD, f"{NO_NUMBER} There is nothing to compare with.", about)
            continue
        same = None if not row.number else bool(own) and _plain(row.number) == _plain(own)
        if not own:
            about = replace(about, notes=(NO_NUMBER, "The numbers differ among themselves."))
        elif same is False and _letters(row.number) == _letters(own):
            about = replace(about, notes=(SPELLED,))
        observed = f"{row.number or 'not to be made out'}; her own number is {own or 'not given'}"
        yield from judge_fact(key, same, observed, own_rule(CHECK, SAME), about)


def _plain(number: str) -> str:
    """A number without the country that 33 CFR 181.27 allows beside it (read)."""
    return number.removeprefix(US_PREFIX)


def _letters(number: str) -> str:
    """A number in capitals, without blanks and hyphens."""
    return "".join(sign for sign in _plain(number.upper()) if sign.isalnum())
