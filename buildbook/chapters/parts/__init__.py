"""Parts and materials: which numbered parts she has, what they are made of, and what became of the rest."""

from __future__ import annotations

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.charts import charts
from buildbook.chapters.parts.checks import CHECKS
from buildbook.chapters.parts.cross import CROSS_CHECKS
from buildbook.chapters.parts.records import TABLES
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="parts",
    title="Parts and materials",
    tables=(*TABLES, Batch),
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    due=Stage.FITTING_OUT,
)
