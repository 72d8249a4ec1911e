"""Whether each reading lies within the range of its instrument: beyond it nobody states how sure the instrument is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from buildbook.chapters.readings import OUTSIDE_RANGE, outside_range, range_in
from buildbook.chapters.shared_records import Instrument
from buildbook.core.finding import Finding
from buildbook.core.record import InColumn, Record, about
from buildbook.core.wording import plain_number, unit_text
from buildbook.second.reading import Party


def beyond_range(finding: Finding, who: str, party: Party) -> tuple[str, ...]:
    """What a finding rests on that its instruments are not made for, with their ranges; empty where all are within.

    Args:
        finding: of one side.
        who: whose: yard or surveyor.
        party: that side's folder, read.
    """
    found = dict.fromkeys(_outside(party.behind((finding,)), party))
    if found:
        return tuple(f"{some} outside the range of {name}: {ends} ({who})" for name, ends, some in found)
    notes = (note for note in finding.notes if note.rstrip(".").endswith(OUTSIDE_RANGE))
    return tuple(f"{note.rstrip('.')} ({who})" for note in notes)


def _outside(rows: Iterable[Record], party: Party) -> Iterator[tuple[str, str, str]]:
    readings: dict[tuple[str, str, str], list[float]] = {}
    for row in rows:
        for key, value in _readings(row):
            readings.setdefault(key, []).append(value)
    for (id_, quantity, unit), values in readings.items():
        listed = party.evidence.one(Instrument, instrument=id_, quantity=quantity)
        if listed is None:
            continue
        try:
            outside, ends = outside_range(listed, unit, values), range_in(listed, unit)
        except ValueError:
            continue
        if outside:
            yield f"{id_} ({quantity})", _ends(*ends, unit), f"{len(outside)} of {len(values)} readings"


def measured_by(row: Record) -> Iterator[tuple[str, str]]:
    """The instruments of a row, each with a quantity that it read there."""
    columns = type(row).columns()
    for name, info in columns.items():
        for column, of in (about(info, "measures") or {}).items():
            if getattr(row, name) and getattr(row, column) is not None:
                yield getattr(row, name), str(getattr(row, of.name)) if isinstance(of, InColumn) else of


def _readings(row: Record) -> Iterator[tuple[tuple[str, str, str], float]]:
    """The numbers of a row, each with the instrument that read it, the quantity and the unit of its column."""
    columns = type(row).columns()
    for name, info in columns.items():
        id_ = getattr(row, name)
        for column, of in (about(info, "measures") or {}).items():
            value: Any = getattr(row, column)
            quantity = str(getattr(row, of.name)) if isinstance(of, InColumn) else of
            if id_ and isinstance(value, int | float):
                yield (id_, quantity, about(columns[column], "unit")), float(value)


def _ends(low: float | None, high: float | None, unit: str) -> str:
    unit = f" {unit_text(unit)}".rstrip()
    if low is None or high is None:
        return f"up to {plain_number(high or 0.0)}{unit}" if low is None else f"from {plain_number(low)}{unit}"
    return f"{plain_number(low)} to {plain_number(high)}{unit}"
