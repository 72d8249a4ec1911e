"""Rows of the infusion tables that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from buildbook.chapters.infusion.records import DropReading, Infusion, LogReading, Mix
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import moment

EFFECT = "Until this is mended, nothing that rests on this row is judged."


def mixes_within_their_infusion(evidence: Evidence) -> Iterable[Fault]:
    """A mix is stirred after the bag was closed, and before the part was full."""
    for row in evidence.of(Mix):
        infusion = evidence.one(Infusion, part=row.part)
        if infusion is None:
            continue
        end = infusion.filled or infusion.released
        if row.mixed < infusion.bagged or (end is not None and row.mixed >= end):
            expected = f"a time between bag-up and fill of {row.part} ({infusion.where})"
            yield Fault(row.cell("mixed"), expected, moment(row.mixed), EFFECT)


def a_later_test_is_later(evidence: Evidence) -> Iterable[Fault]:
    """Readings of one drop test rise with their numbers; a later attempt is later."""
    for part in dict.fromkeys(row.part for row in evidence.of(DropReading)):
        for one, other in combinations(evidence.of(DropReading, part=part), 2):
            before, after = sorted((one, other), key=lambda row: (row.attempt, row.number))
            if after.at <= before.at:
                yield Fault(after.cell("at"), f"a time after that of {before.where}", moment(after.at), EFFECT)
                yield Fault(before.cell("at"), f"a time before that of {after.where}", moment(before.at), EFFECT)


def tests_before_resin(evidence: Evidence) -> Iterable[Fault]:
    """A drop test belongs to the bag of its part: it begins after bag-up."""
    for row in evidence.of(DropReading):
        infusion = evidence.one(Infusion, part=row.part)
        if infusion is not None and row.at < infusion.bagged:
            expected = f"a time after bag-up of {row.part} ({infusion.where})"
            yield Fault(row.cell("at"), expected, moment(row.at), EFFECT)


def logged_in_their_time(evidence: Evidence) -> Iterable[Fault]:
    """A log of a part is of the days of its infusion."""
    for row in evidence.of(LogReading):
        infusion = evidence.one(Infusion, part=row.part)
        if infusion is not None and row.at.date() < infusion.bagged.date():
            expected = f"a day of the infusion of {row.part} ({infusion.where})"
            yield Fault(row.cell("at"), expected, moment(row.at), EFFECT)


CROSS_CHECKS = (
    mixes_within_their_infusion,
    a_later_test_is_later,
    tests_before_resin,
    logged_in_their_time,
)
