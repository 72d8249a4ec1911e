"""The invented paint maker's data sheets, and the tins that were used."""

from __future__ import annotations

from datetime import date

from buildbook.chapters.coating.records import Batch, Product, Window
from demo_build.evidence_maker.tables import here

HIGH_BUILD, UNDERCOAT, TOPCOAT = "EP-H", "EP-U", "PU-T"
SHEETS = {HIGH_BUILD: ("TDS-EP-H", "5"), UNDERCOAT: ("TDS-EP-U", "3"), TOPCOAT: ("TDS-PU-T", "4")}


def _product(key: str, name: str, family: str, solids: float, **limits: float) -> Product:
    sheet, revision = SHEETS[key]
    paper = {"sheet": sheet, "revision": revision, "clause": "table 1"}
    values = {"product": key, "name": name, "family": family, "volume_solids": solids}
    return Product.model_validate({"where": here(Product), **values, **limits, **paper})


_EPOXY = {"air_low": 12.0, "air_high": 32.0, "surface_low": 12.0, "surface_high": 32.0, "humidity_high": 80.0}
_URETHANE = {"air_low": 14.0, "air_high": 28.0, "surface_low": 14.0, "surface_high": 28.0, "humidity_high": 70.0}

PRODUCTS = (
    _product(
        HIGH_BUILD,
        "two-pack epoxy high-build primer",
        "primer",
        58,
        **_EPOXY,
        margin_low=3.0,
        pot_life=3.0,
        pot_life_at=20.0,
        first_cure=6.0,
    ),
    _product(
        UNDERCOAT,
        "two-pack epoxy undercoat",
        "undercoat",
        50,
        **_EPOXY,
        margin_low=3.0,
        pot_life=4.0,
        pot_life_at=20.0,
        first_cure=6.0,
    ),
    _product(
        TOPCOAT,
        "two-pack polyurethane topcoat, white",
        "topcoat",
        48,
        **_URETHANE,
        margin_low=3.0,
        pot_life=3.0,
        pot_life_at=20.0,
        first_cure=8.0,
    ),
)

SOLIDS = {product.product: product.volume_solids for product in PRODUCTS}
FIRST_CURE = {product.product: product.first_cure or 0.0 for product in PRODUCTS}
ALWAYS_ABRADED = "always abraded before this coat, so no longest time"

# Grades that reopen a window after its longest time, by the sheet of the product below
_REOPENED = {HIGH_BUILD: "P180 to P240", UNDERCOAT: "P320 to P400", TOPCOAT: "P400 to P600"}

_WINDOWS: tuple[tuple[str, str, tuple[tuple[float, float, float | None], ...]], ...] = (
    (HIGH_BUILD, HIGH_BUILD, ((10, 16, 120), (15, 10, 96), (20, 7, 72), (25, 5, 48), (30, 4, 36))),
    (HIGH_BUILD, UNDERCOAT, ((10, 30, None), (15, 20, None), (20, 14, None), (25, 10, None), (30, 8, None))),
    (UNDERCOAT, TOPCOAT, ((10, 24, 240), (15, 16, 192), (20, 12, 168), (25, 9, 120), (30, 7, 96))),
    (TOPCOAT, TOPCOAT, ((10, 24, 72), (15, 18, 60), (20, 12, 48), (25, 9, 36), (30, 7, 24))),
)


def windows() -> tuple[Window, ...]:
    """Shortest and longest wait between each pair of products at five surface temperatures."""
    rows = []
    for below, above, lines in _WINDOWS:
        sheet, revision = SHEETS[below]
        for surface, shortest, longest in lines:
            rows.append(
                Window(
                    where=here(Window),
                    product=below,
                    next_product=above,
                    surface=surface,
                    shortest=shortest,
                    longest=longest,
                    no_longest=None if longest is not None else ALWAYS_ABRADED,
                    reopened_by="abrading" if longest is not None else None,
                    reopening_grit=_REOPENED[below] if longest is not None else None,
                    sheet=sheet,
                    revision=revision,
                    clause="table 3",
                )
            )
    return tuple(rows)


def _batch(key: str, product: str, component: str, made: date) -> Batch:
    dates = {"made": made, "expires": made.replace(year=made.year + 1)}
    agent = "paint agent 2" if component == "thinner" else "paint agent 1"
    values = {"batch": key, "product": product, "component": component, "supplier": agent}
    return Batch.model_validate({"where": here(Batch), **values, **dates})


BATCHES = (
    _batch("H-25-1181", HIGH_BUILD, "base", date(2025, 11, 4)),
    _batch("H-25-1204", HIGH_BUILD, "base", date(2025, 11, 18)),
    _batch("HH-25-0456", HIGH_BUILD, "hardener", date(2025, 10, 7)),
    _batch("HT-25-0101", HIGH_BUILD, "thinner", date(2025, 6, 12)),
    _batch("U-25-0733", UNDERCOAT, "base", date(2025, 12, 2)),
    _batch("UH-25-0215", UNDERCOAT, "hardener", date(2025, 9, 23)),
    _batch("UT-25-0101", UNDERCOAT, "thinner", date(2025, 6, 12)),
    _batch("T-26-0042", TOPCOAT, "base", date(2026, 1, 14)),
    _batch("T-26-0057", TOPCOAT, "base", date(2026, 1, 21)),
    _batch("TH-25-0890", TOPCOAT, "hardener", date(2025, 12, 9)),
    _batch("TT-25-0107", TOPCOAT, "thinner", date(2025, 8, 28)),
)
