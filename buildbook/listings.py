"""The lists beside the chapters: nonconformity reports, the inspection plan, the instruments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.plan import RECORD
from buildbook.chapters.register.rules import all_rows
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.book import InstrumentLine, Numbered, PlanLine, Report, RunLine
from buildbook.core.decide import GUARD_CHOSEN, NO_GUARD
from buildbook.core.evidence import Evidence
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, Key, Role, Verdict, results_of
from buildbook.core.judging import NOBODY_SET
from buildbook.core.record import about
from buildbook.core.source import Standing
from buildbook.core.wording import disposition_text, listed, plain_number, unit_text


def reports(evidence: Evidence, given: Mapping[Key, Numbered]) -> tuple[Report, ...]:
    """Every readable nonconformity report, open ones first."""
    rows = sorted(evidence.of(Nonconformity), key=lambda row: (row.closed_on is not None, row.report))
    return tuple(_report(row, given) for row in rows)


def _report(row: Nonconformity, given: Mapping[Key, Numbered]) -> Report:
    return Report(
        id=row.report,
        state=_state(row),
        found_on=row.found_on.isoformat(),
        place=", ".join(part for part in (row.place, row.condition) if part),
        requirement=row.requirement,
        as_found=row.as_found,
        disposition=row.disposition or "not decided",
        work=row.work or row.correction or "",
        result=_looked_at_again(row),
        approver=_approver(row),
        closed_on=_day(row.closed_on),
        findings=tuple(given[key].number for key in keys_of_report(row, given)),
        at=row.where,
        check=row.check or "",
        quantity=row.quantity or "",
    )


def _approver(row: Nonconformity) -> str:
    """Who approved, once: the role and, where they say something else, the initials."""
    role = f"the {row.approver_role}" if row.approver_role else ""
    initials = row.approved_by if row.approved_by != row.approver_role else None
    return f"{role} ({initials})" if role and initials else role or initials or ""


def _looked_at_again(row: Nonconformity) -> str:
    """When and by whom; where nobody did, why not."""
    again = f"re-inspected {row.reinspected_on}" if row.reinspected_on else ""
    by = f"by {row.reinspected_by}" if row.reinspected_by else ""
    told = ", ".join(part for part in (again, by) if part)
    if told:
        return told
    if row.disposition is None:
        return "not yet: nothing is decided"
    if row.disposition == "use as is" and not row.work:
        return "no: it was left as found, so there was nothing new to look at"
    return "no: the report names no second look"


def keys_of_report(row: Nonconformity, given: Mapping[Key, Numbered]) -> tuple[Key, ...]:
    """The findings a report is about, and the one that shows its result.

    A report without a quantity is about every finding of its check at its place and condition.
    """
    first = row.concerns
    if not row.quantity:
        return tuple(key for key in given if key.check == first.check and replace(key, quantity="") == first)
    as_left = results_of(replace(first, attempt=row.as_left_attempt or first.attempt), given)
    return tuple(key for key in dict.fromkeys((first, *as_left)) if key in given)


def _state(row: Nonconformity) -> str:
    return f"closed {row.closed_on}" if row.closed_on else "open"


def by_subject(given: Mapping[Key, Numbered]) -> dict[Key, list[Numbered]]:
    """All attempts at one thing together, under the key of the first."""
    together: dict[Key, list[Numbered]] = {}
    for key, item in given.items():
        together.setdefault(first_attempt(key), []).append(item)
    return together


def first_attempt(key: Key) -> Key:
    """The key of the first attempt at the same thing."""
    return key if key.attempt == 1 else replace(key, attempt=1)


WITHOUT_GUARD = ("h", "s")  # times out of a log never have a guard band, whoever set the limit


def told(evidence: Evidence, item: Numbered, attempts: Sequence[Numbered]) -> tuple[str, ...]:
    """What must be read with a finding: why it is not judged, its other attempts, the report that belongs to it."""
    finding = item.finding
    key = finding.key
    open_question = finding.verdict.exception and not finding.verdict.judged
    missed_fact = finding.measured is None and finding.verdict.missed
    spoken = open_question or missed_fact or key.check.startswith("REG-")
    always: tuple[str, ...] = (CALIBRATION_NOT_SHOWN, GUARD_CHOSEN)
    limit = finding.limit
    if limit is not None and limit.standing is Standing.BUILDER and limit.unit not in WITHOUT_GUARD:
        always = (*always, NO_GUARD)
    # That nobody set a limit stands in the place of the limit.
    notes = [note for note in finding.notes if (spoken and note != NOBODY_SET) or note.startswith(always)]
    others = [
        f"Attempt {other.finding.key.attempt}: {other.value}, {other.verdict} ({other.number})."
        for other in attempts
        if other.finding.key != key
    ]
    reported = _reported(evidence, key, beside=open_question)
    return tuple(dict.fromkeys((*notes, *others, *reported)))


def _reported(evidence: Evidence, key: Key, *, beside: bool) -> list[str]:
    """The reports about a finding; with `beside` also those about something else at the same place and condition."""
    words = []
    for row, subject in evidence.once("reports by subject", lambda: _by_place(evidence)).get(key.place, ()):
        stands = f"{disposition_text(row.disposition)}, {_state(row)}"
        if subject == (key if row.quantity else replace(key, quantity="")):
            words.append(f"Report {row.report}: {stands}.")
        elif beside and key.condition and subject.condition == key.condition:
            words.append(f"Report {row.report} is about the same place and condition: {stands}.")
    return words


def _by_place(evidence: Evidence) -> dict[str, list[tuple[Nonconformity, Key]]]:
    """The reports with what each is about, by its place, in the order of the file."""
    found: dict[str, list[tuple[Nonconformity, Key]]] = {}
    for row in evidence.of(Nonconformity):
        found.setdefault(row.concerns.place, []).append((row, row.concerns))
    return found


def plan_lines(evidence: Evidence, given: Mapping[Key, Numbered]) -> tuple[PlanLine, ...]:
    """Every line of the plan with what became of it, those without a record first, then the worst.

    A line stands as the worst of all that is asked of it: a record alone does not make good a release that came late.
    """
    asked: dict[str, list[Numbered]] = {}
    for key, item in given.items():
        if key.check == PLAN_CHECK and key.role is Role.GOVERNING:
            asked.setdefault(key.place, []).append(item)
    lines = [_plan_line(name, row, asked.get(name, ())) for name, row, _ in all_rows(evidence, Planned)]
    return tuple(sorted(lines, key=lambda line: (not line.verdict.unshown, -line.verdict.rank, line.at.order)))


def _plan_line(name: str, row: Planned, asked: Sequence[Numbered]) -> PlanLine:
    """One line; of a row that could not be read, what can be made out."""
    worst = max(asked, key=lambda item: item.finding.verdict.rank, default=None)
    record = next((item for item in asked if item.finding.key.quantity == RECORD), None)
    told = []
    if record is not None:
        there = not record.finding.verdict.unshown
        told.append(f"recorded: {record.value}" if there and record.finding.observed else record.value)
    if worst is not None and worst is not record and worst.finding.verdict is not Verdict.PASS:
        told.append(f"{worst.finding.key.quantity}: {worst.value}")
    return PlanLine(
        line=name,
        stage=_text(row.stage),
        characteristic=_text(row.characteristic),
        check=_text(row.check),
        place=_text(row.place),
        point=_text(row.point),
        planned=_planned(row),
        recorded="; ".join(told),
        verdict=worst.finding.verdict if worst is not None else Verdict.NO_RECORD,
        at=row.where,
    )


def run_lines(evidence: Evidence) -> tuple[RunLine, ...]:
    """Every readable run on trial with what a reading in it has to be read with: speed, and speed of each shaft."""
    return tuple(RunLine(row.run, _run_words(evidence, row)) for row in evidence.of(TrialRun))


def _run_words(evidence: Evidence, row: TrialRun) -> str:
    """Speed of her and of her shafts; those that turned alike are said once."""
    shafts = evidence.of(ShaftSpeed, run=row.run)
    speed = f"{plain_number(row.speed)} kn"
    if not shafts:
        return speed
    told = listed(dict.fromkeys(plain_number(shaft.shaft_speed) for shaft in shafts))
    return f"{speed}, {'shaft' if len(shafts) == 1 else 'shafts'} at {told} {unit_text('rpm')}"


def _planned(row: Planned) -> str:
    """How many readings a line asks for; else in which way."""
    if row.readings:
        return "1 reading" if row.readings == 1 else f"{row.readings} readings"
    return row.method or ""


def _text(value: str | None) -> str:
    """A cell as text; of a row that could not be read any cell may be missing."""
    return value or ""


def instrument_lines(evidence: Evidence, given: Mapping[Key, Numbered]) -> tuple[InstrumentLine, ...]:
    """Every readable instrument row with how many readings name the instrument and the worst that was found about
    it.
    """
    named = _times_named(evidence)
    lines = []
    for row in evidence.of(Instrument):
        about_it = [
            item.finding.verdict
            for key, item in given.items()
            if key.check == "REG-03" and key.place == row.instrument and key.condition in ("", row.quantity)
            if key.role is Role.GOVERNING
        ]
        lines.append(
            InstrumentLine(
                id=row.instrument,
                type=f"{row.type}, {row.quantity}",
                certificate=", ".join(part for part in (row.certificate, row.laboratory) if part) or "none",
                calibrated=_day(row.calibrated),
                due=_day(row.due),
                range=_range(row),
                resolution=_with_unit(row.resolution, row.unit),
                uncertainty=_uncertainty(row),
                readings=named.get(row.instrument, 0),
                verdict=max(about_it, key=lambda verdict: verdict.rank, default=Verdict.NOT_APPLICABLE),
                at=row.where,
            )
        )
    return tuple(lines)


def _times_named(evidence: Evidence) -> dict[str, int]:
    named: dict[str, int] = {}
    for kind, rows in evidence.records.items():
        columns = [name for name, info in kind.columns().items() if about(info, "refers") is Instrument]
        for row in rows:
            for name in {getattr(row, column) for column in columns} - {None}:
                named[name] = named.get(name, 0) + 1
    return named


def _range(row: Instrument) -> str:
    if row.range_low is None or row.range_high is None:
        return ""
    return f"{plain_number(row.range_low)} to {_with_unit(row.range_high, row.unit)}"


def _uncertainty(row: Instrument) -> str:
    if row.uncertainty is None or row.coverage is None:
        return "not stated"
    return f"{_with_unit(row.uncertainty, row.unit)} (k = {plain_number(row.coverage)})"


def _with_unit(value: float | None, unit: str) -> str:
    return "" if value is None else f"{plain_number(value)} {unit_text(unit)}".strip()


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""
