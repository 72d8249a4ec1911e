"""Rows of the table of instruments that could not be read: a U that was written, and nobody can use."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.shared_records import Instrument
from buildbook.core.evidence import Unread
from buildbook.second.reading import Party


def rows_not_read(ids: Iterable[str], party: Party) -> tuple[str, ...]:
    """What is wrong in the rows of these instruments: file, line, column, what was expected, what was found.

    Args:
        ids: the instruments of a finding.
        party: the side whose table of instruments they stand in.
    """
    lost = (row for id_ in ids for row in party.evidence.lost(Instrument, instrument=id_))
    told = (words for row in lost for words in _wrong(row, party))
    return tuple(dict.fromkeys(told))


def _wrong(row: Unread, party: Party) -> Iterable[str]:
    faults = [fault for fault in party.faults if fault.where.row == row.where]
    if not faults:
        return (f"{row.where}: {row.why}",)
    return (f"{fault.where}: expected {fault.expected}; found {fault.found}" for fault in faults)
