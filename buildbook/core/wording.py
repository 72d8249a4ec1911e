"""The one place that rounds and names: numbers, units, limits, verdicts, sources, sentences."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, time
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache

from buildbook.core.finding import NOT_DUE_YET, WORST_FIRST, Finding, Key, Period, Verdict
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.source import Source, Standing

UNITS = {
    "1": "",
    "degC": "°C",
    "um": "µm",
    "ohm": "Ω",
    "Mohm": "MΩ",
    "m2": "m²",
    "mm2": "mm²",
    "mg/m2": "mg/m²",
    "g/m2": "g/m²",
    "kg/m2": "kg/m²",
    "g/cm3": "g/cm³",
    "N/mm2": "N/mm²",
    "1/dm2": "per dm²",
    "uS/cm": "µS/cm",
    "deg": "°",
    "rpm": "r/min",
    "d": "days",
    "degF": "°F",
    "degF/min": "°F/min",
    "uin": "µin",
    "in2": "in²",
    "ft2": "ft²",
    "1/ft2": "per ft²",
    "ft3": "ft³",
    "oz/yd2": "oz/yd²",
    "lb/ft2": "lb/ft²",
    "lb/ft3": "lb/ft³",
    "lbf.ft": "lbf·ft",
    "in/s2": "in/s²",
    "ft/s2": "ft/s²",
}

STANDINGS = {
    Standing.BUILDER: "the builder's specification",
    Standing.READ: "read in the source",
    Standing.SECOND_HAND: "quoted second-hand",
    Standing.MEMORY: "quoted from memory",
    Standing.PRACTICE: "customary practice",
}

FEW = 4  # kinds of verdicts that one sentence counts
DISPOSITIONS = {
    "use as is": "accepted as found",
    "rework": "reworked",
    "repair": "repaired",
    "scrap": "scrapped",
    "regrade": "regraded",
}
MINUS = "−"
NOTHING = 1e-9  # a part of U below this share of it is what rounding in the arithmetic leaves of zero
SPACE = "\u00a0"
SET_BY = "set by "  # how a term that the builder wrote down begins
TERMS = "; and "  # what stands between the terms of a limit
_LONG = re.compile(r"(?<![\w.,/-])[1-9][0-9]{4,}(?![\w/-])")  # the whole part of a number, no part of an id or a date


def unit_text(unit: str) -> str:
    """A unit as it is printed: `degC` gives °C, `1` nothing."""
    return UNITS.get(unit, unit)


def plain_number(value: float, digits: int = 10) -> str:
    """A number that needs no rounding (a limit, a count): as short as it can be said.

    >>> plain_number(120.0), plain_number(-0.25)
    ('120', '−0.25')
    """
    return _shortest(value, digits)


@lru_cache(maxsize=8192)  # a book tells most of its numbers several times
def _shortest(value: float, digits: int) -> str:
    rounded = Context(prec=digits, rounding=ROUND_HALF_UP).plus(_as_written(value))
    if rounded and rounded.adjusted() >= digits:
        return fixed(value, 0)
    text = f"{rounded:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return (text if rounded else "0").replace("-", MINUS)


def fixed(value: float, decimals: int) -> str:
    """A number with so many decimals (negative: rounded to tens, hundreds …), a zero never with a minus sign.

    Half-way is rounded away from zero, as a reader does with the digits in front of him.

    >>> fixed(88.35, 1), fixed(-0.125, 2), fixed(1250.0, -2), fixed(-0.04, 1)
    ('88.4', '−0.13', '1300', '0.0')
    """
    return f"{_rounded(value, decimals):f}".replace("-", MINUS)


def as_number(text: str) -> float:
    """The number that stands there as `plain_number` or `fixed` prints it.

    >>> as_number("−0.25")
    -0.25
    """
    return float(text.replace(MINUS, "-"))


def capital(text: str) -> str:
    """A text with a capital at its start, and else as it is.

    >>> capital("mean pitch of P1")
    'Mean pitch of P1'
    """
    return f"{text[:1].upper()}{text[1:]}"


def grouped(value: float) -> str:
    """A large whole number with its thousands apart, as on the cover.

    >>> grouped(34500.0)
    '34 500'
    """
    return thousands_apart(f"{_rounded(value, 0):f}")


def thousands_apart(text: str) -> str:
    """Words with the thousands of their numbers of five digits and more apart; four digits stay together.

    >>> thousands_apart("9500 to 31300 kg"), thousands_apart("12345.67891 m")
    ('9500 to 31 300 kg', '12 345.67891 m')
    """
    return _LONG.sub(lambda number: f"{int(number[0]):,d}".replace(",", " "), text)


@lru_cache(maxsize=8192)
def _rounded(value: float, decimals: int) -> Decimal:
    rounded = _as_written(value).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP, Context(prec=400))
    return rounded if rounded else abs(rounded)


def _as_written(value: float) -> Decimal:
    """The decimal number that a binary one stands for: 15 digits, so that 88.35 is not a little less."""
    return Decimal(f"{value:.15g}")


def decimals_of(uncertainty: float) -> int:
    """How many decimals leave two significant digits of an uncertainty.

    >>> decimals_of(0.8), decimals_of(12.0), decimals_of(0.0996)
    (2, 0, 2)
    """
    if uncertainty <= 0:
        return 6
    place = 1 - math.floor(math.log10(uncertainty))
    if _rounded(uncertainty, place) >= Decimal(10) ** (2 - place):
        place -= 1
    return place


def decimals_below(largest: float) -> int:
    """How many decimals leave three significant digits of the largest of some values without an uncertainty.

    >>> decimals_below(2.816), decimals_below(0.041), decimals_below(1250.0)
    (2, 4, 0)
    """
    return max(0, 2 - math.floor(math.log10(largest))) if largest > 0 else 0


def value_text(measured: Quantity, finer: int = 0) -> str:
    """A value with its expanded uncertainty (k = 2), rounded together: two significant digits of U, and `finer` more.

    >>> value_text(Quantity(55.96, "%", 0.8))
    '55.96 ± 0.80 %'
    """
    unit = unit_text(measured.unit)
    expanded = measured.at_two
    if measured.kind is Kind.COUNTED or expanded is None or expanded == 0:
        text = plain_number(measured.value, 4 + finer)
    else:
        decimals = decimals_of(expanded) + finer
        text = f"{fixed(measured.value, decimals)} ± {fixed(expanded, decimals)}"
    if measured.kind in (Kind.AT_LEAST, Kind.AT_MOST):
        text = f"{measured.kind.value} {text}"
    return thousands_apart(f"{text} {unit}".strip())


def printed_numbers(measured: Quantity, finer: int = 0) -> tuple[float, float | None]:
    """A value and its expanded uncertainty (k = 2) as numbers, rounded as `value_text` prints them.

    >>> printed_numbers(Quantity(55.96, "%", 0.8)), printed_numbers(Quantity.count(11))
    ((55.96, 0.8), (11.0, None))
    """
    expanded = measured.at_two
    if measured.kind is Kind.COUNTED or not expanded:
        return as_number(plain_number(measured.value, 4 + finer)), None
    decimals = decimals_of(expanded) + finer
    return float(_rounded(measured.value, decimals)), float(_rounded(expanded, decimals))


def printed_coverage(measured: Quantity) -> float | None:
    """The coverage factor of the uncertainty that `value_text` prints; None where it prints none.

    >>> printed_coverage(Quantity(1.0, "mm", 0.3, 3.0)), printed_coverage(Quantity.count(11))
    (2.0, None)
    """
    if measured.kind is Kind.COUNTED or not measured.at_two:
        return None
    return 2.0 if measured.degrees is None else float(_rounded(measured.coverage, 2))


@dataclass(frozen=True, slots=True)
class Shares:
    """The words of an uncertainty: U with its coverage, and name and size of each part it was made of."""

    total: str
    parts: tuple[tuple[str, str], ...]


def shares(measured: Quantity | None, finer: int = 0) -> Shares:
    """U with its coverage and the standard uncertainties it was made of, largest first; empty where there is none.

    U has two significant digits, and `finer` more, as `value_text` prints it.

    >>> from buildbook.core.quantity import Part
    >>> shares(Quantity.combined(70.1, "um", (Part("scatter", 0.4), Part("gauge", 3.0))))
    Shares(total='U = 6.1 µm (k = 2)', parts=(('gauge', '3.0 µm'), ('scatter', '0.40 µm')))
    """
    if measured is None or not measured.at_two:
        return Shares("", ())
    unit = unit_text(measured.unit)
    factor = "k = 2"
    if measured.degrees is not None:
        freedom = "degree" if measured.degrees == 1 else "degrees"
        factor = f"k = {measured.coverage:.2f}, {measured.degrees} {freedom} of freedom"
    total = f"U = {fixed(measured.at_two, decimals_of(measured.at_two) + finer)} {unit}".rstrip() + f" ({factor})"
    largest_first = sorted(measured.parts, key=lambda part: -part.standard)
    seen = NOTHING * measured.at_two
    parts = [(it.name, f"{_two_digits(it.standard)} {unit}".rstrip()) for it in largest_first if it.standard > seen]
    return Shares(total, tuple(parts))


def uncertainty_text(measured: Quantity | None, finer: int = 0) -> str:
    """The uncertainty of a value in one line; empty where there is none.

    >>> from buildbook.core.quantity import Part
    >>> uncertainty_text(Quantity.combined(70.1, "um", (Part("scatter", 0.4), Part("gauge", 3.0))))
    'U = 6.1 µm (k = 2) from standard uncertainties: gauge 3.0 µm, scatter 0.40 µm'
    """
    made = shares(measured, finer)
    parts = ", ".join(f"{name} {size}" for name, size in made.parts)
    return f"{made.total} from standard uncertainties: {parts}" if parts else made.total


def _two_digits(value: float) -> str:
    return fixed(value, decimals_of(value))


def limit_number(value: float) -> str:
    """A limit as somebody wrote it; one that was computed (more than eight digits) to four significant digits.

    >>> limit_number(703.9125), limit_number(2.818568248)
    ('703.9125', '2.819')
    """
    exact = plain_number(value)
    return exact if sum(sign.isdigit() for sign in exact.lstrip("0.")) <= 8 else plain_number(value, 4)


def limit_text(limit: Limit | None) -> str:
    """A limit in words and numbers: `at least 50 %`, `more than 3.5 MPa`, `10 to 35 °C`, `exactly 11`."""
    if limit is None:
        return "no limit set"
    unit = unit_text(limit.unit)
    low, high = limit.low, limit.high
    if low is not None and low == high:
        text = f"exactly {limit_number(low)} {unit}"
    elif low is not None and high is not None:
        text = f"{limit_number(low)} to {limit_number(high)} {unit}"
        if limit.low_strict or limit.high_strict:
            text += ", ends excluded"
    elif low is not None:
        text = f"{'more than' if limit.low_strict else 'at least'} {limit_number(low)} {unit}"
    elif high is not None:
        text = f"{'less than' if limit.high_strict else 'at most'} {limit_number(high)} {unit}"
    else:
        return (limit.words or limit.terms[0].words).split(". ")[0].removesuffix(".").strip()
    return thousands_apart(text.strip())


def verdict_text(finding: Finding) -> str:
    """The verdict's word, with what it carries where calibration was not shown, or where it is not due yet."""
    word = finding.verdict.value
    if finding.due_later:
        return f"{word} ({NOT_DUE_YET})"
    return f"{word}, instrument calibration not shown" if finding.doubted else word


