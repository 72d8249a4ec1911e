"""Which rows that cannot be used may belong to a reading: those that say nothing else about where they belong.

The yard's own judging asks only for place, condition and attempt, and so holds too much rather than too little. Set
beside each other that is no safe side: a slip in a row of one series would take another out of the comparison.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from buildbook.chapters.coating.checks.appearance import GLOSS
from buildbook.chapters.coating.records.surveys import Gloss
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding
from buildbook.core.record import Record, about
from buildbook.core.spelling import alike

# Columns that part the rows of one place into findings of their own, with what the key of such a finding says.
PARTED_BY: Mapping[type[Record], Mapping[str, Callable[[Any], str]]] = {
    Gloss: {"angle": lambda angle: GLOSS[angle]},
    VibrationRecord: {"axis": str, "run": lambda run: f"run {run}"},
}


def may_belong(evidence: Evidence, finding: Finding, row: Unread) -> bool:
    """Whether a lost row may be one of a finding's: nothing that can be read in it says that it is of another.

    Args:
        evidence: the folder, read.
        finding: one of its findings.
        row: a row that place, condition and attempt do not rule out, as far as they could be made out.
    """
    return _of_this_place(evidence, finding, row) and _of_this_series(evidence, finding, row)


def _of_this_series(evidence: Evidence, finding: Finding, row: Unread) -> bool:
    key = finding.key
    named = {key.quantity, *key.condition.split(", ")}
    for column, words in PARTED_BY.get(row.kind, {}).items():
        value = row.get(column)
        if value is None or words(value) in named:
            continue
        if any(words(other) in named for other in evidence.values(row.kind, column)):
            return False
    return True


def _of_this_place(evidence: Evidence, finding: Finding, row: Unread) -> bool:
    """An id that is in no table is a slip for one that it looks like; where none does, it may be any."""
    column = row.kind.table.place
    spelled = row.spelled.get(column, "") if column else ""
    if not spelled or row.get(column) is not None or not finding.key.place:
        return True
    meant = alike(spelled, _known(evidence, row.kind, column))
    return not meant or finding.key.place in meant


def _known(evidence: Evidence, kind: type[Record], column: str) -> Iterable[str]:
    other = about(kind.columns()[column], "refers")
    return () if other is None else (str(value) for value in evidence.values(other, other.table.key[0]))
