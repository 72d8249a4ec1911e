"""Where along its blade a reading stands: the places of one side, and which of them the other side read too."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from buildbook.core.record import Record
from buildbook.second.kinds import StandsAt

Rows = tuple[Record, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """One place: what its column says, in the yard's own number where the yard read it, and the rows of each side."""

    value: Any
    yard: Rows
    his: Rows


def spots(at: StandsAt, yard: Iterable[Record], his: Iterable[Record]) -> tuple[Spot, ...]:
    """Every place that one side or both read, in order; each of a side with the nearest of the other.

    Args:
        at: the column that says where.
        yard: the yard's rows of one table, about one thing: one blade, or all blades that are set against each other.
        his: the surveyor's.
    """
    ours, theirs = places(at, yard), places(at, his)
    found = nearest(at, [_value(at, one) for one in ours], [_value(at, one) for one in theirs])
    made = [Spot(_value(at, one), one, theirs[found[n]] if n in found else ()) for n, one in enumerate(ours)]
    alone = (one for n, one in enumerate(theirs) if n not in found.values())
    made += [Spot(_value(at, one), (), one) for one in alone]
    return tuple(sorted(made, key=lambda spot: spot.value))


def places(at: StandsAt, rows: Iterable[Record]) -> list[Rows]:
    """The places of one side, each with its rows: as the last attempt has them, and in each the earlier readings."""
    attempts: dict[int, list[Record]] = {}
    for row in rows:
        attempts.setdefault(row.attempt, []).append(row)  # type: ignore[attr-defined]
    found: list[Rows] = []
    for number in sorted(attempts, reverse=True):
        now = _in_one_attempt(at, attempts[number])
        known = nearest(at, [_value(at, one) for one in now], [_value(at, one) for one in found])
        for of, one in enumerate(now):
            if of in known:
                found[known[of]] += one
            else:
                found.append(one)
    return sorted(found, key=lambda one: _value(at, one))


def nearest(at: StandsAt, ours: Sequence[Any], theirs: Sequence[Any]) -> dict[int, int]:
    """Which of one list is which of another, by their numbers in it: the two nearest first, each once, or not at all.

    >>> radius = StandsAt("radius", lambda one, other: far if (far := abs(one - other)) <= 0.5 else None, str)
    >>> nearest(radius, [59.6, 60.0, 80.0], [60.2, 70.0, 80.0])
    {2: 2, 1: 0}
    """
    near = sorted(
        (round(far, 9), one, other)
        for one, our in enumerate(ours)
        for other, its in enumerate(theirs)
        if (far := at.apart(our, its)) is not None
    )
    found: dict[int, int] = {}
    for _, one, other in near:
        if one not in found and other not in found.values():
            found[one] = other
    return found


def _in_one_attempt(at: StandsAt, rows: Iterable[Record]) -> list[Rows]:
    """The places of one attempt: outwards from the first, as the checks of the blades make sections of readings."""
    found: list[Rows] = []
    for row in sorted(rows, key=lambda row: getattr(row, at.column)):
        if found and at.apart(_value(at, found[-1]), getattr(row, at.column)) is not None:
            found[-1] += (row,)
        else:
            found.append((row,))
    return found


def _value(at: StandsAt, rows: Rows) -> Any:
    return getattr(rows[0], at.column)
