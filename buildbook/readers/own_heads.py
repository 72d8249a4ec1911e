"""The heads of columns.toml: each the head of a yard and the one column of ours that it stands for."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import groupby
from typing import Any

from buildbook.core.record import Record, about
from buildbook.readers.own_columns import NOT_OURS, OwnHead, spelled
from buildbook.readers.table import Head, folded, head_of
from buildbook.readers.toml_reading import near, shown
from buildbook.readers.translating import Translating
from buildbook.readers.units import NO_UNIT, UnitError, converter

NOT_USED = "It is not used. Where this head stands and a column of ours is missing, no row of the table can be used."
NOTHING_DONE = "It does nothing; take it out."
IN_QUOTES = "the name of a column between quotes"


def heads_of(parts: Iterable[tuple[Any, str, str]], work: Translating) -> tuple[OwnHead, ...]:
    """The entries that can be used; a fault for each other one, whose head is then in doubt.

    Args:
        parts: what each part holds, its path in the file, and the table that it is about (empty: every one).
        work: what is known so far.
    """
    found: list[OwnHead] = []
    for value, path, table in parts:
        if not isinstance(value, dict):
            work.reading.blame(path, f"heads below [{path}], one in each line", shown(value), NOT_USED)
            continue
        for theirs, ours in value.items():
            entry = _entry(theirs, ours, f"{path}.{theirs}", table, work)
            if isinstance(entry, OwnHead):
                found.append(entry)
            elif entry:
                for name in (theirs, *(f"{theirs}.{more}" for more in (ours if isinstance(ours, dict) else ()))):
                    work.doubt(name, table, entry)
    once = _once(found, work, lambda own: (own.table, *_key(own.theirs)), "each head once", _again)
    in_tables = [own for own in once if own.table and own.column != NOT_OURS]
    single = _once(in_tables, work, lambda own: (own.table, own.column), "one head for a column", _that_too)
    return tuple(own for own in once if not own.table or own.column == NOT_OURS or own in single)


def _entry(theirs: str, ours: Any, path: str, table: str, work: Translating) -> OwnHead | str:
    """One entry; or why it cannot be used, empty where it does nothing and harms nobody."""
    if not isinstance(ours, str):
        inner = next(iter(ours), "") if isinstance(ours, dict) else ""
        found = "a head with a dot, without quotes around it" if inner else shown(ours)
        at = f"{path}.{inner}" if inner else path
        return work.reading.blame(at, f'{IN_QUOTES}, like "{theirs}" = "day"', found, NOT_USED)
    own, given = head_of(theirs, 0), head_of(ours, 0)
    if given.name == folded(NOT_OURS):
        return _none_of_ours(own, path, table, work)
    columns = work.named(given.name, table)
    if not columns:
        every = list(dict.fromkeys(name for kind in work.within(table) for name in kind.columns()))
        expected = (
            f"a column of {table} ({', '.join(every)}; or {NOT_OURS})"
            if table
            else "a column of a table (see columns.md)"
        )
        return work.reading.blame(path, expected, f"'{ours}'{near(given.name, sorted(every))}", NOT_USED)
    wrong = _wrong(own, given, columns, work)
    if wrong:
        return work.reading.blame(path, *wrong, NOT_USED)
    name = columns[0][1]
    if own.name == folded(name) and given.unit is None:
        work.reading.notice(path, "a head that is not ours", f"'{theirs}', which is ours already", NOTHING_DONE)
        return ""
    return OwnHead(own.text, name, given.unit, work.reading.where(path), table)


def _none_of_ours(own: Head, path: str, table: str, work: Translating) -> OwnHead | str:
    """A head that the yard keeps for itself; a column of ours is never that."""
    there = work.named(own.name, table)
    if own.name and not there:
        return OwnHead(own.text, NOT_OURS, None, work.reading.where(path), table)
    found = f"'{own.text}', which {there[0][0].table.file} has" if there else "none"
    return work.reading.blame(path, "a head that is no column of ours, between the quotes", found, NOT_USED)


def _wrong(
    own: Head, given: Head, columns: list[tuple[type[Record], str]], work: Translating
) -> tuple[str, str] | None:
    """What was expected and found of an entry whose column there is; None where it can be used."""
    name = columns[0][1]
    if not own.name:
        return "a head between the quotes", "none"
    there = {kind for kind, _ in work.named(own.name, "")}
    other = next((kind for kind, _ in columns if kind in there), None)
    if other is not None and own.name != given.name:
        return (
            "a head that is no column of ours",
            f"'{own.text}', which {other.table.file} has: no column can stand for another",
        )
    if given.unit is not None and spelled(own.text)[1] not in (None, spelled(given.text)[1]):
        return "one unit", f'[{own.unit}] in theirs and [{given.unit}] in ours; write "{own.text}" = "{name}"'
    faults = [_unit_fault(own, given, kind, name) for kind, _ in columns]
    return faults[0] if all(faults) else None


def _unit_fault(own: Head, given: Head, kind: type[Record], name: str) -> tuple[str, str] | None:
    info = kind.columns()[name]
    unit = about(info, "unit") or ""
    if not unit:
        return None if given.unit is None or given.unit in NO_UNIT else (f"'{name}' without a unit", f"'{given.text}'")
    typed = own.unit if given.unit is None else given.unit
    try:
        if typed is not None:
            converter(typed, unit, bool(about(info, "difference")))
    except UnitError as error:
        return f"a unit for '{name} [{unit}]' ({error.accepted})", error.found
    return None


def _key(theirs: str) -> tuple[str, str]:
    name, unit = spelled(theirs)
    return name, unit or ""


def _once(
    found: Iterable[OwnHead],
    work: Translating,
    key: Callable[[OwnHead], tuple[str, ...]],
    expected: str,
    words: Callable[[OwnHead, OwnHead], str],
) -> list[OwnHead]:
    """The entries whose key none other has; which of two is right nobody can tell, so neither is used."""
    kept: list[OwnHead] = []
    for _, group in groupby(sorted(found, key=key), key=key):
        first, *others = group
        whys = [work.reading.blame(own.at.part, expected, words(own, first), NOT_USED) for own in others]
        if not whys:
            kept.append(first)
        for own in (first, *others) if whys else ():
            work.doubt(own.theirs, own.table, whys[0])
    return sorted(kept, key=lambda own: own.at.order)


def _again(own: OwnHead, first: OwnHead) -> str:
    return f"'{own.theirs}' again, as in line {first.at.line}; take one of the two out"


def _that_too(own: OwnHead, first: OwnHead) -> str:
    return f"'{own.theirs}' for '{own.column}', as '{first.theirs}' in line {first.at.line}; take one of the two out"
