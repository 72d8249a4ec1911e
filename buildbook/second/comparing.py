"""From the two folders to the comparison: match, compare, count."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from buildbook import __version__
from buildbook.chapters import CHECKS
from buildbook.chapters.shared_records import Instrument
from buildbook.core.decide import (
    agreeing,
    difference_that_matters,
    too_coarse_to_tell,
)
from buildbook.core.finding import WORST_FIRST, Finding
from buildbook.core.quantity import Kind
from buildbook.core.wording import limit_text, source_text
from buildbook.formulas.conformance import en_number
from buildbook.pipeline import rows_lost
from buildbook.second import said
from buildbook.second.alike import differences, of_another_limit, of_another_whole
from buildbook.second.comparison import Allowed, Comparison, Count, Drawn, Lone, Met, Outcome, Pair, Side, Subject
from buildbook.second.instrument_rows import rows_not_read
from buildbook.second.lost_rows import may_belong
from buildbook.second.matching import About, as_left, in_scope, run_of
from buildbook.second.one_by_one import Match, Matching
from buildbook.second.reading import Party
from buildbook.second.sides import both_sides, one_side
from buildbook.second.within_range import beyond_range
from buildbook.sources import all_sources

ORDER = tuple(Outcome)
NO_SERIAL = ("", "na", "nil", "none", "unknown")  # what is written where an instrument has no number to read
BY_ID = {check.id: check for check in CHECKS}
COMPARED = (Outcome.AGREE, Outcome.DO_NOT_AGREE, Outcome.NO_UNCERTAINTY)
# Two readings that do not agree lie further apart than their joint U: where that is larger than what matters, a
# difference that matters was found.
NOTHING_FOUND = (Outcome.AGREE, Outcome.NO_UNCERTAINTY)


@dataclass(frozen=True, slots=True)
class Compared:
    """The comparison, for each pair what its picture is drawn from, by number, and the list of the survey's files."""

    comparison: Comparison
    drawn: Mapping[int, Drawn]
    survey_sums: bytes = b""


def compare(first: Party, second: Party, otherwise: Sequence[str] = ()) -> Compared:
    """Set the surveyor's readings beside the yard's.

    Args:
        first: the yard's folder, read and judged.
        second: the surveyor's.
        otherwise: ids of places that the two folders describe differently.

    Returns:
        Every pair with its outcome, what only one side has, and counts; nothing in it says who is right.
    """
    yard, his = as_left(first.findings), as_left(second.findings)
    scope = in_scope(yard, his)
    matches = tuple(Matching(first, second).matches(yard, his))
    made = [one for match in matches for one in _beside_each_other(match, otherwise)]
    made.sort(key=lambda one: _order(*one))
    pairs = [replace(pair, number=number) for number, (pair, _) in enumerate(made, 1)]
    alone = [match for match in matches if match.his is None]
    only_yard = [match for match in alone if match.about.check in scope]
    only_his = [match for match in matches if match.yard is None]
    elsewhere = sum(len(match.yard.last) for match in alone if match.yard and match.about.check not in scope)
    drawn = {number: two for number, (_, two) in enumerate(made, 1)}
    comparison = _comparison(first, second, pairs, drawn, _lone(only_his), _lone(only_yard), elsewhere)
    return Compared(comparison, drawn, second.sums)


def _beside_each_other(match: Match, otherwise: Sequence[str]) -> Iterator[tuple[Pair, Drawn]]:
    """Every run of the surveyor beside every run of the yard: to choose among them would be to choose the outcome."""
    ours, theirs, first = match.yard, match.his, match.first
    if ours is None or theirs is None:
        return
    number = len(ours.last) * len(theirs.last)
    before = (
        *match.notes,
        *said.earlier("yard", _told(ours.earlier, first, surveyor=False)),
        *said.earlier("surveyor", _his_earlier(match, ours.last[0], theirs.earlier)),
    )
    for his, yard in product(theirs.last, ours.last):
        pair = _pair(match, yard, his, otherwise)
        notes = (*pair.notes, *said.one_of(number, run_of(his), run_of(yard)), *before)
        yield replace(pair, notes=notes), Drawn(yard, his)


