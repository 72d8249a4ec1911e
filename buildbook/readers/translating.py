"""columns.toml while it is read: the tables there are, and the heads of which nobody knows what they stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from buildbook.core.record import Record
from buildbook.readers.own_columns import Doubt
from buildbook.readers.table import folded
from buildbook.readers.toml_reading import Reading


@dataclass(slots=True)
class Translating:
    """The faults found so far, all tables by file, and the heads that entries name which cannot be used."""

    reading: Reading
    kinds: Mapping[str, type[Record]]
    doubts: list[Doubt] = field(default_factory=list)

    columns: Mapping[str, list[tuple[type[Record], str]]] = field(init=False)

    def __post_init__(self) -> None:
        """Find every column by its name in one spelling once: a file may have very many entries."""
        found: dict[str, list[tuple[type[Record], str]]] = {}
        for kind in self.kinds.values():
            for name in kind.columns():
                found.setdefault(folded(name), []).append((kind, name))
        self.columns = found

    def named(self, name: str, table: str) -> list[tuple[type[Record], str]]:
        """The columns of a name, of one table or of every one where none is named."""
        return [(kind, own) for kind, own in self.columns.get(name, ()) if table in ("", kind.table.file)]

    def within(self, table: str) -> tuple[type[Record], ...]:
        """The tables that an entry is about: one, or every one where none is named."""
        return (self.kinds[table],) if table else tuple(self.kinds.values())

    def doubt(self, theirs: str, table: str, why: str) -> None:
        """Nobody knows what a head of a table, or of any, stands for."""
        self.doubts.append(Doubt(theirs, why, table))
