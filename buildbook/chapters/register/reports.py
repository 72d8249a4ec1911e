"""REG-04 nonconformity reports: closed as their disposition demands, and one behind every finding that failed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.register.rules import ONLY_REPORTED, all_rows, from_report_alone, missing, own_rule
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.decide import cap, conditional_at_best, stand_by_report
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Role, Verdict, results_of
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.source import Standing
from buildbook.core.wording import disposition_text, listed

CHECK = "REG-04"
CLOSED, REPORTED, SUPPLIED = "closing of the nonconformity report", "report behind the fail", "reports supplied"
CONCESSIONS = ("repair", "use as is", "regrade")
NONE_SUPPLIED = "No nonconformity reports were supplied; that is not the same as no nonconformities."
NOT_SHOWN = (
    "No row of this folder shows the failure under these words: look at check, quantity, place, condition and attempt."
)
MAY_HOLD = "What cannot be read may hold reports."
NOT_CLOSED = "not closed"
NOT_REPORTED = "fail without nonconformity report"


@dataclass(frozen=True, slots=True)
class Report:
    """One report: the name it goes by, its row, and why it could not be read (empty where it could)."""

    name: str
    row: Nonconformity
    why: str

    @property
    def about(self) -> Key | None:
        """The finding it is about, the first attempt where it names none; None without a check or a quantity."""
        return self.row.concerns if self.row.check and self.row.quantity else None

    @property
    def as_left(self) -> Key | None:
        """The finding that shows the result of the work; None where the report names none."""
        about, attempt = self.about, self.row.as_left_attempt
        return replace(about, attempt=attempt) if about is not None and attempt else None

    def may_be_about(self, key: Key) -> bool:
        """Whether a finding has what could be made out of this report; what could not may be anything."""
        row = self.row
        told = (row.check, row.quantity, row.place, row.condition)
        own = (key.check, key.quantity, key.place, key.condition)
        fits = all(said in (None, "", asked) for said, asked in zip(told, own, strict=True))
        return fits and row.attempt in (None, key.attempt)


def reports(evidence: Evidence) -> tuple[Report, ...]:
    """Every report in the order of the file, those that could not be read among them."""
    return tuple(Report(name, row, why) for name, row, why in all_rows(evidence, Nonconformity))


def report_findings(evidence: Evidence, findings: Sequence[Finding]) -> Iterable[Finding]:
    """REG-04: what became of every report, and whether every fail of the other checks has one."""
    every = reports(evidence)
    by_key = {finding.key: finding for finding in findings}
    for report in every:
        yield from _closed(report, by_key)
    yield from _reported(every, findings)
    if not every:
        yield unjudged(
            Key(CHECK, SUPPLIED), Verdict.NO_RECORD, NONE_SUPPLIED, About(notes=(missing(evidence, Nonconformity),))
        )


def _closed(report: Report, findings: Mapping[Key, Finding]) -> Iterable[Finding]:
    """One report: everything its disposition demands must be shown; what is not shown counts as not done."""
    row = report.row
    if row.where.line is None:  # the whole table, or a workbook that may hold it
        key, about = Key(CHECK, CLOSED, report.name), About(at=(row.where,))
        yield unjudged(key, Verdict.INCONCLUSIVE, MAY_HOLD, about, own_rule(CHECK, CLOSED))
        return
    unmet, notes = _demands(report, findings)
    untied = row.disposition == "rework" and report.about is None and not report.why
    if untied:
        notes.append("The report names no check and quantity, so the result of the rework cannot be looked up here.")
    shown = findings.get(report.about) if report.about else None
    if shown is not None and from_report_alone(shown):
        notes.append(NOT_SHOWN)
    conceded = row.disposition in CONCESSIONS and not _lacking(row)
    accepted = f"It does not meet its original requirement; accepted by {_approver(row)}: {row.justification}."
    notes += _habits(row)
    said = About(
        method="the report against what its disposition demands",
        at=(row.where,),
        working=_story(report),
        notes=((accepted,) if conceded else ()) + tuple(notes),
    )
    met = False if unmet else None if untied else True
    unmet = [words for words in unmet if words != NOT_CLOSED]
    observed = _state(row) + (f": {listed(unmet)}" if unmet else "")
    for finding in judge_fact(Key(CHECK, CLOSED, report.name), met, observed, own_rule(CHECK, CLOSED), said):
        yield conditional_at_best(finding, (accepted,)) if conceded else finding


def _demands(report: Report, findings: Mapping[Key, Finding]) -> tuple[list[str], list[str]]:
    """What the disposition demands and the folder does not show, and what has to be said beside it."""
    row = report.row
    unmet, notes = [], []
    if row.disposition is None:
        unmet.append("no disposition")
    if row.closed_on is None:
        unmet.append(NOT_CLOSED)
    if row.disposition in CONCESSIONS:
        unmet += [f"no {words}" for words in _lacking(row)]
    if row.disposition == "rework":
        unmet += _reinspection(row)
        if report.about is not None:
            more, said = _result(report, findings)
            unmet += more
            notes += said
        elif report.why:
            unmet.append("its result cannot be looked up")
    if row.disposition == "scrap":
        unmet += [] if row.work else ["what was taken out is not said"]
        unmet += _reinspection(row)
        notes.append("Taken out of use; its first result stays in this book.")
    return unmet, notes


def _lacking(row: Nonconformity) -> list[str]:
    given = {"approver": row.approved_by, "role of the approver": row.approver_role, "justification": row.justification}
    return [words for words, value in given.items() if not value]


def _reinspection(row: Nonconformity) -> list[str]:
    if row.reinspected_on is None:
        return ["no re-inspection"]
    if row.closed_on is not None and row.closed_on < row.reinspected_on:
        return ["closed before the re-inspection"]
    return []


def _result(report: Report, findings: Mapping[Key, Finding]) -> tuple[list[str], list[str]]:
    """Whether the later attempt that the report names meets the limit."""
    key, attempt = report.as_left, report.row.as_left_attempt
    if key is None:
        return ["no attempt named that shows the result"], []
    if attempt is not None and attempt <= (report.row.attempt or 1):
        return [f"attempt {attempt} is not a later one"], []
    found = [findings[one] for one in results_of(key, findings)]
    if not found:
        return [f"attempt {attempt} is not in this folder"], []
    missed = [finding for finding in found if not finding.verdict.met]
    if missed:
        return [f"attempt {attempt} is {max(missed, key=lambda f: f.verdict.rank).verdict.value}"], []
    conditional = any(finding.verdict is Verdict.CONDITIONAL_PASS for finding in found)
    return [], [f"Attempt {attempt} is a conditional pass."] if conditional else []


def _habits(row: Nonconformity) -> list[str]:
    """What a careful reader wants to know of any report."""
    notes = []
    if row.reinspected_by and row.found_by and row.reinspected_by.casefold() == row.found_by.casefold():
        notes.append(f"Re-inspected by the person who found it ({row.found_by}).")
    if row.reinspected_on is not None and not row.reinspected_by:
        notes.append("Nobody is named who re-inspected.")
    if not row.other_hulls:
        notes.append("Whether other hulls are affected is not said.")
    return notes


def _approver(row: Nonconformity) -> str:
    return f"{row.approved_by} ({row.approver_role})"


def _state(row: Nonconformity) -> str:
    if row.closed_on is None:
        return f"open; decided: {disposition_text(row.disposition)}" if row.disposition else "open"
    closed = f"closed {row.closed_on.isoformat()}"
    return f"{closed}, {disposition_text(row.disposition)}" if row.disposition else closed


def _story(report: Report) -> tuple[str, ...]:
    """The report in the order of events."""
    row = report.row
    found = f"found {row.found_on.isoformat()} by {row.found_by}" if row.found_on else "found"
    lines = [f"{found}: {row.as_found or 'not to be made out'}; required by {row.requirement or 'not to be made out'}"]
    lines += [f"done at once: {row.correction}"] if row.correction else []
    lines += [f"work: {row.work}"] if row.work else []
    if row.reinspected_on:
        by = f" by {row.reinspected_by}" if row.reinspected_by else ""
        lines.append(f"re-inspected {row.reinspected_on.isoformat()}{by}")
    return tuple(lines)


def behind(fail: Key) -> Key:
    """The key of what this check says about the report behind a fail.

    >>> behind(Key("COA-08", "smallest film thickness", "Z3")).condition
    'COA-08, smallest film thickness'
    """
    condition = ", ".join(part for part in (fail.check, fail.quantity, fail.condition) if part)
    return Key(CHECK, REPORTED, fail.place, condition, fail.attempt)


def _reported(every: Sequence[Report], findings: Sequence[Finding]) -> Iterable[Finding]:
    """Every governing finding of another check that failed has a report about just that finding."""
    limits = own_rule(CHECK, REPORTED)
    for finding in findings:
        key = finding.key
        if not finding.verdict.missed or key.role is not Role.GOVERNING or key.check == CHECK:
            continue
        if from_report_alone(finding):
            continue  # it is here only because it was reported
        about = [report for report in every if report.about == key]
        own = behind(key)
        if about:
            readable = any(not report.why for report in about)
            lost = tuple(f"{report.row.where} could not be read: {report.why}." for report in about if report.why)
            said = About(at=tuple(report.row.where for report in about), caps=() if readable else lost)
            yield from judge_fact(own, True, f"reported as {listed(report.name for report in about)}", limits, said)
        else:
            unread = sum(1 for report in every if report.why)
            notes = (f"{unread} of {len(every)} reports could not be read.",) if unread else ()
            yield from judge_fact(own, False, NOT_REPORTED, limits, About(at=finding.at, notes=notes))


def stand_by(findings: Sequence[Finding], every: Sequence[Report], skip: Sequence[str]) -> tuple[Finding, ...]:
    """The findings, each that a report calls failed held at fail; those whose rows are gone added as fail.

    A report that could be read only in part, and is about no finding as it stands, holds those it may be about at
    inconclusive. Reports about the checks in `skip` are left alone: their findings are not made yet.
    """
    about: dict[Key, list[Report]] = {}
    for report in every:
        if report.about is not None and report.about.check not in skip:
            about.setdefault(report.about, []).append(report)
    known = {finding.key: finding for finding in findings}
    doubtful = [report for report in every if report.why and report.about not in known]
    held = [_doubted(_held(finding, known, about), doubtful, skip) for finding in findings]
    gone = [(key, its) for key, its in about.items() if key not in known and (key.place or key.condition)]
    return (*held, *(_from_report(key, its) for key, its in gone))


def _held(finding: Finding, known: Mapping[Key, Finding], about: Mapping[Key, Sequence[Report]]) -> Finding:
    """One finding, held at fail by a report about it; a reference beside such a one rests on rows that are in doubt."""
    key = finding.key if finding.key.role is Role.GOVERNING else replace(finding.key, role=Role.GOVERNING)
    governing = known.get(key)
    met = governing is not None and governing.verdict.met
    its = [_only_reported(report) if met else _does_not_show(report) for report in about.get(key, ())]
    if finding.key == key or not its:
        return stand_by_report(finding, its)
    if governing is None or governing.verdict.missed:
        return finding
    return stand_by_report(finding, its) if _as_strict(finding.limit, governing.limit) else cap(finding, its)


def _doubted(finding: Finding, doubtful: Sequence[Report], skip: Sequence[str]) -> Finding:
    """The finding, held at inconclusive by reports that may say of it that it failed."""
    if finding.key.check in (CHECK, *skip):
        return finding
    its = [report for report in doubtful if report.may_be_about(finding.key)]
    return cap(finding, (f"Report {r.name}, which may be about this, could not be read: {r.why}." for r in its))


def _as_strict(limit: Limit | None, other: Limit | None) -> bool:
    """Whether whatever misses the other limit misses this one too."""
    if limit is None or other is None or limit.unit != other.unit:
        return False
    low = other.low is None or (limit.low is not None and limit.low >= other.low)
    high = other.high is None or (limit.high is not None and limit.high <= other.high)
    return low and high


def _does_not_show(report: Report) -> str:
    return f"Report {report.name} records that this did not meet its limit; the rows now in the folder do not show it."


def _only_reported(report: Report) -> str:
    return f"Report {report.name} records that this did not meet its limit. {ONLY_REPORTED}"


def _from_report(key: Key, its: Sequence[Report]) -> Finding:
    """A fail that only the yard's own report still shows."""
    row = its[0].row
    term = Term(row.requirement or "not to be made out", Standing.BUILDER, f"report {its[0].name}", at=row.where)
    limit = Limit("", (replace(term, document=row.requirement or ""),), words=row.requirement or term.words)
    notes = (
        *(_does_not_show(report) for report in its),
        "The folder holds no finding of these words, place, condition and attempt.",
    )
    said = About(method="as the report gives it", at=tuple(report.row.where for report in its), notes=notes)
    observed = row.as_found or "not to be made out"
    return judge_fact(key, False, observed, Limits(specified=limit), said)[0]
