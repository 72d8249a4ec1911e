"""Preparation and paint: how the surface was made ready, what was put on it, and what it measures now."""

from __future__ import annotations

from buildbook.chapters.coating.charts import charts
from buildbook.chapters.coating.checks import CHECKS
from buildbook.chapters.coating.cross import CROSS_CHECKS
from buildbook.chapters.coating.records import TABLES
from buildbook.chapters.shared_records import Hardness, Moisture
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="coating",
    title="Preparation and paint",
    tables=(*TABLES, Moisture, Hardness),
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    due=Stage.PAINTED,
)
