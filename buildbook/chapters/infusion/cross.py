"""Rows of the infusion tables that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from itertools import pairwise

from buildbook.chapters.batch_records import unknown_batches
from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.infusion.records import BatchUsed, DropReading, Infusion, LogReading, Mix
from buildbook.chapters.infusion.subjects import rule
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import fixed, moment


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
        rows = sorted(evidence.of(DropReading, part=part), key=lambda row: (row.attempt, row.number))
        for before, after in pairwise(rows):
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


def one_bag(evidence: Evidence) -> Iterable[Fault]:
    """Gauge and log of one bag read alike; else one of them is of another unit, or of another bag."""
    most, near = rule("one bag"), timedelta(minutes=rule("close in time"))
    told = set()
    for row in evidence.of(DropReading):
        log = [one for one in evidence.of(LogReading, part=row.part) if one.pressure is not None]
        close = [one for one in log if abs(one.at - row.at) <= near]
        if not close:
            continue
        other = min(close, key=lambda one: (abs(one.at - row.at), one.at))
        low, high = sorted((row.absolute, other.pressure or 0.0))
        if high > most * low:
            found = f"{fixed(row.absolute, 1)} mbar beside {fixed(other.pressure or 0.0, 1)} mbar in {other.where}"
            yield Fault(row.cell("reading"), "a pressure near that of the log", found, EFFECT)
            back = f"{fixed(other.pressure or 0.0, 1)} mbar beside {fixed(row.absolute, 1)} mbar in {row.where}"
            if other.where in told:
                continue
            told.add(other.where)
            yield Fault(other.cell("pressure"), "a pressure near that of the drop test", back, EFFECT)


def gelled_before_release(evidence: Evidence) -> Iterable[Fault]:
    """The vacuum is let go once all has gelled: a beaker of the same mix gels no later than that."""
    for row in evidence.of(Mix):
        infusion = evidence.one(Infusion, part=row.part)
        if infusion is None or infusion.released is None or row.gelled is None:
            continue
        if row.gelled > infusion.released:
            gel = f", which gelled {moment(infusion.gelled)}" if infusion.gelled else ""
            expected = f"a time before the vacuum was let go of {row.part}{gel} ({infusion.where})"
            found = f"{moment(row.gelled)}, after {moment(infusion.released)}"
            yield Fault(row.cell("gelled"), expected, found, EFFECT)


def batches_on_record(evidence: Evidence) -> Iterable[Fault]:
    """The batches of mixes and of infused parts stand in the table of batches."""
    yield from unknown_batches(evidence, Mix, "resin_batch", "hardener_batch")
    yield from unknown_batches(evidence, BatchUsed, "batch")


CROSS_CHECKS = (
    one_bag,
    mixes_within_their_infusion,
    gelled_before_release,
    a_later_test_is_later,
    tests_before_resin,
    logged_in_their_time,
    batches_on_record,
)
