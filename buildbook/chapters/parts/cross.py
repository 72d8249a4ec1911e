"""Rows about parts and batches that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.batch_records import Batch, unknown_batches
from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.parts.records import Part, PartBatch, Stock
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault


def used_after_it_came(evidence: Evidence) -> Iterable[Fault]:
    """Nothing is used before it was made or came in."""
    for link in evidence.of(PartBatch):
        for batch in evidence.of(Batch, batch=link.batch):
            for name, said in (("received", "came in"), ("made", "was made")):
                day = getattr(batch, name)
                if day is not None and link.used_on < day:
                    expected = f"a date on or after the batch {said} ({day.isoformat()}, {batch.where})"
                    yield Fault(link.cell("used_on"), expected, link.used_on.isoformat(), EFFECT)
                    break


def used_before_it_was_fitted(evidence: Evidence) -> Iterable[Fault]:
    """A batch goes into a part before that is fitted, or on the day it is."""
    for link in evidence.of(PartBatch):
        part = evidence.one(Part, part=link.part)
        if part is not None and part.fitted_on is not None and link.used_on > part.fitted_on.date():
            day = part.fitted_on.date()
            expected = f"a date not after the part was fitted ({day.isoformat()}, {part.where})"
            yield Fault(link.cell("used_on"), expected, link.used_on.isoformat(), EFFECT)


def batches_on_record(evidence: Evidence) -> Iterable[Fault]:
    """The batches of parts and of the store stand in the table of batches."""
    yield from unknown_batches(evidence, PartBatch, "batch")
    yield from unknown_batches(evidence, Stock, "batch")


CROSS_CHECKS = (used_after_it_came, used_before_it_was_fitted, batches_on_record)
