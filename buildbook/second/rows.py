"""The rows of the sheet: the yard's positions and conditions as left, and never a value of the yard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from buildbook.chapters.propeller.records import PitchReading
from buildbook.chapters.shared_records import Planned
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.evidence import Evidence
from buildbook.core.record import Record
from buildbook.second.kinds import ASKED, Asked

MOST_PLANNED = 200  # rows for one planned line; a plan may ask for a logger's thousands
Row = Mapping[str, Any]  # column of the table to what is printed; a column that is not named is left empty


@dataclass(frozen=True, slots=True)
class SheetTable:
    """One table of the sheet with its rows, in the order of the yard's table."""

    asked: Asked
    rows: tuple[Row, ...]


def sheet_tables(evidence: Evidence) -> tuple[SheetTable, ...]:
    """The tables of the sheet that have rows: what the yard measured at last, and what it planned and did not measure.

    Only the columns that `Asked.printed` names are ever read from the yard's rows.
    """
    made = {asked.kind: tuple(_rows(asked, evidence)) for asked in ASKED}
    runs = {row["run"] for row in made[VibrationRecord]}
    for kind in (TrialRun, ShaftSpeed):
        made[kind] = tuple(row for row in made[kind] if row["run"] in runs)
    return tuple(SheetTable(asked, made[asked.kind]) for asked in ASKED if made[asked.kind])


def _rows(asked: Asked, evidence: Evidence) -> Iterator[Row]:
    if asked.kind is VibrationRecord:
        yield from _records(evidence)
    elif asked.kind is PitchReading:
        yield from _sections(evidence)
    else:
        last = _as_left(evidence.of(asked.kind), asked)
        for row in last:
            yield {name: _printed(row, name) for name in asked.printed}
    yield from _planned(asked, evidence)


def _printed(row: Record, name: str) -> Any:
    """A cell of the yard's as the sheet gives it: a second measurement begins with the first attempt."""
    return 1 if name == "attempt" else getattr(row, name)


def _as_left(rows: Iterable[Record], asked: Asked) -> Iterator[Record]:
    """The rows of the last attempt at each place."""
    rows, table = tuple(rows), asked.kind.table
    if not table.attempt:
        yield from rows
        return
    last: dict[Any, int] = {}
    for row in rows:
        place = getattr(row, asked.place)
        last[place] = max(last.get(place, 0), getattr(row, table.attempt))
    yield from (row for row in rows if getattr(row, table.attempt) == last[getattr(row, asked.place)])


def _sections(evidence: Evidence) -> Iterator[Row]:
    """One row for each blade and radius at which the face was read, whatever the number of stations."""
    seen: dict[tuple[str, str], list[float]] = {}
    for row in evidence.of(PitchReading, on="face"):
        radii = seen.setdefault((row.propeller, row.blade), [])
        if row.radius not in radii:
            radii.append(row.radius)
    for (propeller, blade), radii in seen.items():
        for number, radius in enumerate(sorted(radii), 1):
            about = {"propeller": propeller, "blade": blade, "attempt": 1, "number": number}
            yield {**about, "radius": radius, "on": "face"}


def _records(evidence: Evidence) -> Iterator[Row]:
    """One record for each position, direction and engine setting: the run of the last attempt."""
    last: dict[tuple[str, str, str], VibrationRecord] = {}
    for row in evidence.of(VibrationRecord):
        run = evidence.one(TrialRun, run=row.run)
        if run is None:
            continue
        what = (row.position, row.axis, run.setting)
        if what not in last or row.attempt >= last[what].attempt:
            last[what] = row
    for number, row in enumerate(last.values(), 1):
        about = {"record": f"S-{number:02d}", "position": row.position, "axis": row.axis}
        yield {**about, "run": row.run, "attempt": 1, "mounting": row.mounting}


def _planned(asked: Asked, evidence: Evidence) -> Iterator[Row]:
    """Rows for places where the plan asks for readings of this table and none is on record."""
    table = asked.kind.table
    if not asked.place or not table.number:
        return
    known = set(evidence.values(asked.kind, asked.place))
    for line in evidence.of(Planned):
        if line.record != table.file or not line.place or line.place in known:
            continue
        for number in range(1, min(line.readings or 1, MOST_PLANNED) + 1):
            row = {asked.place: line.place, "number": number, "attempt": 1}
            yield {name: row.get(name) for name in asked.printed}
