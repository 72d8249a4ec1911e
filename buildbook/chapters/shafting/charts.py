"""Drawings of the shafts: keyways in section, run-out, and what a slot carries beside what welds would."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.core.chart import Chart
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Every drawing that the findings allow."""
    return ()
