"""What the yard withholds from publication: whether it may, and the tables without it."""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from buildbook.chapters.register.records import Document
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.published import CELL, COLUMNS_FILE, IN_PART, RECEIVED, RawFile, Withheld, WithheldKind
from buildbook.core.record import Record, about
from buildbook.core.spelling import did_you_mean, nearest_names, nearest_word
from buildbook.core.stand import Stand
from buildbook.core.table_view import TableView
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.parcel.csv_text import neutral
from buildbook.readers.columns import NEAR
from buildbook.readers.folder import Folder, is_folder
from buildbook.readers.hull_file import HULL_FILE
from buildbook.readers.refused import Refused
from buildbook.readers.release_keys import WITHHOLD
from buildbook.readers.table import RawTable, as_text, folded, head_of

NEVER = (
    "Exceptions, values, limits, uncertainties, instruments, reports, the plan and what they rest on cannot be "
    "withheld, so no book is written."
)
NOTHING = "Nothing is withheld under this name, so no book is written."
NOT_SHOWN = "It is not published anyway, only named as a file that nothing uses."
EXPECTED = "a file of this folder, by its whole name, or table.csv:column"
SHOWN = 3  # files that are named as those a pattern would fit
PATTERN = re.compile(r"[*?\[]")
NO_BOOK = "No book is written: hull.toml asks to withhold what would be published all the same."
MEND = "Put each right or take it out, and build again. A book that was there before is as it was."
NOT_TOLD = "something that is withheld"
OWN = (HULL_FILE, COLUMNS_FILE)  # what says how all else is read: never withheld


@dataclass(frozen=True, slots=True)
class Read:
    """What the folder holds, as far as something of it can be withheld; `named` are the files that rows name."""

    folder: Folder
    evidence: Evidence
    raw: Mapping[type[Record], RawTable | None]
    raw_files: tuple[RawFile, ...]
    named: frozenset[str]
    stands: Mapping[type[Record], tuple[Stand, ...]] = field(default_factory=dict)

    def places(self, kind: type[Record]) -> tuple[Stand, ...]:
        """Where a table was read; where it could not be, every place that holds it."""
        raw = self.raw.get(kind)
        return (raw.stands,) if raw is not None else self.stands.get(kind, ())


def withholding(read: Read) -> tuple[tuple[Withheld, ...], tuple[Fault, ...]]:
    """What is withheld, in the order of the names in hull.toml, and a fault for each name that withholds nothing.

    Such a fault stops the build (`refusal`); a notice is of a file that would not be published anyway.

    A table or a column may be withheld where its record class says so; documents and raw records always. A file with
    the bytes of a withheld one is withheld with it; where those bytes are evidence of a check, neither is.
    """
    found: list[Withheld] = []
    faults: list[Fault] = []
    for one in _asked(read):
        if isinstance(one, Withheld):
            found.append(one)
        else:
            faults.append(one)
    whole = {it.file for it in found if not it.column}
    once: dict[tuple[str, str, str], Withheld] = {}
    for it in found:
        if not it.column or it.file not in whole:
            once.setdefault((it.file, it.column, it.name), it)
    return tuple(once.values()), tuple(dict.fromkeys(faults))


def _asked(read: Read) -> Iterator[Withheld | Fault]:
    for name in read.evidence.hull.withhold:
        for result in _of(name, read):
            yield from _with_copies(result, name, read) if isinstance(result, Withheld) else (result,)


