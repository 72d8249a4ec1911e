"""SYS-14: detectors that sound, and detectors and extinguishers that are in date."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from buildbook.chapters.subjects import limits
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.subjects import Test, each_test, on_day, tried
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Quantity

CHECK = "SYS-14"
WORKS, IN_DATE = "works when tried", "days in date"
TEST = Test(CHECK, SafetyDevice, (WORKS, IN_DATE))
NOT_BY_TRIAL = ("extinguisher", "fixed extinguishing system", "fire blanket")  # a trial would empty it
NO_DATE = "No date is on record until which it is good."
NO_DAY = "Neither the day she was delivered nor that of the book is known."


def safety(evidence: Evidence) -> Iterable[Finding]:
    """SYS-14: every device: whether it works, where it can be tried, and how long it is good for."""
    return each_test(evidence, TEST, lambda row: _device(evidence, row))


def _device(evidence: Evidence, row: SafetyDevice) -> Iterable[Finding]:
    details = f", {row.details}" if row.details else ""
    what = f"{row.kind}{details}"
    how = f"; {row.tried_by}" if row.tried_by else ""
    about = About(method=f"{what}{how}", period=on_day(row.on), at=(row.where,))
    if row.works is not None or row.kind not in NOT_BY_TRIAL:
        key = Key(CHECK, WORKS, row.place, "", row.attempt)
        yield from tried(evidence, key, row.works, "works" if row.works else "does not work", about)
    key = Key(CHECK, IN_DATE, row.place, "", row.attempt)
    yield from _in_date(evidence, key, row, about)


def _in_date(evidence: Evidence, key: Key, row: SafetyDevice, about: About) -> Iterable[Finding]:
    wanted = limits(evidence, CHECK, IN_DATE, place=row.place)
    day, named = _day(evidence)
    if row.good_until is None:
        if row.kind == "fire blanket":
            return
        yield unjudged(key, Verdict.NO_RECORD, NO_DATE, about, wanted)
    elif day is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_DAY, about, wanted)
    else:
        left = Quantity.count(float((row.good_until - day).days), "d")
        until = row.good_until.isoformat()
        line = f"good until {until}, counted from {day.isoformat()}, {named}"
        yield from judge(key, left, wanted, replace(about, working=(line,)), observed=f"until {until}")


def _day(evidence: Evidence) -> tuple[date | None, str]:
    """The day that counts: that of delivery, else that of the book."""
    delivered = evidence.hull.date_of("delivered")
    if delivered is not None:
        return delivered, "when she was delivered"
    return evidence.hull.as_of, "the day of this book"
