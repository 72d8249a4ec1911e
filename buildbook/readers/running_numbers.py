"""Running numbers of rows and attempts: a gap is a row that was lost, or a result that was left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Any

from buildbook.core.evidence import Unread
from buildbook.core.fault import Fault
from buildbook.core.record import Record
from buildbook.readers.row_cells import capped, cell_of, place_of, shown


@dataclass(frozen=True, slots=True)
class Numbers:
    """The rows that are missing, as unreadable ones, and the fault of each gap."""

    lost: list[Unread]
    faults: list[Fault]


def running_numbers(kind: type[Record], rows: Sequence[Record | Unread]) -> Numbers:
    """Counts 1, 2, 3 …: rows within one place, condition and attempt, and attempts within one place and condition.

    A number that is missing is a row that was lost; an attempt that is missing is a result that was left out.
    """
    table, found = kind.table, Numbers([], [])
    groups = tuple(name for name in (table.place, table.condition) if name)
    if table.number:
        inner = (*groups, table.attempt) if table.attempt else groups
        _running(rows, found, table.number, inner)
    if table.attempt:
        whole_key = table.key == (table.condition,)  # a name that no row has twice: attempts count at the place
        _running(rows, found, table.attempt, (table.place,) if whole_key else groups)
    return found


def _running(rows: Sequence[Record | Unread], found: Numbers, counted: str, groups: tuple[str, ...]) -> None:
    numbers: dict[tuple[Any, ...], dict[int, Record | Unread]] = {}
    unnumbered: Counter[tuple[Any, ...]] = Counter()
    for row in rows:
        group, number = tuple(cell_of(row, name) for name in groups), cell_of(row, counted)
        if number is None:
            unnumbered[group] += 1
        elif None not in group:
            numbers.setdefault(group, {}).setdefault(number, row)
    for group, seen in numbers.items():
        gaps = _gaps(seen)
        if sum(high - low + 1 for low, high in gaps) > _may_be_them(group, unnumbered):
            known = dict(zip(groups, group, strict=True))
            found.lost.extend(
                _lost_number(found.faults, seen[high + 1], counted, known, (low, high)) for low, high in gaps
            )


def _lost_number(
    faults: list[Fault], after: Record | Unread, counted: str, known: Mapping[str, Any], gap: tuple[int, int]
) -> Unread:
    """The fault at the row after a gap, and the unreadable row that stands for what is missing."""
    kind = after.kind if isinstance(after, Unread) else type(after)
    low, high = gap
    words = f"{counted} {low} is missing" if low == high else f"{counted} {low} to {high} are missing"
    expected = f"{counted} 1, 2, 3 … without a gap"
    found = f"{high + 1}: {words} for {', '.join(f'{name} {shown(value)}' for name, value in known.items())}"
    faults.append(Fault(place_of(after, counted), expected, found, capped(kind)))
    cells = {**dict.fromkeys(kind.columns()), **known}
    return Unread(kind, after.where, cells, f"expected {expected}; found {found}")


def _gaps(seen: Iterable[int]) -> list[tuple[int, int]]:
    """The missing numbers below the largest one, as (first, last)."""
    return [(a + 1, b - 1) for a, b in pairwise([0, *sorted(seen)]) if b > a + 1]


def _may_be_them(group: tuple[Any, ...], unnumbered: Counter[tuple[Any, ...]]) -> int:
    """How many unreadable rows without a number may belong to this group; they hold it at `inconclusive` already."""
    return sum(unnumbered[kinds] for kinds in product(*((value, None) for value in group)))