def _of(name: str, read: Read) -> tuple[Withheld | Fault, ...]:
    file, _, column = name.rpartition(":") if name not in read.folder.names() else (name, "", "")
    file = file or name
    standing = {
        words: kind for kind in read.raw for it in read.places(kind) for words in (kind.table.file, it.words) if words
    }
    if file in standing:
        return _of_table(standing[file], column, name, read)
    inside = [kind for kind in read.raw if file in {it.workbook for it in read.places(kind) if it.workbook}]
    if inside:
        return _of_workbook(inside, column, name, read)
    if file not in read.folder.names() and is_folder(file, read.folder):
        found = f"'{name}', which is a folder: folders cannot be withheld"
        return (_fault(read, name, "a file of this folder, each by its own name", found, NOTHING),)
    if file not in read.folder.names() and PATTERN.search(file):
        fitting = fnmatch.filter(read.folder.names(), file)
        first = f": {listed([*fitting[:SHOWN], *(['more'] if len(fitting) > SHOWN else [])])}" if fitting else ""
        found = f"'{name}', a pattern, which names nothing (it would fit {len(fitting)} of the files{first})"
        return (_fault(read, name, "files one by one, each by its own name: no patterns", found, NOTHING),)
    if file not in read.folder.names():
        return (_fault(read, name, EXPECTED, f"'{name}', which is not there{_near(name, read)}", NOTHING),)
    beside = () if column or file in OWN else tuple(kind for kind, it in _beside(read) if it == file)
    if beside:
        return (_held(read, beside[0], file, _named(beside[0], file), name),)
    expected = "a document, a raw record, a table or a column of one"
    if not column and file not in OWN and file not in read.named:
        return (_of_unused(file, name, expected, read),)
    return (_fault(read, name, expected, f"'{name}'", NEVER),)


def _of_workbook(inside: Sequence[type[Record]], column: str, name: str, read: Read) -> tuple[Withheld | Fault, ...]:
    """A whole workbook: every table in it may be withheld, or none is."""
    files = [kind.table.file for kind in inside]
    if column:
        expected = f"a table and its column, like {files[0]}:{column}"
        return (_fault(read, name, expected, f"'{name}', a workbook", NOTHING),)
    kept = [kind.table.file for kind in inside if not kind.table.withholdable]
    if kept:
        expected = f"what no check rests on (it holds {listed(files)})"
        return (_fault(read, name, expected, f"'{name}', with {listed(kept)}", NEVER),)
    return tuple(it for kind in inside for it in _of_table(kind, "", name, read))


def _of_unused(file: str, name: str, expected: str, read: Read) -> Fault:
    """A file that is not published; but its bytes may be, under another name."""
    try:
        size, digest = read.folder.size(file), read.folder.sha256(file)
        shown = sorted({*(kind.table.file for kind in read.raw), *read.named} & set(read.folder.names()))
        same = [it for it in shown if read.folder.size(it) == size and read.folder.sha256(it) == digest]
    except Refused as refused:
        return replace(refused.fault, effect=NOTHING)
    if same:
        return _fault(
            read, name, "the name under which it is published", f"'{name}', a copy of {listed(same)}", NOTHING
        )
    fault = _fault(read, name, expected, f"'{name}', which no row names", NOT_SHOWN)
    return replace(fault, severity=Severity.NOTICE)


def _near(name: str, read: Read) -> str:
    """What was probably meant: of what may be withheld, else of all files."""
    may = {file for _, file in _beside(read)}
    for kind, raw in read.raw.items():
        own = kind.table.file
        columns = [key for key, info in kind.columns().items() if raw is not None and about(info, "withholdable")]
        may |= {f"{own}:{key}" for key in columns} | ({own} if kind.table.withholdable and raw is not None else set())
    near = nearest_names(name, may) or nearest_names(name, read.folder.names())
    return f" (did you mean {listed([repr(it) for it in near], 'or')}?)" if near else ""


def _beside(read: Read) -> Iterator[tuple[WithheldKind, str]]:
    """The files beside the tables that the output may show, also those whose row cannot be used."""
    there = set(read.folder.names())
    for file in read.evidence.values(Document, "file"):
        if file in there:
            yield WithheldKind.DOCUMENT, file
    for raw in read.raw_files:
        yield WithheldKind.RAW, raw.file


def _named(kind: WithheldKind, file: str) -> str:
    """What an original is called in the list of digests."""
    return f"documents/{file.removeprefix('documents/')}" if kind is WithheldKind.DOCUMENT else f"raw/{file}"


