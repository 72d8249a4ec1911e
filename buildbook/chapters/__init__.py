"""The chapters in the order of the book, with all their tables and checks."""

from __future__ import annotations

from buildbook.chapters import (
    coating,
    infusion,
    laminate,
    parts,
    propeller,
    register,
    shafting,
    systems,
    vibration,
)
from buildbook.core.chapter import Chapter
from buildbook.core.check import Check
from buildbook.core.record import Record

CHAPTERS: tuple[Chapter, ...] = (
    laminate.CHAPTER,
    infusion.CHAPTER,
    parts.CHAPTER,
    propeller.CHAPTER,
    shafting.CHAPTER,
    vibration.CHAPTER,
    coating.CHAPTER,
    systems.CHAPTER,
    register.CHAPTER,
)
TABLES: tuple[type[Record], ...] = tuple(dict.fromkeys(kind for chapter in CHAPTERS for kind in chapter.tables))
CHECKS: tuple[Check, ...] = tuple(check for chapter in CHAPTERS for check in chapter.checks)
