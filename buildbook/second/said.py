"""The words of a comparison. They tell what two readings show beside each other, never whose is nearer to the truth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.evidence import Evidence
from buildbook.core.finding import WORST_FIRST, Finding, Verdict
from buildbook.core.wording import MINUS, capital, decimals_of, fixed, listed, plain_number, unit_text
from buildbook.second.comparison import Lone, Outcome, Pair, Side, Stated

TOO_COARSE = "this comparison could not have found a difference that matters"
ONLY = {"surveyor": "only the surveyor has a reading", "yard": "only the yard has a reading"}
SHARED = "both used the same instrument"
NOT_CALIBRATED = "no valid calibration shown for the day of the reading, on one side or on both"
BOTH_OUTSIDE = "both sides read her outside a limit, of all with a limit, those in words or counted too"
LIMITATIONS = (
    "This comparison sets two measurements beside each other. It does not say who is right.",
    "Two readings that agree can both be off in the same way, most of all with one instrument or one standard.",
    "It is no survey, no certificate and no valuation. A reading says something about its place and its day.",
    "Hours run and miles sailed since delivery are not in these records; only days are.",
)
NO_LIMIT_SAYS = "Readings up to {apart} apart would have agreed too, and no limit says which difference matters."
MOST_DECIMALS = 15  # of an En number: more digits no number has in it
EACH_ALONE = "Each verdict speaks of its own reading alone."
NOT_ITS_LIMIT = "The limit is about what the yard read. The surveyor read another thing, which is not judged by it."
SAME_DAY = "on the same day"
# Outcomes of which nothing says how far apart the two readings are, with what is said of such a pair.
CANNOT = {Outcome.NOT_COMPARABLE: "that cannot be compared", Outcome.NO_UNCERTAINTY: "with no uncertainty given"}
# Whether the surveyor's reading misses the limit, and the yard's.
WHO_MISSES = {"the surveyor": (True, False), "the yard": (False, True), "each side": (True, True)}
# Whether the yard's reading shows that the limit is met, and the surveyor's that it is missed.
CLAIMS = {
    (True, True): "The yard’s reading shows that the limit is met; the surveyor’s shows that it is missed.",
    (True, False): "The yard’s reading shows that the limit is met; the surveyor’s does not show that it is missed.",
    (False, True): "The yard’s reading does not show that the limit is met; the surveyor’s shows that it is missed.",
    (False, False): "Neither can show his claim: the yard not that it is met, the surveyor not that it is missed.",
}
# The same, where the surveyor's number lies outside and nobody knows how sure it is.
OUTSIDE_UNSURE = {
    shows: f"The yard’s reading {words} that the limit is met. The surveyor’s number lies outside the limit, so it is "
    "called a fail. No uncertainty is given with it, so it does not show that the limit is missed."
    for shows, words in ((True, "shows"), (False, "does not show"))
}


def day(value: date | None) -> str:
    """A date as ISO 8601 writes it, empty where there is none."""
    return value.isoformat() if value else ""


def claims(yard: Side, his: Side) -> str:
    """What each verdict shows, by the rule for its own claim."""
    if yard.shows is None or his.shows is None:
        return "No limit to judge a number by."
    if his.verdict is Verdict.FAIL and not his.shows:
        return OUTSIDE_UNSURE[yard.shows]
    return CLAIMS[(yard.shows, his.shows)]


def days(yard: Finding, his: Finding, delivered: date | None) -> tuple[int | None, int | None]:
    """Days from the yard's last reading to the surveyor's first, and from delivery to the surveyor's first."""
    if his.period is None:
        return None, None
    first = his.period.start.date()
    between = (first - yard.period.end.date()).days if yard.period else None
    return between, (first - delivered).days if delivered else None


def time_of_one(between: int | None, since: int | None) -> str:
    """The days of one pair in words."""
    parts = []
    if between is not None:
        parts.append(_between(between))
    if since is not None:
        parts.append(f"{_days(since)} after delivery" if since >= 0 else f"{_days(-since)} before delivery")
    return ", ".join(parts) or "no dates on record"


