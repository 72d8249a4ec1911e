"""Infusion: was the bag tight, was the vacuum held, was the resin mixed right, and how much went in."""

from __future__ import annotations

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.infusion.charts import charts
from buildbook.chapters.infusion.checks import CHECKS
from buildbook.chapters.infusion.cross import CROSS_CHECKS
from buildbook.chapters.infusion.records import TABLES
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="infusion",
    title="Infusion",
    tables=(*TABLES, Batch),
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    due=Stage.MOULDED,
)
