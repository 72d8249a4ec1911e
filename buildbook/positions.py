"""Which thing has which number on the drawings of her: every place, and every row that says its position itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from buildbook.chapters.shared_records import Nonconformity, Place, Planned
from buildbook.core.book import Numbered
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.extent import beyond
from buildbook.core.hull import Hull, encloses
from buildbook.core.position import position_text
from buildbook.core.record import AXES, Record, about
from buildbook.core.table_view import Row, TableView
from buildbook.core.where import Where
from buildbook.core.wording import listed, plain_number, unit_text

NOT_GIVEN = "no position in the table"
NOT_DRAWN = "she cannot be drawn: neither an outline nor her length is on record"
AREAS = ("zone",)  # kinds of places that are less particular than an opening, a part or a position in them

At = tuple[str, int | None]  # file and line


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing with a number: a place, or the rows at one position of their own; `unplaced` as in `PlaceLine`."""

    number: int
    kind: type[Record]
    place: str
    name: str
    x: float | None
    y: float | None
    z: float | None
    unplaced: str
    rows: tuple[Where, ...]

    @property
    def position(self) -> str:
        """Its position in words."""
        return position_text(self.x, self.y, self.z)


@dataclass(frozen=True, slots=True)
class Marks:
    """Every numbered thing, and the numbers that belong to each row, the most particular first."""

    things: tuple[Thing, ...]
    by_row: Mapping[At, tuple[int, ...]]
    by_place: Mapping[str, int]
    drawn: frozenset[int]

    def of_row(self, file: str, line: int | None) -> tuple[int, ...]:
        """The numbers of a row on the drawings, without those that no drawing shows."""
        return tuple(number for number in self.by_row.get((file, line), ()) if number in self.drawn)

    def of_finding(self, item: Numbered, named: Mapping[str, str]) -> tuple[int, ...]:
        """The numbers of a finding: its place and the positions of its rows; without a place, those of all its rows.

        `named` gives the place of a line of the plan or a report, which stand as places in findings about them.
        """
        key = item.finding.key
        place = self.by_place.get(named.get(key.place) or key.place)
        places = frozenset(self.by_place.values())
        rows = [number for where in item.finding.at for number in self.of_row(where.file, where.line)]
        own = [number for number in rows if number not in places]
        numbers = [place, *own] if place in self.drawn else own or sorted(rows)
        return tuple(dict.fromkeys(number for number in numbers if number is not None))


@lru_cache(maxsize=256)
def place_columns(kind: type[Record]) -> tuple[str, ...]:
    """The columns of a table that name a place, directly or through a table that has one row for a place."""
    columns = kind.columns()
    return tuple(name for name, info in columns.items() if name == "place" or _names_a_place(about(info, "refers")))


def _names_a_place(other: type[Record] | None) -> bool:
    return other is not None and (other is Place or other.table.key[0] in place_columns(other))


def named_places(evidence: Evidence) -> dict[str, str]:
    """The place of each line of the plan and each report that names one."""
    named = {row.line: row.place for row in evidence.of(Planned)}
    named |= {row.report: row.place for row in evidence.of(Nonconformity)}
    return {name: place for name, place in named.items() if place}


def marks(evidence: Evidence) -> Marks:
    """Numbers for every readable place, in the order of its table, then for rows with a position of their own."""
    places = tuple(
        _thing(number, row, (row.where,), evidence.hull, name=row.name, place=row.place)
        for number, row in enumerate(evidence.of(Place), start=1)
    )
    own = _own_positions(evidence, len(places))
    by_place = {thing.place: thing.number for thing in places}
    things = (*places, *own)
    return Marks(
        things,
        _by_row(evidence, by_place, own),
        by_place,
        frozenset(thing.number for thing in things if not thing.unplaced),
    )