def _with_copies(it: Withheld, name: str, read: Read) -> Iterator[Withheld | Fault]:
    """What is withheld, and every other file of the same bytes that the output would show.

    Bytes that are read as a table, as hull.toml or as columns.toml are evidence, which cannot be withheld under
    another name.
    """
    tables = {kind.table.file: table for kind, table in read.raw.items()}
    same = {file for file in _same_size(it, read, {*tables, *OWN}) if read.folder.sha256(file) == it.sha256}
    evidence = sorted(file for file in same if file in OWN or tables.get(file) is not None)
    if evidence:
        yield _fault(read, name, "what no check rests on", f"'{name}', whose bytes are also {listed(evidence)}", NEVER)
        return
    yield it
    for file in sorted(same & tables.keys()):
        yield replace(it, kind=WithheldKind.TABLE, file=file, column="", name=RECEIVED + file, instead="")
    for kind, file in _beside(read):
        if file in same and file not in tables:
            yield replace(it, kind=kind, file=file, column="", name=_named(kind, file), instead="")


def _same_size(it: Withheld, read: Read, tables: Iterable[str]) -> Iterator[str]:
    there = set(read.folder.names())
    for file in sorted({*tables, *(file for _, file in _beside(read))} - {it.file}):
        try:
            if file in there and read.folder.size(file) == it.bytes:
                yield file
        except Refused:
            continue


def _of_table(kind: type[Record], column: str, name: str, read: Read) -> tuple[Withheld | Fault, ...]:
    """A table whole, or each column of this name; so too one whose head the file has misspelled."""
    file = kind.table.file
    if kind.table.withholdable and not column:
        return _held_table(read, WithheldKind.TABLE, kind, name)
    raw = read.raw[kind]
    column = _as_read(kind, column, raw)
    if column and folded(column) not in {*kind.columns(), *(head.name for head in (raw.heads if raw else ()))}:
        found = f"'{name}', but it has no column '{column}'{did_you_mean(folded(column), kind.columns())}"
        return (_fault(read, name, f"a column of {file}", found, NOTHING),)
    allowed = [key for key, info in kind.columns().items() if about(info, "withholdable")]
    if folded(column) not in allowed:
        may = (
            f"of {file} only {listed([f'{file}:{key}' for key in allowed], 'or')}" if allowed else f"nothing of {file}"
        )
        return (_fault(read, name, f"what no check rests on ({may})", f"'{name}'", NEVER),)
    heads = dict.fromkeys(_heads(kind, folded(column), raw)) if raw is not None else [column]
    if not heads:
        return (_fault(read, name, f"a column that {file} has", f"'{name}'", NOTHING),)
    held = _held_table(read, WithheldKind.COLUMN, kind, name)
    instead = IN_PART + file if raw is not None else ""
    return tuple(
        it if isinstance(it, Fault) else replace(it, column=head, instead=instead) for it in held for head in heads
    )


def _held_table(read: Read, what: WithheldKind, kind: type[Record], entry: str) -> tuple[Withheld | Fault, ...]:
    """The files that hold a table, each of which is not published as received."""
    file = kind.table.file
    names = dict.fromkeys(it.received(file) for it in read.places(kind))
    return tuple(_held(read, what, file, RECEIVED + name, entry, name) for name in names)


def _as_read(kind: type[Record], column: str, raw: RawTable | None) -> str:
    """The column that a head of the yard's, or one misspelled, stands for, where somebody names it as the file does."""
    known = set(kind.columns())
    if raw is None or folded(column) in known:
        return column
    mapped = [head.name for head in raw.heads if head.said and _name(head.text) == _name(column)]
    if mapped or all(head.name != folded(column) for head in raw.heads):
        return mapped[0] if mapped else column
    return nearest_word(folded(column), known, NEAR) or column


def _heads(kind: type[Record], column: str, raw: RawTable) -> Iterator[str]:
    known = {folded(name) for name in kind.columns()}
    for head in raw.heads:
        if head.name == column or (head.name not in known and nearest_word(head.name, known, NEAR) == column):
            yield head.text


def _held(read: Read, kind: WithheldKind, file: str, name: str, entry: str, original: str = "") -> Withheld | Fault:
    """What is withheld of a file; its bytes are those of the `original`, where that has another name."""
    original = original or file
    hull = read.evidence.hull
    ask = dict(hull.release).get("ask") or hull.builder or "the builder"
    try:
        size, digest = read.folder.size(original), read.folder.sha256(original)
    except Refused as refused:
        return replace(refused.fault, effect=NOTHING)
    return Withheld(kind, file, "", name, "", size, digest, ask, hull.at_entry(WITHHOLD, entry))


