"""What the register draws: the person-days of each stage, with rework apart."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.register.work import CHECK, REWORK, by_stage
from buildbook.core.chart import Axis, Chart, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.wording import plain_number

FIRST, AGAIN = "work", "rework"
WHOLE_FROM = 10.0  # person-days


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Person-days of each stage; none where nobody wrote them down."""
    stages = by_stage(evidence)
    if not stages:
        return ()
    names = tuple(stages)
    again = [sum(row.effort for row in stages[name] if row.kind == REWORK) for name in names]
    rest = [sum(row.effort for row in stages[name] if row.kind != REWORK) for name in names]
    redone = [(name, days) for name, days in zip(names, again, strict=True) if days]
    series = [Series(FIRST, tuple(rest), names, "bars", labels=tuple(_days(days) for days in rest))]
    if redone:
        labels = tuple(_days(days) for _, days in redone)
        series.append(
            Series(AGAIN, tuple(days for _, days in redone), tuple(name for name, _ in redone), "bars", labels=labels)
        )
    total, done_again = sum(rest) + sum(again), sum(again)
    title = f"Person-days of each stage: {_days(total)} in all, {_days(done_again)} of them rework"
    chart = Chart(
        key="reg-07-work",
        check=CHECK,
        title=title,
        description=f"Bars for {len(names)} stages in the order in which they began; rework has bars of its own.",
        x=Axis("Person-days of eight hours", "d", low=0.0),
        y=Axis("Stage", kind="category", categories=names),
        series=tuple(series),
    )
    return (chart,)


def _days(days: float) -> str:
    """Person-days as they are drawn: from ten on in whole days."""
    return plain_number(round(days, 1) if days < WHOLE_FROM else round(days))
