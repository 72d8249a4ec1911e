"""The chapters in the order of the book."""

from __future__ import annotations

from buildbook.chapters import coating, laminate, propeller, register, vibration
from buildbook.core.chapter import Chapter

CHAPTERS: tuple[Chapter, ...] = (
    laminate.CHAPTER,
    propeller.CHAPTER,
    vibration.CHAPTER,
    coating.CHAPTER,
    register.CHAPTER,
)