def term_text(term: Term, sources: Mapping[str, Source]) -> str:
    """Who set one term of a limit, where, and how well that is known."""
    if term.standing is Standing.BUILDER:
        place = ", ".join(part for part in (term.document, _revision(term.revision), term.clause) if part)
        return f"{SET_BY}{term.set_by}: {place}" if place else f"{SET_BY}{term.set_by}"
    source = sources.get(term.source)
    name = source_name(source) if source else term.source
    if term.standing is Standing.PRACTICE:
        return name[:1].lower() + name[1:]
    parts = [part for part in (name, term.clause) if part]
    return f"{', '.join(parts)}; {STANDINGS[term.standing]}"


def source_name(source: Source) -> str:
    """What a document is called in a line of text: its designation, else its title with the edition."""
    return source.designation or f"{source.title}{f' ({source.edition})' if source.edition else ''}"


def source_text(limit: Limit | None, sources: Mapping[str, Source]) -> str:
    """Who set a limit: all its terms, the weakest standing said."""
    if limit is None:
        return "nobody set a limit"
    texts = list(dict.fromkeys(term_text(term, sources) for term in limit.terms))
    return TERMS.join(texts)


def _revision(revision: str) -> str:
    return f"revision {revision}" if revision else ""


def subject_text(key: Key, names: Mapping[str, str]) -> str:
    """What a finding is about: quantity, place by name, condition, attempt."""
    place = names.get(key.place, "")
    parts = [key.quantity, f"{place} ({key.place})" if place else key.place, key.condition]
    if key.attempt > 1:
        parts.append(f"attempt {key.attempt}")
    return ", ".join(part for part in parts if part)


