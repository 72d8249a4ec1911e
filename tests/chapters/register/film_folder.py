"""A small folder for the tests of the review: film readings with a stand-in check, and reports on them. Synthetic."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.register import CHAPTER
from buildbook.chapters.register.review import review, stand_by_reports
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.chapter import Chapter
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.pipeline import judge as judge_all
from tests.chapters.evidence_builder import evidence

FILM, SMALLEST = "coating/film_thickness.csv", "smallest film thickness"


def one(findings, quantity, place=None) -> Finding:
    found = [f for f in findings if f.key.quantity == quantity and place in (None, f.key.place)]
    assert len(found) == 1, [f.key for f in found]
    return found[0]


def film(zone="Z1", attempt=1, values=(180, 190)):
    return [
        {"zone": zone, "attempt": attempt, "number": n, "thickness": value, "at": f"2026-03-30 09:{n:02d}"}
        for n, value in enumerate(values, start=1)
    ]


def thin_film(given: Evidence) -> Iterable[Finding]:
    """A stand-in for the film check: the smallest reading of each zone and attempt is at least 100 µm."""
    limits = Limits(Limit("um", (Term("at least 100", Standing.BUILDER),), low=100.0))
    rows = given.of(FilmReading)
    for zone, attempt in sorted({(row.zone, row.attempt) for row in rows}):
        its = [row for row in rows if (row.zone, row.attempt) == (zone, attempt)]
        key = Key("COA-08", SMALLEST, zone, attempt=attempt)
        about = About(at=tuple(row.where for row in its))
        yield from judge(key, Quantity(min(row.thickness for row in its), "um", 1.0), limits, about)


FILM_CHECK = Check("COA-08", "Is the film thick enough?", thin_film, (FilmReading,), frozenset(Verdict))
CHAPTERS = (Chapter("film", "Film", (FilmReading,), (FILM_CHECK,)), CHAPTER)
whole = partial(judge_all, chapters=CHAPTERS)


REWORK = {
    "report": "NCR-1",
    "found_on": "2026-03-30",
    "check": "COA-08",
    "quantity": SMALLEST,
    "place": "Z1",
    "attempt": 1,
    "disposition": "rework",
    "reinspected_on": "2026-04-02",
    "reinspected_by": "QA RT",
    "as_left_attempt": 2,
    "closed_on": "2026-04-03",
    "other_hulls": "no",
}
CONCESSION = {
    **{name: REWORK[name] for name in ("report", "found_on", "check", "quantity", "place", "attempt", "other_hulls")},
    "disposition": "use as is",
    "approved_by": "MD",
    "approver_role": "designer",
    "justification": "TN-112",
    "closed_on": "2026-04-03",
}
FAILED, MENDED = film(values=(60, 190)), film(attempt=2, values=(150, 190))


def reported(report, rows=(*FAILED, *MENDED)):
    given = evidence({FilmReading: rows, Nonconformity: [report]})
    return list(review(given, stand_by_reports(given, tuple(thin_film(given)))))
