"""The chapters in the order of the book."""

from __future__ import annotations

from buildbook.chapters import coating, register
from buildbook.core.chapter import Chapter

CHAPTERS: tuple[Chapter, ...] = (coating.CHAPTER, register.CHAPTER)
