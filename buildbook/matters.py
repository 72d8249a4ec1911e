"""What did not simply pass, told once each: what is open, not shown, accepted, put right. Nothing is judged here.

One matter often shows in several findings: a failed reading, the report about it, the line of the plan. The first page
tells the matter; the page of exceptions keeps every finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED
from buildbook.chapters.shared_records import Nonconformity, Planned
from buildbook.core.book import Matter, Numbered, State
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Verdict
from buildbook.core.wording import listed, subject_text

NO_REPORT = "The folder holds no report of it."
UNREADABLE = "A report that may be about it could not be read."


@dataclass(frozen=True, slots=True)
class _Raw:
    """A matter with the findings themselves, before those that tell the same are joined (equal `same`)."""

    state: State
    same: tuple[object, ...]
    items: tuple[Numbered, ...]
    became: str
    report: str = ""
    reported: str = ""

    def joined(self, other: _Raw) -> _Raw:
        """Both as one."""
        return replace(self, items=(*self.items, *other.items))


@dataclass(frozen=True, slots=True)
class _Known:
    """What the folder says besides the findings: its readable reports, by id and by what they are about."""

    evidence: Evidence
    given: Mapping[Key, Numbered]
    names: Mapping[str, str]
    reports: Mapping[str, Nonconformity]
    about: Mapping[Key, Nonconformity]


def matters(
    evidence: Evidence, exceptions: Sequence[Numbered], given: Mapping[Key, Numbered], names: Mapping[str, str]
) -> tuple[Matter, ...]:
    """Every exception in exactly one matter: those still open first, near misses last; worst first within each.

    `given` are all findings by key, `names` the names of places and other ids in words.
    """
    reports = {row.report: row for row in evidence.of(Nonconformity)}
    known = _Known(evidence, given, names, reports, {row.concerns: row for row in reports.values()})
    joined: dict[tuple[object, ...], _Raw] = {}
    for item in exceptions:
        one = _raw(item, known)
        joined[one.same] = joined[one.same].joined(one) if one.same in joined else one
    order = list(State)
    return tuple(_matter(one) for one in sorted(joined.values(), key=lambda one: order.index(one.state)))


def in_short(told: Sequence[Matter], exceptions: Sequence[Numbered], total: int) -> str:
    """The two sentences that a reader should keep: how many failed and what became of them, and what was not shown.

    `told` are the matters of these exceptions, `total` counts all governing findings.
    """
    verdicts = {item.number: item.finding.verdict for item in exceptions}
    failed = [matter.state for matter in told for number in matter.findings if verdicts[number].missed]
    unshown = sum(1 for verdict in verdicts.values() if verdict.unshown)
    became = [f"{failed.count(state)} {state.value}" for state in State if state in failed]
    said = (
        f"{len(failed)} of {total} findings failed: {listed(became)}."
        if failed
        else f"None of {total} findings failed."
    )
    if unshown:
        said += f" {unshown} {'was not measured or has' if unshown == 1 else 'were not measured or have'} no record."
    return said


def _raw(item: Numbered, known: _Known) -> _Raw:
    key, verdict = item.finding.key, item.finding.verdict
    row = known.reports.get(key.place) if key.check == REPORT_CHECK else known.about.get(key)
    if row is not None and (verdict.missed or key.check == REPORT_CHECK):
        return _reported(item, row, known)
    if verdict.missed:
        unread = key.check != REPORT_CHECK and known.evidence.lost(Nonconformity)
        return _Raw(State.OPEN, (item.number,), (item,), UNREADABLE if unread else NO_REPORT)
    if verdict.unshown:
        return _Raw(State.NOT_SHOWN, _planned(known.evidence, key), (item,), _first(item.told))
    if verdict is Verdict.INCONCLUSIVE:
        why = _first(item.told)
        return _Raw(State.UNDECIDED, (key.place, key.condition, why or item.number), (item,), why)
    if verdict is Verdict.CONDITIONAL_PASS:
        return _Raw(State.CLOSE, (item.number,), (item,), "")
    return _Raw(State.OVERDUE, (key.place, item.told), (item,), _first(item.told))


def _reported(item: Numbered, row: Nonconformity, known: _Known) -> _Raw:
    """A finding that a report is about, or the finding about the report itself, which says how the report stands."""
    closing = known.given.get(Key(REPORT_CHECK, CLOSED, row.report))
    settled = closing is not None and closing.finding.verdict.met
    decided = _decided(row)
    if row.disposition == "rework":
        left = known.given.get(replace(row.concerns, attempt=row.as_left_attempt)) if row.as_left_attempt else None
        decided = f"After rework: {left.value}, {left.verdict}" if left is not None else "No later reading is shown"
    state = _STATES.get(row.disposition or "", State.SETTLED) if settled else State.OPEN
    if row.closed_on is None:
        became = f"{decided}; report {row.report} is open."
    elif settled:
        became = f"{decided}. Report {row.report}, closed {row.closed_on}."
    else:
        became = f"{decided}. Report {row.report} was closed on {row.closed_on} without all that it demands."
    where = subject_text(Key("", row.quantity or "", row.place or "", row.condition or ""), known.names)
    return _Raw(state, ("report", row.report), (item,), became, row.report, f"{where}: {row.as_found}".lstrip(": "))


_STATES = {"rework": State.PUT_RIGHT, "use as is": State.ACCEPTED}


def _decided(row: Nonconformity) -> str:
    if row.disposition is None:
        return "Nothing is decided"
    by = f"the {row.approver_role}" if row.approver_role else "nobody named"
    words = "Accepted as found" if row.disposition == "use as is" else row.disposition.capitalize()
    return f"{words}, approved by {by}"


def _planned(evidence: Evidence, key: Key) -> tuple[object, ...]:
    """What is missing, so that a line of the plan and the check it plans are told together."""
    row = evidence.one(Planned, line=key.place) if key.check == PLAN_CHECK else None
    return (row.check, row.place or "") if row is not None else (key.check, key.place)


def _first(words: Iterable[str]) -> str:
    return next(iter(words), "")


def _matter(raw: _Raw) -> Matter:
    """A matter in words: its own finding, not the one about the report or the plan, says what it is."""
    told = [item for item in raw.items if item.finding.key.check not in (REPORT_CHECK, PLAN_CHECK)]
    told = told or [item for item in raw.items if item.finding.key.check != REPORT_CHECK]
    numbers = tuple(item.number for item in (*told, *(item for item in raw.items if item not in told)))
    what = f"{raw.reported} (as its report says)" if raw.reported and not told else _what(told or raw.items)
    return Matter(raw.state, what, raw.became, numbers, raw.report)


def _what(items: Sequence[Numbered]) -> str:
    """One finding with value and limit; several of one place and condition by the names of their quantities."""
    first = items[0]
    if len(items) > 1:
        quantities = dict.fromkeys(item.finding.key.quantity for item in items)
        rest = first.subject.removeprefix(first.finding.key.quantity).removeprefix(", ")
        text = f"{listed(quantities)}, {rest}" if rest else listed(quantities)
    elif first.finding.measured is not None and first.finding.limit is not None:
        text = f"{first.subject}: {first.value}; {first.limit}"
    elif first.finding.verdict.unshown:
        text = first.subject
    else:
        text = f"{first.subject}: {first.value}"
    return text[:1].upper() + text[1:]
