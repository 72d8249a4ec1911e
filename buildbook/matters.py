"""What did not simply pass, told once each: what is open, not shown, accepted, put right. Nothing is judged here.

One matter often shows in several findings: a failed reading, the report about it, the line of the plan. The first page
tells the matter; the page of exceptions keeps every finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.shared_records import Nonconformity, Planned
from buildbook.core.book import Matter, Numbered, State
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Verdict
from buildbook.core.wording import listed

PLAN_CHECK, REPORT_CHECK = "REG-02", "REG-04"
MISSED = (Verdict.CONDITIONAL_FAIL, Verdict.FAIL)
NOT_SHOWN = (Verdict.NOT_MEASURED, Verdict.NO_RECORD)
NO_REPORT = "The folder holds no report of it."


@dataclass(frozen=True, slots=True)
class _Raw:
    """A matter with the findings themselves, before those that tell the same are joined (equal `same`)."""

    state: State
    same: tuple[object, ...]
    items: tuple[Numbered, ...]
    became: str
    report: str = ""
    reported: str = ""


def matters(evidence: Evidence, exceptions: Sequence[Numbered], given: Mapping[Key, Numbered]) -> tuple[Matter, ...]:
    """Every exception in exactly one matter: those still open first, near misses last; worst first within each."""
    reports = {row.report: row for row in evidence.of(Nonconformity)}
    by_key = {_about(row): row for row in reports.values()}
    raw = [_raw(evidence, item, reports, by_key, given) for item in exceptions]
    joined: dict[tuple[object, ...], _Raw] = {}
    for one in raw:
        first = joined.get(one.same)
        joined[one.same] = replace(first, items=(*first.items, *one.items)) if first else one
    order = list(State)
    return tuple(_matter(one) for one in sorted(joined.values(), key=lambda one: order.index(one.state)))


def _raw(
    evidence: Evidence,
    item: Numbered,
    reports: Mapping[str, Nonconformity],
    by_key: Mapping[Key, Nonconformity],
    given: Mapping[Key, Numbered],
) -> _Raw:
    key, verdict = item.finding.key, item.finding.verdict
    row = reports.get(key.place) if key.check == REPORT_CHECK else by_key.get(key)
    if row is not None and (verdict in MISSED or key.check == REPORT_CHECK):
        return _reported(item, row, given)
    if verdict in MISSED:
        return _Raw(State.OPEN, (item.number,), (item,), NO_REPORT)
    if verdict in NOT_SHOWN:
        return _Raw(State.NOT_SHOWN, _planned(evidence, key), (item,), _first(item.told))
    if verdict is Verdict.INCONCLUSIVE:
        why = _first(item.told)
        return _Raw(State.UNDECIDED, (key.place, key.condition, why or item.number), (item,), why)
    if verdict is Verdict.CONDITIONAL_PASS:
        return _Raw(State.CLOSE, (item.number,), (item,), "")
    return _Raw(State.OVERDUE, (key.place, item.told), (item,), _first(item.told))


def _reported(item: Numbered, row: Nonconformity, given: Mapping[Key, Numbered]) -> _Raw:
    """A finding that a report is about, or the finding about the report itself."""
    by = f"the {row.approver_role}" if row.approver_role else "nobody named"
    left = given.get(replace(_about(row), attempt=row.as_left_attempt)) if row.as_left_attempt else None
    again = f"{left.value}, {left.verdict}" if left is not None else "no later reading is shown"
    if row.closed_on is None:
        state, became = State.OPEN, f"{_decided(row, by)}; report {row.report} is open."
    elif row.disposition == "rework":
        state, became = State.PUT_RIGHT, f"After rework: {again}. Report {row.report}, closed {row.closed_on}."
    else:
        state, became = State.ACCEPTED, f"{_decided(row, by)}. Report {row.report}, closed {row.closed_on}."
    mended = item.finding.verdict not in MISSED or left is None or left.finding.verdict not in MISSED
    if state is State.PUT_RIGHT and not (mended and left is not None):
        state = State.OPEN
    return _Raw(state, ("report", row.report), (item,), became, row.report, row.as_found)


def _decided(row: Nonconformity, by: str) -> str:
    if row.disposition is None:
        return "Nothing is decided"
    words = "Accepted as it is" if row.disposition == "use as is" else row.disposition.capitalize()
    return f"{words}, approved by {by}"


def _planned(evidence: Evidence, key: Key) -> tuple[object, ...]:
    """What is missing, so that a line of the plan and the check it plans are told together."""
    row = evidence.one(Planned, line=key.place) if key.check == PLAN_CHECK else None
    return (row.check, row.place or "") if row is not None else (key.check, key.place)


def _about(row: Nonconformity) -> Key:
    return Key(row.check or "", row.quantity or "", row.place or "", row.condition or "", row.attempt or 1)


def _first(words: Iterable[str]) -> str:
    return next(iter(words), "")


def _matter(raw: _Raw) -> Matter:
    """A matter in words: its own finding, not the one about the report or the plan, says what it is."""
    told = [item for item in raw.items if item.finding.key.check not in (REPORT_CHECK, PLAN_CHECK)]
    told = told or [item for item in raw.items if item.finding.key.check != REPORT_CHECK]
    numbers = tuple(item.number for item in (*told, *(item for item in raw.items if item not in told)))
    what = _what(told) if told else f"As report {raw.report} says: {raw.reported}"
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
    elif first.finding.verdict in NOT_SHOWN:
        text = first.subject
    else:
        text = f"{first.subject}: {first.value}"
    return text[:1].upper() + text[1:]
