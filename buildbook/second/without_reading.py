"""Rows of the sheet in which something was written and the reading left out: told, since a slip looks like a gap."""

from __future__ import annotations

from collections.abc import Iterator

from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.table import RawTable
from buildbook.readers.told_once import told_once
from buildbook.second.kinds import Asked

REMARK = "note"  # a remark alone may say why nothing was read
EFFECT = "The row is not used: what was written beside it is not compared."


def rows_without_reading(asked: Asked, raw: RawTable) -> tuple[Fault, ...]:
    """The rows of a table of the sheet that hold something of the surveyor's own, and no reading.

    Args:
        asked: the table as the sheet gives it: which columns it prints, and which hold the reading.
        raw: the surveyor's table as received.

    Returns:
        A fault for each row, by line and column; many that are alike as one.
    """
    return told_once(_each(asked, raw), {raw.file: len(raw.rows)})


def _each(asked: Asked, raw: RawTable) -> Iterator[Fault]:
    columns = {head.name: head.index for head in raw.heads}
    wanted = [name for name in asked.values if name in columns]
    own = [name for name in columns if name in asked.kind.model_fields and name not in (*asked.printed, REMARK)]
    for row in raw.rows:
        filled = {name for name in own if columns[name] < len(row.cells) and row.cells[columns[name]].strip()}
        if wanted and filled and not filled & set(wanted):
            words = f"a value in {listed(wanted, 'or')}, where something else is filled in"
            yield Fault(Where(raw.file, row.line, wanted[0]), words, "an empty cell", EFFECT)
