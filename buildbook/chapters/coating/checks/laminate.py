"""COA-16 the laminate was dry and hard before paint."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from buildbook.chapters.coating.odd_rows import words_of
from buildbook.chapters.coating.subjects import METALS, asked_places
from buildbook.chapters.contradictions import drier_than_dry
from buildbook.chapters.shared_records import Hardness, Moisture, Place
from buildbook.chapters.subjects import absent, attempts, limits, mean_of, period, planned_places, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge
from buildbook.core.quantity import Part, Quantity

MOISTURE = "moisture above dry reference"
BARCOL = "Barcol hardness"


def dry_and_hard(evidence: Evidence) -> Iterable[Finding]:
    """COA-16: moisture near the dry reference, and resin as hard as the laminate should be."""
    wanted = planned_places(evidence, "COA-16")
    for zone in asked_places(evidence, "COA-16", (Moisture, Hardness)):
        place = evidence.one(Place, place=zone)
        if place is not None and not place.painted and zone not in wanted:
            continue  # readings of laminate that is not painted stand in the same tables
        metal = place is not None and place.substrate in METALS
        if not metal or zone in evidence.values(Moisture, "place"):
            yield from _moisture(evidence, zone)
        if not metal or zone in evidence.values(Hardness, "place"):
            for attempt in attempts(evidence, Hardness, place=zone):
                yield from _hardness(evidence, zone, attempt)


def _moisture(evidence: Evidence, zone: str) -> Iterable[Finding]:
    key = Key("COA-16", MOISTURE, zone)
    rows = evidence.of(Moisture, place=zone)
    if not rows:
        yield absent(evidence, Moisture, key, Verdict.NOT_MEASURED, "No moisture reading of this zone.")
        return
    scales = words_of(rows, "meter_scale")
    mixed = f"The readings are on different scales ({'; '.join(scales)}): not comparable."
    worst = max(rows, key=lambda row: row.reading - row.dry_reference)
    use = used(evidence, rows, "instrument", "moisture", "1", "reading")
    parts = tuple(Part(f"{part.name}, both readings", part.standard * math.sqrt(2.0)) for part in use.parts)
    measured = Quantity.combined(worst.reading - worst.dry_reference, "1", parts)
    about = About(
        method=f"hand-held meter, scale {worst.meter_scale}; worst of {len(rows)} readings above its dry reference",
        period=period(row.at for row in rows),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=(
            f"{worst.reading:g} − {worst.dry_reference:g} = {worst.reading - worst.dry_reference:g} scale units "
            f"({worst.where})",
        ),
        notes=("The scale is the meter's own, not a share of water.", *use.notes),
        caps=(*use.caps, *drier_than_dry(rows, measured.at_two), *([mixed] if len(scales) > 1 else [])),
    )
    yield from judge(key, measured, limits(evidence, key.check, MOISTURE, place=zone), about)


def _hardness(evidence: Evidence, zone: str, attempt: int) -> Iterable[Finding]:
    key = Key("COA-16", BARCOL, zone, attempt=attempt)
    rows = evidence.of(Hardness, place=zone, attempt=attempt)
    if not rows:
        yield absent(evidence, Hardness, key, Verdict.NOT_MEASURED, "No hardness reading of this zone.")
        return
    yield from judged_as_planned(evidence, key.check, rows, lambda some: _mean_hardness(evidence, key, some))


def _mean_hardness(evidence: Evidence, key: Key, rows: Sequence[Hardness]) -> Iterable[Finding]:
    use = used(evidence, rows, "instrument", BARCOL, "1", "barcol")
    measured, about = mean_of(rows, "barcol", "1", use, "Barcol impressor 934-1, ")
    return judge(key, measured, limits(evidence, key.check, BARCOL, place=key.place), about)
