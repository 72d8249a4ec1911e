"""What did not simply pass, told once each: what is open, accepted, put right, not shown. Nothing is judged here.

One matter often shows in several findings: a failed reading, the report about it, the line of the plan. The first page
and the head of each chapter tell the matter; the page of exceptions keeps every finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED
from buildbook.chapters.shared_records import Nonconformity, Planned
from buildbook.core.book import Matter, Numbered, State
from buildbook.core.check import About, Check
from buildbook.core.decide import NO_UNCERTAINTY
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Verdict, results_of
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.core.wording import capital, disposition_text, listed, subject_text, value_text
from buildbook.listings import keys_of_report

NO_REPORT = "The folder holds no report of it."
UNREADABLE = "A report that may be about it could not be read."
PAPER = "REG-"
ASIDE = 6  # words about a value that may stand in brackets behind it; more make a sentence of their own
SHORT = 60  # letters: a requirement in words that is longer is left to the page of its chapter


@dataclass(frozen=True, slots=True)
class _Raw:
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

    def joined(self, other: _Raw) -> _Raw:
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
class _Known:
    """What the folder says besides the findings: its readable reports, by id and by what they are about.

    `rows` are those that each finding rests on, by its number; `checks` are those of the book, by id.
    """

    evidence: Evidence
    given: Mapping[Key, Numbered]
    names: Mapping[str, str]
    reports: Mapping[str, Nonconformity]
    about: Mapping[Key, Nonconformity]
    rows: Mapping[str, frozenset[Where]]
    checks: Mapping[str, Check]


def matters(
    evidence: Evidence,
    exceptions: Sequence[Numbered],
    given: Mapping[Key, Numbered],
    names: Mapping[str, str],
    checks: Iterable[Check],
) -> tuple[Matter, ...]:
    """Every exception, and every report that shows in none, in exactly one matter: those still open first.

    Near misses stand last.

    Within each, what was measured on her against a published or agreed limit stands before facts and before what has
    only a customary limit or none, that before the conditions of the work and that before paper; then worst first,
    in the order of the chapters.
    `given` are all findings by key, `names` the names of places and other ids in words, `checks` those of the book.
    """
    reports = {row.report: row for row in evidence.of(Nonconformity)}
    rows = {item.number: frozenset(where.row for where in item.finding.at) for item in given.values()}
    about = {row.concerns: row for row in reports.values()}
    known = _Known(evidence, given, names, reports, about, rows, {check.id: check for check in checks})
    joined: dict[tuple[object, ...], _Raw] = {}
    for one in (*(_raw(item, known) for item in exceptions), *_of_reports_alone(exceptions, known)):
        joined[one.same] = joined[one.same].joined(one) if one.same in joined else one
    places = {item.number: place for place, item in enumerate(given.values())}

    def order(raw: _Raw) -> tuple[int, int, int, int]:
        lead = _lead(raw, known)
        return list(State).index(raw.state), _weight(lead, known), -lead.finding.verdict.rank, places[lead.number]

    return tuple(_matter(raw, known) for raw in sorted(_of_one_cause(joined.values(), known), key=order))


def _of_reports_alone(exceptions: Iterable[Numbered], known: _Known) -> Iterable[_Raw]:
    """What only a report tells, closed as it demands: a piece that was scrapped has no reading in the folder."""
    told = {item.number for item in exceptions}
    about = {row.report for item in exceptions if (row := known.about.get(item.finding.key)) is not None}
    for report, row in known.reports.items():
        closing = known.given.get(Key(REPORT_CHECK, CLOSED, report))
        if report not in about and closing is not None and closing.number not in told:
            one = _reported(closing, row, known)
            its = tuple(known.given[key] for key in keys_of_report(row, known.given))
            yield replace(one, items=(*its, closing), became=one.became * (len(its) + 1))


def _weight(item: Numbered, known: _Known) -> int:
    """How far behind a thing is told: 0 felt aboard, 1 measured against a published or agreed limit, 5 paper."""
    finding = item.finding
    if finding.key.check.startswith(PAPER):
        return 5
    about = known.checks[finding.key.check].about
    if about is About.WORK:
        return 4
    if finding.limit is None or all(term.standing is Standing.PRACTICE for term in finding.limit.terms):
        return 3
    if finding.measured is None:
        return 2
    return 0 if about is About.FELT else 1


def _of_one_cause(raws: Iterable[_Raw], known: _Known) -> list[_Raw]:
    """What is undecided for the same reason and rests on a row in common, as one."""
    made: list[_Raw] = []
    on_row: dict[Where, list[int]] = {}  # places in `made`
    for raw in raws:
        rows = {row for item in raw.items for row in known.rows[item.number]}
        near = sorted({place for row in rows for place in on_row.get(row, ())}) if raw.cause else ()
        twin = next((place for place in near if made[place].cause and _same_cause(raw, made[place])), None)
        if twin is None:
            twin = len(made)
            made.append(raw)
        else:
            made[twin] = made[twin].joined(raw)
        for row in rows:
            on_row.setdefault(row, []).append(twin)
    return made


def _same_cause(one: _Raw, other: _Raw) -> bool:
    shorter, longer = sorted((one.cause, other.cause), key=len)
    return longer.endswith(shorter)


def _raw(item: Numbered, known: _Known) -> _Raw:
    key, verdict = item.finding.key, item.finding.verdict
    row = known.reports.get(key.place) if key.check == REPORT_CHECK else known.about.get(key)
    if row is not None and (verdict.missed or key.check == REPORT_CHECK):
        return _reported(item, row, known)
    mended = _mended(item, known) if verdict.missed else None
    if mended is not None:
        return mended
    if verdict.missed:
        return _Raw(State.OPEN, (item.number,), (item,), (_without_report(key, known),))
    if verdict.unshown:
        return _Raw(State.NOT_SHOWN, _planned(known.evidence, key), (item,), (_first(item.told),))
    if verdict is Verdict.INCONCLUSIVE:
        made_again = _made_again(item, known)
        return _reported(item, made_again, known) if made_again is not None else _undecided(item, known)
    if verdict is Verdict.CONDITIONAL_PASS:
        unstated = NO_UNCERTAINTY in item.finding.notes
        same = (key.check, key.quantity, NO_UNCERTAINTY) if unstated else (item.number,)
        return _Raw(State.CLOSE, same, (item,), (NO_UNCERTAINTY if unstated else "",))
    return _Raw(State.OVERDUE, (key.place, item.told), (item,), (_first(item.told),))


def _undecided(item: Numbered, known: _Known) -> _Raw:
    """A value that decides nothing, and whether the next attempt decided."""
    key, why = item.finding.key, _why_undecided(item)
    later = _results(replace(key, attempt=key.attempt + 1), known)
    if later and all(one.finding.verdict.judged for one in later):
        return _Raw(State.DECIDED, (item.number,), (item,), (why,))
    became = why + _also_reported(item, why, known)
    return _Raw(State.UNDECIDED, (key.place, key.condition, why or item.number), (item,), (became,), cause=why)


def _mended(item: Numbered, known: _Known) -> _Raw | None:
    """What was put right without a report: the rows of the next attempt say what was done, and it met the limit."""
    key = item.finding.key
    later = known.given.get(replace(key, attempt=key.attempt + 1))
    if later is None or not later.finding.work or not later.finding.verdict.met:
        return None
    work = later.finding.work
    became = f"{_without_report(key, known)} {capital(work)}. Looked at again: {later.verdict}."
    return _Raw(State.PUT_RIGHT, ("work", key.check, key.place, work), (item,), (became,))


def _without_report(key: Key, known: _Known) -> str:
    """That a miss has no report, or that one which may be about it is lost."""
    unread = key.check != REPORT_CHECK and known.evidence.lost(Nonconformity)
    return UNREADABLE if unread else NO_REPORT


def _made_again(item: Numbered, known: _Known) -> Nonconformity | None:
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
            found = _results(replace(key, attempt=row.as_left_attempt), known)
            if found and all(_shown(one) for one in found):
                return row
    return None


def _shown(item: Numbered) -> bool:
    """Whether a finding says as much as it can: its limit is met, or nobody set one."""
    finding = item.finding
    return finding.verdict.met or (finding.verdict is Verdict.INFORMATION and finding.limit is None)


def _shared(item: Numbered, row: Nonconformity, known: _Known) -> frozenset[Where]:
    """The rows that a finding has in common with the one that a report is about."""
    about = known.given.get(row.concerns)
    return known.rows[item.number] & known.rows[about.number] if about is not None else frozenset()


def _results(key: Key, known: _Known) -> list[Numbered]:
    """What was found under a key, or under one whose condition differs only in numbers: specimen, sensor, run."""
    found = results_of(key, known.given)
    return [known.given[one] for one in found if _words_of(one.condition) == _words_of(key.condition)]


def _words_of(condition: str) -> list[str]:
    return [part for part in condition.split(", ") if not any(sign.isdigit() for sign in part)]


def _also_reported(item: Numbered, why: str, known: _Known) -> str:
    """The report that is about the same rows: for the same reason, else at the same place and condition."""
    key = item.finding.key
    sharing = [row for row in known.reports.values() if _shared(item, row, known)]
    of_cause = [row for row in sharing if why and any(why.endswith(note) for note in _notes(row, known))]
    here = [row for row in sharing if (row.concerns.place, row.concerns.condition) == (key.place, key.condition)]
    for row in of_cause or here:
        stands = f"closed {row.closed_on}" if row.closed_on else "open"
        return f" Report {row.report} is about the same rows: {disposition_text(row.disposition)}, {stands}."
    return ""


def _notes(row: Nonconformity, known: _Known) -> tuple[str, ...]:
    about = known.given.get(row.concerns)
    return about.finding.notes if about is not None else ()


def _why_undecided(item: Numbered) -> str:
    """Of a value the last note, since what holds it is added at the end; else the first, which is the reason itself."""
    notes = item.finding.notes
    return notes[-1] if notes and item.finding.measured is not None else _first(item.told)


def _reported(item: Numbered, row: Nonconformity, known: _Known) -> _Raw:
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
    return _Raw(state, _decision(row, state), (item,), (decided,), (row.report,), works, ending, said)


def _decision(row: Nonconformity, state: State) -> tuple[object, ...]:
    """What reports of one thing have in common: the place, what was decided, and the paper behind it or the work."""
    if not (row.justification or row.work) or not row.place or row.disposition is None:
        return ("report", row.report)
    told = (row.disposition, row.approver_role, row.approved_by, row.justification or row.work)
    return ("report", state, row.place, *told, row.closed_on)


def _after_rework(row: Nonconformity, known: _Known) -> str:
    """What the later attempt showed; of several new specimens the worst, and the lowest of those."""
    wanted = replace(row.concerns, attempt=row.as_left_attempt) if row.as_left_attempt else None
    found = [known.given[key] for key in results_of(wanted, known.given)] if wanted else []
    if not found:
        return "No later reading is shown"
    return f"After rework: {_worst_of(found, wanted.condition if wanted else '')}"


def _worst_of(found: Sequence[Numbered], condition: str) -> str:
    left = max(found, key=lambda item: (item.finding.verdict.rank, -(item.finding.margin or 0.0)))
    name = f" ({left.finding.key.condition})" if left.finding.key.condition != condition else ""
    return f"{_value(left)}{name}, {left.verdict}"


def _measured_again(item: Numbered, known: _Known) -> str:
    """What the next attempt at the same place and quantity showed, empty where there is none."""
    key = item.finding.key
    found = _results(replace(key, attempt=key.attempt + 1), known)
    return f"measured again: {_worst_of(found, key.condition)}" if found else ""


_STATES = {"rework": State.PUT_RIGHT, "use as is": State.ACCEPTED, "scrap": State.SCRAPPED}


def _decided(row: Nonconformity) -> str:
    if row.disposition is None:
        return "Nothing is decided"
    by = f"the {row.approver_role}" if row.approver_role else "nobody named"
    return f"{capital(disposition_text(row.disposition))}, decided by {by}"


def _planned(evidence: Evidence, key: Key) -> tuple[object, ...]:
    """What is missing, so that a line of the plan and the check it plans are told together."""
    row = evidence.one(Planned, line=key.place) if key.check == PLAN_CHECK else None
    return (row.check, row.place or "") if row is not None else (key.check, key.place)


def _first(words: Iterable[str]) -> str:
    return next(iter(words), "")


def _own(raw: _Raw, known: _Known) -> list[Numbered]:
    """The findings that say what a matter is, the heaviest first, of several attempts that missed the last one.

    None where only its report does.
    """
    own = [item for item in raw.items if item.finding.key.check not in (REPORT_CHECK, PLAN_CHECK)]
    own = own or [item for item in raw.items if item.finding.key.check != REPORT_CHECK]
    return sorted(
        own, key=lambda item: (not item.finding.verdict.missed, _weight(item, known), -item.finding.key.attempt)
    )


def _lead(raw: _Raw, known: _Known) -> Numbered:
    return (_own(raw, known) or raw.items)[0]


def _matter(raw: _Raw, known: _Known) -> Matter:
    """A matter in words: its own finding, not the one about the report or the plan, says what it is."""
    own = _own(raw, known)
    numbers = tuple(item.number for item in (*own, *(item for item in raw.items if item not in own)))
    lead = _lead(raw, known)
    alone = raw.reported and all(item.finding.verdict is Verdict.PASS for item in own)
    what = f"{raw.reported} (as its report says)" if alone else _what(lead)
    also = tuple(_beside(item, lead, known) for item in own[1:])
    became = _became(raw, raw.works, lead, known)
    brief = _became(raw, (), lead, known)
    if raw.state is State.PUT_RIGHT and raw.reports:
        brief = f"{raw.became[raw.items.index(lead)]}."
    elif raw.cause:
        brief = _became(replace(raw, became=(raw.cause,) * len(raw.items)), (), lead, known)
    in_brief = "" if brief == became else brief
    return Matter(raw.state, what, became, tuple(dict.fromkeys(also)), numbers, raw.reports, in_brief)


def _became(raw: _Raw, works: tuple[str, ...], lead: Numbered, known: _Known) -> str:
    again = "" if raw.state is State.PUT_RIGHT else _measured_again(lead, known)
    several = len(raw.reports) > 1
    names = f"{'reports' if several else 'report'} {listed(raw.reports)}"
    verb = f"{names} {'are' if several else 'is'}"
    past = f"{names} {'were' if several else 'was'}"
    words = names if ", closed" in raw.ending else past
    ending = raw.ending.format(reports=verb, Reports=capital(words))
    parts = (raw.became[raw.items.index(lead)], *(capital(work) for work in works))
    said = f"{'. '.join(parts)}{ending}"
    return f"{said} {capital(again)}.".strip() if again else said


def _what(item: Numbered) -> str:
    """One finding with value and limit."""
    if item.finding.verdict.unshown:
        text = item.subject
    elif item.finding.limit is None:
        text = f"{item.subject}: {item.value}"
    elif item.finding.measured is not None:
        aside = item.finding.observed if len(item.finding.observed.split()) > ASIDE else ""
        text = f"{item.subject}: {_value(item) if aside else item.value}; {item.limit}"
        text += f". {capital(aside)}" if aside else ""
    elif len(item.limit) <= SHORT:
        text = f"{item.subject}: {item.value}; asked for: {item.limit}"
    else:
        why = [note.removesuffix(".") for note in item.finding.notes[-1:] if item.finding.verdict.missed]
        text = ". ".join((f"{item.subject}: {item.value}", *why))
    return capital(text)


def _value(item: Numbered) -> str:
    measured = item.finding.measured
    return item.value if measured is None else value_text(measured)


def _beside(item: Numbered, lead: Numbered, known: _Known) -> str:
    """A further finding of a matter: its name as far as it differs, a miss with value and limit, what came later."""
    key, first = item.finding.key, lead.finding.key
    place = subject_text(Key("", "", key.place), known.names) if key.place != first.place else ""
    condition = key.condition if key.quantity == first.quantity and key.condition != first.condition else ""
    name = ", ".join(part for part in (key.quantity, place, condition) if part)
    limit = item.finding.limit
    told_already = key.quantity == first.quantity and first.attempt > key.attempt
    again = "" if limit is None or told_already else _measured_again(item, known).replace(": ", " ", 1)
    if item.finding.verdict.missed and limit is not None:
        asked = "" if item.limit == lead.limit else f" (asked for: {item.limit})"
        found = f"{item.value}{asked}" if limit.in_words else f"{_value(item)}, {item.limit}"
        name += f": {found}"
    name = f"{name}, {again}" if again else name
    return capital(name)
