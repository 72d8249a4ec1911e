"""Rows about shafts, couplings and bearings that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from buildbook.chapters.contradictions import EFFECT, not_later
from buildbook.chapters.shafting.aft_records import Bearing, RudderStock
from buildbook.chapters.shafting.records import CouplingGap, RunOut, ShaftEnd
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import moment


def each_gap_once(evidence: Evidence) -> Iterable[Fault]:
    """One gap is read at one place of the rim in one attempt."""
    yield from _twice(evidence, CouplingGap, ("part", "attempt", "angle"), "angle")


def each_angle_once(evidence: Evidence) -> Iterable[Fault]:
    """At one station each angle is read once in one attempt."""
    yield from _twice(evidence, RunOut, ("part", "attempt", "along", "angle"), "angle")


def _twice(
    evidence: Evidence, kind: type[CouplingGap] | type[RunOut], names: tuple[str, ...], column: str
) -> Iterable[Fault]:
    seen: dict[tuple[object, ...], CouplingGap | RunOut] = {}
    for row in evidence.of(kind):
        key = tuple(getattr(row, name) for name in names)
        twin = seen.setdefault(key, row)
        if twin is not row:
            for one, other in ((row, twin), (twin, row)):
                found = f"{getattr(one, column):g}°, as in {other.where}"
                yield Fault(one.cell(column), "an angle of its own", found, EFFECT)


def one_station_one_name(evidence: Evidence) -> Iterable[Fault]:
    """What stands at one place along the shaft is called one thing."""
    seen: dict[tuple[str, float], RunOut] = {}
    for row in evidence.of(RunOut):
        twin = seen.setdefault((row.part, row.along), row)
        if twin.station != row.station:
            yield Fault(row.cell("station"), f"{twin.station}, as in {twin.where}", row.station, EFFECT)


def afloat_after_the_launch(evidence: Evidence) -> Iterable[Fault]:
    """She is afloat from the day she was launched, and for no longer than since then."""
    launched = evidence.hull.date_of("launched")
    if launched is None:
        return
    for row in evidence.of(CouplingGap):
        if row.afloat and row.at.date() < launched:
            expected = f"no, or a time from {launched.isoformat()} on, when she was launched as hull.toml says"
            yield Fault(row.cell("afloat"), expected, f"yes, and read at {moment(row.at)}", EFFECT)
            continue
        most = 24 * ((row.at.date() - launched).days + 1)
        if row.afloat and row.hours is not None and row.hours > most:
            expected = f"at most {most} h at {moment(row.at)}, since she was launched on {launched.isoformat()}"
            yield Fault(row.cell("hours"), expected, f"{row.hours:g} h", EFFECT)


def later_attempts_are_later(evidence: Evidence) -> Iterable[Fault]:
    """A later attempt at the same thing is later."""
    for kind in (ShaftEnd, RunOut, CouplingGap, Bearing, RudderStock):
        rows = sorted(evidence.of(kind), key=lambda row: (row.part, row.attempt))  # type: ignore[attr-defined]
        for one, other in pairwise(rows):
            if one.part == other.part and one.attempt < other.attempt:  # type: ignore[attr-defined]
                yield from not_later(one, other)


CROSS_CHECKS = (
    each_gap_once,
    each_angle_once,
    one_station_one_name,
    afloat_after_the_launch,
    later_attempts_are_later,
)
