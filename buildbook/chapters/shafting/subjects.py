"""What the checks of shafts and rudders share: parts that are asked for, attempts, one reading with its instrument."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from buildbook.chapters.shafting.records import Shaft
from buildbook.chapters.subjects import Used, absent, attempts, limits, period, planned_places, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge_fact, unjudged
from buildbook.core.quantity import Part
from buildbook.core.record import Record
from buildbook.formulas import OutOfRange
from buildbook.sources import figure, rule_words

RULES = "shafting_rules"
NO_ROW = "No row of this attempt can be used."
NOT_DRAWN = "No row of shafting/shafts.csv says how this shaft was drawn."
EACH = 100.0  # per cent
Judged = Callable[[Evidence, str, int, Sequence[Any]], Iterable[Finding]]


def rule(name: str) -> float:
    """A figure of the printed rules of this chapter, in the unit of its row."""
    return figure(RULES, name)


def customary(name: str) -> str:
    """What a printed rule says, as a sentence of a finding with how well it is known."""
    return rule_words(RULES, name)


@dataclass(frozen=True, slots=True)
class Subject:
    """A check over one table: its quantities, what is said where a part has no row, and what judges an attempt.

    `shafts` is true where every shaft that was drawn is asked for.
    """

    check: str
    kind: type[Record]
    quantities: tuple[str, ...]
    nothing: str
    judged: Judged
    shafts: bool = True

    def findings(self, evidence: Evidence) -> Iterable[Finding]:
        """The findings of every part that any table, the plan or a limit names, attempt by attempt."""
        for part in self._asked(evidence):
            rows = evidence.of(self.kind, part=part)
            lost = [row for row in evidence.lost(self.kind, part=part) if row.get("part") == part]
            if not rows and not lost:
                for quantity in self.quantities:
                    key = Key(self.check, quantity, part)
                    yield absent(evidence, self.kind, key, Verdict.NOT_MEASURED, self.nothing)
                continue
            for attempt in attempts(evidence, self.kind, part=part):
                yield from self._attempt(evidence, part, attempt)

    def _attempt(self, evidence: Evidence, part: str, attempt: int) -> Iterable[Finding]:
        rows = evidence.of(self.kind, part=part, attempt=attempt)
        if rows:
            yield from self.judged(evidence, part, attempt, rows)
            return
        for quantity in self.quantities:
            wanted = limits(evidence, self.check, quantity, place=part)
            key = Key(self.check, quantity, part, "", attempt)
            yield unjudged(key, Verdict.INCONCLUSIVE, NO_ROW, None, wanted)

    def _asked(self, evidence: Evidence) -> tuple[str, ...]:
        named = [*evidence.values(Shaft, "part")] if self.shafts else []
        named += evidence.values(self.kind, "part")
        named += planned_places(evidence, self.check, self.kind.table.file)
        named += [entry.place for entry in evidence.specification.limits if entry.check == self.check and entry.place]
        return tuple(dict.fromkeys(named))


def not_read(evidence: Evidence, key: Key, rows: Sequence[Any], words: str) -> Finding:
    """That a quantity was not measured in rows that are there."""
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    return unjudged(key, Verdict.NOT_MEASURED, words, About(at=tuple(row.where for row in rows)), wanted)


def not_drawn(evidence: Evidence, key: Key, rows: Sequence[Any]) -> Finding:
    """That nothing says how a shaft was drawn, so that a reading cannot be set against it."""
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    about = About(at=tuple(row.where for row in rows))
    return unjudged(key, Verdict.INCONCLUSIVE, NOT_DRAWN, about, wanted)


def outside(evidence: Evidence, key: Key, rows: Sequence[Any], error: OutOfRange) -> Finding:
    """That a reading lies outside what a formula holds for."""
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    about = About(at=tuple(row.where for row in rows))
    return unjudged(key, Verdict.INCONCLUSIVE, f"Outside the range of its formula: {error}.", about, wanted)


def reading(evidence: Evidence, rows: Sequence[Any], column: str, by: str, quantity: str, unit: str = "mm") -> Used:
    """What the instrument that column `by` names brings to the readings of a column [unit]."""
    return used(evidence, rows, by, quantity, unit, column)


def together(uses: Iterable[Used], parts: tuple[Part, ...]) -> Used:
    """Several instruments behind one value; `parts` are those of the value, none where one instrument states none."""
    uses = tuple(uses)
    return Used(
        tuple(sorted({name for use in uses for name in use.instruments})),
        parts if all(use.parts for use in uses) else (),
        tuple(dict.fromkeys(note for use in uses for note in use.notes)),
        tuple(dict.fromkeys(cap for use in uses for cap in use.caps)),
    )


def about(method: str, rows: Sequence[Any], use: Used, working: Sequence[str], notes: Sequence[str] = ()) -> About:
    """What a finding says of readings: when, with what, from which rows, how worked out."""
    return About(
        method=method,
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=tuple(working),
        notes=(*use.notes, *notes),
        caps=use.caps,
    )


def fact(evidence: Evidence, key: Key, met: bool | None, observed: str, told: About) -> tuple[Finding, ...]:
    """A requirement in words, met or not."""
    return judge_fact(key, met, observed, limits(evidence, key.check, key.quantity, place=key.place), told)
