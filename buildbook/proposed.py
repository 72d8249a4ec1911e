"""What the heads and words of a whole folder may stand for, as lines for columns.toml."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from buildbook.chapters import TABLES
from buildbook.readers.columns_file import parts_there, read_columns
from buildbook.readers.folder import Folder
from buildbook.readers.not_readings import without_examples
from buildbook.readers.own_columns import OwnColumns
from buildbook.readers.proposals import Proposal, block, proposals
from buildbook.readers.refused import Refused
from buildbook.readers.standing import books_of, chosen, received


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
    books = books_of(folder, [kind.table.file for kind in TABLES])
    for kind in TABLES:
        try:
            stand = chosen(kind, folder, books)
            if stand is not None:
                raw = received(kind, folder.read(stand.received(kind.table.file)), stand, own.of(kind))
                yield from proposals(kind, without_examples(raw))
        except Refused:
            continue
