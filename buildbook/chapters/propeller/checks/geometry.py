"""PRO-06 to PRO-11: spacing, thickness, length, rake and track, tip radius and surface of the blades."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from buildbook.chapters.propeller.blade_records import SectionReading
from buildbook.chapters.propeller.checks.aspects import ASPECTS, AXIAL, CUPS, Aspect, Rows, drawn_at
from buildbook.chapters.propeller.checks.found import NOT_ORDERED, Found, judged_worst
from buildbook.chapters.propeller.checks.walk import each_blade, each_propeller
from buildbook.chapters.propeller.records import DesignSection, Propeller
from buildbook.chapters.propeller.subjects import (
    READINGS,
    Reading,
    blades,
    in_radii,
    last_attempt,
    not_on_other_blades,
    same_radius,
)
from buildbook.chapters.subjects import absent, period
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, unjudged
from buildbook.core.wording import listed


def judged(check: str, evidence: Evidence) -> Iterable[Finding]:
    """Everything that one of these checks looks at."""
    for aspect in (aspect for aspect in ASPECTS if aspect.check == check):
        yield from _judged(evidence, aspect)
    if check == CUPS.check and _cups_matter(evidence):
        yield from _judged(evidence, CUPS)


spacing, thickness, length = (partial(judged, check) for check in ("PRO-06", "PRO-07", "PRO-08"))
placing, tips, surface = (partial(judged, check) for check in ("PRO-09", "PRO-10", "PRO-11"))


def _cups_matter(evidence: Evidence) -> bool:
    """Whether a cup is on record, or the builder limits how far cups may differ."""
    named = any(row.cup is not None for row in evidence.of(SectionReading))
    return named or any(
        (one.check, one.quantity) == (CUPS.check, CUPS.quantity) for one in evidence.specification.limits
    )


def _judged(evidence: Evidence, aspect: Aspect) -> Iterable[Finding]:
    walk, one = (each_propeller, _propeller) if aspect.whole else (each_blade, _blade)
    kind, what = aspect.column.kind, aspect.column.called
    return walk(evidence, aspect.check, aspect.quantity, kind, what, lambda key: one(evidence, aspect, key))


def _blade(evidence: Evidence, aspect: Aspect, key: Key) -> Iterable[Finding]:
    rows = _rows(evidence, aspect, key.place, key.condition, key.attempt)
    return _worst_of(evidence, aspect, key, rows, "this blade")


def _propeller(evidence: Evidence, aspect: Aspect, key: Key) -> Iterable[Finding]:
    left = left_by(evidence, aspect, key.place, key.attempt)
    return _worst_of(evidence, aspect, key, left.rows, "this propeller")


def _worst_of(evidence: Evidence, aspect: Aspect, key: Key, rows: Rows, subject: str) -> Iterable[Finding]:
    """The worst value of some rows against what was ordered, and why it may not be the worst there is."""
    ordered = evidence.one(Propeller, propeller=key.place)
    read = aspect.column.read(rows)
    about = About(period=period(row.at for row in read), at=tuple(row.where for row in read))
    if ordered is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_ORDERED, about)
        return
    found = aspect.find(evidence, ordered, rows)
    lost = reasons(evidence, ordered, aspect, key)
    if found:
        yield from judged_worst(evidence, key, ordered, found, lost)
    elif read:
        yield unjudged(key, Verdict.INCONCLUSIVE, lost[0] if lost else _too_few(aspect), about)
    else:
        words = f"No {aspect.column.called} of {subject} is on record."
        yield absent(evidence, aspect.column.kind, key, Verdict.NOT_MEASURED, words)


def _too_few(aspect: Aspect) -> str:
    return f"One {aspect.column.called} alone cannot be compared."


def _rows(evidence: Evidence, aspect: Aspect, propeller: str, blade: str, attempt: int) -> Rows:
    return evidence.of(aspect.column.kind, propeller=propeller, blade=blade, attempt=attempt)


@dataclass(frozen=True, slots=True)
class Left:
    """The blades of a propeller as their last readings of one kind found them: the attempt and the rows of each."""

    attempts: Mapping[str, int]
    by_blade: Mapping[str, Rows]

    @property
    def rows(self) -> tuple[Any, ...]:
        """All rows."""
        return tuple(row for rows in self.by_blade.values() for row in rows)


def left_by(evidence: Evidence, aspect: Aspect, propeller: str, attempt: int) -> Left:
    """Every blade that any table knows, as its last readings up to an attempt found it."""
    kind = aspect.column.kind
    marks = blades(evidence, propeller, *READINGS)
    attempts = {mark: last_attempt(evidence, propeller, mark, attempt, kind) for mark in marks}
    return Left(attempts, {mark: _rows(evidence, aspect, propeller, mark, last) for mark, last in attempts.items()})


def found_as_left(evidence: Evidence, ordered: Propeller, aspect: Aspect, attempt: int) -> tuple[Found, ...]:
    """All values of one aspect of a propeller as an attempt left it."""
    left = left_by(evidence, aspect, ordered.propeller, attempt)
    if aspect.whole:
        return aspect.find(evidence, ordered, left.rows)
    return tuple(one for rows in left.by_blade.values() for one in aspect.find(evidence, ordered, rows))


def worked_on_since(evidence: Evidence, propeller: str, *kinds: type[Reading]) -> Iterable[str]:
    """The blades of which one of these tables (of all) holds no reading after another one's last attempt."""
    for mark in blades(evidence, propeller, *READINGS):
        last = {kind: last_attempt(evidence, propeller, mark, kind=kind) for kind in READINGS}
        for kind in kinds or READINGS:
            if 0 < last[kind] < max(last.values()):
                yield f"{mark} was worked on after its readings in {kind.table.file} and not read again there."


