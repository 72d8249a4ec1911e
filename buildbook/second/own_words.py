"""Words of the surveyor that no row of the yard has, where a reading is found by them: told, each at its cell."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from buildbook.chapters.coating.records.surveys import Gloss
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.record import InColumn, Record, about
from buildbook.core.wording import listed
from buildbook.readers.row_cells import shown
from buildbook.second.kinds import SHEETS

# The column of a table that says under which condition a reading was taken, and what it is found by.
FOUND_BY: Mapping[type[Record], str] = {TrialRun: "setting", VibrationRecord: "axis", Gloss: "angle"}
ALONE = "Readings under it are shown as the surveyor’s alone: they stand beside none of the yard’s."
NOT_KNOWN = "How sure this instrument is of it is not known, so that what rests on this row is inconclusive."


def words_of_his_own(yard: Evidence, survey: Evidence) -> tuple[Fault, ...]:
    """The conditions that none of the yard's rows has, with the words that they have, by file, line and column.

    Args:
        yard: the hull folder, read.
        survey: the surveyor's, read.

    Returns:
        A fault for each row of his; none for a table of which the yard has no row.
    """
    return tuple(fault for kind, column in FOUND_BY.items() for fault in _of(kind, column, yard, survey))


def _of(kind: type[Record], column: str, yard: Evidence, survey: Evidence) -> Iterator[Fault]:
    known = _values(yard.of(kind), column)
    for row in survey.of(kind) if known else ():
        value = getattr(row, column)
        if value not in known:
            words = f"one of the yard’s words for it: {listed(map(_quoted, known), 'or')}"
            yield Fault(
                row.cell(column), words, f"{_quoted(value)}, which no row of the yard has", ALONE, Severity.NOTICE
            )


def instruments_of_another_kind(survey: Evidence) -> tuple[Fault, ...]:
    """The cells that name an instrument which, by its own rows, does not read what is in this table."""
    columns = ((kind, name, about(info, "measures") or {}) for kind in SHEETS for name, info in kind.columns().items())
    return tuple(fault for kind, name, measures in columns for fault in _misnamed(kind, name, measures, survey))


def _misnamed(kind: type[Record], name: str, measures: Mapping[str, Any], survey: Evidence) -> Iterator[Fault]:
    for row in survey.of(kind) if measures else ():
        id_ = getattr(row, name)
        own = _values(survey.of(Instrument, instrument=id_), "quantity")
        asked = dict.fromkeys(_quantity(row, of) for value, of in measures.items() if getattr(row, value) is not None)
        missing = [quantity for quantity in asked if quantity not in own]
        if own and missing and not survey.lost(Instrument, instrument=id_):
            fit = _values(survey.of(Instrument, quantity=missing[0]), "instrument")
            which = f" ({listed(map(_quoted, fit), 'or')})" if fit else ""
            found = f"{_quoted(id_)}, which {Instrument.table.file} has for {listed(own)}"
            yield Fault(row.cell(name), f"an instrument for {listed(missing)}{which}", found, NOT_KNOWN)


def _quantity(row: Record, of: str | InColumn) -> str:
    return str(getattr(row, of.name)) if isinstance(of, InColumn) else of


def _values(rows: Iterable[Record], column: str) -> list[Any]:
    return list(dict.fromkeys(value for row in rows if (value := getattr(row, column)) not in (None, "")))


def _quoted(value: Any) -> str:
    return f"'{shown(value)}'"
