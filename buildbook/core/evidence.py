"""Everything the folder holds, read: what the checks are given."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, TypeVar

from buildbook.core.fault import Fault
from buildbook.core.hull import Hull, Specification
from buildbook.core.picture import PictureLook
from buildbook.core.record import Record, head
from buildbook.core.signal import Signal
from buildbook.core.where import Where

R = TypeVar("R", bound=Record)
T = TypeVar("T")

NOT_USED = "could not be used"  # what each sentence says that tells a finding of rows which are lost


@dataclass(frozen=True, slots=True)
class Unread:
    """A row that cannot be used: what could be made out of it (None where not), and why not the rest.

    `spelled` are the ids that stand in it and in no row of the table that they refer to, by column.
    """

    kind: type[Record]
    where: Where
    cells: Mapping[str, Any]
    why: str
    spelled: Mapping[str, str] = field(default_factory=dict)

    def get(self, name: str) -> Any:
        """The value of a column if it could be made out, else None."""
        return self.cells.get(name) if name else None


@dataclass(frozen=True, slots=True)
class Evidence:
    """The readable records and the unreadable rows of every table, with the hull and her specification.

    `missing` names the tables whose file is absent or has no rows, with the reason in words. `signals` are the long
    records that rows name, by the place of the row, `looks` what the pictures look like, by file. `waiting` names the
    lines of the plan whose records are not due at the stage of her build, once that is known.
    """

    hull: Hull
    specification: Specification
    records: Mapping[type[Record], tuple[Record, ...]] = field(default_factory=dict)
    unread: Mapping[type[Record], tuple[Unread, ...]] = field(default_factory=dict)
    missing: Mapping[type[Record], str] = field(default_factory=dict)
    signals: Mapping[Where, Signal] = field(default_factory=dict)
    looks: Mapping[str, PictureLook] = field(default_factory=dict)
    waiting: frozenset[str] = frozenset()
    _indices: dict[Any, dict[tuple[Any, ...], tuple[Record, ...]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _worked: dict[Hashable, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    _of_signals: dict[Hashable, Any] = field(default_factory=dict, repr=False, compare=False)  # `replace` hands it on

    def of(self, kind: type[R], **values: object) -> tuple[R, ...]:
        """The readable records of one table whose columns have these values, in the order of the file."""
        names = tuple(sorted(values))
        index = self._indices.get((kind, names))
        if index is None:
            index = self._indices[(kind, names)] = _indexed(self.records.get(kind, ()), names)
        return index.get(tuple(values[name] for name in names), ())  # type: ignore[return-value]

    def once(self, key: Hashable, work: Callable[[], T]) -> T:
        """What `work` makes of this evidence, worked out once for each key; the key names the work and its subject."""
        if key not in self._worked:
            self._worked[key] = work()
        return self._worked[key]  # type: ignore[no-any-return]

    def once_of_signals(self, key: Hashable, work: Callable[[], T]) -> T:
        """The same of what long records alone give: every evidence made from this one has it too. The key names one."""
        if key not in self._of_signals:
            self._of_signals[key] = work()
        return self._of_signals[key]  # type: ignore[no-any-return]

    def one(self, kind: type[R], **values: object) -> R | None:
        """The first readable record with these values, or None."""
        rows = self.of(kind, **values)
        return rows[0] if rows else None

    def lost(self, kind: type[Record], **values: object) -> tuple[Unread, ...]:
        """The unreadable rows of one table that may have these values: equal, or not to be made out."""
        rows = self.unread.get(kind, ())
        return tuple(row for row in rows if all(row.get(n) is None or row.get(n) == v for n, v in values.items()))

    def kind_of(self, file: str) -> type[Record] | None:
        """The record class of a table by its file, whether its rows are there or not; None for no table."""
        return self.once("kinds by file", self._by_file).get(file)

    def _by_file(self) -> dict[str, type[Record]]:
        return {kind.table.file: kind for kind in (*self.missing, *self.unread, *self.records)}

    def values(self, kind: type[Record], name: str) -> tuple[Any, ...]:
        """Every value of a column, from readable and unreadable rows alike, each once, in the order of the file."""
        seen = [(row.where.order, getattr(row, name)) for row in self.records.get(kind, ())]
        seen += [(row.where.order, row.get(name)) for row in self.unread.get(kind, ())]
        seen.sort(key=lambda pair: pair[0])
        return tuple(dict.fromkeys(value for _, value in seen if value is not None))

    def concerning(
        self,
        kind: type[Record],
        place: str,
        condition: str,
        attempt: int,
        start: datetime | None,
        end: datetime | None,
    ) -> tuple[Unread, ...]:
        """The unreadable rows of one table that may belong to a finding with this key and period."""
        if not self.unread.get(kind):
            return ()
        table = kind.table
        wanted = {table.place: place, table.condition: condition, table.attempt: attempt}
        rows = self.lost(kind, **{name: value for name, value in wanted.items() if name and value not in ("", None)})
        if not table.windowed:
            return rows
        return tuple(row for row in rows if _within(row.get(table.time), start, end))

    def without(self, faults: Iterable[Fault]) -> Evidence:
        """The same evidence with the rows that these faults name moved to the unreadable ones.

        What is in doubt is not kept: the cells of the columns named; with one date every date of the row, since two
        that contradict each other do not tell which is wrong; every cell where a fault names no column of the table.
        """
        reasons: dict[Where, str] = {}
        columns: dict[Where, set[str]] = {}
        for fault in faults:
            reasons.setdefault(fault.where.row, f"expected {fault.expected}; found {fault.found}")
            columns.setdefault(fault.where.row, set()).add(fault.where.column)
        if not reasons:
            return self
        records, unread = dict(self.records), dict(self.unread)
        for kind, rows in self.records.items():
            bad = tuple(row for row in rows if row.where in reasons)
            if bad:
                records[kind] = tuple(row for row in rows if row.where not in reasons)
                lost = tuple(
                    Unread(kind, row.where, _believed(row, columns[row.where]), reasons[row.where]) for row in bad
                )
                unread[kind] = (*unread.get(kind, ()), *lost)
        return replace(self, records=records, unread=unread)


def reasons(rows: Iterable[Unread]) -> dict[int | None, str]:
    """Why the rows of one table cannot be used, by their lines in order: each row once, with every reason."""
    told: dict[int | None, dict[str, None]] = {}
    for row in sorted(rows, key=lambda row: row.where.order):
        told.setdefault(row.where.line, {}).setdefault(row.why)
    return {line: ". Also ".join(why) for line, why in told.items()}


def _believed(row: Record, heads: Iterable[str]) -> dict[str, Any]:
    """The cells of a row by column name, None where one of these heads puts them in doubt."""
    cells = {name: getattr(row, name) for name in row.columns()}
    by_head = {head(type(row), name): name for name in cells}
    named = {by_head.get(text) for text in heads}
    if None in named:
        return dict.fromkeys(cells)
    if any(isinstance(cells[name], date) for name in named if name):
        named |= {name for name, value in cells.items() if isinstance(value, date)}
    return {name: None if name in named else value for name, value in cells.items()}


def _indexed(rows: Iterable[Record], names: tuple[str, ...]) -> dict[tuple[Any, ...], tuple[Record, ...]]:
    """Rows by the values of some columns, so that a thousand questions do not read a long table a thousand times."""
    found: dict[tuple[Any, ...], list[Record]] = {}
    for row in rows:
        found.setdefault(tuple(getattr(row, name) for name in names), []).append(row)
    return {values: tuple(same) for values, same in found.items()}


CrossCheck = Callable[[Evidence], Iterable[Fault]]


def _within(value: Any, start: datetime | None, end: datetime | None) -> bool:
    if value is None or start is None or end is None or not isinstance(value, datetime):
        return True
    return start <= value <= end
