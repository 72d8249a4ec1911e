"""VIB-03: whether a record is good enough to speak from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.subjects import absent, planned_places
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.rules import rule, rule_term
from buildbook.chapters.vibration.subjects import NO_RECORD, Analysed, analysed, condition_of, of_lost_records
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.wording import plain_number

GOOD = "quality of the record"
RULES = ("least length", "lengths alike", "least rate", "equal samples at an end", "still", "field check")


def records_good(evidence: Evidence) -> Iterable[Finding]:
    """VIB-03: of every record its length, rate, ends, stretches without a signal, seating and field check."""
    for row in evidence.of(VibrationRecord):
        yield from _record(evidence, row)
    yield from of_lost_records(evidence, "VIB-03", GOOD, wanted=lambda _: _wanted())
    measured = evidence.values(VibrationRecord, "position")
    for place in planned_places(evidence, "VIB-03", VibrationRecord.table.file):
        if place not in measured:
            words = "Planned, and no record was made here."
            yield absent(evidence, VibrationRecord, Key("VIB-03", GOOD, place), Verdict.NOT_MEASURED, words)
    if VibrationRecord in evidence.missing:
        yield absent(evidence, VibrationRecord, Key("VIB-03", GOOD), Verdict.NO_RECORD, "No record was made.")


def _wanted() -> Limits:
    """All the rules together; each of them stands once below the findings, with its figure and who set it."""
    words = "sound in each of six ways: length, length beside others, rate, ends, signal, field check"
    return Limits(Limit("1", tuple(rule_term(name) for name in RULES), words=words))


def _record(evidence: Evidence, row: VibrationRecord) -> Iterable[Finding]:
    key = Key("VIB-03", GOOD, row.position, f"{row.record}, {condition_of(evidence, row)}", row.attempt)
    about = About(method=f"{row.file}, channel {row.channel}", period=Period(row.at, row.at), at=(row.where,))
    found = analysed(evidence, row)
    if found is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_RECORD, about, _wanted())
        return
    wrong, silent = faults_of(found), not_on_record(row)
    about = replace(
        about,
        method=f"{about.method}; {row.mounting or 'seating not on record'}",
        instruments=(row.instrument,),
        working=(_shown(found),),
        notes=(*wrong, *silent),
    )
    if not wrong and silent:
        yield unjudged(key, Verdict.NO_RECORD, " ".join(silent), replace(about, notes=()), _wanted())
        return
    observed = f"{plain_number(found.signal.duration, 3)} s at {plain_number(found.signal.rate, 6)} samples a second"
    yield from judge_fact(key, not wrong, observed, _wanted(), about)


def _shown(found: Analysed) -> str:
    survey, unit = found.survey, found.signal.unit
    return (
        f"{found.signal.length} samples from {survey.least:.4g} to {survey.most:.4g} {unit}, mean {survey.mean:.4g} "
        f"{unit}; at most {survey.at_an_end} equal at an end, {survey.still} equal in a row"
    )


def faults_of(found: Analysed) -> tuple[str, ...]:
    """What is wrong with a record itself; nothing better than inconclusive is said of a level that rests on it."""
    signal, survey = found.signal, found.survey
    wrong = []
    least = rule("least length when slow") if much_below(found) else rule("least length")
    if signal.duration < least:
        slow = f", since much of it lies below {rule('slow'):g} Hz" if least > rule("least length") else ""
        wrong.append(f"It lasts {signal.duration:.3g} s; {least:g} s are asked for{slow}.")
    wrong += found.against
    if signal.rate < rule("least rate"):
        wrong.append(f"{signal.rate:g} samples a second; {rule('least rate'):g} are asked for.")
    if survey.most == survey.least:
        wrong.append("It is the same value from end to end.")
    elif survey.at_an_end > rule("equal samples at an end"):
        wrong.append(f"{survey.at_an_end} equal samples in a row at an end: it was clipped.")
    elif survey.still > max(rule("still") * signal.rate, rule("equal samples at an end")):
        wrong.append(f"It stands still for {survey.still / signal.rate:.2g} s: the sensor was lost.")
    for name, off in (("before", found.row.checked_before), ("after", found.row.checked_after)):
        if off is not None and abs(off) > rule("field check"):
            wrong.append(f"The field check {name} was off by {off:g} %; {rule('field check'):g} % are allowed.")
    return tuple(wrong)


def faults_of_all(found: Sequence[Analysed]) -> tuple[str, ...]:
    """What is wrong with several records, each by its number where there are several."""
    named = ((f"Record {one.row.record}: " if len(found) > 1 else "", one) for one in found)
    return tuple(f"{name}{words}" for name, one in named for words in faults_of(one))


def much_below(found: Analysed) -> bool:
    """Whether much of the weighted mean square lies at low frequencies, so that a minute is too short."""
    whole = found.spectrum.mean_square(found.weight)
    below = found.spectrum.between(0.0, rule("slow"), found.weight)
    return whole > 0 and 100.0 * below > rule("much below") * whole


def not_on_record(row: VibrationRecord) -> tuple[str, ...]:
    """What the row does not say about how the record was made."""
    silent = []
    if not row.mounting:
        silent.append("How the sensor was held to the deck is not recorded.")
    if row.checked_before is None or row.checked_after is None:
        silent.append("A field check before and after is not recorded.")
    return tuple(silent)
