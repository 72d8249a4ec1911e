"""What the checks of the coating chapter are about: zones and coats, and the limits of the paint maker's sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from buildbook.chapters.coating.records import Coat, Product
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import planned_places
from buildbook.core.evidence import Evidence
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.core.source import Standing

METALS = ("aluminium", "steel", "stainless steel")
NO_COAT = "The coating log holds no row of this coat that can be used."


def painted_zones(evidence: Evidence, *tables: tuple[type[Record], str]) -> tuple[str, ...]:
    """Every zone that is painted, from the places and from what other tables name; parts are left out."""
    parts = {place.place for place in evidence.of(Place) if place.kind != "zone" or not place.painted}
    zones = [place.place for place in evidence.of(Place) if place.place not in parts]
    zones += [
        row.get("place") for row in evidence.lost(Place) if row.get("place") and row.get("kind") in (None, "zone")
    ]
    for kind, column in tables:
        zones += [zone for zone in evidence.values(kind, column) if zone not in parts]
    return tuple(sorted(set(zones)))


def asked_places(
    evidence: Evidence, check: str, readings: Sequence[type[Record]], *others: tuple[type[Record], str]
) -> tuple[str, ...]:
    """Where a check has something to say: painted zones, places planned for it, and every place with readings."""
    read = {place for kind in readings for place in evidence.values(kind, kind.table.place)}
    return tuple(sorted({*painted_zones(evidence, *others), *planned_places(evidence, check), *read}))


def coats(evidence: Evidence) -> tuple[tuple[str, Coat | None, str], ...]:
    """Every coat with its zone: readable ones with their record; lost ones, and layers without a row, with None."""
    known = [(coat.coat, coat, coat.zone) for coat in evidence.of(Coat)]
    ids = {name for name, _, _ in known}
    lost = [(row.get("coat") or str(row.where.row), None, row.get("zone") or "") for row in evidence.lost(Coat)]
    unknown = {name: (name, None, zone) for name, _, zone in lost if name not in ids}
    missing = [(f"layer {layer}", None, zone) for zone, layer in missing_layers(evidence)]
    return tuple(sorted((*known, *unknown.values(), *missing), key=lambda coat: (coat[0], coat[2])))


def missing_layers(evidence: Evidence, *zones: str) -> tuple[tuple[str, int], ...]:
    """Layers below the highest of their zone that no row of the coating log can be about, as (zone, layer)."""
    held: dict[str, set[int]] = {}
    for row in evidence.of(Coat):
        held.setdefault(row.zone, set()).add(row.layer)
    return tuple(
        (zone, layer)
        for zone, layers in sorted(held.items())
        if not zones or zone in zones
        for layer in range(1, max(layers))
        if layer not in layers and not evidence.lost(Coat, zone=zone, layer=layer)
    )


def sheet_limit(product: Product, unit: str, words: str, *, low: float | None, high: float | None) -> Limit | None:
    """A limit from a product's data sheet, None where the sheet gives no number."""
    if low is None and high is None:
        return None
    natural = (0.0, 100.0) if unit == "%" else (None, None)
    return Limit(unit, (sheet_term(product, words),), low, high, natural_low=natural[0], natural_high=natural[1])


def sheet_term(row: Any, words: str) -> Term:
    """The data sheet behind a row that has the columns sheet, revision, clause."""
    return Term(
        words=words,
        standing=Standing.BUILDER,
        set_by="the paint maker's data sheet in the builder's folder",
        document=row.sheet,
        revision=row.revision,
        clause=row.clause or "",
        at=row.where,
    )
