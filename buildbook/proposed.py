"""What the heads and words of a whole folder may stand for, as lines for columns.toml."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from buildbook.chapters import TABLES
from buildbook.readers.columns_file import parts_there, read_columns
from buildbook.readers.folder import Folder
from buildbook.readers.own_columns import OwnColumns, in_our_names
from buildbook.readers.proposals import Proposal, block, proposals
from buildbook.readers.refused import Refused
from buildbook.readers.table import read_table


def proposed(root: Path) -> tuple[str, ...]:
    """The lines for the folder's columns.toml; none where that cannot be read, which has to be mended first.

    What is withheld has no coded column, so that no word of it stands in a line.
    """
    folder = Folder(root)
    own = read_columns(folder, TABLES)
    if own.unreadable is not None:
        return ()
    return block(_of_tables(folder, own), parts_there(folder))


def _of_tables(folder: Folder, own: OwnColumns) -> Iterator[Proposal]:
    for kind in TABLES:
        try:
            if folder.holds(kind.table.file):
                raw = read_table(folder.read(kind.table.file), kind.table.file)
                yield from proposals(kind, in_our_names(raw, own.of(kind), kind))
        except Refused:
            continue
