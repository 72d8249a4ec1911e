"""The words by which a reading looks up its instrument: what the column `quantity` of instruments.csv has to say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import get_args

from buildbook.core.record import InColumn, Record, about
from buildbook.readers.choices import base_type


@dataclass(frozen=True, slots=True)
class Looked:
    """A word for `quantity`, and the titles of the tables whose readings are looked up by it."""

    quantity: str
    tables: tuple[str, ...]


def looked_up_by(kinds: Iterable[type[Record]]) -> tuple[Looked, ...]:
    """Every word under which readings of these tables find how sure their instrument is, in the order of the tables."""
    found: dict[str, dict[str, None]] = {}
    for kind in kinds:
        for quantity in _words(kind):
            found.setdefault(quantity, {})[kind.table.title] = None
    return tuple(Looked(quantity, tuple(tables)) for quantity, tables in found.items())


def _words(kind: type[Record]) -> Iterator[str]:
    """The words that the columns of instruments give; where each row says it itself, all that it may say."""
    columns = kind.columns()
    for info in columns.values():
        for of in (about(info, "measures") or {}).values():
            if isinstance(of, InColumn):
                yield from map(str, get_args(base_type(columns[of.name])))
            else:
                yield of
