"""Laminate: what the cut-outs, the furnace, the magnifier and the gauge say about her hull and deck."""

from __future__ import annotations

from buildbook.chapters.laminate.charts import charts
from buildbook.chapters.laminate.checks import CHECKS
from buildbook.chapters.laminate.cross import CROSS_CHECKS
from buildbook.chapters.laminate.records import TABLES
from buildbook.chapters.shared_records import Hardness, Moisture
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="laminate",
    title="Laminate",
    tables=(*TABLES, Hardness, Moisture),
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    due=Stage.MOULDED,
)
