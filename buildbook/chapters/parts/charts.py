"""Charts of parts and materials: how long each batch was good, and when it was used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
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
    ends = {row.batch: row.expires for row in dated}
    in_time = [link for link in shown if not _days_late(link, ends)]
    after = [link for link in shown if _days_late(link, ends)]
    series = [Series("good", tuple(good), tuple(names), "spans"), _dots("used", in_time)]
    series += [replace(_dots("used after its date", after, ends), style="hollow dots")] if after else []
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


def _days_late(link: PartBatch, ends: Mapping[str, date | None]) -> int:
    """How many days after its use-before date a batch was used; 0 where it was in time."""
    end = ends.get(link.batch)
    return max((link.used_on - end).days, 0) if link.used_on is not None and end is not None else 0


def _dots(name: str, shown: Sequence[PartBatch], ends: Mapping[str, date | None] | None = None) -> Series:
    """Each day on which a batch was used once; with `ends` each says by how many days it was late."""
    days = {(link.batch, link.used_on): _days_late(link, ends or {}) for link in shown}
    return Series(
        name,
        tuple(_noon(day) for _, day in days),
        tuple(batch for batch, _ in days),
        "dots",
        labels=tuple(f"{late} {'day' if late == 1 else 'days'} late" for late in days.values()) if ends else (),
    )


def _noon(day: date | None) -> datetime:
    assert day is not None
    return datetime.combine(day, time(12))
