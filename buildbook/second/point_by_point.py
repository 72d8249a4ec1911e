"""A mean over a part of the points of the other side's: the points that both read, each beside the other's reading.

The mean of five points of eight is another quantity than the mean of all eight. Each of the five is the same on both
sides, so the same check is asked again of the reading at one point alone. A limit for the mean is not about a point.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.laminate.records import ThicknessReading
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.position import position_text
from buildbook.core.record import Record
from buildbook.core.wording import listed, plain_number
from buildbook.second.along_the_blade import Spot
from buildbook.second.reading import POSITION, same_position

HAS_POINTS: tuple[type[Record], ...] = (ThicknessReading,)  # tables of which each row says its own position

Place = tuple[float | None, ...]


def points(yard: Iterable[Record], his: Iterable[Record]) -> tuple[Spot, ...]:
    """Every point that one side or both read, the yard's in its own order, each in the yard's name where it has one.

    Args:
        yard: the yard's rows of one table, about one thing.
        his: the surveyor's.
    """
    ours, theirs = _by_place(yard), _by_place(his)
    made, taken = [], set()
    for at, rows in ours.items():
        met = next((other for other in theirs if other not in taken and same_position(at, other)), None)
        taken |= {met} if met else set()
        made.append(Spot(_name(rows[0]), tuple(rows), tuple(theirs[met]) if met else ()))
    made += [Spot(_name(rows[0]), (), tuple(rows)) for at, rows in theirs.items() if at not in taken]
    return tuple(made)


def in_part(spots: Sequence[Spot]) -> bool:
    """Whether some points were read by both sides, and some by one alone."""
    both = sum(bool(spot.yard and spot.his) for spot in spots)
    return 0 < both < len(spots)


def what_was_read(spots: Sequence[Spot]) -> str:
    """Which points both sides read, and which one side did not, in a sentence each."""
    both = [spot.value for spot in spots if spot.yard and spot.his]
    told = [f"{plain_number(len(both))} of {plain_number(len(spots))} points are compared one by one: {listed(both)}."]
    left_out = {
        "surveyor": [spot.value for spot in spots if not spot.his],
        "yard": [spot.value for spot in spots if not spot.yard],
    }
    told += [f"Not read by the {who}: {listed(left)}." for who, left in left_out.items() if left]
    return " ".join(told)


def near_point(rows: Sequence[Record]) -> Callable[[Unread], bool]:
    """Whether a lost row may be of the point of some rows; one whose position is not known may."""
    known = [_place(row) for row in rows]

    def near(row: Unread) -> bool:
        at = tuple(row.get(name) for name in POSITION)
        return None in at or any(same_position(one, at) for one in known)

    return near


def without_limits(evidence: Evidence, check: str) -> Evidence:
    """The same evidence without what was specified for a check: a limit for the mean judges no point."""
    specification = evidence.specification
    kept = tuple(limit for limit in specification.limits if limit.check != check)
    return replace(evidence, specification=replace(specification, limits=kept))


def _by_place(rows: Iterable[Record]) -> dict[Place, list[Record]]:
    found: dict[Place, list[Record]] = {}
    for row in rows:
        at = _place(row)
        if None not in at:
            found.setdefault(next((one for one in found if same_position(one, at)), at), []).append(row)
    return found


def _place(row: Record) -> Place:
    return tuple(getattr(row, name) for name in POSITION)


def _name(row: Record) -> str:
    """The name of a point on its grid, else its position in words."""
    return getattr(row, "grid", "") or position_text(*_place(row))
