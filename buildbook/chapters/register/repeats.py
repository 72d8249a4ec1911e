"""Readings that stand twice, and readings that are not in the order in which they are numbered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import combinations, pairwise
from typing import Any

from buildbook.chapters.register.chances import run_beyond_chance, share_that_agrees
from buildbook.chapters.register.look import Look, Notice, rule, some
from buildbook.chapters.register.series import Measured, Run, numbered, runs, taken_one_by_one, time_of
from buildbook.core.evidence import Evidence
from buildbook.core.grammar import counted
from buildbook.core.record import Record

RECURS, ORDER = "series of readings that recurs", "order of time"

Values = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class _Reading:
    """One row with its measured values; `series` and `place` say where it stands."""

    series: int
    place: int
    row: Record
    values: Values


@dataclass(frozen=True, slots=True)
class _Twice:
    """The first readings of a stretch that stands twice, and how many follow each other."""

    one: int
    other: int
    length: int


def series_that_recur(evidence: Evidence) -> Look:
    """The same values one after another in two places of one table, longer than chance explains."""
    notices: list[Notice] = []
    looked = series = 0
    for kind, columns in taken_one_by_one(evidence).items():
        if not kind.table.number:
            continue
        its = runs(evidence, kind)
        looked, series = looked + 1, series + len(its)
        notices += _recurring(kind, columns, its)
    words = f"{counted(series, 'series', 'series')} of {counted(looked, 'table')} with running numbers"
    return Look(RECURS, "every series against every other of its table", words, tuple(notices))


def _recurring(kind: type[Record], columns: Sequence[Measured], its: Sequence[Run]) -> Iterator[Notice]:
    readings = _readings(columns, its)
    if len(readings) < 2:
        return
    own = _each_series_once(readings)
    if len(own) < 2:
        return
    agreeing = max(share_that_agrees([one.values for one in own]), _share_at_one_number(own))
    least = run_beyond_chance(len(readings), agreeing, rule("false alarms"), int(rule("shortest series")))
    found = [] if least is None else list(_stretches(readings, least))
    if not found:
        return
    told = [_words(its, readings, twice) for twice in found]
    rows = {readings[first + i].row.where for one in found for first in (one.one, one.other) for i in range(one.length)}
    working = (
        f"{len(readings)} rows; two agree with a probability of {agreeing:.3g} at most; "
        f"a stretch of {least} or more is more than chance explains",
    )
    yield Notice(kind.table.file, some(told), tuple(sorted(rows, key=lambda where: where.order)), working=working)


def _readings(columns: Sequence[Measured], its: Sequence[Run]) -> list[_Reading]:
    """Every row that holds a reading, series after series."""
    made = []
    for series, run in enumerate(its):
        rows = [(row, tuple(getattr(row, column.name) for column in columns)) for row in run.rows]
        full = [(row, values) for row, values in rows if any(value is not None for value in values)]
        made += [_Reading(series, place, row, values) for place, (row, values) in enumerate(full)]
    return made


def _each_series_once(readings: Sequence[_Reading]) -> list[_Reading]:
    """The readings without those of a series that is another one over again: a copy says nothing about chance."""
    series: dict[int, list[_Reading]] = {}
    for one in readings:
        series.setdefault(one.series, []).append(one)
    once = {tuple(one.values for one in its): its for its in reversed(series.values())}
    return [one for its in reversed(once.values()) for one in its]


def _share_at_one_number(readings: Sequence[_Reading]) -> float:
    """The share of pairs from different series, at the same place in them, that agree: profiles are alike by nature."""
    by_place: dict[int, list[Values]] = {}
    for one in readings:
        by_place.setdefault(one.place, []).append(one.values)
    pairs = [(a == b) for values in by_place.values() for a, b in combinations(values, 2)]
    return sum(pairs) / len(pairs) if pairs else 0.0


def _stretches(readings: Sequence[_Reading], least: int) -> Iterator[_Twice]:
    """Every longest stretch of at least so many readings that stands in two places which do not overlap."""
    begun: dict[tuple[Values, ...], list[int]] = {}
    for first in range(len(readings) - least + 1):
        if readings[first].series == readings[first + least - 1].series:
            begun.setdefault(tuple(one.values for one in readings[first : first + least]), []).append(first)
    for places in begun.values():
        for one, other in combinations(places, 2):
            length = _length(readings, one, other, least)
            if length and one + length <= other:
                yield _Twice(one, other, length)


def _length(readings: Sequence[_Reading], one: int, other: int, least: int) -> int:
    """How long two stretches that begin alike stay alike; 0 where they began before, so that each is told once."""
    if _goes_on(readings, one, other, -1):
        return 0
    length = least
    while _goes_on(readings, one + length - 1, other + length - 1, 1):
        length += 1
    return length


def _goes_on(readings: Sequence[_Reading], one: int, other: int, step: int) -> bool:
    """Whether the readings next to these two, before or behind, are alike and still of the same two series."""
    there = [at + step for at in (one, other)]
    if not all(0 <= at < len(readings) for at in there):
        return False
    stays = all(readings[at].series == readings[at - step].series for at in there)
    return stays and readings[there[0]].values == readings[there[1]].values


def _words(its: Sequence[Run], readings: Sequence[_Reading], twice: _Twice) -> str:
    def stretch(first: int) -> str:
        one, last = readings[first], readings[first + twice.length - 1]
        return f"rows {numbered(one.row)} to {numbered(last.row)} of {its[one.series].name}"

    return f"{stretch(twice.other)} are the same as {stretch(twice.one)}"


def out_of_order(evidence: Evidence) -> Look:
    """Readings that bear a later number and an earlier time."""
    notices, looked, series = [], 0, 0
    for kind in taken_one_by_one(evidence, stepped=True):  # a time is nobody's choice, whatever was set
        if not (kind.table.number and kind.table.time):
            continue
        its = runs(evidence, kind)
        looked, series = looked + 1, series + len(its)
        found = [(run, before, after) for run in its for before, after in pairwise(run.rows) if _back(before, after)]
        if found:
            told = [
                f"{run.name}: {numbered(after)} was taken before {numbered(before)}" for run, before, after in found
            ]
            rows = tuple(row.where for _, *pair in found for row in pair)
            notices.append(Notice(kind.table.file, some(told), tuple(dict.fromkeys(rows))))
    words = f"{counted(series, 'series', 'series')} of {counted(looked, 'table')} with running numbers and times"
    return Look(ORDER, "times against running numbers", words, tuple(notices))


def _back(before: Record, after: Record) -> bool:
    """Whether time runs backwards from one row to the next; a date beside a time is compared as a date."""
    one, other = time_of(before), time_of(after)
    if one is None or other is None:
        return False
    if isinstance(one, datetime) and isinstance(other, datetime):
        return other < one
    return other.toordinal() < one.toordinal()