def _fault(read: Read, entry: str, expected: str, found: str, effect: str) -> Fault:
    return Fault(read.evidence.hull.at_entry(WITHHOLD, entry), expected, found, effect)


def refusal(faults: Iterable[Fault]) -> str:
    """Why no book is written, in lines; empty where everything that was to be withheld is."""
    lines = "\n".join(f"  {fault}" for fault in faults)
    return f"{NO_BOOK}\n{lines}\n{MEND}" if lines else ""


def without(
    views: Sequence[TableView], raw: Mapping[str, RawTable | None], held: Iterable[Withheld]
) -> tuple[TableView, ...]:
    """The tables as the book shows them: without the rows of what is withheld whole, without the cells of a column.

    A row whose cells cannot be told apart shows none of them.
    """
    columns, whole = _columns(held)
    return tuple(_without(view, raw.get(view.file), columns.get(view.file, ()), whole.get(view.file)) for view in views)


def _columns(held: Iterable[Withheld]) -> tuple[dict[str, tuple[str, ...]], dict[str, Withheld]]:
    columns: dict[str, tuple[str, ...]] = {}
    whole: dict[str, Withheld] = {}
    for it in held:
        if it.kind is WithheldKind.COLUMN:
            columns[it.file] = (*columns.get(it.file, ()), it.column)
        elif it.kind is WithheldKind.TABLE:
            whole[it.file] = it
    return columns, whole


def _without(view: TableView, raw: RawTable | None, columns: tuple[str, ...], whole: Withheld | None) -> TableView:
    if whole is not None:
        return replace(view, rows=(), state=f"is withheld by the yard; ask {whole.ask} for it")
    if not columns or raw is None:
        return view
    slipped = {row.line for row in raw.rows if row.fault is not None}
    rows = tuple(
        replace(row, cells=_cells(row.cells, raw, columns, apart=row.line not in slipped)) for row in view.rows
    )
    return replace(view, rows=rows)


def _cells(cells: tuple[str, ...], raw: RawTable, columns: tuple[str, ...], *, apart: bool) -> tuple[str, ...]:
    if not apart:
        return (CELL,) * len(cells)
    hidden = {head.index for head in raw.heads if head.text in columns}
    return tuple(CELL if at in hidden else cell for at, cell in enumerate(cells))


def in_part(
    views: Iterable[TableView], raw: Mapping[str, RawTable | None], copies: Mapping[str, str]
) -> dict[str, bytes]:
    """The copies of tables that are published in place of files as received, by the name of each in the output.

    Args:
        views: the tables as the book shows them, the withheld cells replaced.
        raw: the tables as received.
        copies: the copies by their table, as `Book.copies` names them.
    Returns:
        UTF-8, parted as received, every row in the line in which it was received; what stood between rows is left out.
    """
    by_file = {view.file: view for view in views}
    made = {}
    for file, name in copies.items():
        table = raw.get(file)
        if table is not None:
            made[name] = as_text(table, ((row.line, row.cells) for row in by_file[file].rows), neutral)
    return made


def told_without(faults: Iterable[Fault], held: Iterable[Withheld]) -> tuple[Fault, ...]:
    """The same faults, none of which quotes what is withheld."""
    columns, whole = _columns(held)
    names = {file: {"", *map(_name, heads)} for file, heads in columns.items()}
    return tuple(
        replace(fault, found=NOT_TOLD) if _quotes(fault.where, names.get(fault.where.file), whole) else fault
        for fault in faults
    )


def _quotes(where: Where, columns: set[str] | None, whole: Mapping[str, Withheld]) -> bool:
    return where.file in whole or (columns is not None and where.line is not None and _name(where.column) in columns)


def _name(head: str) -> str:
    return head_of(head, 0).name


def published(received: Mapping[str, bytes], held: Iterable[Withheld]) -> dict[str, bytes]:
    """The files as received that are published: those of which nothing is withheld."""
    names = {it.name.removeprefix(RECEIVED) for it in held}
    return {name: data for name, data in received.items() if name not in names}
