"""Systems and whole-boat tests: what was tried when she was finished, system by system and with the whole boat."""

from __future__ import annotations

from buildbook.chapters.systems import whole_boat
from buildbook.chapters.systems.charts_whole_boat import charts
from buildbook.chapters.systems.cross_whole_boat import CROSS_CHECKS
from buildbook.core.chapter import Chapter

CHAPTER = Chapter(
    key="systems",
    title="Systems and whole-boat tests",
    tables=whole_boat.TABLES,
    checks=whole_boat.CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
)