def _his_earlier(match: Match, yard: Finding, earlier: Iterable[Finding]) -> list[Side]:
    """His earlier attempts; one of another thing than the limit is about is not judged by it."""
    made = []
    for his in earlier:
        another = of_another_limit(yard, his, match.first, match.second)
        made.append(both_sides(yard, his, match.first, match.second, apart=True, another=bool(another))[1])
    return made


def _told(findings: Iterable[Finding], party: Party, *, surveyor: bool) -> list[Side]:
    return [one_side(finding, party, surveyor=surveyor) for finding in findings]


def _comparison(
    first: Party,
    second: Party,
    all_pairs: Sequence[Pair],
    drawn: Mapping[int, Drawn],
    only_his: tuple[Lone, ...],
    only_yard: tuple[Lone, ...],
    elsewhere: int,
) -> Comparison:
    hull, survey = first.evidence.hull, second.evidence.hull
    pairs = tuple(pair for pair in all_pairs if not _in_words(drawn[pair.number]))
    in_words = tuple(pair for pair in all_pairs if _in_words(drawn[pair.number]))
    return Comparison(
        version=__version__,
        hull_name=hull.name,
        hull_number=hull.number,
        demonstration=hull.label,
        yard_as_of=said.day(hull.as_of),
        survey_as_of=said.day(survey.as_of),
        yard_digest=first.digest,
        yard_book_refused=first.refused,
        survey_digest=second.digest,
        delivered=said.day(hull.date_of("delivered")),
        launched=said.day(hull.date_of("launched")),
        time=said.time_of_all(pairs, hull.date_of("delivered")),
        pairs=pairs,
        in_words=in_words,
        surveyor_only=only_his,
        yard_only=only_yard,
        yard_elsewhere=elsewhere,
        counts=_counts(pairs, in_words),
        matrix=_matrix(pairs),
        filled=tuple(Count(title, number, of) for title, number, of in second.filled),
        faults=tuple(str(fault).strip() for fault in second.faults),
        limitations=said.LIMITATIONS,
    )


def _pair(match: Match, yard: Finding, his: Finding, otherwise: Sequence[str]) -> Pair:
    """One reading of both sides; its number comes later."""
    first, second = match.first, match.second
    lost = (*_unread(yard, "yard", first), *_unread(his, "surveyor", second))
    beyond = (*beyond_range(yard, "yard", first), *beyond_range(his, "surveyor", second))
    why = (*differences(yard, his, first, second, otherwise), *lost, *beyond)
    ours, theirs = yard.measured, his.measured
    same_unit = ours is not None and theirs is not None and ours.unit == theirs.unit
    difference = theirs.value - ours.value if ours and theirs and same_unit else None
    joint, en = _en(yard, his) if same_unit else (None, None)
    outcome, reasons = _outcome(why, yard, his, en, (first, second))
    limit = yard.limit if yard.limit is not None and not yard.limit.in_words else None
    matters = difference_that_matters(limit, yard.margin) if same_unit else None
    apart, another = outcome is Outcome.NOT_COMPARABLE, of_another_limit(yard, his, first, second)
    ours_side, his_side = both_sides(yard, his, first, second, apart=apart, another=bool(another))
    between, since = said.days(yard, his, first.evidence.hull.date_of("delivered"))
    return Pair(
        number=0,
        subject=_subject(match.about, first),
        surveyor=his_side,
        yard=ours_side,
        limit=_allowed(yard),
        one_limit=not another and _one_limit(yard, his),
        outcome=outcome,
        both_outside=ours_side.verdict.missed and his_side.verdict.missed and not of_another_whole(yard, his),
        why=reasons,
        difference=difference,
        joint=joint,
        en=en if outcome in (Outcome.AGREE, Outcome.DO_NOT_AGREE) else None,
        matters=matters,
        too_coarse=outcome in NOTHING_FOUND and too_coarse_to_tell(_known(yard, his), matters),
        without_limit=said.without_limit(joint, yard) if limit is None and outcome is Outcome.AGREE else "",
        same_instruments=_same_instruments(yard, his, first, second),
        claims=said.NOT_ITS_LIMIT if another else said.EACH_ALONE if apart else said.claims(ours_side, his_side),
        days_between=between,
        days_since_delivery=since,
        time=said.time_of_one(between, since),
        notes=said.notes(yard, None if another else his),
    )


