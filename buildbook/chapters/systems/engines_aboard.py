"""How many engines she has, by the tables that name them or their shafts."""

from __future__ import annotations

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.systems.records.engine import EngineReading
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.core.evidence import Evidence
from buildbook.core.record import Record


def engines_aboard(evidence: Evidence) -> tuple[int, str]:
    """The most engines that one of these tables names, and its file; 0 where none names any.

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
    return len(named[most]), most.table.file if named[most] else ""


def _names(evidence: Evidence, kind: type[Record], column: str) -> set[str]:
    """What the rows of a table name in a column; an empty word for those that do not say it."""
    return {getattr(row, column) for row in evidence.of(kind)} | {row.get(column) or "" for row in evidence.lost(kind)}
