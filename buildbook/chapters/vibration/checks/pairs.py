"""VIB-08 and VIB-09: one side against the other, and before against after; ratios of weighted levels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.shared_records import Nonconformity, Place
from buildbook.chapters.subjects import absent, place_name
from buildbook.chapters.vibration.checks.comfort import weighted
from buildbook.chapters.vibration.checks.machines import broadband
from buildbook.chapters.vibration.checks.quality import faults_of_all
from buildbook.chapters.vibration.checks.tones import about_of
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.chapters.vibration.rules import rule, rule_term
from buildbook.chapters.vibration.subjects import (
    NO_RECORD,
    Analysed,
    analysed,
    chain,
    condition_of,
    of_lost_records,
    on_a_machine,
    position_of,
    run_of,
)
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed

SIDES, CHANGE = "vibration ratio port to starboard", "vibration ratio after to before"
UNIT = "mm/s"
NO_PAIR = "No direction was measured on both sides in one run."
NO_MIRROR = "No position names the one that mirrors it on the other side."
NOT_AGAIN = "Nothing was measured a second time."
LOST = "A record of the other side cannot be read, so a later one may be missing here."
ONE_WAY = "The two positions do not name each other as mirrors."
INDEPENDENT = "The uncertainty takes both sensors as independent, so what one chain does twice counts twice."
CHAIN_ALONE = (
    "The uncertainty is that of the measuring chain alone; course, sea, load and speed may differ between two runs."
)
NO_CHANGE = "No clear change: it lies within the uncertainty."
NOTHING_DONE = (
    "No report says that anything was changed between the two, so this is the difference of two runs and no cure."
)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two records that are set against each other, each with its name in words."""

    one: VibrationRecord
    other: VibrationRecord
    names: tuple[str, str]


# --- VIB-08 -------------------------------------------------------------------------------------------------------


def port_against_starboard(evidence: Evidence) -> Iterable[Finding]:
    """VIB-08: the weighted level on the port side over that on the starboard side, in one direction and run."""
    sides = mirrored(evidence)
    for port, starboard in sides:
        pairs = _both_sides(evidence, port, starboard)
        if not pairs:
            yield absent(evidence, VibrationRecord, Key("VIB-08", SIDES, port), Verdict.NOT_MEASURED, NO_PAIR)
        for pair in pairs:
            key = Key("VIB-08", SIDES, port, condition_of(evidence, pair.one))
            yield from _ratio(evidence, key, pair, _doubts(evidence, port, starboard))
    yield from of_lost_records(evidence, "VIB-08", SIDES, lambda gone: _has_mirror(evidence, gone.get("position")))
    if not sides:
        yield absent(evidence, Position, Key("VIB-08", SIDES), Verdict.NO_RECORD, NO_MIRROR)


def mirrored(evidence: Evidence) -> tuple[tuple[str, str], ...]:
    """The pairs of positions that mirror each other, port first; in the order of the table where that is not known."""
    found: dict[frozenset[str], tuple[str, str]] = {}
    for position in evidence.of(Position):
        if position.mirror and position.mirror != position.position:
            pair = (position.position, position.mirror)
            found.setdefault(frozenset(pair), pair if _to_port(evidence, *pair) else (pair[1], pair[0]))
    return tuple(found.values())


def _doubts(evidence: Evidence, port: str, starboard: str) -> tuple[str, ...]:
    """Why nothing better than inconclusive is said of two sides."""
    rows = (position_of(evidence, port), position_of(evidence, starboard))
    each = [row.mirror if row is not None else None for row in rows] == [starboard, port]
    lost = bool(evidence.lost(VibrationRecord, position=starboard))
    return (*((LOST,) if lost else ()), *(() if each else (ONE_WAY,)))


def _to_port(evidence: Evidence, name: str, other: str) -> bool:
    sides = [row.y if row is not None else None for row in (evidence.one(Place, place=one) for one in (name, other))]
    return sides[0] is None or sides[1] is None or sides[0] <= sides[1]


def _has_mirror(evidence: Evidence, place: str | None) -> bool:
    position = position_of(evidence, place or "")
    return position is None or position.mirror is not None


def _both_sides(evidence: Evidence, port: str, starboard: str) -> list[Pair]:
    """The last attempts on both sides in one direction and run."""
    names = (place_name(evidence, port), place_name(evidence, starboard))
    ours, theirs = ({(row.axis, row.run): row for row in _by_attempt(evidence, name)} for name in (port, starboard))
    return [Pair(row, theirs[subject], names) for subject, row in ours.items() if subject in theirs]


def _by_attempt(evidence: Evidence, position: str) -> list[VibrationRecord]:
    return sorted(evidence.of(VibrationRecord, position=position), key=lambda row: row.attempt)


# --- VIB-09 -------------------------------------------------------------------------------------------------------


def before_and_after(evidence: Evidence) -> Iterable[Finding]:
    """VIB-09: the weighted level of the last attempt over that of the first, at one position, axis and setting."""
    pairs = _again(evidence)
    for pair in pairs:
        row = pair.other
        run = run_of(evidence, row.run)
        setting = run.setting if run is not None else f"run {row.run}"
        key = Key("VIB-09", CHANGE, row.position, f"{row.axis}, {setting}", pair.one.attempt)
        yield from _ratio(evidence, key, pair, ())
    only_told = _only_told(evidence)
    yield from only_told
    if not pairs and not only_told:
        yield absent(evidence, VibrationRecord, Key("VIB-09", CHANGE), Verdict.NOT_APPLICABLE, NOT_AGAIN)
    yield from of_lost_records(evidence, "VIB-09", CHANGE, lambda gone: _one_of_several(evidence, gone))


