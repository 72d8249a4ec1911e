"""How each exception stands today and what says so: its report, a later attempt, or nothing. Judges nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.register.instruments import CHECK as INSTRUMENTS_CHECK
from buildbook.chapters.register.instruments import ON_THE_DAY
from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.plan import RECORD
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED
from buildbook.chapters.register.rules import absent_by_report
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.core.book import Numbered
from buildbook.core.check import Check
from buildbook.core.decide import NO_UNCERTAINTY
from buildbook.core.evidence import Evidence
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, Key, Verdict, results_of
from buildbook.core.matter import State
from buildbook.core.where import Where
from buildbook.core.wording import capital, disposition_text, subject_text
from buildbook.later import LaterAttempts, worst_of

LOOKED_AGAIN = "Looked at again"
NO_REPORT = "The folder holds no report of it."
UNREADABLE = "A report that may be about it could not be read."
SAME_ROWS, IS_CLOSED = "is about the same rows", "closed"
_STATES = {"rework": State.PUT_RIGHT, "use as is": State.ACCEPTED, "scrap": State.SCRAPPED}


@dataclass(frozen=True, slots=True)
class Told:
    """A matter with the findings themselves, before those that tell the same are joined (equal `same`).

    `became` says of each finding what was decided, or why nothing was; `ending` is what the reports (`{reports}`) add,
    `works` what was done. `cause` is why a value is not decided.
    """

    state: State
    same: tuple[object, ...]
    items: tuple[Numbered, ...]
    became: tuple[str, ...]
    reports: tuple[str, ...] = ()
    works: tuple[str, ...] = ()
    ending: str = ""
    reported: str = ""
    cause: str = ""

    def joined(self, other: Told) -> Told:
        """Both as one."""
        reports = tuple(sorted({*self.reports, *other.reports}))
        works = tuple(dict.fromkeys((*self.works, *other.works)))
        return replace(
            self,
            items=(*self.items, *other.items),
            became=(*self.became, *other.became),
            reports=reports,
            works=works,
        )


@dataclass(frozen=True, slots=True)
class Known:
    """What the folder says besides the findings: its readable reports, by id and by what they are about.

    `fails` are the findings that missed, by the key of what the register says about the report behind each. `rows` are
    those that each finding rests on, by its number; `checks` are those of the book, by id; `later` tells what later
    attempts showed.
    """

    evidence: Evidence
    given: Mapping[Key, Numbered]
    names: Mapping[str, str]
    reports: Mapping[str, Nonconformity]
    about: Mapping[Key, Nonconformity]
    fails: Mapping[Key, Numbered]
    rows: Mapping[str, frozenset[Where]]
    checks: Mapping[str, Check]
    later: LaterAttempts


def how_it_stands(item: Numbered, known: Known) -> Told:
    """One exception as a matter of its own: how it stands today, and what says so.

    What the register says of the report behind a fail is no second matter: it stands as that fail does.
    """
    fail = known.fails.get(item.finding.key)
    if fail is not None:
        return replace(how_it_stands(fail, known), items=(item,))
    key, verdict = item.finding.key, item.finding.verdict
    row = _report_of(item, known)
    if row is not None:
        return reported(item, row, known)
    mended = _mended(item, known) if verdict.missed else None
    if mended is not None:
        return mended
    if verdict.missed:
        return Told(State.OPEN, (item.number,), (item,), (_without_report(key, known),))
    if verdict.unshown:
        return Told(State.NOT_SHOWN, _planned(known.evidence, key), (item,), (_first(item.told),))
    if verdict is Verdict.INCONCLUSIVE:
        made_again = _made_again(item, known)
        return reported(item, made_again, known) if made_again is not None else _undecided(item, known)
    if verdict is Verdict.CONDITIONAL_PASS:
        unstated = NO_UNCERTAINTY in item.finding.notes
        same = (key.check, key.quantity, NO_UNCERTAINTY) if unstated else (item.number,)
        return Told(State.CLOSE, same, (item,), (NO_UNCERTAINTY if unstated else "",))
    became = _first(item.told) + _calibration_reported(item, known)
    return Told(State.OVERDUE, (key.place, item.told), (item,), (became,))


def _report_of(item: Numbered, known: Known) -> Nonconformity | None:
    """The report that says how a finding stands: that of a fail, of a gap that was planned, and the one it is about."""
    key, verdict = item.finding.key, item.finding.verdict
    if key.check == REPORT_CHECK:
        return known.reports.get(key.place)
    if verdict.missed:
        return known.about.get(key)
    return _planned_and_reported(key, known) if verdict.unshown else None


def _undecided(item: Numbered, known: Known) -> Told:
    """A value that decides nothing, and whether the next attempt decided."""
    key, why = item.finding.key, _why_undecided(item)
    later = known.later.last(key)
    if later and all(one.finding.verdict.judged for one in later):
        return Told(State.DECIDED, (item.number,), (item,), (why,))
    became = why + _also_reported(item, why, known)
    return Told(State.UNDECIDED, (key.place, key.condition, why or item.number), (item,), (became,), cause=why)


def _mended(item: Numbered, known: Known) -> Told | None:
    """What was put right without a report: the rows of the next attempt say what was done, and it met the limit.

    It stays open until its report is written: a report that is lost must not make a matter better.
    """
    key = item.finding.key
    later = next((one for one in known.later.last(key) if one.finding.key.condition == key.condition), None)
    if later is None or not later.finding.work or not later.finding.verdict.met:
        return None
    work = later.finding.work
    became = f"{_without_report(key, known)} {capital(work)}. {LOOKED_AGAIN}: {later.verdict}."
    return Told(State.OPEN, ("work", key.check, key.place, work), (item,), (became,))


def _without_report(key: Key, known: Known) -> str:
    """That a miss has no report, or that one which may be about it is lost."""
    unread = key.check != REPORT_CHECK and known.evidence.lost(Nonconformity)
    return UNREADABLE if unread else NO_REPORT


def _made_again(item: Numbered, known: Known) -> Nonconformity | None:
    """The report that set a whole attempt aside, where a later attempt shows what this finding could not."""
    key = item.finding.key
    for row in known.reports.values():
        about = row.concerns
        if (
            (about.place, about.attempt) == (key.place, key.attempt)
            and (about.condition == key.condition or _shared(item, row, known))
            and row.disposition == "rework"
            and row.as_left_attempt
            and about.check.partition("-")[0] == key.check.partition("-")[0]
        ):
            found = known.later.results(replace(key, attempt=row.as_left_attempt))
            if found and all(_shown(one) for one in found):
                return row
    return None


def _shown(item: Numbered) -> bool:
    """Whether a finding says as much as it can: its limit is met, or nobody set one."""
    finding = item.finding
    return finding.verdict.met or (finding.verdict is Verdict.INFORMATION and finding.limit is None)


def _shared(item: Numbered, row: Nonconformity, known: Known) -> frozenset[Where]:
    """The rows that a finding has in common with the one that a report is about."""
    about = known.given.get(row.concerns)
    return known.rows[item.number] & known.rows[about.number] if about is not None else frozenset()


def _also_reported(item: Numbered, why: str, known: Known) -> str:
    """The report about the same rows: for the same reason, else at the same place and condition, or about them all."""
    key = item.finding.key
    sharing = [row for row in known.reports.values() if _shared(item, row, known)]
    of_cause = [row for row in sharing if why and any(why.endswith(note) for note in _notes(row, known))]
    here = [row for row in sharing if (row.concerns.place, row.concerns.condition) == (key.place, key.condition)]
    all_of_them = [row for row in sharing if row.concerns.place == key.place and _about_all(item, row, known)]
    return _told_by(of_cause or here or all_of_them)


def _about_all(item: Numbered, row: Nonconformity, known: Known) -> bool:
    """Whether a report is about all that a finding takes from some table, and nothing else: the same hole in a log."""
    about = known.rows[known.given[row.concerns].number]
    files = {where.file for where in about}
    return {where for where in known.rows[item.number] if where.file in files} == about


def _told_by(rows: Sequence[Nonconformity]) -> str:
    """The report about the same rows in words, of several one that is open; empty without one."""
    for row in sorted(rows, key=lambda row: row.closed_on is not None):
        stands = f"{IS_CLOSED} {row.closed_on}" if row.closed_on else "open"
        return f" Report {row.report} {SAME_ROWS}: {disposition_text(row.disposition)}, {stands}."
    return ""


def _calibration_reported(item: Numbered, known: Known) -> str:
    """The report about the calibration of every instrument of a finding that has none shown for its readings."""
    finding = item.finding
    unshown = sum(note.startswith(CALIBRATION_NOT_SHOWN) for note in finding.notes)
    its = [row for row in known.reports.values() if _about_calibration(item, row, known)]
    return _told_by(its) if len({row.concerns for row in its}) == unshown else ""


def _about_calibration(item: Numbered, row: Nonconformity, known: Known) -> bool:
    """Whether a report is about an instrument of a finding on the days of its readings, or on all days."""
    about = row.concerns
    if (about.check, about.quantity) != (INSTRUMENTS_CHECK, ON_THE_DAY) or about not in known.given:
        return False
    of_all_days = all(where.file == Instrument.table.file for where in known.rows[known.given[about].number])
    return about.place in item.finding.instruments and (of_all_days or bool(_shared(item, row, known)))


def told_by_a_closed_report(became: str) -> bool:
    """Whether what became of a matter names a closed report about the same rows, as `_also_reported` says it."""
    return f", {IS_CLOSED} " in became.partition(SAME_ROWS)[2]


def _notes(row: Nonconformity, known: Known) -> tuple[str, ...]:
    about = known.given.get(row.concerns)
    return about.finding.notes if about is not None else ()


def _why_undecided(item: Numbered) -> str:
    """Of a value the last note, since what holds it is added at the end; else the first, which is the reason itself."""
    notes = item.finding.notes
    return notes[-1] if notes and item.finding.measured is not None else _first(item.told)


def reported(item: Numbered, row: Nonconformity, known: Known) -> Told:
    """A finding that a report is about, or the finding about the report itself, which says how the report stands."""
    closing = known.given.get(Key(REPORT_CHECK, CLOSED, row.report))
    settled = closing is not None and closing.finding.verdict.met
    decided = _decided(row)
    if row.disposition == "rework":
        decided = _after_rework(row, known)
    state = _STATES.get(row.disposition or "", State.SETTLED) if settled else State.OPEN
    if row.closed_on is None:
        ending = "; {reports} open." if row.disposition is None else "; it counts as open, since {reports} not closed."
    elif settled:
        ending = f". {{Reports}}, closed {row.closed_on}."
    else:
        ending = f". {{Reports}} closed on {row.closed_on} without all that it demands."
    where = subject_text(Key("", row.quantity or "", row.place or "", row.condition or ""), known.names)
    said = f"{where}: {row.as_found}".lstrip(": ")
    works = (row.work,) if row.work else ()
    return Told(state, _decision(row, state), (item,), (decided,), (row.report,), works, ending, said)


def _decision(row: Nonconformity, state: State) -> tuple[object, ...]:
    """What reports of one thing have in common: the place, what was decided, and the paper behind it or the work."""
    if not (row.justification or row.work) or not row.place or row.disposition is None:
        return ("report", row.report)
    told = (row.disposition, row.approver_role, row.approved_by, row.justification or row.work)
    return ("report", state, row.place, *told, row.closed_on)


def _after_rework(row: Nonconformity, known: Known) -> str:
    """What the later attempt showed; of several new specimens the worst, and the lowest of those."""
    wanted = replace(row.concerns, attempt=row.as_left_attempt) if row.as_left_attempt else None
    found = [known.given[key] for key in results_of(wanted, known.given)] if wanted else []
    if not found:
        return "No later reading is shown"
    return f"After rework: {worst_of(found, wanted.condition if wanted else '')}"


def _decided(row: Nonconformity) -> str:
    if row.disposition is None:
        return "Nothing is decided"
    by = f"the {row.approver_role}" if row.approver_role else "nobody named"
    return f"{capital(disposition_text(row.disposition))}, decided by {by}"


def _planned(evidence: Evidence, key: Key) -> tuple[object, ...]:
    """What is missing, so that a line of the plan and the check it plans are told together."""
    row = evidence.one(Planned, line=key.place) if key.check == PLAN_CHECK else None
    return (row.check, row.place or "") if row is not None else (key.check, key.place)


def _planned_and_reported(key: Key, known: Known) -> Nonconformity | None:
    """The report that says why nothing was measured that a line of the plan asks for: one gap, told once."""
    line = known.evidence.one(Planned, line=key.place) if key.check == PLAN_CHECK else None
    for row in known.reports.values() if line is not None and key.quantity == RECORD else ():
        about = known.given.get(row.concerns)
        here = line is not None and (row.check, row.place or "") == (line.check, line.place or "")
        if here and about is not None and absent_by_report(about.finding):
            return row
    return None


def _first(words: Iterable[str]) -> str:
    return next(iter(words), "")
