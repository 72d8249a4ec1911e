"""The same mistake in many rows of a column, told once: a wrong head or unit spoils every row below it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from buildbook.core.fault import Fault, Severity

FEWEST_ALIKE = 5  # faults of one column that are told as one, where they are in half of the rows or more
MOST_ALIKE = 20  # so many of one column are told one by one at most

Group = tuple[str, str, str, str, Severity]


def told_once(faults: Iterable[Fault], rows: Mapping[str, int]) -> tuple[Fault, ...]:
    """The faults in the order of files and lines, those that are alike in very many rows of a column as one.

    Args:
        faults: what was found.
        rows: how many rows each table has, by file.
    Returns:
        The faults; one that stands for others says how many, and where the last is.
    """
    groups: dict[Group, list[Fault]] = {}
    for fault in sorted(dict.fromkeys(faults), key=lambda fault: fault.where.order):
        where = fault.where
        groups.setdefault((where.file, where.column, fault.expected, fault.effect, fault.severity), []).append(fault)
    told = [one for alike in groups.values() for one in _told(alike, rows.get(alike[0].where.file, 0))]
    return tuple(sorted(told, key=lambda fault: fault.where.order))


def _told(alike: list[Fault], rows: int) -> list[Fault]:
    """Some faults with one column and one expectation: one by one where they are few."""
    many = len(alike) > MOST_ALIKE or (len(alike) >= FEWEST_ALIKE and 2 * len(alike) >= rows)
    if any(fault.where.line is None for fault in alike):
        return alike
    if not many:
        return _same_found(alike)
    first, last = alike[0], alike[-1].where.line
    unit = ", and its unit" if "[" in first.where.column else ""
    head = f" (is its head right{unit}?)" if first.where.column and 2 * len(alike) >= rows else ""
    found = f"{first.found}; and likewise in {len(alike) - 1} more rows, to line {last}{head}"
    return [replace(first, found=found)]


def _same_found(alike: list[Fault]) -> list[Fault]:
    """The same word in many rows, like one id that its table lacks, as one; the others one by one."""
    by_found: dict[str, list[Fault]] = {}
    for fault in alike:
        by_found.setdefault(fault.found, []).append(fault)
    told = []
    for found, same in by_found.items():
        if len(same) < FEWEST_ALIKE:
            told += same
        else:
            words = f"{found}; and the same in {len(same) - 1} more rows, to line {same[-1].where.line}"
            told.append(replace(same[0], found=words))
    return told
