"""All tables of the folder to one Evidence: reading, duplicate keys, references, running numbers, cross-checks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from buildbook.core.chapter import Opener
from buildbook.core.evidence import CrossCheck, Evidence, Unread
from buildbook.core.fault import Fault, Severity
from buildbook.core.hull import Hull, Specification
from buildbook.core.record import Record, about, head
from buildbook.core.signal import Signal
from buildbook.core.spelling import other_id
from buildbook.core.stand import FILE_ITSELF, Stand
from buildbook.core.where import Where
from buildbook.readers.folder import Folder, why_absent
from buildbook.readers.left_over import FILE, named_by_nobody, named_by_rows, not_as_tables
from buildbook.readers.not_readings import titled, without_examples, without_odd_rows
from buildbook.readers.own_columns import NOTHING_OWN, OfTable, in_their_heads
from buildbook.readers.part_filled import only_filled
from buildbook.readers.persons import persons
from buildbook.readers.refused import Refused
from buildbook.readers.row_cells import capped, cell_meant, cell_of, cells_of, place_of, shown
from buildbook.readers.rows import Rows, validate
from buildbook.readers.running_numbers import running_numbers
from buildbook.readers.standing import Books, books_of, chosen, none_readable, places_of, received
from buildbook.readers.strange_sheets import not_as_sheets
from buildbook.readers.table import RawTable
from buildbook.readers.told_once import told_once
from buildbook.readers.workbook import with_cells

_BOTH_LOST = "Neither row is used; what rests on them stays inconclusive."
_BOTH_HELD = "What rests on either row is no better than inconclusive."
_NEITHER = "Neither row is used."
_BOTH_KEPT = "No finding changes."

Kind = type[Record]


@dataclass(frozen=True, slots=True)
class Gathered:
    """The evidence, all faults and notices by file and line, each table as received, and the files that were read.

    `named` are the files of the folder that a row names, also one that cannot be used, `stands` the places of each
    table.
    """

    evidence: Evidence
    faults: tuple[Fault, ...]
    raw: Mapping[Kind, RawTable | None]
    used: tuple[str, ...]
    named: frozenset[str] = frozenset()
    stands: Mapping[Kind, tuple[Stand, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Double:
    """A row whose key stands in another `line` too: whether it is the first of them, or a copy of the first."""

    line: int | None
    first: bool
    same: bool


@dataclass(slots=True)
class _Work:
    """What is being gathered. `looked_up` are the tables that others refer to by id, `files` all tables."""

    looked_up: frozenset[Kind]
    files: frozenset[str] = frozenset()
    books: Books = field(default_factory=Books)
    sheets: Mapping[Kind, tuple[str, ...]] = field(default_factory=dict)
    meant: Callable[[RawTable], RawTable] = lambda raw: raw
    own: Callable[[Kind], OfTable] = lambda _: NOTHING_OWN
    records: dict[Kind, tuple[Record, ...]] = field(default_factory=dict)
    unread: dict[Kind, tuple[Unread, ...]] = field(default_factory=dict)
    missing: dict[Kind, str] = field(default_factory=dict)
    raw: dict[Kind, RawTable | None] = field(default_factory=dict)
    stands: dict[Kind, tuple[Stand, ...]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    used: list[str] = field(default_factory=list)
    named: frozenset[str] = frozenset()

    def rows(self, kind: Kind) -> list[Record | Unread]:
        """Readable and unreadable rows in the order of the file."""
        rows: list[Record | Unread] = [*self.records[kind], *self.unread[kind]]
        return sorted(rows, key=lambda row: row.where.order)

    def keys(self, kind: Kind) -> set[Any]:
        """The values of the first key column, from readable and unreadable rows."""
        name = kind.table.key[0]
        return {getattr(row, name) for row in self.records[kind]} | {row.get(name) for row in self.unread[kind]}


def gather(
    folder: Folder,
    tables: Sequence[Kind],
    *,
    cross_checks: Sequence[CrossCheck] = (),
    openers: Mapping[Kind, Opener] | None = None,
    hull: Hull | None = None,
    specification: Specification | None = None,
    sheets: Mapping[Kind, tuple[str, ...]] | None = None,
    meant: Callable[[RawTable], RawTable] = lambda raw: raw,
    own: Callable[[Kind], OfTable] = lambda _: NOTHING_OWN,
) -> Gathered:
    """Read every table of the folder.

    Args:
        folder: the hull folder.
        tables: the record classes, each once.
        cross_checks: functions that look for rows which contradict each other, in this order; the rows that one names
            are not used, nor seen by the next, except where the fault says that the row is kept.
        openers: of a table whose rows name long records, how one is opened.
        hull: who she is, if hull.toml could be read.
        specification: what her builder promised, if hull.toml could be read.
        sheets: tables laid out with printed positions, to be filled in, each with the columns of which one
            makes a row a reading; a row without any is none, and the numbers of its rows are not counted.
        meant: a table as it was meant, from the one received: without what we put into cells ourselves.
        own: the yard's own heads and words of a table.
    Returns:
        The evidence, the faults, the tables as received (None for a file that is absent or unreadable), the files used.
    Range:
        A table that is absent or empty is named in `evidence.missing` and is no fault. A file that cannot be read is a
        fault and counts as one unreadable row that may concern anything.
    """
    looked_up = frozenset(about(info, "refers") for kind in tables for info in kind.columns().values())
    files = frozenset(kind.table.file for kind in tables)
    work = _Work(looked_up, files, books_of(folder, sorted(files)), sheets or {}, meant, own)
    for kind in tables:
        _read(folder, kind, work)
    work.named = named_by_rows(folder, work.raw)
    work.faults.extend(work.books.told(work.named))
    for kind in tables:
        _beside(folder, kind, work)
    _elsewhere(folder, tables, work)
    for kind in tables:
        _duplicates(kind, work)
    for kind in tables:
        _references(kind, work)
        if kind not in work.sheets:
            numbers = running_numbers(kind, work.rows(kind))
            work.unread[kind] = (*work.unread[kind], *numbers.lost)
            work.faults.extend(numbers.faults)
        work.faults.extend(persons(kind, work.records[kind]))
    signals = {where: signal for kind in tables for where, signal in _opened(folder, kind, openers or {}, work)}
    evidence = Evidence(
        hull or Hull(),
        specification or Specification(),
        dict(work.records),
        dict(work.unread),
        dict(work.missing),
        signals,
    )
    crossed: list[Fault] = []
    for check in cross_checks:
        contradictions = tuple(check(evidence))
        evidence = evidence.without(f for f in contradictions if f.severity is Severity.FAULT and not f.row_kept)
        crossed += contradictions
    told_of = {fault.where.file for fault in work.faults}
    known = {*work.used, *work.files, *work.named, *told_of}
    forgotten = named_by_nobody(folder, (signal.where.file for signal in signals.values()), known)
    faults = in_their_files((*folder.left_out(), *work.faults, *forgotten, *crossed), work.raw)
    told = told_once(faults, {kind.table.file: len(raw.rows) for kind, raw in work.raw.items() if raw is not None})
    return Gathered(evidence, told, dict(work.raw), tuple(sorted(set(work.used))), work.named, dict(work.stands))


def in_their_files(faults: Iterable[Fault], raw: Mapping[Kind, RawTable | None]) -> tuple[Fault, ...]:
    """The same faults, each at the place as its reader finds it: at the yard's own head, in the cell of a sheet."""
    return with_cells(in_their_heads(faults, raw), {kind.table.file: table for kind, table in raw.items()})


