"""What the infusion chapter draws: of each part the vacuum from bag-up to cool-down, and the temperatures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import pairwise

from buildbook.chapters.charted import charted
from buildbook.chapters.infusion.checks.climate import PEAK
from buildbook.chapters.infusion.checks.vacuum import LARGEST
from buildbook.chapters.infusion.formulas.vacuum import MINUTE
from buildbook.chapters.infusion.records import DropReading, Infusion, LogReading
from buildbook.chapters.infusion.subjects import agreed_interval, logged
from buildbook.chapters.subjects import attempts, place_name
from buildbook.core.chart import Axis, Chart, Rule, Series, Span
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.core.limit import Limit
from buildbook.core.source import Standing
from buildbook.core.wording import plain_number, value_text


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """The whole curve of each part: pressure, then temperature."""
    drawn = []
    for infusion in evidence.of(Infusion):
        drawn += [_pressure(evidence, findings, infusion), _temperature(evidence, findings, infusion)]
    return tuple(chart for chart in drawn if chart is not None)


def _rows(evidence: Evidence, infusion: Infusion, column: str) -> list[LogReading]:
    rows = sorted(evidence.of(LogReading, part=infusion.part), key=lambda row: row.at)
    return [row for row in rows if getattr(row, column) is not None]


def _line(evidence: Evidence, rows: Sequence[LogReading], name: str, column: str) -> Series:
    """Readings as a line that is broken where the log has a gap."""
    interval, _ = agreed_interval(evidence, rows[0].part)
    far = [(after.at - before.at) / MINUTE > interval for before, after in pairwise(rows)]
    breaks = tuple(n for n, gap in enumerate(far, 1) if gap)
    return Series(name, tuple(row.at for row in rows), tuple(getattr(row, column) for row in rows), "line", (), breaks)


def _spans(evidence: Evidence, infusion: Infusion, column: str, last: datetime) -> tuple[Span, ...]:
    """Resin in to fill, fill to gel, gel to the end of the vacuum; and every gap."""
    moments = [("resin runs in", infusion.started), ("full, not yet gelled", infusion.filled)]
    moments += [("gelled, vacuum on", infusion.gelled), ("vacuum off", infusion.released)]
    told = [(words, at) for words, at in moments if at is not None]
    stages = [Span(at, after, words) for (words, at), (_, after) in pairwise(told)]
    for attempt in attempts(evidence, DropReading, part=infusion.part):
        times = [row.at for row in evidence.of(DropReading, part=infusion.part, attempt=attempt)]
        if times and min(times) < max(times):
            stages.append(Span(min(times), max(times), "drop test" if attempt == 1 else f"drop test {attempt}"))
    gaps = logged(evidence, infusion.part, column, infusion.bagged, infusion.released or last).gaps
    stages.sort(key=lambda span: str(span.start))
    return (*stages, *(Span(start, end, "no reading", "gap") for start, end in gaps))


def _rule(limit: Limit | None) -> tuple[Rule, ...]:
    if limit is None or limit.high is None:
        return ()
    practice = limit.standing is Standing.PRACTICE
    whose = "common practice" if practice else limit.terms[0].document or "published reference"
    return (Rule(limit.high, f"at most {plain_number(limit.high)}, {whose}", "y", "above"),)


def _pressure(evidence: Evidence, findings: tuple[Finding, ...], infusion: Infusion) -> Chart | None:
    rows = _rows(evidence, infusion, "pressure")
    if len(rows) < 2:
        return None
    name = place_name(evidence, infusion.part)
    found = [one for one in charted(findings, "INF-02", LARGEST) if one.key.place == infusion.part]
    measured = found[0].measured if found else None
    held = f"largest after fill {value_text(measured)}" if measured is not None else "pressure after fill not known"
    limit = found[0].limit if found else None
    after_fill = () if limit is None or infusion.filled is None else _from(_rule(limit), infusion.filled, rows[-1].at)
    return Chart(
        key=f"inf-02-{infusion.part.lower()}-pressure",
        check="INF-02",
        title=f"{name}: bag pressure from bag-up to cool-down, {held}",
        description=f"Absolute pressure in the bag over time, {len(rows)} readings, with what was done when.",
        x=Axis("Time", kind="time"),
        y=Axis("Absolute pressure in the bag", "mbar", kind="log"),
        series=(_line(evidence, rows, "bag pressure", "pressure"),),
        rules=after_fill,
        spans=_spans(evidence, infusion, "pressure", rows[-1].at),
    )


def _hottest(lines: Sequence[tuple[str, str, Sequence[LogReading]]]) -> tuple[Series, ...]:
    """The hottest reading of the laminate, labelled with its time; none where the laminate was not read."""
    rows = next((rows for _, column, rows in lines if column == "laminate"), ())
    if not rows:
        return ()
    peak = max(rows, key=lambda row: row.laminate or 0.0)
    return (Series("hottest", (peak.at,), (peak.laminate or 0.0,), "hollow dots", labels=(f"{peak.at:%H:%M}",)),)


def _from(rules: Sequence[Rule], start: datetime, end: datetime) -> tuple[Rule, ...]:
    return tuple(Rule(rule.value, rule.words, "y", rule.forbidden, start, end) for rule in rules)


def _temperature(evidence: Evidence, findings: tuple[Finding, ...], infusion: Infusion) -> Chart | None:
    columns = (("laminate", "laminate"), ("mould", "mould"), ("air", "air of the shop"))
    lines = [(words, column, _rows(evidence, infusion, column)) for column, words in columns]
    lines = [(words, column, rows) for words, column, rows in lines if len(rows) > 1]
    if not lines:
        return None
    name = place_name(evidence, infusion.part)
    found = [one for one in charted(findings, "INF-07", PEAK) if one.key.place == infusion.part]
    measured = found[0].measured if found else None
    peak = f"hottest {value_text(measured)}" if measured is not None else "peak not known"
    _, column, rows = lines[0]
    return Chart(
        key=f"inf-07-{infusion.part.lower()}-temperature",
        check="INF-07",
        title=f"{name}: temperatures from bag-up to cool-down, {peak}",
        description=f"Temperatures over time of {', '.join(words for words, _, _ in lines)}, with what was done when.",
        x=Axis("Time", kind="time"),
        y=Axis("Temperature", "degC"),
        series=(*(_line(evidence, rows, words, column) for words, column, rows in lines), *_hottest(lines)),
        rules=_rule(found[0].limit) if found else (),
        spans=_spans(evidence, infusion, column, rows[-1].at),
    )
