"""`buildbook new`: an empty hull folder, laid out from the records."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path, PurePosixPath

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.core.published import COLUMNS_FILE, COLUMNS_PAGE
from buildbook.core.record import Record, head
from buildbook.newbooks import books
from buildbook.readers.folder import Folder
from buildbook.readers.standing import books_of
from buildbook.reference import columns_page

HULL_FILE = """\
# Who she is. Dates are YYYY-MM-DD. Lengths in metres, displacement in kilograms. Fill in, and take the # away.

# as_of = 2026-01-31            # the day this book describes: "today" in every check
# stage = "delivered"           # how far she is, while she is being built: lay-up, moulded, fitting out, painted,
                                # launched, on trial; what is not due yet is then not told as missing

[hull]
name = ""
number = ""                     # hull number exactly as on the plate
builder = ""
model = ""
category = ""                   # design category, as declared
# demonstration = "Invented hull for a demonstration."   # only for invented data; printed on every page

[dimensions]
# length_hull = 0.0
# length_waterline = 0.0
# beam = 0.0
# draught = 0.0
# displacement = 0

[outline]
# profile = []                  # [[x, z], …]: x forward of the transom, z above the waterline, three points or more
# plan = []                     # [[x, y], …]: x forward of the transom, y to starboard of the centreline

[dates]
# lay_up_started = 2026-01-31
# delivered = 2026-01-31

[machinery]

[release]
# withhold = []                 # files or columns to publish without, such as "coating/batches.csv:supplier"
                                # the SHA-256 of each original is published: a short text can be guessed from it
# ask = "the quality office"      # whom a reader may ask for them; the builder where this is not said

# The specification: one entry for every limit that was promised. Somebody must have set it, in a document.
# The words for check and quantity stand in columns.md.
#
# [[limits]]
# check = "COA-04"
# quantity = "dew-point margin"
# low = 3.0
# unit = "K"
# set_by = "builder"
# document = "coating specification"
# revision = "A"
# clause = "4.2"

# The rule chosen where there is more than one.
#
# [[rules]]
# check = "COA-08"
# rule = "iso-19840"
# set_by = "builder"
# document = "coating specification"
# revision = "A"
"""


COLUMNS_TEXT = """\
# Heads and words of your own tables, and what they stand for. Delete this file if you write ours.
# Write yours on the left, ours on the right, both between quotes; columns.md lists ours. Take the # away.
# `buildbook check` prints lines for heads and words that it does not know.

# [heads]                              # in every table
# "Datum" = "at"

# ["laminate/burn_off.csv".heads]      # in one table
# "Glührückstand" = "residue [g]"      # with a unit, where your head gives none

# [words]                              # in every column that takes a few words only
# "ja" = "yes"

# ["laminate/burn_off.csv".words.skin] # in one column of one table
# "Außenhaut" = "outer skin"
"""


class NotOurs(Exception):
    """A folder that holds other things, or is a link; the message says so."""


def lay_out(folder: Path, *, xlsx: bool = False) -> tuple[str, ...]:
    """Write hull.toml, columns.toml, columns.md and every table with its heads; files that are there are left alone.

    With `xlsx` the tables are sheets of workbooks, one for each chapter. A table that stands in the folder already, in
    a file or in a sheet, gets no second place.

    Returns the names written. Raises NotOurs for a folder with files of which none belongs to a hull folder, and where
    a link stands in the way (nothing is ever written through one); OSError where the folder cannot be written.
    """
    files = {
        name: text.encode("utf-8")
        for name, text in (
            ("hull.toml", HULL_FILE),
            (COLUMNS_FILE, COLUMNS_TEXT),
            (COLUMNS_PAGE, columns_page(CHAPTERS)),
        )
    }
    empty = {kind.table.file: empty_table(kind).encode("utf-8") for kind in TABLES}
    _no_links(folder, (*files, *empty))
    there = _standing(folder)
    files |= books(CHAPTERS, there) if xlsx else {file: text for file, text in empty.items() if file not in there}
    _no_links(folder, files)
    if folder.is_dir() and any(folder.iterdir()) and not any((folder / name).exists() for name in (*files, *there)):
        raise NotOurs(f"{folder} holds other things and no hull.toml; name a new folder, or an empty one")
    folder.mkdir(parents=True, exist_ok=True)
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    try:
        return tuple(name for name, data in files.items() if _written(opened, name, data))
    finally:
        os.close(opened)


def _no_links(folder: Path, names: Iterable[str]) -> None:
    """Refuse the whole before anything is written where the folder, one in it or a file is a link."""
    steps = [Path(*PurePosixPath(name).parts[:end]) for name in names for end in (1, 2)]
    for path in (folder, *(folder / step for step in dict.fromkeys(steps))):
        if path.is_symlink():
            raise NotOurs(f"{path} is a link; nothing is written through links. Name the folder itself")


def _standing(folder: Path) -> frozenset[str]:
    """The tables that stand in the folder already."""
    if not folder.is_dir() or folder.is_symlink():
        return frozenset()
    opened = Folder(folder)
    names = [kind.table.file for kind in TABLES]
    return frozenset(name for name in names if opened.holds(name)) | books_of(opened, names).stands.keys()


def _written(folder: int, name: str, data: bytes) -> bool:
    """Make one file below an opened folder, step by step without following a link; False where it is there already."""
    *steps, last = PurePosixPath(name).parts
    opened = [folder]
    try:
        for step in steps:
            with suppress(FileExistsError):
                os.mkdir(step, dir_fd=opened[-1])
            opened.append(os.open(step, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=opened[-1]))
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW
        with os.fdopen(os.open(last, flags, 0o666, dir_fd=opened[-1]), "wb") as file:
            file.write(data)
    except FileExistsError:
        return False
    finally:
        for descriptor in reversed(opened[1:]):
            os.close(descriptor)
    return True


def empty_table(kind: type[Record]) -> str:
    """The head line of a table."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow([head(kind, name) for name in kind.columns()])
    return text.getvalue()
