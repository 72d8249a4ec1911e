"""Identity, plan and exceptions: is it her, was she looked at as planned, and what became of what failed."""

from __future__ import annotations

from buildbook.chapters.register import dates, hull_facts, outside, points, stages
from buildbook.chapters.register.charts import charts
from buildbook.chapters.register.checks import CHECKS
from buildbook.chapters.register.records import TABLES
from buildbook.chapters.register.review import review
from buildbook.chapters.shared_records import (
    Effort,
    Hardness,
    Instrument,
    Moisture,
    Nonconformity,
    PhotographRecord,
    Place,
    Planned,
)
from buildbook.core.chapter import Chapter

CHAPTER = Chapter(
    key="register",
    title="Identity, plan and exceptions",
    tables=(*TABLES, Planned, Nonconformity, Instrument, Place, PhotographRecord, Moisture, Hardness, Effort),
    charts=charts,
    checks=CHECKS,
    review=review,
    cross_checks=(
        *dates.CROSS_CHECKS,
        *hull_facts.CROSS_CHECKS,
        *outside.CROSS_CHECKS,
        *points.CROSS_CHECKS,
        *stages.CROSS_CHECKS,
    ),
)