def _read(folder: Folder, kind: Kind, work: _Work) -> None:
    file = kind.table.file
    work.records[kind], work.unread[kind], work.raw[kind] = (), (), None
    stand = FILE_ITSELF
    try:
        found = chosen(kind, folder, work.books)
        if found is None:
            work.missing[kind] = "is not in the folder"
            return
        stand = found
        data = folder.read(stand.received(file))
        raw, rows = parsed(kind, data, work.sheets.get(kind, ()), work.meant, work.own(kind), stand)
    except Refused as refusal:
        work.faults.append(refusal.fault)
        work.unread[kind] = (_unreadable(kind, Where(file, sheet=stand.words), refusal.fault),)
        return
    work.raw[kind] = raw
    if not raw.rows:
        work.faults.extend(raw.faults)
        work.missing[kind] = "has heads and no rows" if raw.heads else "is empty"
        return
    work.records[kind], work.unread[kind] = rows.records, rows.unread
    work.faults.extend((*raw.faults, *rows.faults))


def _beside(folder: Folder, kind: Kind, work: _Work) -> None:
    """What holds the table besides: places with heads alone, and workbooks that cannot be read and may hold rows."""
    file = kind.table.file
    work.stands[kind] = places_of(file, folder, work.books)
    work.used.extend(stand.received(file) for stand in work.stands[kind])
    for fault in work.books.may_hold(file, work.named):
        work.unread[kind] = (*work.unread[kind], _unreadable(kind, fault.where, fault))
        work.missing.pop(kind, None)


