"""The re-measurement sheet as files: tables to fill, a stub of hull.toml, and the printed sheet."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from buildbook.chapters import TABLES
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.evidence import Evidence
from buildbook.core.face import Paper
from buildbook.core.hull import Hull
from buildbook.core.record import Record, head
from buildbook.parcel import csv_text
from buildbook.pipeline import gathered_evidence, sayable
from buildbook.readers.columns_file import read_columns
from buildbook.readers.folder import Folder
from buildbook.readers.hull_file import read_hull
from buildbook.readers.toml_reading import quoted
from buildbook.render.package import check_out
from buildbook.render.pdf import NotPossible
from buildbook.render.place import Refused, put
from buildbook.second.reading import named
from buildbook.second.rows import Row, sheet_tables
from buildbook.second.two_folders import SHEET
from buildbook.sources import hull_spans

EMPTY_INSTRUMENTS = 12
HULL_STUB = """\
# The sheet of a surveyor: fill the tables beside this file, then: buildbook compare HULL_FOLDER THIS_FOLDER
# The day of your last reading; take the # away. Without it nothing is called better than inconclusive.
# as_of = YYYY-MM-DD
# By this line a sheet is known; leave it.
{sheet} = {number}

[hull]
# The hull you stand in front of: compare with her plate before you measure.
name = {name}
number = {number}
builder = {builder}
"""


class NothingToMeasure(Exception):
    """The folder has no reading that could be taken a second time; the message says so."""


@dataclass(frozen=True, slots=True)
class Laid:
    """What was laid out: the names of the files, and what to tell."""

    files: tuple[str, ...]
    notices: tuple[str, ...]


def write_sheet(
    folder: Path, out: Path, paper: Paper = Paper.A4, progress: Callable[[str], None] = lambda _: None
) -> Laid:
    """Write the sheet of one hull's folder.

    Args:
        folder: the hull folder.
        out: where the sheet goes: a folder that is not there or is empty, since one that was filled must not be lost.
        paper: the paper of the printed sheet.
        progress: told what is being made.

    Returns:
        The names of the files written; a notice where no sheet could be printed.

    Raises:
        Refused: `out` holds something, is a link, or lies in the hull folder.
        NothingToMeasure: the yard neither measured nor planned anything that the sheet asks for.
        FolderUnreadable, and OSError where something cannot be read or written.
    """
    check_sheet_out(out, folder)
    progress("reading the folder")
    with named(folder):
        source = Folder(folder)
        hull, specification, _ = read_hull(source, sayable(), hull_spans())
    own = read_columns(source, TABLES)
    _, evidence, _ = gathered_evidence(source, hull, specification, own=own.of)
    files, notices = sheet_files(evidence, paper, progress)
    put(files, Path(os.path.abspath(out)), lambda: check_sheet_out(out, folder))
    return Laid(tuple(sorted(files)), notices)


def check_sheet_out(out: Path, folder: Path) -> None:
    """Raise `Refused` where a sheet may not be put in this place: nothing that is there is ever written over."""
    if out.is_dir() and not out.is_symlink() and any(out.iterdir()):
        raise Refused(f"{out} is not empty; a sheet is never written over another file. Name a new folder")
    check_out(out, folder)


def sheet_files(
    evidence: Evidence, paper: Paper = Paper.A4, progress: Callable[[str], None] = lambda _: None, *, pdf: bool = True
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Every file of the sheet by its name, and notices; `NothingToMeasure` where the evidence has nothing for it."""
    from buildbook.second.sheet_pdf import sheet_pdf

    tables = sheet_tables(evidence)
    if not tables:
        raise NothingToMeasure("Nothing in this folder can be measured a second time: no sheet was written.")
    files = {"hull.toml": hull_stub(evidence.hull).encode("utf-8")}
    files[Place.table.file] = table_csv(Place, _places(evidence))
    files[Instrument.table.file] = table_csv(Instrument, ({} for _ in range(EMPTY_INSTRUMENTS)))
    for table in tables:
        files[table.asked.kind.table.file] = table_csv(table.asked.kind, table.rows)
    if not pdf:
        return files, ()
    progress("printing the sheet")
    try:
        files["sheet.pdf"] = sheet_pdf(evidence, tables, paper)
    except NotPossible as error:
        return files, (str(error),)
    return files, ()


def _places(evidence: Evidence) -> tuple[Row, ...]:
    """Every place of the yard's table; without its notes, since free words could hold a reading."""
    names = [name for name in Place.columns() if name != "note"]
    return tuple({name: getattr(row, name) for name in names} for row in evidence.of(Place))


def hull_stub(hull: Hull) -> str:
    """hull.toml of the sheet: the same hull, without any limit."""
    words = {"name": hull.name, "number": hull.number, "builder": hull.builder}
    text = HULL_STUB.format(sheet=SHEET, **{name: quoted(value) for name, value in words.items()})
    return text + (f"demonstration = {quoted(hull.demonstration)}\n" if hull.demonstration else "")


def table_csv(kind: type[Record], rows: Iterable[Row]) -> bytes:
    """A table with the heads of the hull folder; columns that a row does not name stay empty."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = list(kind.columns())
    writer.writerow([head(kind, name) for name in names])
    writer.writerows([cell(row.get(name)) for name in names] for row in rows)
    return text.getvalue().encode("utf-8")


def cell(value: Any) -> str:
    """A cell of the sheet as a hull folder has it, numbers in full precision, text as `csv_text.neutral` makes it.

    `compare` takes the apostrophe off again, so that an id that begins with a hyphen is the same id.

    >>> cell("=1+1"), cell(-2.4), cell(3.0), cell(9.123456789012), cell(True), cell(None)
    ("'=1+1", '-2.4', '3', '9.123456789012', 'yes', '')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = csv_text.cell(value)
    return text.removesuffix(".0") if isinstance(value, float) else text
