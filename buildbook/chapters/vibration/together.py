"""What the other rows of the survey say against one record: length, scale, samples, subject, time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import PurePosixPath
from statistics import median, multimode

from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.rules import rule
from buildbook.core.evidence import Evidence
from buildbook.core.signal import Signal
from buildbook.core.wording import listed, moment


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why nobody can rely on a record: the column that says so, what was expected and found, and the whole in words.

    The column is empty where one of several is wrong and nobody can tell which.
    """

    column: str
    expected: str
    found: str
    words: str


def doubts(evidence: Evidence, row: VibrationRecord) -> tuple[Doubt, ...]:
    """What the other rows of the survey say against a record; nothing is said of one that could not be opened."""
    if row.where not in evidence.signals:
        return ()
    return evidence.once(("doubts", row.where), lambda: tuple(_doubts(evidence, row)))


def _doubts(evidence: Evidence, row: VibrationRecord) -> Iterable[Doubt]:
    for against in (_length, _scale, _samples, _subject, _time):
        yield from against(evidence, row)


def _others(evidence: Evidence, row: VibrationRecord, **same: object) -> list[VibrationRecord]:
    """The other rows with these cells whose records could be opened."""
    return [one for one in evidence.of(VibrationRecord, **same) if one is not row and one.where in evidence.signals]


def _length(evidence: Evidence, row: VibrationRecord) -> Iterable[Doubt]:
    """Records that one chain started together are equally long; one is not where its rate is not as its file says."""
    signal = evidence.signals[row.where]
    together = _others(evidence, row, run=row.run, instrument=row.instrument, at=row.at)
    others = [evidence.signals[one.where].duration for one in together]
    alike = [one for one in others if 100.0 * abs(one - signal.duration) <= rule("lengths alike") * one]
    if 2 * len(alike) < len(others):
        usual = f"{median(others):.4g} s"
        found = f"{signal.duration:.4g} s: {signal.length} samples at {signal.rate:g} a second"
        words = f"It lasts {signal.duration:.3g} s, and the records that were started with it {usual}: its rate or its"
        column = "rate" if row.rate is not None else "file"
        expected = f"{usual}, as long as the records that were started with it"
        yield Doubt(column, expected, found, f"{words} length is not as said.")


def _scale(evidence: Evidence, row: VibrationRecord) -> Iterable[Doubt]:
    """One chain has one value at full scale, or of the number 1; another range is another row of the instruments."""
    kind = PurePosixPath(row.file.lower()).suffix
    alike = [one for one in _others(evidence, row, instrument=row.instrument) if one.file.lower().endswith(kind)]
    others = [one.calibration for one in alike if one.calibration]
    if row.calibration is not None and 2 * others.count(row.calibration) < len(others):
        usual = listed(f"{one:g}" for one in multimode(others))
        expected = f"{usual}, as in the other records of {row.instrument}; another range is another instrument"
        of = "of the number 1" if kind == ".mat" else "at full scale"
        words = f"Its value {of} is {row.calibration:g}, that of the other records of {row.instrument} {usual}."
        yield Doubt("calibration", expected, f"{row.calibration:g}", words)


def _samples(evidence: Evidence, row: VibrationRecord) -> Iterable[Doubt]:
    """One channel of one file is one record; two rows with the same samples cannot both be right."""
    mine = evidence.signals[row.where]
    same = [one for one in _others(evidence, row) if _one_and_the_same(mine, evidence.signals[one.where])]
    if same:
        others = listed(one.record for one in same)
        expected = f"samples of its own, and not those of record {others}"
        words = f"Record {others} gives the same samples, so one of them is not its own."
        yield Doubt("file", expected, str(mine.where), words)


def _one_and_the_same(one: Signal, other: Signal) -> bool:
    """Whether two signals are one channel of one file, or copies: no two records agree to the last bit."""
    moved = one.survey is not None and one.survey.least < one.survey.most
    return one.where == other.where or (moved and (one.length, one.survey) == (other.length, other.survey))


def _subject(evidence: Evidence, row: VibrationRecord) -> Iterable[Doubt]:
    """One position, direction, run and attempt is measured once."""
    same = _others(evidence, row, position=row.position, axis=row.axis, run=row.run, attempt=row.attempt)
    if same:
        others = listed(one.record for one in same)
        expected = f"another position, direction, run or attempt than record {others}"
        words = f"Record {others} is of the same position, direction, run and attempt, so one of them is not."
        found = f"position {row.position}, axis {row.axis}, run {row.run}, attempt {row.attempt}, as there"
        yield Doubt("", expected, found, words)


def _time(evidence: Evidence, row: VibrationRecord) -> Iterable[Doubt]:
    """A record is made in its run: not before that begins, and not when a later one has begun."""
    mine = evidence.one(TrialRun, run=row.run)
    if mine is None:
        return
    begins = mine.at - timedelta(minutes=rule("before its run"))
    ends = min((run.at for run in evidence.of(TrialRun) if run.at > mine.at), default=None)
    if row.at < begins or (ends is not None and row.at >= ends) or row.at.date() != mine.at.date():
        until = "" if ends is None else f", before {moment(ends)}, when the next one began"
        expected = f"a time in run {row.run}, from {moment(mine.at)} on{until}"
        words = f"It was made at {moment(row.at)}, and that is not in run {row.run}."
        yield Doubt("at", expected, moment(row.at), words)
