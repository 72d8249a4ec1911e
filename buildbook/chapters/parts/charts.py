"""Charts of parts and materials: how long each batch was good, and when it was used."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.checks.in_date import DAYS
from buildbook.chapters.parts.records import PartBatch
from buildbook.core.chart import Axis, Chart, Coordinate, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict
from buildbook.core.wording import listed


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Batches with a use-before date, in the order of that date."""
    drawn = _in_date(evidence, findings)
    return () if drawn is None else (drawn,)


def _in_date(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    used = {link.batch for link in evidence.of(PartBatch)}
    dated = [row for row in evidence.of(Batch) if row.expires is not None and row.batch in used]
    if not dated:
        return None
    dated.sort(key=lambda row: (row.expires or date.min, row.batch))
    late = {
        f.key.condition
        for f in findings
        if (f.key.check, f.key.quantity) == ("PAR-05", DAYS) and f.verdict is Verdict.FAIL
    }
    good: list[Coordinate] = []
    names: list[Coordinate] = []
    for row in dated:
        start, end = row.made or row.received or row.expires, row.expires
        good += [_noon(start), _noon(end)]
        names += [row.batch, row.batch]
    shown = [link for row in dated for link in evidence.of(PartBatch, batch=row.batch)]
    series = [Series("good", tuple(good), tuple(names), "spans"), _dots("used", shown)]
    what = f"used after its date: {listed(sorted(late))}" if late else "each used while it was good"
    return Chart(
        key="par-05-dates",
        check="PAR-05",
        title=f"Batches with a use-before date, {what}",
        description=f"For each of {len(dated)} batches the time it was good, and the days it was used.",
        x=Axis("Date", kind="time"),
        y=Axis("Batch", kind="category", categories=tuple(row.batch for row in dated)),
        series=tuple(series),
    )


def _dots(name: str, shown: list[PartBatch]) -> Series:
    days: dict[tuple[str, date], None] = {(link.batch, link.used_on): None for link in shown}
    return Series(name, tuple(_noon(day) for _, day in days), tuple(batch for batch, _ in days), "dots")


def _noon(day: date | None) -> datetime:
    assert day is not None
    return datetime.combine(day, time(12))
