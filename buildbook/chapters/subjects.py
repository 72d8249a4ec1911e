"""What the checks of every chapter are about: places, attempts, rows that are absent; limits, instruments, means."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from buildbook.chapters.readings import instrument_part, standard_of, with_scatter
from buildbook.chapters.shared_records import Place, Planned
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, unjudged
from buildbook.core.limit import Term
from buildbook.core.quantity import Part, Quantity
from buildbook.core.record import Record
from buildbook.core.source import Standing
from buildbook.core.wording import fixed
from buildbook.sources import reference_limit

UNNAMED, SOME_UNNAMED = "The row names no instrument for", "Some readings name no instrument for"


@dataclass(frozen=True, slots=True)
class Used:
    """The instruments behind some readings: ids, parts of the uncertainty, notes and caps."""

    instruments: tuple[str, ...]
    parts: tuple[Part, ...]
    notes: tuple[str, ...]
    caps: tuple[str, ...]


def place_name(evidence: Evidence, place: str) -> str:
    """The name of a place in words; its id where the table of places does not hold it."""
    row = evidence.one(Place, place=place)
    return row.name if row is not None else place


def by_paper(words: str, row: Any, column: str) -> Term:
    """What a paper of the builder says in one column of a row that names it by `drawing` and `revision`."""
    return Term(words, Standing.BUILDER, "builder", row.drawing, row.revision or "", at=row.cell(column))


def planned_places(evidence: Evidence, check: str, record: str = "") -> tuple[str, ...]:
    """The places the inspection and test plan names for a check, in lines that can be read or only in part.

    With `record`, only lines that ask for this file, or for one that cannot be made out.
    """
    lines: list[Planned | Unread] = [*evidence.of(Planned, check=check)]
    lines += [line for line in evidence.lost(Planned) if line.get("check") == check]
    places = []
    for line in sorted(lines, key=lambda line: line.where.order):
        place, file = (line.get("place"), line.get("record")) if isinstance(line, Unread) else (line.place, line.record)
        if place and (not record or file in (None, record)):
            places.append(place)
    return tuple(dict.fromkeys(places))


def claimed(evidence: Evidence, check: str | None, file: str) -> frozenset[str]:
    """The places whose rows of a file are counted by another line of the plan than one without a place.

    That is a line of the same check that names them; or of another chapter, which reads the same file for itself.
    """
    chapter = (check or "").partition("-")[0]
    named: list[tuple[str | None, str | None]] = [
        (line.place, line.check) for line in evidence.of(Planned, record=file) if line.readings is not None
    ]
    named += [(line.get("place"), line.get("check")) for line in evidence.lost(Planned, record=file)]
    return frozenset(place for place, of in named if place and (of in (None, check) or of.partition("-")[0] != chapter))


def attempts(evidence: Evidence, kind: type[Record], **values: object) -> tuple[int, ...]:
    """The attempts at a place, from the first to the last that the table holds, readable or not; 1 where it holds none.

    An attempt without a row counts too: somebody made it, since there was a next one.
    """
    found = {getattr(row, "attempt") for row in evidence.of(kind, **values)}  # noqa: B009
    found |= {row.get("attempt") for row in evidence.lost(kind, **values)}
    return tuple(range(1, max((number for number in found if isinstance(number, int)), default=1) + 1))


def asked_places(evidence: Evidence, check: str, file: str, *quantities: str) -> dict[str, str]:
    """The places that the plan names for a check and a file, or a limit for one of these quantities; with who asks."""
    limited = [
        entry.place
        for entry in evidence.specification.limits
        if entry.check == check and entry.quantity in quantities and entry.place
    ]
    return {
        **dict.fromkeys(limited, "A limit is set here"),
        **dict.fromkeys(planned_places(evidence, check, file), "Planned"),
    }


def absent(
    evidence: Evidence, kind: type[Record], key: Key, otherwise: Verdict, words: str, wanted: Limits | None = None
) -> Finding:
    """A finding for a subject without a readable row: no record where the table itself is missing.

    `wanted` are the limits it would have been judged by, those of the key itself where they are not handed in.
    """
    wanted = wanted or limits(evidence, key.check, key.quantity, place=key.place, condition=key.condition)
    reason = evidence.missing.get(kind)
    if reason:
        return unjudged(key, Verdict.NO_RECORD, f"{kind.table.file}: {reason}.", limits=wanted)
    if evidence.lost(kind):
        words = f"{words} No row of {kind.table.file} about it can be used."
        return unjudged(key, Verdict.INCONCLUSIVE, words, limits=wanted)
    return unjudged(key, otherwise, words, limits=wanted)


def limits(
    evidence: Evidence, check: str, quantity: str, *, place: str = "", condition: str = "", reference: str = ""
) -> Limits:
    """The specified and the published limit of one quantity; `reference` is the condition of the published one."""
    return Limits(
        evidence.specification.limit(check, quantity, place=place, condition=condition),
        reference_limit(check, quantity, reference),
    )


def used(
    evidence: Evidence,
    rows: Sequence[Any],
    column: str,
    quantity: str,
    unit: str,
    values: str = "",
    *,
    suction: bool = False,
) -> Used:
    """What the instruments named in `column` of some rows bring to `quantity` [unit], the coarsest one's parts.

    `values` names the column of the readings, so that readings outside the instrument's range are noticed; `suction`
    says that they are written without the minus that the instrument shows.
    """
    ids = sorted({getattr(row, column) for row in rows if getattr(row, column)})
    parts: tuple[Part, ...] = ()
    notes: list[str] = []
    caps: list[str] = []
    for name in ids:
        its = [row for row in rows if getattr(row, column) == name]
        days = [getattr(row, its[0].table.time or "at") for row in its]
        readings = [-getattr(row, values) if suction else getattr(row, values) for row in its] if values else []
        use = instrument_part(evidence, name, quantity, unit, days, readings)
        parts = max(parts, use.parts, key=standard_of)
        notes += use.notes
        caps += use.caps
    if len(ids) < len({getattr(row, column) or "" for row in rows}):
        caps.append(f"{SOME_UNNAMED if ids else UNNAMED} {quantity}.")
    return Used(tuple(ids), parts, tuple(notes), tuple(caps))


def mean_of(rows: Sequence[Any], column: str, unit: str, use: Used, method: str) -> tuple[Quantity, About]:
    """The mean of a column with the scatter in its uncertainty, and what a finding says about it; `method` leads."""
    values = [getattr(row, column) for row in rows]
    mean = math.fsum(values) / len(values)
    about = About(
        method=f"{method}{mean_words(len(values))}",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=(_working(values, mean),),
        notes=use.notes,
        caps=use.caps,
    )
    return Quantity.combined(mean, unit, with_scatter(use.parts, values)), about


def mean_words(number: int) -> str:
    """What a mean is one of; of one reading there is none."""
    return "one reading" if number == 1 else f"mean of {number} readings"


def _working(values: Sequence[float], mean: float) -> str:
    if len(values) == 1:
        return f"1 reading, {values[0]:g}"
    return f"{counted(len(values), 'reading')} from {min(values):g} to {max(values):g}, mean {fixed(mean, 2)}"


def period(times: Iterable[datetime]) -> Period | None:
    """From the first to the last of some times."""
    ordered = sorted(times)
    return Period(ordered[0], ordered[-1]) if ordered else None
