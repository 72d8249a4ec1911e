"""Shafting and steering gear: shafts, keyways, tapers, couplings, bearings in the water, stocks of the rudders."""

from __future__ import annotations

from buildbook.chapters.shafting.aft_records import TABLES as AFT_TABLES
from buildbook.chapters.shafting.charts import charts
from buildbook.chapters.shafting.checks import CHECKS
from buildbook.chapters.shafting.cross import CROSS_CHECKS
from buildbook.chapters.shafting.records import TABLES
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="shafting",
    title="Shafting and steering gear",
    tables=(*TABLES, *AFT_TABLES),
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    due=Stage.LAUNCHED,
)
