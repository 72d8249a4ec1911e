"""A small book around one characteristic, for the rules of the listing sheet. SYNTHETIC: every number is invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED
from buildbook.core.book import Book, ChapterResult, CheckResult, Count, Numbered, PlanLine, Report
from buildbook.core.finding import Finding, Key, Period, Role, Verdict
from buildbook.core.finding_words import result_text, sentence
from buildbook.core.her_marks import HullDrawing, PlaceLine
from buildbook.core.limit import Limit, Term
from buildbook.core.matter import Matter, State
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.table_view import Row, TableView
from buildbook.core.where import Where
from buildbook.core.wording import (
    limit_text,
    source_text,
    subject_text,
    uncertainty_text,
    verdict_text,
)
from tests.sample_book import BY_KEY, without_listing

CHECK, QUANTITY = "COA-08", "mean film thickness"
FILM = "coating/film_thickness.csv"
NAMES = {"Z1": "Topsides, port", "Z2": "Topsides, starboard", "Z3": "Transom"}
LIMIT = Limit("um", (Term("at least 280 µm", Standing.BUILDER, "builder", "SPEC-07", "C", "6.1"),), low=280.0)
DAY = Period(datetime(2026, 4, 2, 8, 30), datetime(2026, 4, 2, 9, 28))


def limit_of(*standings: Standing) -> Limit:
    """The same limit made of terms known in some ways."""
    return replace(
        LIMIT, terms=tuple(Term("280 µm", standing, "somebody", source="practice") for standing in standings)
    )


def found(
    place: str = "Z1",
    value: float = 320.0,
    verdict: Verdict = Verdict.PASS,
    *,
    expanded: float | None = 10.0,
    **more: Any,
) -> Finding:
    """One finding of the characteristic; `more` are fields of it, or attempt, quantity, role, condition of its key."""
    own = {name: more.pop(name) for name in ("attempt", "quantity", "role", "condition") if name in more}
    key = Key(CHECK, own.pop("quantity", QUANTITY), place, **own)
    return Finding(
        **{
            "key": key,
            "verdict": verdict,
            "measured": Quantity(value, "um", expanded),
            "limit": LIMIT,
            "margin": value - 280.0,
            "guard": expanded,
            "period": DAY,
            "at": (Where(FILM, 2),),
            **more,
        }
    )


PASSES = (found("Z1", 320.0), found("Z2", 310.0))


def other(
    check: str, quantity: str, verdict: Verdict, *, place: str = "Z9", value: float = 200.0, **more: Any
) -> Finding:
    """One finding of another check, at a place and on a row of its own unless told otherwise."""
    return found(place, value, verdict, key=Key(check, quantity, place), **{"at": (Where("other.csv", 2),), **more})


def small_book(
    *findings: Finding,
    closings: Sequence[tuple[str, Verdict]] = (),
    others: Sequence[Finding] = (),
    unkept: Sequence[str] = (),
    **more: Any,
) -> Book:
    """A book with these findings, governing and reference; `closings` say how reports were closed, by their ids.

    `others` are findings of other checks, each in the chapter that its id begins with; `unkept` are lines of the plan
    that ask for what is not there; `more` are fields of the book.
    """
    governing = [it for it in findings if it.key.role is Role.GOVERNING]
    references = [it for it in findings if it.key.role is Role.REFERENCE]
    numbered = [_numbered(CHECK, no, it) for no, it in enumerate((*governing, *references), 1)]
    film = _result(CHECK, numbered[: len(governing)], numbered[len(governing) :])
    not_kept = [
        _numbered(PLAN_CHECK, no, Finding(Key(PLAN_CHECK, "record of the inspection", line), Verdict.NOT_MEASURED))
        for no, line in enumerate(unkept, 1)
    ]
    closed = [Finding(Key(REPORT_CHECK, CLOSED, name), verdict, observed="closed") for name, verdict in closings]
    register = _result(REPORT_CHECK, [_numbered(REPORT_CHECK, no, it) for no, it in enumerate(closed, 1)], [])
    names = dict.fromkeys(it.key.check for it in others)
    beside = [
        _result(name, [_numbered(name, no, it) for no, it in enumerate(its, 1)], [])
        for name in names
        if (its := [it for it in others if it.key.check == name])
    ]
    plan = _result(PLAN_CHECK, not_kept, [])
    here = CHECK.partition("-")[0]
    elsewhere = dict.fromkeys(it.id.partition("-")[0] for it in beside if not it.id.startswith(here))
    chapters = (
        _chapter("coating", film, *(it for it in beside if it.id.startswith(here))),
        *(_chapter(key.lower(), *(it for it in beside if it.id.startswith(key))) for key in elsewhere),
        *((_chapter("register", register, plan),) if closed or unkept else ()),
    )
    places = tuple(
        PlaceLine(no, place, name, None, None, None, None, (), Where("places.csv", no), unplaced="no position")
        for no, (place, name) in enumerate(NAMES.items(), 1)
    )
    bare = replace(
        without_listing(),
        chapters=chapters,
        exceptions=(),
        matters=(),
        reports=(),
        plan=(plan_line("COA-99", Verdict.PASS),),
        tables=(),
        drawings=(HullDrawing("where", "", "Places on her", "No mark.", "", places),),
    )
    return replace(bare, **more)


def put_right(*numbers: str) -> Matter:
    """A matter that says of some findings that they were put right and measured again."""
    return Matter(State.PUT_RIGHT, "film too thin", "two further coats", (), numbers, ("NCR-1",))


def report(disposition: str = "rework", closed_on: str = "2026-04-09", **more: Any) -> Report:
    """A report about the characteristic."""
    made = Report(
        "NCR-1", "", "2026-04-03", "Z1", "280 µm", "270 µm", disposition, "", "", "", closed_on, (), Where("n.csv", 2)
    )
    return replace(made, **{"check": CHECK, "quantity": QUANTITY, **more})


def plan_line(check: str, verdict: Verdict) -> PlanLine:
    """A line of the plan."""
    return PlanLine("ITP-9", "topcoat", "film thickness", check, "Z3", "", "", "", verdict, Where("plan.csv", 9))


def table(file: str, *faults: str, state: str = "", size: int = 10) -> TableView:
    """A table with one row for each fault; an empty one is a row that can be read."""
    rows = tuple(Row(line, ("x",), fault) for line, fault in enumerate(faults, 2))
    return TableView(file, file, "coating", "film", (), rows, state, size, "")


def _result(check: str, governing: list[Numbered], references: list[Numbered]) -> CheckResult:
    counts = tuple(
        Count(verdict, number)
        for verdict in Verdict
        if (number := sum(it.finding.verdict is verdict for it in governing))
    )
    return CheckResult(check, f"{check}?", "", tuple(governing), tuple(references), counts, "", None, ())


def _chapter(key: str, check: CheckResult, *others: CheckResult) -> ChapterResult:
    return ChapterResult(key, key.capitalize(), "", "", (check, *others), check.counts, None, ())


def _numbered(check: str, number: int, finding: Finding) -> Numbered:
    return Numbered(
        f"{check}/{number}",
        f"{check}-{number}",
        finding,
        subject_text(finding.key, NAMES),
        result_text(finding),
        limit_text(finding.limit),
        verdict_text(finding),
        source_text(finding.limit, BY_KEY),
        sentence(finding, NAMES),
        tuple(note for note in finding.notes),
        uncertainty_text(finding.measured),
    )
