"""What did not simply pass, told once each: what is open, accepted, put right, not shown. Nothing is judged here.

One matter often shows in several findings: a failed reading, the report about it, the line of the plan. The first page
and the head of each chapter tell the matter; the page of exceptions keeps every finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED, behind
from buildbook.chapters.register.reports import reports as every_report
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.book import Numbered
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key
from buildbook.core.matter import Matter, State
from buildbook.core.where import Where
from buildbook.later import LaterAttempts
from buildbook.listings import keys_of_report
from buildbook.matter_states import Known, Told, how_it_stands, reported
from buildbook.matter_words import in_words, lead_of, weight


def matters(
    evidence: Evidence,
    exceptions: Sequence[Numbered],
    later: LaterAttempts,
    names: Mapping[str, str],
    checks: Iterable[Check],
) -> tuple[Matter, ...]:
    """Every exception, and every report that shows in none, in exactly one matter: those still open first.

    Near misses stand last.

    Within each, what was measured on her against a published or agreed limit stands before facts and before what has
    only a customary limit or none, that before the conditions of the work and that before paper; then worst first,
    in the order of the chapters.
    `later` holds all findings by key, `names` are those of places and other ids in words, `checks` those of the book.
    """
    given = later.given
    reports = {row.report: row for row in evidence.of(Nonconformity)}
    rows = {item.number: frozenset(where.row for where in item.finding.at) for item in given.values()}
    about = _about(reports.values(), given)
    fails = _words_about_fails(evidence, exceptions)
    known = Known(evidence, given, names, reports, about, fails, rows, {check.id: check for check in checks}, later)
    joined: dict[tuple[object, ...], Told] = {}
    for one in (*(how_it_stands(item, known) for item in exceptions), *_of_reports_alone(exceptions, known)):
        joined[one.same] = joined[one.same].joined(one) if one.same in joined else one
    places = {item.number: place for place, item in enumerate(given.values())}

    def order(told: Told) -> tuple[int, int, int, int]:
        lead = lead_of(told, known)
        return list(State).index(told.state), weight(lead, known), -lead.finding.verdict.rank, places[lead.number]

    return tuple(in_words(told, known) for told in sorted(_of_one_cause(joined.values(), known), key=order))


def _words_about_fails(evidence: Evidence, exceptions: Iterable[Numbered]) -> dict[Key, Numbered]:
    """The fails, by the keys under which the register speaks of their reports: that none is there, or is readable."""
    its = (item for item in exceptions if item.finding.verdict.missed and item.finding.key.check != REPORT_CHECK)
    missed = {item.finding.key: item for item in its}
    lost = {Key(REPORT_CHECK, CLOSED, one.name): one.about for one in every_report(evidence) if one.why and one.about}
    unread = {closing: missed[about] for closing, about in lost.items() if about in missed}
    return {behind(key): item for key, item in missed.items()} | unread


def _about(reports: Iterable[Nonconformity], given: Mapping[Key, Numbered]) -> dict[Key, Nonconformity]:
    """The report about each finding; of several the one that is not closed as it demands, for that is how it stands."""
    about: dict[Key, Nonconformity] = {}
    for row in reports:
        closing = given.get(Key(REPORT_CHECK, CLOSED, row.report))
        if row.concerns not in about or closing is None or not closing.finding.verdict.met:
            about[row.concerns] = row
    return about


def _of_reports_alone(exceptions: Iterable[Numbered], known: Known) -> Iterable[Told]:
    """What only a report tells, closed as it demands: a piece that was scrapped has no reading in the folder.

    What another matter tells already is left to it, so that each finding stands in one.
    """
    told = {item.number for item in exceptions}
    about = {row.report for item in exceptions if (row := known.about.get(item.finding.key)) is not None}
    for report, row in known.reports.items():
        closing = known.given.get(Key(REPORT_CHECK, CLOSED, report))
        if report in about or closing is None or closing.number in told:
            continue
        one = reported(closing, row, known)
        shown = (known.given[key] for key in keys_of_report(row, known.given))
        its = tuple(item for item in shown if item.number not in told)
        told |= {item.number for item in (*its, closing)}
        yield replace(one, items=(*its, closing), became=one.became * (len(its) + 1))


def _of_one_cause(every: Iterable[Told], known: Known) -> list[Told]:
    """What is undecided for the same reason and rests on a row in common, as one."""
    made: list[Told] = []
    on_row: dict[Where, list[int]] = {}  # places in `made`
    for told in every:
        rows = {row for item in told.items for row in known.rows[item.number]}
        near = sorted({place for row in rows for place in on_row.get(row, ())}) if told.cause else ()
        twin = next((place for place in near if made[place].cause and _same_cause(told, made[place])), None)
        if twin is None:
            twin = len(made)
            made.append(told)
        else:
            made[twin] = made[twin].joined(told)
        for row in rows:
            on_row.setdefault(row, []).append(twin)
    return made


def _same_cause(one: Told, other: Told) -> bool:
    shorter, longer = sorted((one.cause, other.cause), key=len)
    return longer.endswith(shorter)