def _one_of_several(evidence: Evidence, gone: Unread) -> bool:
    """Whether a lost record may be a later attempt, or the earlier one that a later one is set against."""
    attempt, place = gone.get("attempt"), gone.get("position")
    here = [row.attempt for row in evidence.of(VibrationRecord) if place is None or row.position == place]
    return attempt is None or attempt > 1 or any(other > attempt for other in here)


def _only_told(evidence: Evidence) -> tuple[Finding, ...]:
    """Later attempts that a report names and that no record shows."""
    found = []
    for report in evidence.of(Nonconformity):
        place, again = report.place or "", report.as_left_attempt or 1
        here = [row.attempt for row in evidence.of(VibrationRecord, position=place)]
        if (report.check or "").startswith("VIB-") and here and again > max(here):
            key = Key("VIB-09", CHANGE, place, f"attempt {again}")
            words = f"Report {report.report} names attempt {again}, and no record of it is here."
            found.append(unjudged(key, Verdict.NO_RECORD, words, About(at=(report.where,))))
    return tuple(found)


def _again(evidence: Evidence) -> list[Pair]:
    """First and last attempt at one position, axis and setting; the last one stands first."""
    found: dict[tuple[str, str, str], list[VibrationRecord]] = {}
    for row in evidence.of(VibrationRecord):
        run = run_of(evidence, row.run)
        found.setdefault((row.position, row.axis, run.setting if run is not None else row.run), []).append(row)
    pairs = []
    for rows in found.values():
        first, last = (pick(rows, key=lambda row: row.attempt) for pick in (min, max))
        if first.attempt != last.attempt:
            names = (f"attempt {last.attempt}, run {last.run}", f"attempt {first.attempt}, run {first.run}")
            pairs.append(Pair(last, first, names))
    return pairs


# --- both ---------------------------------------------------------------------------------------------------------


def _ratio(evidence: Evidence, key: Key, pair: Pair, caps: Sequence[str]) -> Iterable[Finding]:
    rows = (pair.one, pair.other)
    about = about_of(rows)
    found = [analysed(evidence, row) for row in rows]
    both = [one for one in found if one is not None]
    machine = on_a_machine(evidence, key.place)
    levels = [broadband(one) if machine else weighted(one) for one in both]
    if len(both) < 2 or not levels[1] > 0.0:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_RECORD if len(both) < 2 else _nothing(pair), about)
        return
    value = levels[0] / levels[1]
    uses = [chain(evidence, [row], value) for row in rows]
    parts = tuple(
        Part(f"{part.name}, {name}", part.standard)
        for (_, mine), name in zip(uses, pair.names, strict=True)
        for part in mine
    )
    stated = all(mine for _, mine in uses)
    ratio = Quantity.combined(value, "1", parts if stated else ())
    about = replace(
        about,
        method=f"ratio of the {'velocities from 10 Hz to 1000 Hz' if machine else 'weighted levels'} of two records",
        instruments=tuple(dict.fromkeys(name for use, _ in uses for name in use.instruments)),
        working=tuple(_said(one, level, name) for one, level, name in zip(both, levels, pair.names, strict=True)),
        notes=(
            *_notes(evidence, key, ratio, pair),
            *((INDEPENDENT,) if stated and key.quantity == SIDES else ()),
            *uses[0][0].notes,
        ),
        caps=(*caps, *faults_of_all(both), *(cap for use, _ in uses for cap in use.caps)),
    )
    yield from judge(key, ratio, Limits(), about)


def _nothing(pair: Pair) -> str:
    return f"{pair.names[1]}: its record holds no movement."


def _said(found: Analysed, level: float, name: str) -> str:
    return f"{name}: {fixed(level, 2)} {UNIT} (record {found.row.record})"


def _notes(evidence: Evidence, key: Key, ratio: Quantity, pair: Pair) -> tuple[str, ...]:
    """What the ratio says in words; customary practice and no limit."""
    if key.quantity == CHANGE:
        verdict = decide(ratio, Limit("1", (rule_term("no change"),), high=rule("no change"))).verdict
        words = {Verdict.PASS: "Lower than before", Verdict.FAIL: "Higher than before"}
        clear = f"{words[verdict]}, by more than the uncertainty." if verdict in words else NO_CHANGE
        return (clear, CHAIN_ALONE, *_between(evidence, pair))
    most = rule("sides worth a look")
    verdict = decide(ratio, Limit("1", (rule_term("sides worth a look"),), low=1.0 / most, high=most)).verdict
    if verdict.missed:
        return (f"Worth a look: one side has more than {most:g} times the level of the other (common practice).",)
    return (f"Both sides are alike within a factor of {most:g}, as is usual (common practice).",)


def _between(evidence: Evidence, pair: Pair) -> Iterable[str]:
    """What the reports say was done before the later of two attempts."""
    reports = [
        report
        for report in evidence.of(Nonconformity, place=pair.one.position, as_left_attempt=pair.one.attempt)
        if (report.check or "").startswith("VIB-")
    ]
    for report in reports:
        done = [words for words in (report.correction, report.work) if words]
        yield f"Between the two, by report {report.report}: {'; '.join(done) if done else 'nothing that it names'}."
    if not reports:
        yield NOTHING_DONE
