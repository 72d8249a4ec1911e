"""What the coating chapter draws for a small synthetic folder, by the key of each chart."""

from __future__ import annotations

from buildbook.chapters.coating.charts import charts
from buildbook.chapters.coating.checks import CHECKS
from buildbook.core.chart import Chart
from buildbook.core.evidence import Evidence


def drawn(held: Evidence) -> dict[str, Chart]:
    findings = tuple(finding for check in CHECKS for finding in check.judge(held))
    return {chart.key: chart for chart in charts(held, findings)}
