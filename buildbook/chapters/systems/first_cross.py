"""Rows about fuel, tanks, openings, bilges and circuits that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from buildbook.chapters.systems.records import TABLES
from buildbook.chapters.systems.records.electric import Bonding
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import moment

EFFECT = "Until this is mended, nothing that rests on this row is judged."


def later_attempts_are_later(evidence: Evidence) -> Iterable[Fault]:
    """A later attempt at the same thing is later."""
    for kind in TABLES:
        place = kind.table.place
        if kind.table.attempt and not kind.table.number:
            for name in evidence.values(kind, place):
                rows = sorted(evidence.of(kind, **{place: name}), key=lambda row: row.attempt)  # type: ignore[attr-defined]
                for before, after in pairwise(rows):
                    one, other = getattr(before, "at"), getattr(after, "at")  # noqa: B009
                    if other <= one:
                        yield Fault(after.cell("at"), f"a time after that of {before.where}", moment(other), EFFECT)
                        yield Fault(before.cell("at"), f"a time before that of {after.where}", moment(one), EFFECT)


def no_more_than_full(evidence: Evidence) -> Iterable[Fault]:
    """Sender and display are read while the tank fills: at no more litres than filled it."""
    for row in evidence.of(SenderReading):
        fill = evidence.one(FuelFill, tank=row.tank, attempt=row.attempt)
        if fill is not None and row.metered > fill.full:
            expected = f"at most the {fill.full:g} L that filled the tank, {fill.where}"
            yield Fault(row.cell("metered"), expected, f"{row.metered:g} L", EFFECT)


def ashore_before_she_was_launched(evidence: Evidence) -> Iterable[Fault]:
    """Before she was launched she stood ashore."""
    launched = evidence.hull.date_of("launched")
    for row in evidence.of(Bonding):
        if launched is not None and not row.ashore and row.at.date() < launched:
            expected = f"yes before she was launched, {launched.isoformat()}"
            yield Fault(row.cell("ashore"), expected, f"no, on {row.at.date().isoformat()}", EFFECT)


FIRST_CROSS_CHECKS = (later_attempts_are_later, no_more_than_full, ashore_before_she_was_launched)