def radii_as_left(evidence: Evidence, ordered: Propeller, attempt: int) -> tuple[tuple[float, ...], ...]:
    """The radii of the sections of every blade whose thickness or length was read."""
    by_column = {aspect.column: aspect for aspect in ASPECTS if aspect.drawn}
    return tuple(
        tuple(row.radius for row in aspect.column.read(rows))
        for aspect in by_column.values()
        for rows in left_by(evidence, aspect, ordered.propeller, attempt).by_blade.values()
    )


def reasons(evidence: Evidence, ordered: Propeller, aspect: Aspect, key: Key) -> tuple[str, ...]:
    """Why values of a blade may be missing, or of a propeller as an attempt left it where the key names no blade."""
    left = left_by(evidence, aspect, key.place, key.attempt)
    attempts = {key.condition: key.attempt} if key.condition else left.attempts
    found = [] if key.condition else [*_missing_blades(evidence, ordered, aspect, left)]
    for mark, attempt in attempts.items():
        rows = aspect.column.read(_rows(evidence, aspect, key.place, mark, attempt))
        found += _missing_radii(evidence, aspect, replace(key, condition=mark, attempt=attempt))
        found += _not_drawn(evidence, ordered, aspect, rows)
        if aspect.column == AXIAL and not aspect.whole:
            found += _at_another_radius(rows, ordered.axial_radius)
    if aspect.column == AXIAL and aspect.whole:
        read = AXIAL.read(left.rows)
        found += _at_another_radius(read, read[0].axial_radius if read else None)
    return tuple(dict.fromkeys(found))


def _missing_blades(evidence: Evidence, ordered: Propeller, aspect: Aspect, left: Left) -> Iterable[str]:
    column = aspect.column
    read = [mark for mark, rows in left.by_blade.items() if column.read(rows)]
    if len(read) != ordered.blades:
        yield f"The {column.called} of {len(read)} of {ordered.blades} blades was measured."
    if evidence.lost(column.kind, propeller=ordered.propeller):
        yield f"A row of {column.kind.table.file} about this propeller cannot be used."


def _missing_radii(evidence: Evidence, aspect: Aspect, key: Key) -> Iterable[str]:
    """The radii at which other blades have this reading and this one has not."""
    if aspect.column.kind is not SectionReading:
        return

    def radii(evidence: Evidence, propeller: str, blade: str, attempt: int) -> tuple[float, ...]:
        rows = aspect.column.read(_rows(evidence, aspect, propeller, blade, attempt))
        return tuple(row.radius for row in rows)

    gone = not_on_other_blades(evidence, key.place, key.condition, key.attempt, SectionReading, radii)
    if gone:
        yield f"{key.condition} has no {aspect.column.called} at {listed(gone)}, where other blades have."


def _not_drawn(evidence: Evidence, ordered: Propeller, aspect: Aspect, rows: Rows) -> Iterable[str]:
    """What the design does not say, so that a reading stands alone."""
    if aspect.drawn:
        radii = dict.fromkeys(
            in_radii(row.radius)
            for row in rows
            if drawn_at(evidence, ordered.propeller, row.radius, aspect.drawn) is None
        )
        if radii:
            yield f"{DesignSection.table.file} holds no {aspect.drawn} at {listed(radii)}, so it is not judged there."


def _at_another_radius(rows: Rows, wanted: float | None) -> Iterable[str]:
    """Axial positions are compared at one radius: that of the drawing, or that of the first blade."""
    if rows and wanted is None:
        yield "The order gives no axial position of the reference line."
        return
    other = [f"{row.blade} at {in_radii(row.axial_radius)}" for row in rows if not _same(row.axial_radius, wanted)]
    if other:
        yield f"The axial position was read of {listed(other)}, and not at {in_radii(wanted or 0.0)}."


def _same(radius: float, wanted: float | None) -> bool:
    return wanted is not None and same_radius(radius, wanted)