def _unreadable(kind: Kind, where: Where, fault: Fault) -> Unread:
    """What stands for a table, or a workbook that may hold it, that cannot be read: it may concern anything."""
    place = f"{fault.where}: " if fault.where.file != where.file else ""
    return Unread(kind, where, dict.fromkeys(kind.columns()), f"{place}expected {fault.expected}; found {fault.found}")


def parsed(
    kind: Kind,
    data: bytes,
    filled: tuple[str, ...] = (),
    meant: Callable[[RawTable], RawTable] = lambda raw: raw,
    own: OfTable = NOTHING_OWN,
    stand: Stand = FILE_ITSELF,
) -> tuple[RawTable, Rows]:
    """A table from the bytes of the file that holds it, as received and as rows; it depends on nothing else.

    With `filled`, rows in which none of these columns holds anything are left out. `meant` as for `gather`, `own` is
    what columns.toml says of this table. `stand` says which sheet it is, where the file is a workbook.

    Errors:
        Refused where the bytes are no table, or the table of another kind; where no head is ours and columns.toml
        cannot be read, with what is wrong there.
    """
    raw = without_examples(meant(received(kind, data, stand, own)))
    title = titled(kind, raw)
    if title is not None:
        raise Refused(own.unreadable or title)
    raw = without_odd_rows(kind, only_filled(raw, filled) if filled else raw)
    return raw, validate(kind, raw)


def _elsewhere(folder: Folder, kinds: Sequence[Kind], work: _Work) -> None:
    """Files that are probably tables, under another name or in another folder: told, not read."""
    by_file = {kind.table.file: kind for kind in kinds}
    absent = {kind.table.file for kind in kinds if not work.stands[kind]}
    elsewhere = (
        *not_as_tables(folder, work.files, work.named | work.books.read | work.books.locked.keys(), absent),
        *not_as_sheets(work.books, kinds, [kind for kind in kinds if kind in work.missing], work.named),
    )
    work.faults.extend(dict.fromkeys(fault for fault, _ in elsewhere))
    for fault, table in elsewhere:
        if table:
            work.missing[by_file[table]] = f"is not in the folder (there is '{fault.where.stands_in}')"


def _duplicates(kind: Kind, work: _Work) -> None:
    """Two rows with one key hold what they concern at `inconclusive`.

    Which of two contradicting rows is right cannot be told. Where other tables look rows up by this key, neither is
    used. Elsewhere both are readings and stay, so that no failed one is lost; of two copies the first stays.
    """
    columns = kind.table.key
    first: dict[tuple[Any, ...], Record | Unread] = {}
    doubled: dict[Where, _Double] = {}
    for row in work.rows(kind):
        key = tuple(cell_of(row, name) for name in columns)
        earlier = first.setdefault(key, row)
        if None in key or earlier is row:
            continue
        doubled.setdefault(earlier.where, _Double(row.where.line, first=True, same=False))
        doubled[row.where] = _Double(earlier.where.line, first=False, same=cells_of(earlier) == cells_of(row))
        named = ", ".join(f"{name} '{shown(value)}'" for name, value in zip(columns, key, strict=True))
        found = f"{named} again, as in line {earlier.where.line}{_of_two(doubled[row.where], columns)}"
        effect = _of_doubled(kind, work)
        work.faults.append(Fault(place_of(row, columns[-1]), f"one row for each {', '.join(columns)}", found, effect))
    if doubled:
        _hold_doubled(kind, work, doubled)


def _of_two(double: _Double, columns: Sequence[str]) -> str:
    """What to do about the second of two rows with one key."""
    if double.same:
        return ", and every cell the same; take one of the two out"
    return f", with other cells; correct {columns[-1]} in one of the two, or take the wrong one out"


def _of_doubled(kind: Kind, work: _Work) -> str:
    if not kind.table.judged:
        return f"{_NEITHER} {kind.table.row_lost}" if kind in work.looked_up else _BOTH_KEPT
    return _BOTH_LOST if kind in work.looked_up else _BOTH_HELD


def _hold_doubled(kind: Kind, work: _Work, doubled: Mapping[Where, _Double]) -> None:
    held = [_doubtful(row, doubled) for row in work.unread[kind]]
    kept = []
    for row in work.records[kind]:
        double = doubled.get(row.where)
        if double is not None:
            why = f"expected each row once; found the same key in line {double.line}"
            held.append(_doubtful(Unread(kind, row.where, cells_of(row), why), doubled))
        if double is None or not (kind in work.looked_up or double.same):
            kept.append(row)
    work.records[kind] = tuple(kept)
    work.unread[kind] = tuple(sorted(held, key=lambda row: row.where.order))


