"""Which engines she has, by the tables that name them or their shafts."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.systems.records.engine import EngineReading
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.core.evidence import Evidence
from buildbook.core.record import Record


@dataclass(frozen=True, slots=True)
class EnginesAboard:
    """The ids that the engine readings give her engines; the most that one table names, and the file of that table.

    `most` is 0 where no table names any.
    """

    ids: Set[str]
    most: int
    file: str


def engines_aboard(evidence: Evidence) -> EnginesAboard:
    """The engines by these tables. Engine readings and fuel use one kind of id, shafts and machines another.

    Rows that cannot be used count too; all of a table that do not say what they are about count as one. A shaft on
    trial stands for its engine.
    """
    named: dict[type[Record], set[str]] = {
        EngineReading: _names(evidence, EngineReading, "place"),
        ShaftSpeed: _names(evidence, ShaftSpeed, "propeller"),
        Machine: {row.machine for row in evidence.of(Machine) if row.kind == "engine"}
        | {row.get("machine") or "" for row in evidence.lost(Machine) if row.get("kind") in (None, "engine")},
    }
    most = max(named, key=lambda kind: len(named[kind]))
    return EnginesAboard(named[EngineReading] - {""}, len(named[most]), most.table.file if named[most] else "")


def _names(evidence: Evidence, kind: type[Record], column: str) -> set[str]:
    """What the rows of a table name in a column; an empty word for those that do not say it."""
    return {getattr(row, column) for row in evidence.of(kind)} | {row.get(column) or "" for row in evidence.lost(kind)}