def time_of_all(pairs: Sequence[Pair], delivered: date | None) -> str:
    """What lies between the two measurements, over all pairs."""
    between = [pair.days_between for pair in pairs if pair.days_between is not None]
    since = [pair.days_since_delivery for pair in pairs if pair.days_since_delivery is not None]
    if not between:
        return "No dates tell how much time lies between the readings of the two sides."
    text = f"The surveyor read {_span(between, 'the yard')}"
    if delivered is None or not since:
        return f"{text}; the folder does not say when she was delivered."
    since_then = _span(since, f"she was delivered on {delivered.isoformat()}")
    return f"{text}, and {since_then}. What happened to her in that time is not in either folder."


def _span(numbers: Sequence[int], event: str) -> str:
    """From the least to the most days after an event; a number below 0 is before it.

    >>> _span([-40, 3], "the yard"), _span([-3, -40], "the yard")
    ('40 days before to 3 days after the yard', '3 to 40 days before the yard')
    """
    least, most = min(numbers), max(numbers)
    if least < 0 < most:
        return f"{_days(-least)} before to {_days(most)} after {event}"
    side, near, far = ("before", -most, -least) if least < 0 else ("after", least, most)
    days = _days(near) if near == far else f"{plain_number(near)} to {_days(far)}"
    return f"{days} {side} {event}"


def _between(between: int) -> str:
    if between == 0:
        return SAME_DAY
    return f"{_days(between)} after the yard" if between > 0 else f"{_days(-between)} before the yard"


def _days(number: int) -> str:
    return f"{plain_number(number)} day" if number == 1 else f"{plain_number(number)} days"


def pairs_text(pairs: Sequence[Pair]) -> str:
    """How many pairs there are, and of how many things."""
    things = len({pair.subject for pair in pairs})
    text = f"{plain_number(len(pairs))} {'pair' if len(pairs) == 1 else 'pairs'} of measurements"
    if len(pairs) == things:
        return f"{text}: what both sides measured."
    runs = "A setting that was read in several runs makes a pair of each run with each."
    return f"{text}, of {plain_number(things)} {'thing' if things == 1 else 'things'} that both sides measured. {runs}"


def outside_text(pairs: Sequence[Pair]) -> str:
    """The sentence over the readings that lie outside their limit on both sides, or that there is none."""
    limited = [pair for pair in pairs if pair.limit]
    outside = sum(pair.both_outside for pair in limited)
    if not limited:
        return "No limit is set for anything that both sides read."
    of = f"{plain_number(outside)} of {plain_number(len(limited))} with a limit"
    if not outside:
        return f"Outside the limit by the readings of both sides: {of}."
    return f"Outside the limit by the readings of both sides, {of}:"


def outside_apart(pairs: Iterable[Pair]) -> list[Pair]:
    """The pairs in which a side reads outside the limit and that nothing can be set against; the surveyor's first.

    They cannot be compared, or no uncertainty is given. What misses a limit by both readings stands in a list before.
    """
    apart = (pair for pair in pairs if pair.limit and pair.outcome in CANNOT and not pair.both_outside)
    found = [pair for pair in apart if pair.surveyor.verdict.missed or pair.yard.verdict.missed]
    return sorted(found, key=lambda pair: not pair.surveyor.verdict.missed)


def outside_apart_text(pairs: Iterable[Pair]) -> str:
    """The sentence over what one side reads outside the limit and nothing can be set against; empty where none."""
    found = outside_apart(pairs)
    told = []
    for who, sides in WHO_MISSES.items():
        of = [pair for pair in found if (pair.surveyor.verdict.missed, pair.yard.verdict.missed) == sides]
        numbers = [(sum(pair.outcome is outcome for pair in of), words) for outcome, words in CANNOT.items()]
        where = [f"in {_pairs(number)} {words}" for number, words in numbers if number]
        told += [f"{who} reads outside the limit {listed(where)}"] if where else []
    return f"{capital(', '.join(told))}:" if told else ""