def _doubtful(row: Unread, doubled: Mapping[Where, _Double]) -> Unread:
    """A later row with a used key may have been meant for another; its place is believed unless it is the whole key."""
    double, table = doubled.get(row.where), row.kind.table
    if double is None or double.first or double.same:
        return row
    doubt = [name for name in table.key if name != table.place or len(table.key) == 1]
    return replace(row, cells={**row.cells, **dict.fromkeys(doubt)})


def _references(kind: Kind, work: _Work) -> None:
    """Ids must stand in the table they refer to.

    A row with an id that does not is still a reading, so it stays readable; beside it stands an unreadable row that
    holds everything it may concern at `inconclusive`. That way no failed reading is lost.
    """
    for name, info in kind.columns().items():
        other = about(info, "refers")
        if other is None or other not in work.records:
            continue
        known = work.keys(other)
        if known <= {None}:
            _no_such_table(kind, name, other, work)
            continue
        expected, lost = f"an id from {other.table.file}", []
        for row in work.records[kind]:
            value = cell_of(row, name)
            if value is None or value in known:
                continue
            remedy = other_id(str(value), (str(item) for item in known if item is not None))
            found = f"{name} '{shown(value)}', which is not there{remedy}"
            work.faults.append(Fault(place_of(row, name), expected, found, capped(kind)))
            doubt = value if None in known else None
            spelled = {name: str(value)} if doubt is None else {}
            why = f"expected {expected}; found {found}"
            lost.append(Unread(kind, row.where, {**cells_of(row), name: doubt}, why, spelled))
        already = tuple(_with_known(row, name, known) for row in work.unread[kind])
        work.unread[kind] = (*already, *lost)


def _with_known(row: Unread, name: str, known: set[Any]) -> Unread:
    """An unreadable row without an id that its table does not have: it may concern any."""
    value = row.get(name)
    wrong = value is not None and value not in known and None not in known
    if not wrong:
        return row
    return replace(row, cells={**row.cells, name: None}, spelled={**row.spelled, name: str(value)})


def _no_such_table(kind: Kind, name: str, other: Kind, work: _Work) -> None:
    """No id of the other table is known: said once for the file."""
    if all(cell_of(row, name) is None for row in work.records[kind]):
        return
    raw, reason = work.raw[kind], work.missing.get(other) or none_readable(other, work.unread[other])
    where = Where(kind.table.file, raw.head_line if raw else None)
    expected, found = f"ids from {other.table.file}", f"{name} ids, but that table {reason}"
    work.faults.append(Fault(replace(where, column=head(kind, name)), expected, found, capped(kind)))
    nothing = Unread(kind, where, dict.fromkeys(kind.columns()), f"expected {expected}; found {found}")
    work.unread[kind] = (*work.unread[kind], nothing)


def _opened(folder: Folder, kind: Kind, openers: Mapping[Kind, Opener], work: _Work) -> Iterable[tuple[Where, Signal]]:
    """The records that the rows of a table name; a row whose record is refused is lost, and the fault names both."""
    if kind not in openers:
        return
    kept: list[Record] = []
    for row in work.records[kind]:
        try:
            signal = openers[kind](folder, row)
        except Refused as refusal:
            fault = _of_row(refusal.fault, row, folder, work)
            work.faults.append(fault)
            why = f"expected {fault.expected}; found {fault.found}"
            work.unread[kind] = (*work.unread[kind], Unread(kind, row.where, cells_of(row), why))
        else:
            kept.append(row)
            work.used.append(signal.where.file)
            yield row.where, signal
    work.records[kind] = tuple(kept)


def _of_row(fault: Fault, row: Record, folder: Folder, work: _Work) -> Fault:
    """What is wrong with a record, told at the row that names it; of a name of no file, the nearest that no row has."""
    file, names = cell_of(row, FILE), folder.names()
    at, effect = cell_meant(row, fault.expected, FILE), f"{fault.effect} This row is not used."
    if file in names:
        return replace(fault, where=at, found=f"{fault.found} ({fault.where})", effect=effect)
    free = [name for name in names if name not in work.named and name not in work.files]
    found = f"'{file}', {why_absent(file, folder, free)}"
    return replace(fault, where=at, expected="a file of this folder", found=found, effect=effect)