def disposition_text(disposition: str | None) -> str:
    """What a report of a nonconformity decided, in the words of this book; as the report says it where it has others.

    >>> disposition_text("use as is"), disposition_text(None)
    ('accepted as found', 'not decided')
    """
    return DISPOSITIONS.get(disposition or "", disposition or "not decided")


def counts_text(counts: Iterable[tuple[Verdict, int]], total: int, what: str = "findings") -> str:
    """Counts with their denominator, the worst first: `25 findings: 1 fail, 1 not measured, 23 pass`.

    More than four kinds stand in two sentences, what did not go wrong in the second.
    """
    counts = sorted(counts, key=lambda count: WORST_FIRST.index(count[0]))
    parts = [f"{number} {verdict.value}" for verdict, number in counts if number]
    if not total:
        return f"no {what}"
    name = what[:-1] if total == 1 and what.endswith("s") else what
    wrong = sum(1 for verdict, number in counts if number and verdict.rank >= Verdict.INCONCLUSIVE.rank)
    if len(parts) > FEW and 0 < wrong < len(parts):
        return f"{total} {name}: {', '.join(parts[:wrong])}. The others: {', '.join(parts[wrong:])}"
    return f"{total} {name}: {', '.join(parts)}"


def moment(value: datetime) -> str:
    """A date and time as ISO 8601 writes them, without seconds."""
    return value.strftime("%Y-%m-%d %H:%M")


def period_text(period: Period | None) -> str:
    """From when to when, or nothing; of days that have no hour, the days alone."""
    if period is None:
        return ""
    start, end = moment(period.start), moment(period.end)
    if period.start.time() == period.end.time() == time():  # days without an hour
        start, end = start[:10], end[:10]
    if start == end:
        return start
    return f"{start} to {end[11:]}" if start[:10] == end[:10] else f"{start} to {end}"


def listed(words: Iterable[str], last: str = "and") -> str:
    """Words as a list in a sentence: `a, b and c`."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"
