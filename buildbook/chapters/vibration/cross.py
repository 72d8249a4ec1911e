"""Rows of the vibration survey that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from buildbook.chapters.contradictions import not_later
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.chapters.vibration.sound_records import SoundLevel
from buildbook.chapters.vibration.subjects import far_off, run_of
from buildbook.chapters.vibration.together import doubts
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity

HELD = "Its levels are judged, and nothing better than inconclusive is said of the two sides."
NOTHING_OFF = "Nothing is taken off the level for it."
IF_RIGHT = (
    "Its level is judged as it is, and each finding that rests on it says so. Look at the value of the number 1 or at "
    "full scale, and at the unit that the file names; if both are right, nothing is to be done."
)
NOT_GOOD = "Nothing better than inconclusive is said of a level that rests on it."


def mirrors_name_each_other(evidence: Evidence) -> Iterable[Fault]:
    """A position and its mirror name each other, and none is its own."""
    by_name = {row.position: row for row in evidence.of(Position)}
    for row in by_name.values():
        if row.mirror == row.position:
            yield Fault(row.cell("mirror"), "a position on the other side", row.mirror, HELD, row_kept=True)
        elif row.mirror in by_name and by_name[row.mirror].mirror != row.position:
            found = by_name[row.mirror].mirror or "an empty cell"
            expected = f"{row.position}, since that row names {row.mirror} as its mirror"
            yield Fault(by_name[row.mirror].cell("mirror"), expected, found, HELD, row_kept=True)


def later_attempts_are_later(evidence: Evidence) -> Iterable[Fault]:
    """A later attempt at one position, axis and setting is later."""
    for one, other in combinations(evidence.of(VibrationRecord), 2):
        if one.attempt == other.attempt or _subject(evidence, one) != _subject(evidence, other):
            continue
        before, after = sorted((one, other), key=lambda row: row.attempt)
        yield from not_later(before, after)


def _subject(evidence: Evidence, row: VibrationRecord) -> tuple[str, str, str]:
    run = run_of(evidence, row.run)
    return (row.position, row.axis, run.setting if run is not None else row.run)


def records_of_their_own(evidence: Evidence) -> Iterable[Fault]:
    """Every record is as long as those that were started with it, and has samples of its own."""
    for row in evidence.of(VibrationRecord):
        for doubt in doubts(evidence, row):
            where = row.cell(doubt.column) if doubt.column else row.where
            yield Fault(where, doubt.expected, doubt.found, NOT_GOOD, row_kept=True)


def levels_of_one_size(evidence: Evidence) -> Iterable[Fault]:
    """A notice at a record that is many times stronger or weaker than those beside it: its scale may be wrong."""
    for row in evidence.of(VibrationRecord):
        off = far_off(evidence, row)
        if off is not None:
            column = "calibration" if row.calibration is not None else "file"
            expected = f"a calibration and a unit that bring it near record {off.beside}, {off.other:.3g} mm/s"
            yield Fault(row.cell(column), expected, f"{off.level:.3g} mm/s", IF_RIGHT, Severity.NOTICE)


def background_below_the_level(evidence: Evidence) -> Iterable[Fault]:
    """With the machinery stopped it is not louder than with it."""
    for row in evidence.of(SoundLevel):
        if row.background is not None and row.background > row.level:
            expected = f"at most the {row.level:g} dB with the machinery running"
            yield Fault(row.cell("background"), expected, f"{row.background:g} dB", NOTHING_OFF, row_kept=True)


CROSS_CHECKS = (
    levels_of_one_size,
    mirrors_name_each_other,
    later_attempts_are_later,
    records_of_their_own,
    background_below_the_level,
)
