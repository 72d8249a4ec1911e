"""REG-02 the inspection and test plan against the records: planned, recorded, released and witnessed in time."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.register.points import released
from buildbook.chapters.register.rules import absent_by_report, all_rows, from_report_alone, missing, rule
from buildbook.chapters.shared_records import PhotographRecord, Planned
from buildbook.chapters.subjects import claimed
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Role, Verdict, by_check
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.core.wording import listed, moment

CHECK = "REG-02"
RECORD, RELEASE, NOTICE, UNPLANNED = (
    "record of the inspection",
    "release of the hold point",
    "notice and attendance",
    "records outside the plan",
)
OWN_CHAPTER = "REG-"
NOT_THERE = "is planned for and is not there."  # behind the name of a table
ASKS = "The plan asks for"
PART_USED = re.compile(rf"{ASKS} \d+ readings?; (\d+|none) can be used")  # where the others are lost
HAS = re.compile(rf"{ASKS} .*, (?P<file>\S+) has \d+\.")  # of a line that is short although every row can be read


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the plan: the name it goes by, its row, and why it could not be read (empty where it could)."""

    name: str
    row: Planned
    why: str

    def key(self, quantity: str) -> Key:
        """The key of a finding about this line."""
        return Key(CHECK, quantity, self.name)

    def covers(self, check: str, place: str) -> bool:
        """Whether this line plans this check at this place; a line without a place is about all of them."""
        return self.row.check == check and self._concerns(place)

    def may_cover(self, check: str, place: str) -> bool:
        """The same, where the check of a line that could not be read may be any."""
        any_check = bool(self.why) and not self.row.check
        return (any_check or self.row.check == check) and self._concerns(place)

    def _concerns(self, place: str) -> bool:
        return self.row.place in (None, "", place)


def plan_lines(evidence: Evidence) -> tuple[Line, ...]:
    """Every line of the plan in the order of the file, those that could not be read among them."""
    return tuple(Line(name, row, why) for name, row, why in all_rows(evidence, Planned))


def plan_findings(evidence: Evidence, findings: Sequence[Finding]) -> Iterable[Finding]:
    """REG-02: what became of every line of the plan, and which records no line asked for."""
    lines = plan_lines(evidence)
    if not lines:
        yield unjudged(Key(CHECK, RECORD), Verdict.NO_RECORD, missing(evidence, Planned))
        return
    of_check = by_check(findings)
    for line in lines:
        yield from _record_present(evidence, of_check.get(line.row.check or "", ()), line)
        if line.row.point == "hold" or released(line.row):
            yield from _released(line)
        if line.row.point == "witness":
            yield from _witnessed(line)
    yield from _outside_the_plan(findings, lines)


def _record_present(evidence: Evidence, findings: Sequence[Finding], line: Line) -> Iterable[Finding]:
    key, limits = line.key(RECORD), Limits(specified=_planned_limit(line.row, _in_record(line.row)))
    rows, lost = _rows(evidence, line.row)
    elsewhere = _claimed(evidence, line.row)
    mine = [f for f in findings if line.covers(f.key.check, f.key.place) and f.key.place not in elsewhere]
    judged = [f for f in mine if _rests_on_records(f)]
    short = _short(evidence, line)
    about = About(method="the plan against the records", at=(line.row.where,), caps=short)
    if rows or judged:
        observed = f"{len(rows)} readable {_word(len(rows))} in {line.row.record}" if rows else ""
        observed = observed or f"{counted(len(judged), 'finding')} of {line.row.check}"
        yield from judge_fact(key, True, observed, limits, about)
    elif lost:
        number = len({row.where for row in lost})
        words = f"None of the {number} {_word(number)} in {line.row.record} that may belong here can be read."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, about, limits)
    elif line.why:
        words = f"This line could not be read ({line.why}), so its record cannot be looked up."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, about, limits)
    elif line.row.released_on or line.row.attended == "attended":
        done = "It was released" if line.row.released_on else "It was attended"
        words = f"{done}, so it is said to be done, but {line.row.record} holds no record of it."
        yield unjudged(key, Verdict.NO_RECORD, words, about, limits)
    else:
        words = f"Planned, but {line.row.record} holds no reading of it."
        yield unjudged(key, Verdict.NOT_MEASURED, words, about, limits)


def _in_record(line: Planned) -> str:
    """What a line asks for; the file that it names may be lost with it."""
    return f"a record in {line.record}" if line.record else "a record in the file that this line names"


