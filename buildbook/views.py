"""The tables and pictures of the folder as the book shows them."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence

from buildbook.chapters.shared_records import PhotographRecord
from buildbook.core.book import Photograph
from buildbook.core.chapter import Chapter
from buildbook.core.evidence import Evidence, reasons
from buildbook.core.fault import Fault
from buildbook.core.picture import PictureLook
from buildbook.core.published import COLUMNS_FILE, RawFile, Withheld
from buildbook.core.record import Record, about, head
from buildbook.core.stand import FILE_ITSELF, Stand
from buildbook.core.table_view import Cell, Row, TableView
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.folder import Folder
from buildbook.readers.gather import Gathered
from buildbook.readers.photo import look, re_encode
from buildbook.readers.refused import Refused
from buildbook.readers.table import Head
from buildbook.render.names import stays_inside

LISTABLE = "a file whose name has no colon, no backslash and no control character"
NO_BOOK = "No book can be built; rename the file, in the folder and here."
SHOWABLE = "a picture that hull.toml does not withhold"


def table_views(
    folder: Folder, gathered: Gathered, chapters: Sequence[Chapter]
) -> tuple[tuple[TableView, ...], dict[str, bytes]]:
    """Every table of every chapter as received, row by row, and the bytes of each file that was there."""
    views: dict[str, TableView] = {}
    received: dict[str, bytes] = {}
    for chapter in chapters:
        for kind in chapter.tables:
            name = kind.table.file
            if name in views:
                continue
            stand = _stand(gathered, kind)
            data = _bytes(folder, stand.received(name)) if stand is not None else None
            if stand is not None and data is not None:
                received[stand.received(name)] = data
            views[name] = _view(kind, chapter.key, gathered, data, stand or FILE_ITSELF)
    for name in ("hull.toml", COLUMNS_FILE):
        if (data := _bytes(folder, name)) is not None:
            received[name] = data
    return tuple(views.values()), received


def _stand(gathered: Gathered, kind: type[Record]) -> Stand | None:
    """Where a table was read, or would have been; None where that is no one place."""
    raw, places = gathered.raw.get(kind), gathered.stands.get(kind, ())
    if raw is not None:
        return raw.stands
    return places[0] if len(places) == 1 else None


def _bytes(folder: Folder, name: str) -> bytes | None:
    if name not in folder.names():
        return None
    try:
        return folder.read(name)
    except Refused:
        return None


def _view(kind: type[Record], chapter: str, gathered: Gathered, data: bytes | None, stand: Stand) -> TableView:
    raw = gathered.raw.get(kind)
    faults = reasons(gathered.evidence.unread.get(kind, ()))
    columns = tuple(_cell(kind, item) for item in raw.heads) if raw is not None else _declared(kind)
    rows = tuple(Row(row.line, row.cells, faults.get(row.line, "")) for row in raw.rows) if raw is not None else ()
    whole = faults.get(None, "")
    return TableView(
        file=kind.table.file,
        title=kind.table.title,
        chapter=chapter,
        anchor=re.sub(r"[^a-z0-9]+", "-", kind.table.file.removesuffix(".csv").lower()),
        columns=columns,
        rows=rows,
        state=gathered.evidence.missing.get(kind, "") or whole,
        bytes=len(data or b""),
        sha256=hashlib.sha256(data).hexdigest() if data is not None else "",
        workbook=stand.workbook,
        sheet=stand.sheet,
    )


def _cell(kind: type[Record], given: Head) -> Cell:
    info = kind.columns().get(given.name)
    meaning = info.description or "" if info is not None else "not a column of this table; kept as received"
    meaning += f" (the column '{given.name}')" if given.said and info is not None else ""
    read = [f"'{theirs}' is read as '{ours}'" for theirs, ours in given.words]
    said = [f"read as {head(kind, given.name)}"] if given.said and info is not None else []
    told = f"; as columns.toml says, {listed([*said, *read])}" if said or read else ""
    return Cell(given.name, given.text, given.unit or "", f"{meaning}{told}")


def _declared(kind: type[Record]) -> tuple[Cell, ...]:
    return tuple(
        Cell(name, head(kind, name), about(info, "unit") or "", info.description or "")
        for name, info in kind.columns().items()
    )


def raw_files(folder: Folder, evidence: Evidence) -> tuple[RawFile, ...]:
    """The files of long records that were read, each with its size and hash."""
    named: dict[str, list[Where]] = {}
    for where, signal in evidence.signals.items():
        named.setdefault(signal.where.file, []).append(where)
    return tuple(
        RawFile(name, folder.size(name), folder.sha256(name), tuple(sorted(its, key=lambda where: where.order)))
        for name, its in sorted(named.items())
    )


def unlistable(read: Iterable[RawFile], held: Iterable[Withheld]) -> Iterator[Fault]:
    """A fault for each long record, and for each file that is withheld, under whose name no book can be built."""
    named = [(it.file, where) for it in read for where in it.at] + [(it.file, it.at) for it in held]
    for file, where in dict.fromkeys(named):
        if not stays_inside(file):
            yield Fault(where, LISTABLE, f"'{file}'", NO_BOOK)


def looks_of_pictures(folder: Folder, rows: Iterable[PhotographRecord]) -> dict[str, PictureLook]:
    """What each picture that a row names looks like, by file; one that cannot be shown has no look."""
    found: dict[str, PictureLook] = {}
    for file in dict.fromkeys(row.file for row in rows):
        try:
            found[file] = look(folder.read(file), file)
        except Refused:
            continue
    return found


def pictures(
    folder: Folder, evidence: Evidence, held: Iterable[Withheld] = ()
) -> tuple[tuple[Photograph, ...], dict[str, bytes], tuple[Fault, ...]]:
    """The pictures the folder names, re-encoded; a picture that cannot be shown, or is withheld, is a fault."""
    hidden = {it.sha256 for it in held}
    shown: list[Photograph] = []
    encoded: dict[str, bytes] = {}
    faults: list[Fault] = []
    for number, row in enumerate(evidence.of(PhotographRecord), start=1):
        where = row.cell("file")
        try:
            data = folder.read(row.file)
            digest = hashlib.sha256(data).hexdigest()
            if digest in hidden:
                raise Refused(Fault(where, SHOWABLE, f"'{row.file}', whose bytes are withheld", ""))
            picture = re_encode(data, row.file)
        except Refused as refused:
            faults.append(_at(refused.fault, where))
            continue
        out = f"photographs/{number:03d}.{picture.ending}"
        encoded[out] = picture.data
        shown.append(
            Photograph(
                file=row.file,
                out=out,
                caption=row.caption,
                alternative=row.alternative,
                place=row.place or "",
                taken=row.taken.isoformat(),
                check=row.check or "",
                sha256=digest,
                at=row.where,
                out_sha256=hashlib.sha256(picture.data).hexdigest(),
                scale=row.scale or "",
            )
        )
    return tuple(shown), encoded, tuple(faults)


def _at(fault: Fault, where: Where) -> Fault:
    """The same fault, told at the row that names the picture."""
    return Fault(where, fault.expected, fault.found, "The picture is not shown.", fault.severity)
