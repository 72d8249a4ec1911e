"""Propellers: what the pitch bench says about every blade, and how they work: balance, match, room, slip."""

from __future__ import annotations

from buildbook.chapters.propeller.blade_cross import BLADE_CROSS_CHECKS
from buildbook.chapters.propeller.blade_records import BLADE_TABLES
from buildbook.chapters.propeller.charts import charts
from buildbook.chapters.propeller.checks import CHECKS
from buildbook.chapters.propeller.cross import CROSS_CHECKS
from buildbook.chapters.propeller.drive_charts import drive_charts
from buildbook.chapters.propeller.drive_cross import DRIVE_CROSS_CHECKS
from buildbook.chapters.propeller.drive_records import TABLES as DRIVE_TABLES
from buildbook.chapters.propeller.records import TABLES
from buildbook.chapters.trial_records import TABLES as TRIAL_TABLES
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="propeller",
    title="Propellers",
    tables=(*TABLES, *BLADE_TABLES, *DRIVE_TABLES, *TRIAL_TABLES),
    checks=CHECKS,
    charts=lambda evidence, findings: (*charts(evidence, findings), *drive_charts(evidence, findings)),
    cross_checks=(*CROSS_CHECKS, *BLADE_CROSS_CHECKS, *DRIVE_CROSS_CHECKS),
    due=Stage.LAUNCHED,
)
