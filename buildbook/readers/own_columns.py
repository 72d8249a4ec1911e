"""A yard's own heads and words, as columns.toml gives them, and a table read with them.

Nothing here changes a cell: a head keeps its text and gets our name, and a word is looked up when its cell is read.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record, head
from buildbook.core.where import Where
from buildbook.readers.choices import Choices, choices_of
from buildbook.readers.table import Head, RawTable, folded, head_of, one_spelling

NOT_OURS = "not ours"  # what columns.toml calls a head that is no column of the table
UNUSED = "It does nothing; take it out, or correct its spelling."


@dataclass(frozen=True, slots=True)
class OwnHead:
    """A head of the yard's and the column that it stands for; `table` is empty for every table that has the column.

    `theirs` is the head as written in columns.toml: with a unit in brackets it is that head alone, without one it is
    every head of this name. `unit` is the unit that columns.toml gives; None where it gives none. `column` is
    `NOT_OURS` for a head that the yard keeps for itself.
    """

    theirs: str
    column: str
    unit: str | None
    at: Where
    table: str = ""


@lru_cache(maxsize=50_000)
def spelled(text: str) -> tuple[str, str | None]:
    """A head as it is compared: its name in one spelling, and what stands in its brackets, if it has any."""
    taken = head_of(text, 0)
    return one_spelling(taken.name), None if taken.unit is None else unicodedata.normalize("NFKC", taken.unit)


@dataclass(frozen=True, slots=True)
class OwnWord:
    """A word of the yard's and the choice that it stands for; `table` and `column` are empty where it is every one."""

    theirs: str
    ours: str
    at: Where
    table: str = ""
    column: str = ""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A head that an entry names which cannot be used: what it stands for nobody knows, and `why` says so."""

    theirs: str
    why: str
    table: str = ""


@dataclass(frozen=True, slots=True)
class OfTable:
    """What of columns.toml bears on one table: narrower entries first. `unreadable` as in `OwnColumns`."""

    heads: tuple[OwnHead, ...] = ()
    words: tuple[tuple[str, OwnWord], ...] = ()
    doubts: tuple[Doubt, ...] = ()
    unreadable: Fault | None = None


NOTHING_OWN = OfTable()


@dataclass(frozen=True, slots=True)
class OwnColumns:
    """Everything that columns.toml says, with its faults; `unreadable` where nothing of it could be read."""

    heads: tuple[OwnHead, ...] = ()
    words: tuple[OwnWord, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    faults: tuple[Fault, ...] = ()
    unreadable: Fault | None = None

    def of(self, kind: type[Record]) -> OfTable:
        """What of it bears on a table. A head that the table itself has as a column never means another one."""
        file, known = kind.table.file, {folded(name): name for name in kind.columns()}
        ours = set(known.values())
        heads = [own for own in self.heads if own.table in ("", file) and own.column in (*ours, NOT_OURS)]
        kept = [own for own in heads if known.get(spelled(own.theirs)[0], own.column) == own.column]
        coded = {name: found for name, info in kind.columns().items() if (found := choices_of(info)).choices}
        words = [
            (name, own) for name, found in coded.items() for own in self.words if _is_choice(own, file, name, found)
        ]
        return OfTable(
            tuple(sorted(kept, key=lambda own: (not own.table, spelled(own.theirs)[1] is None))),
            tuple(sorted(words, key=lambda pair: (not pair[1].table, not pair[1].column))),
            tuple(doubt for doubt in self.doubts if doubt.table in ("", file)),
            self.unreadable,
        )


def _is_choice(own: OwnWord, file: str, name: str, found: Choices) -> bool:
    """Whether a word stands for a choice of a column, and is none of its own."""
    fits = own.table in ("", file) and own.column in ("", name) and own.ours in found.choices
    return fits and not found.has(own.theirs)


def in_our_names(raw: RawTable, own: OfTable, kind: type[Record]) -> RawTable:
    """The table with our name at every head that columns.toml maps, and the yard's words at those of coded columns.

    Args:
        raw: the table as received; its cells and the texts of its heads stay as they are.
        own: what columns.toml says of it.
        kind: its record class.
    """
    heads = our_heads(raw.heads, own, kind)
    fault = own.unreadable
    unknown = f"{fault.where}: expected {fault.expected}; found {fault.found}" if fault is not None else ""
    aliases = {spelled(one.theirs)[0] for one in own.heads if one.column != NOT_OURS}
    return replace(raw, heads=heads, aliases=tuple(sorted(aliases)), unknown=unknown)


def _entries(own: OfTable) -> dict[str, list[OwnHead]]:
    entries: dict[str, list[OwnHead]] = {}
    for one in own.heads:
        entries.setdefault(spelled(one.theirs)[0], []).append(one)
    return entries


def our_heads(heads: Iterable[Head], own: OfTable, kind: type[Record]) -> tuple[Head, ...]:
    """Heads as received with our names, as `in_our_names` gives them."""
    known, entries = {folded(name) for name in kind.columns()}, _entries(own)
    doubts = {spelled(one.theirs)[0]: one.why for one in reversed(own.doubts)}
    words: dict[str, dict[str, str]] = {}
    for name, entry in own.words:
        words.setdefault(folded(name), {}).setdefault(one_spelling(entry.theirs), entry.ours)
    mapped = [_mapped(item, entries, {} if item.name in known else doubts) for item in heads]
    return tuple(replace(item, words=tuple(words.get(item.name, {}).items())) for item in mapped)


def _mapped(item: Head, entries: Mapping[str, Sequence[OwnHead]], doubts: Mapping[str, str]) -> Head:
    """A head with the name of its column, or with why nobody can tell which it is."""
    name, bracket = spelled(item.text)
    entry = next((one for one in entries.get(name, ()) if spelled(one.theirs)[1] in (None, bracket)), None)
    if entry is None:
        return replace(item, doubt=doubts.get(name, ""))
    same = item.unit is None or (entry.unit is not None and spelled(f"[{entry.unit}]") == spelled(f"[{item.unit}]"))
    given = item.unit if same and item.unit is not None else entry.unit
    unit = entry.unit if item.unit is None else item.unit
    return replace(item, name=folded(entry.column), unit=unit, given=given, said=str(entry.at))


def unused(
    own: OwnColumns, raw: Mapping[type[Record], RawTable | None], absent: Container[type[Record]]
) -> tuple[Fault, ...]:
    """A notice for each entry that no file uses; none of an entry that a file may use which cannot be read.

    Args:
        own: what columns.toml says.
        raw: the tables as they were read; None for one that is absent or cannot be read.
        absent: the tables that are absent.
    """
    lost = {kind.table.file for kind, table in raw.items() if table is None and kind not in absent}
    said = {item.said for table in raw.values() if table is not None for item in table.heads}
    spoken = spoken_in(own, raw)
    heads = [one for one in own.heads if str(one.at) not in said and not _may_be(one.table, lost)]
    words = [one for one in own.words if one not in spoken and not _may_be(one.table, lost)]
    return (
        *(_unused(one.at, "a file that has this head", f"'{one.theirs}' in none") for one in heads),
        *(_unused(one.at, "a coded column that has this word", f"'{one.theirs}' in none") for one in words),
    )


def _may_be(table: str, lost: Collection[str]) -> bool:
    """Whether an entry is about a table that cannot be read."""
    return table in lost if table else bool(lost)


def spoken_in(own: OwnColumns, raw: Mapping[type[Record], RawTable | None]) -> frozenset[OwnWord]:
    """The entries of words that a cell of some tables is read by."""
    if not own.words:
        return frozenset()
    return frozenset(one for kind, table in raw.items() if table is not None for one in _spoken(own.of(kind), table))


def _spoken(own: OfTable, table: RawTable) -> Iterable[OwnWord]:
    """The entries whose word stands in a cell of their column."""
    for item in (item for item in table.heads if item.words):
        cells = {one_spelling(row.cells[item.index]) for row in table.rows if item.index < len(row.cells)}
        theirs = {one_spelling(one.theirs): one for name, one in reversed(own.words) if folded(name) == item.name}
        yield from (one for word, one in theirs.items() if word in cells)


def _unused(at: Where, expected: str, found: str) -> Fault:
    return Fault(at, expected, found, UNUSED, Severity.NOTICE)


def in_their_heads(faults: Iterable[Fault], raw: Mapping[type[Record], RawTable | None]) -> tuple[Fault, ...]:
    """The same faults, each naming the head as it stands in the file where columns.toml maps it."""
    theirs = {
        (kind.table.file, head(kind, name)): item.text
        for kind, table in raw.items()
        if table is not None
        for item in table.heads
        if item.said
        for name in kind.columns()
        if folded(name) == item.name
    }
    if not theirs:
        return tuple(faults)
    return tuple(
        replace(fault, where=replace(fault.where, column=theirs[fault.where.file, fault.where.column]))
        if (fault.where.file, fault.where.column) in theirs
        else fault
        for fault in faults
    )