def _one_limit(yard: Finding, his: Finding) -> bool:
    ends = [(it.limit.low, it.limit.high) for it in (yard, his) if it.limit is not None]
    return len(set(ends)) < 2


def _en(yard: Finding, his: Finding) -> tuple[float | None, float | None]:
    """The joint U, of about 95 %, and the En number; None where a U is missing or both are zero."""
    ours, theirs = yard.measured, his.measured
    if ours is None or theirs is None or ours.at_two is None or theirs.at_two is None:
        return None, None
    joint = (ours.at_two**2 + theirs.at_two**2) ** 0.5
    if joint == 0.0:
        return None, None
    return joint, en_number(theirs.value, ours.value, theirs.at_two, ours.at_two)


def _known(yard: Finding, his: Finding) -> float:
    """The joint U, of about 95 %, of what was stated; where one side stated none the true one is no smaller."""
    return math.hypot(*(it.measured.at_two or 0.0 for it in (yard, his) if it.measured is not None))


def _outcome(
    why: tuple[str, ...], yard: Finding, his: Finding, en: float | None, parties: tuple[Party, Party]
) -> tuple[Outcome, tuple[str, ...]]:
    if why:
        return Outcome.NOT_COMPARABLE, why
    silent = tuple(
        said.no_uncertainty(
            f"the {who}",
            [id_ for id_ in it.instruments if id_ in party.without_factor],
            rows_not_read(it.instruments, party),
        )
        for who, it, party in (("yard", yard, parties[0]), ("surveyor", his, parties[1]))
        if it.measured and it.measured.at_two is None
    )
    if silent:
        return Outcome.NO_UNCERTAINTY, silent
    if en is None:
        return Outcome.NOT_COMPARABLE, ("both state an uncertainty of zero, so that nothing can be set against it",)
    return (Outcome.AGREE, ()) if agreeing(en) else (Outcome.DO_NOT_AGREE, ())


def _unread(finding: Finding, who: str, party: Party) -> tuple[str, ...]:
    """Why a series is not whole: rows that may belong to it and could not be used."""
    lost = rows_lost(party.evidence, BY_ID[finding.key.check], finding, may_belong)
    return tuple(f"{reason.rstrip('.')} ({who})" for reason in lost)


def _same_instruments(yard: Finding, his: Finding, first: Party, second: Party) -> tuple[str, ...]:
    """Instruments that both used: the same serial number, or the same id where a serial number is lacking."""
    found = []
    for id_, other in product(his.instruments, yard.instruments):
        theirs = _serials(second.evidence.of(Instrument, instrument=id_))
        ours = _serials(first.evidence.of(Instrument, instrument=other))
        if ours and theirs:
            found += [said.shared_instrument(id_, theirs[one]) for one in theirs if one in ours]
        elif id_.casefold() == other.casefold():
            found.append(said.shared_instrument(id_, None))
    return tuple(dict.fromkeys(found))


def _serials(rows: Iterable[Instrument]) -> dict[str, str]:
    """The serial numbers of an instrument, as they compare and as written; words for none are none."""
    written = (row.serial for row in rows if row.serial and _serial(row.serial) not in NO_SERIAL)
    return {_serial(serial): serial for serial in written}