def _rests_on_records(finding: Finding) -> bool:
    """Whether a finding shows that something was recorded: it has a result, not from a nonconformity report alone.

    One without a value that a report holds at fail is none: the report says why there is no record.
    """
    if finding.key.role is not Role.GOVERNING or not (finding.verdict.judged or finding.verdict is Verdict.INFORMATION):
        return False
    return not (from_report_alone(finding) or absent_by_report(finding))


def _rows(evidence: Evidence, line: Planned) -> tuple[tuple[Record, ...], tuple[Unread, ...]]:
    """The readable rows of the named file for the place of the line, and the lost ones.

    A line that counts readings without naming a place counts those that no other line counts.
    """
    if not line.record:
        return (), ()
    kind = evidence.kind_of(line.record)
    if kind is None:
        return evidence.of(PhotographRecord, file=line.record), ()
    if not kind.table.place:
        return evidence.of(kind), evidence.lost(kind)
    if line.place:
        wanted = {kind.table.place: line.place}
        return evidence.of(kind, **wanted), evidence.lost(kind, **wanted)
    elsewhere = _claimed(evidence, line)
    rows = tuple(row for row in evidence.of(kind) if getattr(row, kind.table.place) not in elsewhere)
    return rows, tuple(row for row in evidence.lost(kind) if row.get(kind.table.place) not in elsewhere)


def lost_to_the_plan(evidence: Evidence, line: Line) -> tuple[Where, ...]:
    """The rows that cannot be used and that a line may count; the line itself where it could not be read."""
    own = (line.row.where,) if line.why else ()
    return (*own, *(row.where for row in _rows(evidence, line.row)[1]))


def _claimed(evidence: Evidence, line: Planned) -> frozenset[str]:
    """The places whose rows other lines of the same file count for themselves; none for a line with a place of its own.

    A line without a number of readings counts nothing, so it may look at every row again.
    """
    return frozenset() if line.place or line.readings is None else claimed(evidence, line.check, line.record)


def _planned_limit(line: Planned, words: str, meaning: Limit | None = None) -> Limit:
    """What the plan itself asks for; for a hold or witness point together with what such a point means."""
    own = Term(
        words=words,
        standing=Standing.BUILDER,
        set_by="builder",
        document="inspection and test plan",
        clause=", ".join(part for part in (f"line {line.line}" if line.line else "", line.requirement or "") if part),
        at=line.where,
    )
    return Limit("", (own, *(meaning.terms if meaning else ())), words=meaning.words if meaning else words)


def _released(line: Line) -> Iterable[Finding]:
    """A hold point: released by somebody, not after work went on."""
    row, key = line.row, line.key(RELEASE)
    limits = Limits(specified=_planned_limit(row, "released before work went on", rule(CHECK, RELEASE)))
    about = About(method="times in the plan compared", at=(row.where,))
    on, went_on = row.released_on, row.went_on
    if on is None and went_on is not None:
        yield from judge_fact(key, False, f"work went on {moment(went_on)}, no release is recorded", limits, about)
    elif on is None:
        words = "Not released, and no time at which work went on."
        yield unjudged(key, Verdict.NOT_MEASURED, words, about, limits)
    elif went_on is None:
        about = replace(about, notes=("When work went on is not recorded, so the order cannot be told.",))
        yield from judge_fact(key, None, f"released {moment(on)}", limits, about)
    else:
        if not row.released_by:
            about = replace(about, caps=(*about.caps, "Nobody is named who released it."))
        by = f" by {row.released_by}" if row.released_by else ""
        observed = f"released {moment(on)}{by}, work went on {moment(went_on)}"
        yield from judge_fact(key, on <= went_on, observed, limits, about)


def _witnessed(line: Line) -> Iterable[Finding]:
    """A witness point: the party was told, not after the event, and came or waived it."""
    row, key = line.row, line.key(NOTICE)
    limits = Limits(specified=_planned_limit(row, "told beforehand", rule(CHECK, NOTICE)))
    about = About(method="dates in the plan compared", at=(row.where,))
    told, went_on, party = row.notified_on, row.went_on, row.party or "a party not named"
    if told is not None and went_on is not None and told > went_on.date():
        observed = f"{party} told {told.isoformat()}, after work went on {moment(went_on)}"
        yield from judge_fact(key, False, observed, limits, about)
    elif told is not None and row.attended is not None:
        yield from judge_fact(key, True, f"{party} told {told.isoformat()}, {row.attended}", limits, about)
    elif told is not None and went_on is not None:
        words = f"{party} was told {told.isoformat()}; what came of it is not recorded."
        yield unjudged(key, Verdict.NO_RECORD, words, about, limits)
    elif row.attended is not None:
        words = f"{row.attended.capitalize()} by {party}, but no notice is recorded."
        yield unjudged(key, Verdict.NO_RECORD, words, about, limits)
    elif went_on is not None:
        observed = f"work went on {moment(went_on)}, no notice is recorded"
        yield from judge_fact(key, False, observed, limits, about)
    else:
        words = "No notice, and no time at which work went on."
        yield unjudged(key, Verdict.NOT_MEASURED, words, about, limits)


