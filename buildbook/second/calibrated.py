"""Whether a valid calibration is shown for the instruments of a reading, for both sides in the same words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from buildbook.chapters.readings import as_day, calibration_notes
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.subjects import SOME_UNNAMED, UNNAMED
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, Finding
from buildbook.second.reading import Party

NOT_SHOWN = (CALIBRATION_NOT_SHOWN, UNNAMED, SOME_UNNAMED)  # how such a note begins


def calibration_not_shown(finding: Finding, party: Party) -> tuple[str, ...]:
    """What is not shown of the instruments of a finding: sentences, empty where all were calibrated on the day.

    What the check itself said stands. An instrument that it does not speak of is looked up: it is told where none of
    its rows shows a calibration for the days of the readings.
    """
    said = [note for note in finding.notes if note.startswith(NOT_SHOWN)]
    for id_ in finding.instruments:
        if not any(re.search(rf"(?<![\w-]){re.escape(id_)}(?![\w-])", note) for note in said):
            said += _looked_up(id_, finding, party)
    return tuple(dict.fromkeys(said))


def _looked_up(id_: str, finding: Finding, party: Party) -> Iterator[str]:
    rows = party.evidence.of(Instrument, instrument=id_)
    if not rows:
        yield f"{CALIBRATION_NOT_SHOWN}: {id_} has no row in {Instrument.table.file} that can be used."
        return
    days = _days(finding, party)
    notes = [calibration_notes(row, days) for row in rows]
    if all(notes):
        yield notes[0][0]


def _days(finding: Finding, party: Party) -> list[date]:
    """The days of the rows of a finding; where they have none, the first and the last of its period."""
    days = {as_day(moment) for row in party.behind((finding,)) if (moment := getattr(row, "at", None)) is not None}
    if not days and finding.period:
        days = {as_day(finding.period.start), as_day(finding.period.end)}
    return sorted(days)
