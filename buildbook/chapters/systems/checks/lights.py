"""SYS-18: navigation lights, horn and emergency stops, each tried on a day that is on record."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.subjects import limits
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.subjects import Test, each_test, on_day, tried
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, unjudged

CHECK = "SYS-18"
WORKS = "works"
TEST = Test(CHECK, Tried, (WORKS,))
NO_DATE = "No date is on record, so nothing shows when it was tried."


def lights(evidence: Evidence) -> Iterable[Finding]:
    """SYS-18: every light, horn and stop."""
    return each_test(evidence, TEST, lambda row: _one(evidence, row))


def _one(evidence: Evidence, row: Tried) -> Iterable[Finding]:
    key = Key(CHECK, WORKS, row.place, "", row.attempt)
    about = About(method=row.kind, period=on_day(row.on), at=(row.where,))
    if row.on is None and row.works is not False:
        yield unjudged(key, Verdict.NO_RECORD, NO_DATE, about, limits(evidence, CHECK, WORKS))
        return
    words = "works" if row.works else "does not work"
    seen = f"{words}: {row.found}" if row.found else words
    yield from tried(evidence, key, row.works, seen, about)