def disagreement_text(pairs: Sequence[Pair]) -> str:
    """The sentence over what does not agree, or that nothing is there to name."""
    several = sum(pair.outcome is Outcome.DO_NOT_AGREE for pair in pairs)
    compared = several + sum(pair.outcome is Outcome.AGREE for pair in pairs)
    if not compared:
        return "No two readings could be set against their uncertainties, so nothing is said to agree or not."
    if not several:
        return f"Of {_pairs(compared)} that could be set against their uncertainties, none disagrees."
    return "This reading of the two sides does not agree:" if several == 1 else "These readings do not agree:"


def agreement_text(pairs: Sequence[Pair]) -> str:
    """How many agree, and in how many of these that shows little; empty where none does."""
    agree = [pair for pair in pairs if pair.outcome is Outcome.AGREE]
    compared = len(agree) + sum(pair.outcome is Outcome.DO_NOT_AGREE for pair in pairs)
    if not agree:
        return ""
    text = f"{plain_number(len(agree))} of {_pairs(compared)} that could be set against their uncertainties"
    text = f"{text} {'agrees' if len(agree) == 1 else 'agree'}."
    coarse = sum(pair.too_coarse for pair in agree)
    if not coarse:
        return text
    shown = f"In {plain_number(coarse)} of these that shows little"
    return f"{text} {shown}: a difference that matters could not have been found."


def more_text(left: int) -> str:
    """How many more do not agree than are named; empty where none."""
    return f"{plain_number(left)} more {'does' if left == 1 else 'do'} not agree." if left else ""


def more_outside_text(left: int) -> str:
    """How many more lie outside and have nothing to be set against than are named; empty where none."""
    return f"{plain_number(left)} more of these." if left else ""


def _pairs(number: int) -> str:
    return "1 pair" if number == 1 else f"{plain_number(number)} pairs"


def without_limit(joint: float | None, yard: Finding) -> str:
    """Up to which difference two readings would have agreed, where no limit says what matters."""
    if not joint or yard.measured is None:
        return ""
    return NO_LIMIT_SAYS.format(apart=_uncertainty(joint, yard.measured.unit))


def _uncertainty(joint: float, unit: str) -> str:
    return f"{fixed(joint, decimals_of(joint))} {unit_text(unit)}".strip()


def verdicts_text(lines: Iterable[Lone]) -> str:
    """How many readings have each verdict, the worst first: `1 fail, 3 pass`."""
    counted = Counter(line.side.verdict for line in lines)
    return ", ".join(
        f"{plain_number(counted[verdict])} {verdict.value}" for verdict in WORST_FIRST if verdict in counted
    )


def no_uncertainty(who: str, without_factor: Sequence[str], unread: Sequence[str] = ()) -> str:
    """Who gave no uncertainty; with the instruments that have one without its coverage factor, or one not to be read.

    >>> no_uncertainty("the surveyor", ["SV-1"])
    'by the surveyor (SV-1: U without its coverage factor k)'
    >>> no_uncertainty("the yard", [], ["instruments.csv:2, column 'uncertainty': expected a number; found '8;5'"])
    "by the yard that could be read (instruments.csv:2, column 'uncertainty': expected a number; found '8;5')"
    """
    if unread:
        return f"by {who} that could be read ({'; '.join(unread)})"
    if not without_factor:
        return f"by {who}"
    return f"by {who} ({', '.join(without_factor)}: U without its coverage factor k)"


def notes(yard: Finding, his: Finding | None) -> tuple[str, ...]:
    """What else has to be known to read a pair; None for a side that is not judged."""
    made = []
    for who, finding in (("yard", yard), ("surveyor", his)):
        if finding is not None and finding.verdict is Verdict.INCONCLUSIVE and finding.notes:
            made.append(f"Inconclusive for the {who}: {finding.notes[-1]}")
    return tuple(made)


def one_of(number: int, his: str, yard: str) -> tuple[str, ...]:
    """Which runs a pair is about, where one setting was read in several."""
    if number < 2:
        return ()
    these = f"{his or 'the reading'} of the surveyor beside {yard or 'the reading'} of the yard"
    return (f"One of {plain_number(number)} pairs on this, each run beside each: {these}.",)


