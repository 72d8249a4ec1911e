"""Systems and whole-boat tests: what was tried when she was finished, system by system and with the whole boat."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.systems.charts_fuel import fuel_charts
from buildbook.chapters.systems.charts_whole_boat import whole_boat_charts
from buildbook.chapters.systems.checks import CHECKS
from buildbook.chapters.systems.cross import CROSS_CHECKS
from buildbook.chapters.systems.records import TABLES
from buildbook.core.chapter import Chapter
from buildbook.core.chart import Chart
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.stage import Stage


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """The filling of the tanks, the speed on trial, and the engine installation."""
    return (*fuel_charts(evidence, findings), *whole_boat_charts(evidence, findings))


CHAPTER = Chapter(
    key="systems",
    title="Systems and whole-boat tests",
    tables=TABLES,
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    due=Stage.LAUNCHED,
)
