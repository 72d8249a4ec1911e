"""columns.toml while it is read: the tables there are, and the heads of which nobody knows what they stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from buildbook.core.record import Record
from buildbook.readers.own_columns import Doubt
from buildbook.readers.toml_reading import Reading


@dataclass(slots=True)
class Translating:
    """The faults found so far, all tables by file, and the heads that entries name which cannot be used."""

    reading: Reading
    kinds: Mapping[str, type[Record]]
    doubts: list[Doubt] = field(default_factory=list)

    def within(self, table: str) -> tuple[type[Record], ...]:
        """The tables that an entry is about: one, or every one where none is named."""
        return (self.kinds[table],) if table else tuple(self.kinds.values())

    def doubt(self, theirs: str, table: str, why: str) -> None:
        """Nobody knows what a head of a table, or of any, stands for."""
        self.doubts.append(Doubt(theirs, why, table))