def earlier(who: str, sides: Sequence[Side]) -> tuple[str, ...]:
    """The attempts before the last one: each was read, and none is compared."""
    return (f"Earlier, by the {who}, not compared: {_named(sides)}.",) if sides else ()


def _named(sides: Sequence[Side]) -> str:
    return "; ".join(f"{_which(side)}: {side.text}, {side.verdict.value}" for side in sides)


def _which(side: Side) -> str:
    return ", ".join(part for part in (side.condition, f"attempt {plain_number(side.attempt)}") if part)


def instrument(id_: str, rows: Iterable[Instrument]) -> str:
    """An instrument by id, type and serial number."""
    row = next(iter(rows), None)
    if row is None:
        return id_
    return f"{id_}, {row.type}, serial {row.serial}" if row.serial else f"{id_}, {row.type}, no serial number"


def resolution(row: Stated) -> str:
    """The smallest step of an instrument, with what it is of: `SV-1, gloss: 0.1 GU`."""
    return f"{row.instrument}, {row.quantity}: {plain_number(row.resolution or 0.0)} {row.unit}"


def certificate(row: Stated) -> str:
    """What a certificate states, in the unit of its row: `SV-1, gloss: U = 1.8 GU, k = 3`."""
    factor = "k not stated" if row.coverage is None else f"k = {plain_number(row.coverage)}"
    return f"{row.instrument}, {row.quantity}: U = {plain_number(row.uncertainty or 0.0)} {row.unit}, {factor}"


def shared_instrument(id_: str, serial: str | None) -> str:
    """That both used one instrument, and what follows."""
    name = f"{id_}, serial {serial}" if serial else f"{id_}, perhaps: it has no serial number to tell"
    return f"Same instrument on both sides ({name}): the readings are correlated, and the En number is too small."


def place_words(place: str, evidence: Evidence) -> str:
    """The name of a place, empty where the table has none."""
    row = evidence.one(Place, place=place) if place else None
    return row.name if row else ""


def en_text(pair: Pair) -> str:
    """The En number with two decimals and its sign; |En| above 1 is printed with as many as tell it from 1."""
    if pair.en is None:
        return ""
    text = fixed(pair.en, 2)
    decimals = 4
    while pair.outcome is Outcome.DO_NOT_AGREE and _is_one(text) and decimals <= MOST_DECIMALS:
        text, decimals = fixed(pair.en, decimals), decimals + 1
    return signed(text)


def _is_one(text: str) -> bool:
    return float(text.replace(MINUS, "")) == 1.0


def signed(number: str) -> str:
    """A printed number with its sign; nothing of zero, nor of what was rounded to it.

    >>> signed("1.03"), signed("0.00"), signed("−1.16")
    ('+1.03', '0.00', '−1.16')
    """
    return f"+{number}" if number.strip("0.") and not number.startswith(MINUS) else number


def heading(outcome: Outcome) -> str:
    """The heading over all pairs of one outcome."""
    return capital(outcome.value)


def outcome_text(pair: Pair) -> str:
    """The outcome with its reasons: `not comparable: load …`."""
    if not pair.why:
        return pair.outcome.value
    if pair.outcome is Outcome.NO_UNCERTAINTY:
        return f"{pair.outcome.value} {' and '.join(pair.why)}"
    return f"{pair.outcome.value}: {'; '.join(pair.why)}"


def alternative(pair: Pair) -> str:
    """The whole pair in one line, as the text alternative of its picture."""
    subject = subject_text(pair)
    limit = pair.limit.words if pair.limit else "no limit set"
    return f"{subject}: surveyor {pair.surveyor.text}, yard {pair.yard.text}; {limit}: {outcome_text(pair)}"


def subject_text(pair: Pair) -> str:
    """What a pair is about, in a line."""
    it = pair.subject
    place = f"{it.place_words} ({it.place})" if it.place_words else it.place
    return ", ".join(part for part in (it.quantity, place, it.condition) if part)
