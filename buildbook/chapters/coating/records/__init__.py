"""Tables of the coating chapter: how she was prepared, painted and measured."""

from __future__ import annotations

from buildbook.chapters.coating.records.surveys import Appearance, Colour, CrossCut, FilmReading, Gloss, PullOff
from buildbook.chapters.coating.records.work import (
    Batch,
    Climate,
    Coat,
    MetalPart,
    Preparation,
    Product,
    WaterBreak,
    Window,
)
from buildbook.chapters.shared_records import Effort
from buildbook.core.record import Record

TABLES: tuple[type[Record], ...] = (
    Preparation,
    WaterBreak,
    Product,
    Window,
    Batch,
    Coat,
    Climate,
    FilmReading,
    PullOff,
    CrossCut,
    Gloss,
    Appearance,
    Colour,
    MetalPart,
    Effort,
)

__all__ = [
    "TABLES",
    "Appearance",
    "Batch",
    "Climate",
    "Coat",
    "Colour",
    "CrossCut",
    "Effort",
    "FilmReading",
    "Gloss",
    "MetalPart",
    "Preparation",
    "Product",
    "PullOff",
    "WaterBreak",
    "Window",
]