def _own_positions(evidence: Evidence, taken: int) -> tuple[Thing, ...]:
    """Rows that say their position themselves; those of one table at one position and zone share a number."""
    names = {row.place: row.name for row in evidence.of(Place)}
    together: dict[tuple[Any, ...], list[Any]] = {}
    for kind, rows in evidence.records.items():
        if kind is not Place and kind.positioned():
            for row in rows:
                position = tuple(getattr(row, name) for name in AXES)
                if any(value is not None for value in position):
                    together.setdefault((kind, getattr(row, kind.table.place, ""), *position), []).append(row)
    return tuple(
        _thing(
            number,
            rows[0],
            tuple(row.where for row in rows),
            evidence.hull,
            name=", ".join([*dict.fromkeys(_label(row) for row in rows), *([names[place]] if place in names else [])]),
            place=place,
        )
        for number, ((_, place, *_), rows) in enumerate(together.items(), start=taken + 1)
    )


def _label(row: Record) -> str:
    """What stands at a row's position, in the words of the columns that its table names for it."""
    first, *others = row.table.label or row.table.key
    told = [_told(row, name) for name in others if getattr(row, name) is not None]
    return ", ".join([str(getattr(row, first)), *told])


def _told(row: Record, name: str) -> str:
    value = getattr(row, name)
    if not isinstance(value, float):
        return str(value)
    unit = unit_text(about(row.columns()[name], "unit") or "")
    return f"{name.replace('_', ' ')} {plain_number(value)} {unit}".strip()


def _thing(number: int, row: Any, rows: tuple[Where, ...], hull: Hull, *, name: str, place: str) -> Thing:
    return Thing(number, type(row), place, name, row.x, row.y, row.z, _unplaced(hull, row), rows)


def _unplaced(hull: Hull, row: Any) -> str:
    """Why a thing has no mark on the drawings; empty where it has one."""
    in_profile, in_plan = row.z is not None, row.y is not None
    if row.x is None or not (in_profile or in_plan):
        return NOT_GIVEN
    outside = beyond(hull, x=row.x, y=row.y, z=row.z)
    if outside:
        told = [f"{name} = {plain_number(getattr(row, name))} m" for name in outside]
        return f"{listed(told)} {'lie' if len(told) > 1 else 'lies'} outside her"
    plain = hull.length_hull is not None
    drawn = (in_profile and (plain or encloses(hull.outline))) or (in_plan and (plain or encloses(hull.plan_outline)))
    return "" if drawn else NOT_DRAWN


def _by_row(evidence: Evidence, by_place: Mapping[str, int], own: Sequence[Thing]) -> dict[At, tuple[int, ...]]:
    """The numbers of every row, readable or not: its own position, then its places, zones last."""
    areas = frozenset(row.place for row in evidence.of(Place) if row.kind in AREAS)
    at = {(where.file, where.line): thing.number for thing in own for where in thing.rows}
    numbers: dict[At, tuple[int, ...]] = {}
    every: list[tuple[type[Record], Sequence[Record | Unread]]] = [*evidence.unread.items(), *evidence.records.items()]
    for kind, rows in every:
        columns = place_columns(kind)
        for row in rows:
            named = [place for name in columns if (place := _cell(row, name)) in by_place]
            named.sort(key=lambda place: place in areas)
            where = (row.where.file, row.where.line)
            mine = [at[where]] if where in at else []
            numbers[where] = tuple(dict.fromkeys([*mine, *(by_place[place] for place in named)]))
    return numbers


def _cell(row: Record | Unread, name: str) -> Any:
    return row.get(name) if isinstance(row, Unread) else getattr(row, name)


def with_marks(tables: Iterable[TableView], marks: Marks) -> tuple[TableView, ...]:
    """The tables with the numbers of their rows."""
    return tuple(replace(table, rows=tuple(_marked(row, table.file, marks) for row in table.rows)) for table in tables)


def _marked(row: Row, file: str, marks: Marks) -> Row:
    numbers = marks.of_row(file, row.line)
    return replace(row, marks=numbers) if numbers else row
