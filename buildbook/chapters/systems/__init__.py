"""Systems and whole-boat tests."""

from __future__ import annotations

from buildbook.chapters.systems.charts_fuel import fuel_charts
from buildbook.chapters.systems.first_cross import FIRST_CROSS_CHECKS
from buildbook.chapters.systems.first_list import FIRST_CHECKS
from buildbook.chapters.systems.records import TABLES
from buildbook.core.chapter import Chapter

CHAPTER = Chapter(
    key="systems",
    title="Systems and whole-boat tests",
    tables=TABLES,
    checks=FIRST_CHECKS,
    charts=fuel_charts,
    cross_checks=FIRST_CROSS_CHECKS,
)
