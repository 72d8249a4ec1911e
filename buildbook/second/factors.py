"""Instruments of a survey whose certificate states U without its coverage factor k: kept, without their U."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buildbook.chapters.shared_records import Instrument
from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.readers.table import RawRow, RawTable

U, K, ID = "uncertainty", "coverage", "instrument"
EFFECT = "The instrument is kept. Its U is not used: what it read counts as without uncertainty."


@dataclass(frozen=True, slots=True)
class Kept:
    """The table as it can be used, the ids of the instruments whose U was left out, and what to tell of each."""

    table: RawTable
    ids: tuple[str, ...]
    faults: tuple[Fault, ...]


def without_factor(raw: RawTable) -> Kept:
    """The table of instruments with the U emptied where no k stands beside it.

    Half of a statement is none: nobody knows how much such a U covers. Any other table comes back as it is.
    """
    at = {head.name: head.index for head in raw.heads}
    if raw.file != Instrument.table.file or U not in at:
        return Kept(raw, (), ())
    rows, ids, faults = [], [], []
    for row in raw.rows:
        if not _cell(row, at[U]) or _cell(row, at.get(K)):
            rows.append(row)
            continue
        rows.append(replace(row, cells=tuple("" if n == at[U] else cell for n, cell in enumerate(row.cells))))
        ids.append(_cell(row, at.get(ID)))
        where = Where(raw.file, row.line, column=K)
        faults.append(Fault(where, "the coverage factor k of the U beside it", "none", EFFECT))
    return Kept(replace(raw, rows=tuple(rows)), tuple(ids), tuple(faults))


def _cell(row: RawRow, index: int | None) -> str:
    return row.cells[index].strip() if index is not None and index < len(row.cells) else ""