def _outside_the_plan(findings: Sequence[Finding], lines: Sequence[Line]) -> Iterable[Finding]:
    """For each check with records, the places that no line of the plan names."""
    places: dict[str, set[str]] = {}
    recorded = {(finding.key.check, finding.key.place) for finding in findings if _rests_on_records(finding)}
    for check, place in recorded:
        if not check.startswith(OWN_CHAPTER) and not any(line.covers(check, place) for line in lines):
            places.setdefault(check, set()).add(place)
    for check in sorted(places):
        where = listed(sorted(place for place in places[check] if place))
        words = f"Recorded without a line in the plan{f': {where}' if where else ''}."
        yield unjudged(Key(CHECK, UNPLANNED, "", check), Verdict.INFORMATION, words)


@dataclass(frozen=True, slots=True)
class Shortage:
    """A line of the plan whose planned number of readings is not there, or not known, and the reason in words."""

    line: Line
    reason: str


def shortages(evidence: Evidence) -> tuple[Shortage, ...]:
    """Every line with fewer readable readings than it planned, or that may have planned some and could not be read."""
    return evidence.once("short of the plan", lambda: _shortages(evidence))


def _shortages(evidence: Evidence) -> tuple[Shortage, ...]:
    lines = plan_lines(evidence)
    return tuple(Shortage(line, reason) for line in lines for reason in _short(evidence, line))


def planned_and_missing(evidence: Evidence) -> tuple[str, ...]:
    """The tables that the plan names as the record of an inspection that is due, and that hold no row, by file."""
    named = {line.row.record for line in plan_lines(evidence) if line.row.record and line.name not in evidence.waiting}
    return tuple(sorted(file for file in named if (kind := evidence.kind_of(file)) and kind in evidence.missing))


def short_of_plan(evidence: Evidence, finding: Finding, known: Sequence[Shortage] | None = None) -> tuple[str, ...]:
    """Why a finding rests on fewer readings than were planned for its check and place; empty where it does not.

    Args:
        evidence: the folder, read.
        finding: a finding of any chapter; only the first attempt is planned, and the register's own have no readings.
        known: what `shortages` gave, so that many findings can share it; worked out anew where it is not handed in.
    Returns:
        Reasons to hold the finding at inconclusive [text].
    Example:
        >>> from buildbook.core.hull import Hull, Specification
        >>> film = Finding(Key("COA-08", "smallest film thickness", "Z1"), Verdict.PASS)
        >>> short_of_plan(Evidence(Hull(), Specification()), film)
        ()
    """
    key = finding.key
    if key.attempt != 1 or key.check.startswith(OWN_CHAPTER):
        return ()
    if known is None:
        lines = [line for line in plan_lines(evidence) if line.may_cover(key.check, key.place)]
        return tuple(dict.fromkeys(reason for line in lines for reason in _short(evidence, line)))
    return tuple(dict.fromkeys(short.reason for short in known if short.line.may_cover(key.check, key.place)))


def _short(evidence: Evidence, line: Line) -> tuple[str, ...]:
    planned, file = line.row.readings, line.row.record
    if planned is None:
        words = f"Line {line.name} of the plan could not be read, so the planned number of readings is not known."
        return (words,) if line.why else ()
    if line.why and not line.row.place:
        return (
            f"Line {line.name} of the plan could not be read, so it is not known where its {planned} readings belong.",
        )
    if not file or evidence.kind_of(file) is None:
        return (f"{file or 'The file named by the plan'} is no table of this folder, so {planned} planned readings "
                f"cannot be counted.",)  # fmt: skip
    rows, lost = _rows(evidence, line.row)
    read = sum(1 for row in rows if getattr(row, type(row).table.attempt or "", 1) == 1)
    if read >= planned:
        return ()
    if lost:
        asked = f"{ASKS} {counted(planned, 'reading')}"
        return (f"{asked}; {read or 'none'} can be used.",)
    where = f" at {line.row.place}" if line.row.place else ""
    return (f"{ASKS} {planned} {_word(planned)}{where}, {file} has {read}.",)


def _word(number: int) -> str:
    return "row" if number == 1 else "rows"