def _serial(text: str) -> str:
    """A serial number however it is spelled.

    >>> _serial("31-0086") == _serial("SN 31 0086")
    True
    """
    return re.sub(r"[^a-z0-9]", "", re.sub(r"^\s*(s/?n|ser(ial)?|no)[\s.:]+", "", text.casefold()))


def _subject(key: About, party: Party) -> Subject:
    return Subject(key.check, key.quantity, key.place, said.place_words(key.place, party.evidence), key.condition)


def _allowed(finding: Finding) -> Allowed | None:
    limit = finding.limit
    if limit is None:
        return None
    return Allowed(limit.low, limit.high, limit.unit, limit_text(limit), source_text(limit, all_sources()))


def _lone(alone: Iterable[Match]) -> tuple[Lone, ...]:
    """A line for every run of the last attempt, a miss first; the first line of a thing names its earlier attempts."""
    made = []
    for match in alone:
        surveyor = match.yard is None
        readings, party = (match.his, match.second) if surveyor else (match.yard, match.first)
        if readings is None:
            continue
        told = said.earlier("surveyor" if surveyor else "yard", _told(readings.earlier, party, surveyor=surveyor))
        before = (*match.notes, *told)
        for finding in readings.last:
            side, notes = one_side(finding, party, surveyor=surveyor), before if finding is readings.last[0] else ()
            made.append((finding, Lone(_subject(match.about, party), side, limit_text(finding.limit), notes)))
    made.sort(key=lambda one: -one[0].verdict.rank)
    return tuple(line for _, line in made)


def _in_words(two: Drawn) -> bool:
    """Whether a pair is no measurement: stated in words, or counted, on at least one side."""
    sides = (two.yard.measured, two.surveyor.measured)
    return any(measured is None or measured.kind is Kind.COUNTED for measured in sides)


def _order(pair: Pair, two: Drawn) -> tuple[object, ...]:
    """Measurements before words; what does not agree first; what agrees and shows little before what shows more.

    Among equals what misses a limit by either side's rule comes first.
    """
    worst = max(pair.yard.verdict.rank, pair.surveyor.verdict.rank)
    subject = pair.subject
    key = (
        subject.check,
        subject.place,
        subject.condition,
        subject.quantity,
        pair.surveyor.condition,
        pair.yard.condition,
    )
    return (_in_words(two), ORDER.index(pair.outcome), not pair.too_coarse, -worst, *key)


def _counts(pairs: Sequence[Pair], in_words: Sequence[Pair]) -> tuple[Count, ...]:
    total, limited = len(pairs), [pair for pair in (*pairs, *in_words) if pair.limit]
    made = [Count(outcome.value, sum(pair.outcome is outcome for pair in pairs), total) for outcome in ORDER]
    compared = sum(pair.outcome in COMPARED for pair in pairs)
    made.append(Count(said.TOO_COARSE, sum(pair.too_coarse for pair in pairs), compared))
    made.append(Count(said.SHARED, sum(bool(pair.same_instruments) for pair in pairs), total))
    bare = sum(bool(pair.yard.calibration or pair.surveyor.calibration) for pair in pairs)
    made.append(Count(said.NOT_CALIBRATED, bare, total))
    made.append(Count(said.BOTH_OUTSIDE, sum(pair.both_outside for pair in limited), len(limited)))
    return tuple(made)


def _matrix(pairs: Iterable[Pair]) -> tuple[Met, ...]:
    """Verdict of the yard against that of the surveyor where both are about one thing with a limit, the worst first."""
    comparable = [it for it in pairs if it.outcome is not Outcome.NOT_COMPARABLE and it.yard.shows is not None]
    counted = Counter((it.yard.verdict, it.surveyor.verdict) for it in comparable)
    order = sorted(counted, key=lambda both: (WORST_FIRST.index(both[0]), WORST_FIRST.index(both[1])))
    return tuple(Met(yard, his, counted[(yard, his)]) for yard, his in order)
